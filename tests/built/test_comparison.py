"""A built site is held to its proof: what a generator has left out, changed or left as it was is found."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.built.comparison import compare_built
from buildlog.built.places import built_page
from buildlog.diagnostics import Diagnostic
from buildlog.proof.proof import proof_book
from tests.built.built_sites import build_site
from tests.jobs import FILES
from tests.samples import GEARING, write_site

LEDGER = '# All\n\n<div data-buildlog="ledger"></div>\n'
PLAIN = "# Plain\n\nA `yaml calc` block has marks:\n\n~~~~\n```yaml calc\nkind: gearing\n```\n~~~~\n"
PAGE = "episodes/final.html"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_site(tmp_path, {**FILES, "ledger.md": LEDGER, "plain.md": PLAIN})
    return tmp_path


def compared(folder: Path) -> list[Diagnostic]:
    report = proof_book(Book.open(folder / "content", root=folder))
    assert not report.errors
    return compare_built(report, folder / "site", "site")


def change(folder: Path, name: str, how: Callable[[str], str]) -> None:
    path = folder / "site" / name
    text = path.read_text("utf-8")
    assert how(text) != text
    path.write_text(how(text), encoding="utf-8")


@pytest.mark.parametrize("directories", [False, True])
def test_a_site_that_shows_what_was_proofed_has_no_finding(folder: Path, directories: bool) -> None:
    site = build_site(folder)
    if directories:  # the same pages in folders, with the addresses that this asks for
        for page in [*site.rglob("*.html")]:
            if page.stem != "index":
                text = re.sub(
                    r'(href=")(?![#a-z]+:|#|")([^"]*?)\.html', r"\1../\2/index.html", page.read_text()
                )
                (page.parent / page.stem).mkdir()
                (page.parent / page.stem / "index.html").write_text(text, encoding="utf-8")
                page.unlink()
    assert not compared(folder)


def test_a_page_is_found_at_the_address_of_a_file_or_of_a_folder(tmp_path: Path) -> None:
    for name in ("a.html", "b/index.html", "c/index.html", "index.html"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    keys = ("a", "b", "c/index", "c/README", "index", "README", "d")
    found = ["a.html", "b/index.html", "c/index.html", "c/index.html", "index.html", "index.html", None]
    assert [built_page(tmp_path, key) for key in keys] == found


def test_a_page_without_any_of_it_is_one_finding_that_says_what_to_do(folder: Path) -> None:
    build_site(folder)
    raw = '<p><code>yaml calc\nid: then\n</code></p><p><a href="calc:then.speed_at_limit.3">150.6</a></p>'
    change(folder, PAGE, lambda text: raw)
    findings = [one for one in compared(folder) if one.position.path == f"content/{PAGE[:-5]}.md"]
    assert [one.code.name for one in findings] == ["page-not-computed"]
    assert "2 cards and " in findings[0].expected
    assert findings[0].found == f"site/{PAGE} with none of them"
    assert "extension buildlog" in findings[0].help


def without_card(text: str) -> str:
    return text.replace('id="calc-pair"', 'id="calc-other"')


def twice(text: str) -> str:
    return text + '<section id="calc-pair"></section>'


def without_figure(text: str) -> str:
    return text.replace('id="figure.then.speed_at_limit.3"', "")


def other_label(text: str) -> str:
    return text.replace(">150.6 km/h<", ">156.0 km/h<", 1)


def address_left(text: str) -> str:
    return text + '<a href="cite:axle-sheet.crown">78 N·m</a>'


@pytest.mark.parametrize(
    ("how", "code", "found"),
    [
        (without_card, "block-not-shown", "its card 0 times in site/episodes/final.html"),
        (twice, "block-not-shown", "its card 2 times in site/episodes/final.html"),
        (without_figure, "figure-not-shown", "no such figure in site/episodes/final.html"),
        (other_label, "figure-changed", "“156.0 km/h” in site/episodes/final.html"),
        (address_left, "figure-not-proofed", "a link to cite:axle-sheet.crown in site/episodes/final.html"),
    ],
)
def test_what_one_page_lacks_is_found_at_its_place_in_the_text(
    folder: Path, how: Callable[[str], str], code: str, found: str
) -> None:
    build_site(folder)
    change(folder, PAGE, how)
    about = [one for one in compared(folder) if one.code.name == code]
    assert [one.found for one in about] == [found]
    assert about[0].position.path == "content/episodes/final.md"
    assert about[0].position.line > 1


def test_the_words_of_a_label_may_have_other_typography(folder: Path) -> None:
    build_site(folder)
    change(folder, PAGE, lambda text: text.replace(">150.6 km/h<", ">150.6\u00a0km/h<", 1))
    assert not compared(folder)


def test_a_marker_that_nothing_was_put_in_for_is_found(folder: Path) -> None:
    build_site(folder)
    change(folder, "ledger.html", lambda text: '<div data-buildlog="ledger"></div>')
    (finding,) = compared(folder)
    assert (finding.code.name, finding.position.line) == ("list-not-shown", 3)


def test_a_page_that_is_not_built_is_found(folder: Path) -> None:
    (build_site(folder) / PAGE).unlink()
    codes = {one.code.name for one in compared(folder) if one.position.path == "content/episodes/final.md"}
    assert codes == {"page-not-built"}


def test_a_link_to_a_figure_that_is_gone_is_found_on_the_page_that_has_it(folder: Path) -> None:
    build_site(folder)
    change(
        folder,
        "ledger.html",
        lambda text: text.replace("#figure.then.speed_at_limit.3", "#figure.then.no", 1),
    )
    (finding,) = compared(folder)
    assert (finding.code.name, finding.position.path) == ("dead-link", "content/ledger.md")
    assert finding.expected == "“figure.then.no” in site/episodes/final.html"


def test_a_block_on_a_page_that_the_proof_does_not_know_is_found(folder: Path) -> None:
    site = build_site(folder)
    (site / "made.html").write_text("<p><code>yaml calc\nkind: gearing\n</code></p>", encoding="utf-8")
    (finding,) = compared(folder)
    assert (finding.code.name, finding.position.path) == ("block-as-code", "site/made.html")


def test_files_that_a_page_leads_to_have_to_be_there(folder: Path) -> None:
    build_site(folder, files=True)
    findings = [one for one in compared(folder) if one.position.path == "content/episodes/final.md"]
    assert [one.code.name for one in findings] == ["dead-link"]
    assert findings[0].expected == "site/episodes/final-sheet.html"
    # besides: data, bundle, the program that computed it, and the script for own numbers
    assert findings[0].found == "a link to final-sheet.html and 4 more in site/episodes/final.html"


def test_a_page_of_which_the_extension_was_not_told_says_so(folder: Path) -> None:
    """MkDocs tells a Markdown extension no page: without the plugin each is computed without the others."""
    built = build_site(folder) / "episodes" / "final.html"
    built.write_text(built.read_text("utf-8").replace(" episodes/final#", " -#"), encoding="utf-8")
    (finding,) = [one for one in compared(folder) if one.code.name == "page-stale"]
    assert finding.found == "site/episodes/final.html, computed without the site around it"
    assert "use the plugin" in finding.help


def test_a_page_that_was_kept_from_an_earlier_state_is_found(folder: Path) -> None:
    build_site(folder)
    page = folder / "content" / "episodes" / "final.md"
    page.write_text(page.read_text("utf-8").replace("quantity: 8", "quantity: 9"), encoding="utf-8")
    findings = compared(folder)
    assert [one.code.name for one in findings] == ["page-stale"]
    assert findings[0].expected.endswith("pair")


@pytest.mark.parametrize("fence", ["yml calc", "YAML calc", 'yaml calc title="x"', "calc", "yaml calc {.x}"])
@pytest.mark.parametrize("ours", [True, False])
def test_a_block_whose_fence_is_nearly_ours_is_told_at_its_place(
    tmp_path: Path, fence: str, ours: bool
) -> None:
    """The proof alone warns of it; the page that is built from it has the block for its readers to see."""
    block = "id: other\nkind: gearing\ninputs:\n  gears: [3.3, 2.0]\n"
    text = f"# Near\n\n{GEARING if ours else ''}\n```{fence}\n{block}```\n"
    write_site(tmp_path, {"near.md": text})
    build_site(tmp_path)
    line = text[: text.index(f"```{fence}")].count("\n") + 1
    told = [(one.code.name, str(one.position)) for one in compared(tmp_path)]
    assert told == [("block-as-code", f"content/near.md:{line}:1")]


@pytest.mark.parametrize("first", ["yaml calc", "yml calc", "calc", "YAML calc numbered"])
def test_a_block_as_code_on_a_page_that_nobody_proofed(folder: Path, first: str) -> None:
    build_site(folder)
    html = f"<p><code>{first}\nid: a\nkind: gearing\n</code></p><p><code>calc\nno block</code></p>"
    (folder / "site" / "made.html").write_text(html, encoding="utf-8")
    assert [(one.code.name, one.position.path) for one in compared(folder)] == [
        ("block-as-code", "site/made.html")
    ]
