"""Signs at which some programs end a line and no editor does: every message speaks of the line that it names,
in whichever file the sign stands in front of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.site import lines_of
from buildlog.diagnostics import Diagnostic
from buildlog.files.text import split_lines
from buildlog.proof.proof import proof_book
from buildlog.proof.renaming import Renaming, renamed_in_known
from buildlog.reading.settings import read_settings
from buildlog.report.text import findings_text
from mkdocs_buildlog.messages import quote_line
from tests.examples import with_examples
from tests.samples import GEARING, calc, open_site, write_site

SHOWN = "\x85\u2028\u2029"
CONTROLS = "\v\f\x1c\x1d\x1e"  # which neither YAML nor TOML takes
LEADS = st.text(st.sampled_from(SHOWN + CONTROLS + "a"), min_size=1, max_size=6)
SHOWN_LEADS = st.text(st.sampled_from(SHOWN + "a"), min_size=1, max_size=6)
LINE_ENDS = st.sampled_from(["\n", "\r\n", "\r"])


def editor_lines(text: str) -> list[str]:
    return re.split("\r\n|\r|\n", text)


@dataclass(frozen=True, kw_only=True)
class Case:
    """A file with the lead in it, and what the finding of a code is about."""

    file: str
    text: Callable[[str], str]
    code: str
    about: str
    others: tuple[tuple[str, str], ...] = ()


CSV = "\n".join(
    (
        "id: run",
        "kind: parts",
        "inputs:",
        "  currency: EUR",
        "  parts: {data: run.csv}",
    )
)
LOG = "\n".join(
    (
        "id: compared",
        "kind: log_gearing",
        "inputs:",
        "  log:",
        "    data: {file}",
        "    time: {heading: Time, unit: s}",
        "    columns:",
        "      engine_speed: {heading: RPM, unit: rpm}",
        "      road_speed: {heading: Speed, unit: km/h}",
        "  final_drive: 4.10",
        "  gears: [3.3, 2.0]",
        "  rolling_circumference: 1800 mm",
    )
)
LOG_ROWS = "Time,RPM,Speed,Note\n0,1000,20,{lead}\n1,oops,30,x\n"


def pages(lead: str) -> dict[str, Case]:
    """Where any sign may stand."""
    return {
        "a figure of a page": Case(
            file="a.md",
            text=lambda lead: f"x{lead}y\n\n{lead}z [9 mm](cite:none)\n",
            code="unknown-source",
            about="cite:none",
        ),
        "a block below": Case(
            file="a.md",
            text=lambda lead: f"x{lead}y\n\n{GEARING.replace('inputs:', 'imputs:')}",
            code="unknown-key",
            about="imputs",
        ),
        "a loose figure": Case(
            file="a.md",
            text=lambda lead: f"x{lead}y\n\nTightened to 9 mm at last.\n\n{GEARING}",
            code="loose-figure",
            about="9 mm",
        ),
        "a table of data": Case(
            file="run.csv",
            text=lambda lead: f'name,price [EUR],note\n"x{lead}y",1.5,"{lead}"\nz,oops,\n',
            code="value-unreadable",
            about="oops",
            others=(("a.md", calc(CSV)),),
        ),
        "a log": Case(
            file="log.csv",
            text=lambda lead: LOG_ROWS.replace("{lead}", lead),
            code="log-unclear",
            about="oops",
            others=(("a.md", calc(LOG.replace("{file}", "log.csv"))),),
        ),
        "own units": Case(
            file="own-units.txt",
            text=lambda lead: f"# {lead}\n== length\nfurlong = 220 yerd | furlong | us\n",
            code="own-unit",
            about="yerd",
            others=(("a.md", GEARING),),
        ),
    }


def written_as_yaml() -> dict[str, Case]:
    """Where YAML is read: NEL, U+2028 and U+2029 are line ends to it, and the others are refused."""
    return {
        "a block": Case(
            file="a.md",
            text=lambda lead: calc(f"id: a\nkind: gearing\ntitle: x{lead}y\nimputs: 1"),
            code="unknown-key",
            about="imputs",
        ),
        "front matter": Case(
            file="a.md",
            text=lambda lead: f'---\ntitle: "x{lead}y"\nbuildlog:\n  serie: 1\n---\n\n{GEARING}',
            code="front-matter-key",
            about="serie",
        ),
        "sources": Case(
            file="sources.yml",
            text=lambda lead: f"a: {{title: x{lead}y}}\nb: {{titel: y}}\n",
            code="unknown-key",
            about="titel",
            others=(("a.md", GEARING),),
        ),
        "a car": Case(
            file="cars/a.yml",
            text=lambda lead: f"name: x{lead}y\nabout: y\nimputs: 1\n",
            code="unknown-key",
            about="imputs",
            others=(("a.md", GEARING),),
        ),
        "a log that is typed": Case(
            file="a.md",
            text=lambda lead: calc(
                LOG.replace("data: {file}", "text: |\n")
                .replace(
                    "    time:", "".join(f"      {line}\n" for line in LOG_ROWS.split("\n")) + "    time:"
                )
                .replace("{lead}", lead)
            ),
            code="log-unclear",
            about="oops",
        ),
    }


def findings_of(case: Case, text: str) -> tuple[Book, list[Diagnostic]]:
    with TemporaryDirectory() as folder:
        book = open_site(Path(folder), {case.file: text, **dict(case.others)})
        found = [one for one in proof_book(book).findings if one.position.path.endswith(case.file)]
        for finding in found:  # while the files are there
            see_excerpt(finding, book, text)
        return book, found


def see_excerpt(finding: Diagnostic, book: Book, text: str) -> None:
    """The words under a message are those of its line, at the command line and in MkDocs' log."""
    place = finding.position
    expected = editor_lines(text)[place.line - 1]
    assert lines_of(book)(place) == expected
    if place.path.endswith(".md"):
        assert quote_line(book, place) == expected
    printed = findings_text([finding], lines_of(book), width=1000)
    assert "\n" in printed
    assert not set(printed) & set(SHOWN + CONTROLS)


