"""Keeps notices about the future of a theme out of an author's build. They are for whoever chooses the theme.

The theme is loaded, and prints its notice, before MkDocs loads any plugin: no plugin is early enough to ask
it not to. What mkdocs.yml names is loaded before both:

    extra:
      theme_notices: !!python/name:mkdocs_buildlog.theme_notices.OFF

The variable is the one that the theme offers for this. A value that somebody has set stays.
"""

from __future__ import annotations

import os

OFF = False

os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
