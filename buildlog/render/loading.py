"""What a finished page loads for what is ours in it: the style sheet in its head, the scripts before its
text.

The sheet comes behind the theme's and before the site's own, whose rules are to win. The scripts stand in the
text, since themes that bring in the next page without loading it run those that stand there, and none of its
head. All are deferred but one statement: the reader's units have to be known before a figure is drawn. It is
written into the page, as a script of its own would hold up every page for a request, and as a page that was
brought in would be drawn once before that came.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator
from html import escape, unescape

_BEARING = r"<[a-z][a-z0-9]*\b[^<>]*\sclass=[\"']?(?:[^\"'<>]*\s)?buildlog{}[\s\"'>-]"
_OURS = re.compile(_BEARING.format(""), re.IGNORECASE)
# A link of a term is all that a style sheet makes of it.
_SCRIPTED = re.compile(_BEARING.format("(?!-term[\\s\"'>])"), re.IGNORECASE)
_HEAD = re.compile(r"<head\b[^>]*>(.*?)</head\s*>", re.DOTALL | re.IGNORECASE)
_LINK = re.compile(r"<link\b[^>]*>", re.IGNORECASE)
_STYLE = re.compile(r"<style\b", re.IGNORECASE)
_ATTRIBUTE = re.compile(r"\s(rel|href)\s*=\s*(?:\"([^\"]*)\"|'([^']*)'|([^\s\"'>]+))", re.IGNORECASE)
_PLACES = (
    re.compile(r"<article\b[^>]*>", re.IGNORECASE),
    re.compile(r"<(?:main\b[^>]*|div\b[^>]*\srole=[\"']?main\b[^>]*)>", re.IGNORECASE),
    re.compile(r"<body\b[^>]*>", re.IGNORECASE),
)


def has_ours(page: str) -> bool:
    """Whether anything of ours is in a finished page."""
    return "buildlog" in page and _OURS.search(page) is not None


def wants_scripts(page: str) -> bool:
    """Whether anything of ours is in it besides links of terms."""
    return _SCRIPTED.search(page) is not None


def add_sheet(
    page: str, sheet: str, *, of_theme: Callable[[str], bool], of_site: Callable[[str], bool]
) -> str:
    """A page with the style sheet at the address `sheet`. The others are told apart by their addresses."""
    head = _HEAD.search(page)
    if head is None:
        return page
    start, end = head.span(1)
    place = end
    theirs = list(_sheets(page, start, end))
    own = [first for first, _, address in theirs if of_site(address)]
    themes = [last for _, last, address in theirs if of_theme(address)]
    if own and (not themes or own[0] < themes[-1]):
        place = own[0]
    elif themes:
        place = themes[-1]
    elif theirs or _STYLE.search(page, start, end):
        style = _STYLE.search(page, start, end)
        place = min([first for first, *_ in theirs] + ([style.start()] if style else []))
    return f'{page[:place]}<link rel="stylesheet" href="{escape(sheet)}">{page[place:]}'


def _sheets(page: str, start: int, end: int) -> Iterator[tuple[int, int, str]]:
    """Where each style sheet is linked, from and up to, and its address."""
    for link in _LINK.finditer(page, start, end):
        found = {name.lower(): unescape(a or b or c) for name, a, b, c in _ATTRIBUTE.findall(link[0])}
        if "stylesheet" in found.get("rel", "").lower().split():
            yield link.start(), link.end(), found.get("href", "")


def add_scripts(page: str, tags: str) -> str:
    """A page with script tags before its text."""
    found = next(filter(None, (place.search(page) for place in _PLACES)), None)
    return page if found is None else f"{page[: found.end()]}\n{tags}{page[found.end() :]}"


def script_tags(addresses: Iterable[str], *, units: str, sheet: str, before: str = "") -> str:
    """The statement, and the scripts at the addresses, the one with the units first. `units` are what the
    site shows until its reader chooses; `before` ends the address of the site's first style sheet, `sheet`
    that of ours."""
    tags = [f"<script>{first_statement(units, sheet, before)}</script>"]
    for number, address in enumerate(addresses):
        first = f' data-units="{units}"' if not number and units != "written" else ""
        tags.append(f'<script src="{escape(address)}" defer{first}></script>')
    return "\n".join(tags) + "\n"


def first_statement(units: str, sheet: str, before: str) -> str:
    """What runs before anything of ours is drawn. In a page that was brought in, the sheet was put last and
    is still on its way: it goes where it stands in other pages, and nothing of ours is shown without it."""
    ours = _in_script(f'link[href$="{sheet}"]')
    sites = _in_script(f'link[rel=stylesheet][href$="{before}"]')
    put = f"const b=document.querySelector({sites});if(b)b.before(s);" if before else ""
    of_sheet = (
        f"const s=document.querySelector({ours});"
        f'if(s&&!s.sheet&&document.readyState!="loading"){{{put}'
        'const h=document.createElement("style");'
        'h.textContent=".buildlog,.buildlog-figure-place{visibility:hidden}";'
        "document.head.append(h);s.onload=s.onerror=()=>h.remove()}"
    )
    return (
        f'(d=>{{let u={_in_script(units)};try{{u=localStorage.getItem("buildlog-units")||u}}catch{{}}'
        f"d.dataset.buildlogUnits=u;{of_sheet}}})(document.documentElement)"
    )


def _in_script(text: str) -> str:
    """A text as JavaScript has it, in which nothing can end the script."""
    return json.dumps(text).replace("<", "\\u003c")