def starts(finding: Diagnostic, text: str) -> str:
    return editor_lines(text)[finding.position.line - 1][finding.position.column - 1 :]


@pytest.mark.parametrize("name", pages(""))
@with_examples(12)
@given(LEADS, LINE_ENDS)
def test_places_in_files_that_take_any_sign(name: str, lead: str, line_end: str) -> None:
    case = pages("")[name]
    text = case.text(lead).replace("\n", line_end)
    _, found = findings_of(case, text)
    (finding, *_) = [one for one in found if one.code.name == case.code]
    assert starts(finding, text).startswith(case.about)


@pytest.mark.parametrize("name", written_as_yaml())
@with_examples(12)
@given(SHOWN_LEADS, LINE_ENDS)
def test_places_in_yaml(name: str, lead: str, line_end: str) -> None:
    case = written_as_yaml()[name]
    text = case.text(lead).replace("\n", line_end)
    _, found = findings_of(case, text)
    (finding, *_) = [one for one in found if one.code.name == case.code]
    assert starts(finding, text).startswith(case.about)


@pytest.mark.parametrize("sign", CONTROLS, ids=ascii)
@pytest.mark.parametrize("name", sorted(set(written_as_yaml()) - {"front matter"}))
def test_a_sign_that_yaml_does_not_take_is_named_where_it_stands(name: str, sign: str) -> None:
    case = written_as_yaml()[name]
    text = case.text(f"\u2028{sign}")
    _, found = findings_of(case, text)
    (finding,) = [one for one in found if one.code.name == "yaml-unreadable"]
    assert starts(finding, text).startswith(sign)
    assert finding.found == f"the control character U+{ord(sign):04X}"


@with_examples(20)
@given(SHOWN_LEADS, LINE_ENDS)
def test_settings_of_mkdocs(lead: str, line_end: str) -> None:
    text = f'site_name: "x{lead}y"\nplugins:\n  - buildlog:\n      lose: fail\n'
    text = text.replace("\n", line_end)
    assert_setting("mkdocs.yml", text, "lose")


