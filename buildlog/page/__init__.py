"""The Python-Markdown extension: cards, figures and furniture put into a page.

It needs what draws pages, which the light install leaves out: that is said here, before a part is missed.
"""

from __future__ import annotations

from importlib.util import find_spec

from buildlog_installed import PAGES, lacking

for _name in PAGES:
    if find_spec(_name) is None:
        raise ModuleNotFoundError(f"buildlog: {lacking(_name)}", name=_name)
