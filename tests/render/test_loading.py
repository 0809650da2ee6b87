"""Where a finished page gets the style sheet and the scripts, and whether it wants them."""

from __future__ import annotations

import pytest

from buildlog.render.loading import add_scripts, add_sheet, has_ours, script_tags, wants_scripts

THEME = '<link rel="stylesheet" href="theme.css">'
SITE = "<link href='own.css' rel='stylesheet'>"
OURS = '<link rel="stylesheet" href="ours.css">'


@pytest.mark.parametrize(
    ("head", "expected"),
    [
        (f"{THEME}{SITE}<style>a</style>", f"{THEME}{OURS}{SITE}<style>a</style>"),
        (f"{THEME}<style>a</style>", f"{THEME}{OURS}<style>a</style>"),
        (f"{SITE}{THEME}", f"{OURS}{SITE}{THEME}"),
        (
            "<link rel=icon href=theme.css><style>a</style>",
            f"<link rel=icon href=theme.css>{OURS}<style>a</style>",
        ),
        ("<title>A</title>", f"<title>A</title>{OURS}"),
    ],
)
def test_the_sheet_stands_behind_the_themes_and_before_the_sites(head: str, expected: str) -> None:
    page = f"<html><head>{head}</head><body></body></html>"
    made = add_sheet(page, "ours.css", of_theme="theme.css".__eq__, of_site="own.css".__eq__)
    assert made == f"<html><head>{expected}</head><body></body></html>"


@pytest.mark.parametrize(
    ("page", "ours", "scripts"),
    [
        ('<div class="buildlog">', True, True),
        ("<span class=buildlog-figure-place>", True, True),
        ('<a href="a" class="wide buildlog-figure">', True, True),
        ('<a class="buildlog-term" href="a">', True, False),
        ('<a class="buildlog-term" href="a"><p class="buildlog-x">', True, True),
        ('<p>class="buildlog" of buildlog</p>', False, False),
        ('<p class="mybuildlog">', False, False),
    ],
)
def test_what_is_ours_is_known_by_its_class(page: str, ours: bool, scripts: bool) -> None:
    assert (has_ours(page), wants_scripts(page)) == (ours, scripts)


def test_scripts_stand_in_the_text_and_one_statement_before_them() -> None:
    tags = script_tags(["a.js", "b.js"], units="us", sheet="ours.css", before="</script>.css")
    made = add_scripts("<body><main><article class=a>Text</article></main></body>", tags)
    assert made.startswith("<body><main><article class=a>\n<script>(d=>")
    assert made.count("</script>") == 3, "nothing ends the statement early"
    assert (
        '<script src="a.js" defer data-units="us"></script>\n<script src="b.js" defer></script>\nText' in made
    )