@with_examples(20)
@given(SHOWN_LEADS, st.sampled_from(["\n", "\r\n"]))
def test_settings_in_toml(lead: str, line_end: str) -> None:
    text = f'# {lead}\n[project]\nsite_name = "x{lead}y"\n[project.plugins.buildlog]\nlose = "fail"\n'
    assert_setting("zensical.toml", text.replace("\n", line_end), "lose")


@pytest.mark.parametrize("sign", CONTROLS, ids=ascii)
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"], ids=ascii)
@pytest.mark.parametrize(
    ("file", "before"),
    [("mkdocs.yml", "# \x85\nsite_name: x"), ("zensical.toml", '# \x85\n[project]\na = "x')],
)
def test_a_sign_that_settings_do_not_take(sign: str, line_end: str, file: str, before: str) -> None:
    text = f'{before}{sign}"\n'.replace("\n", line_end)
    about = "\r" if file == "zensical.toml" and line_end == "\r" else sign
    if about == "\r":  # TOML takes none alone, and the first of them stands at the end of line 1
        assert_setting(file, text, "")
    else:
        assert_setting(file, text, sign)


def assert_setting(file: str, text: str, about: str) -> None:
    with TemporaryDirectory() as folder:
        (Path(folder) / file).write_bytes(text.encode())
        (fault, *_) = read_settings(Path(folder)).faults
    assert starts(fault, text).startswith(about)


@with_examples(20)
@given(LEADS, LINE_ENDS)
def test_amend_changes_the_number_and_nothing_else(lead: str, line_end: str) -> None:
    text = f"x{lead}y\n\n{lead}z [135.0 km/h](calc:shorter-final.after.speed_at_limit.3){lead}\n\n{GEARING}"
    text = text.replace("\n", line_end)
    with TemporaryDirectory() as folder:
        page = write_site(Path(folder), {"a.md": text}) / "a.md"
        run = CliRunner().invoke(main, ["amend", "--write", "--site", folder])
        assert run.exception is None or isinstance(run.exception, SystemExit), run.exception
        amended = page.read_bytes().decode()
    assert "135.0 km/h" not in amended
    assert re.sub(r"\[[0-9.]+ km/h\]", "[135.0 km/h]", amended) == text


@with_examples(20)
@given(LEADS, LINE_ENDS)
def test_renaming_in_the_list_of_known_findings(lead: str, line_end: str) -> None:
    """Of its lines only those change that name the page, whatever the words of a finding hold."""
    with TemporaryDirectory() as folder:
        book = open_site(Path(folder), {"a.md": GEARING})
    renaming = Renaming(kind="page", page="a", old="a", new="b", old_words="a", words="b")
    text = f'content/a.md:\n  figure-differs:\n    - "x{lead}content/a.md: y"\n'.replace("\n", line_end)
    assert renamed_in_known(text, book, renaming) == text.replace("content/a.md:", "content/b.md:", 1)


@given(st.text(st.sampled_from(SHOWN + CONTROLS + "a\r\n")))
def test_lines_are_those_of_an_editor(text: str) -> None:
    assert split_lines(text) == editor_lines(text)
    whole = split_lines(text, keepends=True)
    assert "".join(whole) == text
    assert [line.rstrip("\r\n") for line in whole] == editor_lines(text)[: len(whole)]


def test_a_byte_that_is_no_text_in_a_log_whose_lines_end_at_cr(tmp_path: Path) -> None:
    content = write_site(
        tmp_path,
        {
            "log.csv": b"Time,RPM,Speed\r0,1000,20\r\n1,\xff,3\r",
            "a.md": calc(LOG.replace("{file}", "log.csv")),
        },
    )
    (finding,) = [
        one for one in proof_book(Book.open(content, root=tmp_path)).findings if one.code.name == "not-utf-8"
    ]
    assert str(finding.position) == "content/log.csv:3:3"
    assert finding.found == "byte FF"
