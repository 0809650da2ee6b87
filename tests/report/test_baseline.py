"""Known findings: what the list knows outlives edits, new findings are never hidden, and it only shrinks."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.commands.proof import proof_command
from buildlog.diagnostics import Severity
from buildlog.proof.proof import Report, proof_book
from buildlog.reading.known import NAME, known_text, parse_known
from buildlog.report.baseline import counted, find_growth, find_mended, shrink_list, without_known
from tests.examples import with_examples
from tests.samples import GEARING, open_site, write_site

THIRD = "calc:shorter-final.after.speed_at_limit.3"
OLD = f"""\
---
buildlog: {{loose: fail}}
---

# Old

Third runs to [153 km/h]({THIRD}), and again [153 km/h]({THIRD}). It weighs 4.2 kg.
In [1 m](calc:shorter-final.after.sped_at_limit.3) and [5](cite:nobody).

{GEARING}
"""
BROKEN = "```yaml calc\nid: broken\nkind: gearing\ninputs: {fnal_drive: 4.1}\n```\n"


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(proof_command, [*arguments, "--site", str(folder)], catch_exceptions=False)


def report_of(folder: Path, **files: str) -> Report:
    return proof_book(open_site(folder, {f"{name}.md": text for name, text in files.items()}))


def test_an_old_site_is_taken_up_step_by_step(tmp_path: Path) -> None:
    """Begin, pass, mend, be told, shrink, and be done: the whole way through the command line."""
    content = write_site(tmp_path, {"a.md": OLD, "b.md": BROKEN})
    assert run(tmp_path).exit_code == 1
    begun = run(tmp_path, "--start")
    assert begun.exit_code == 0
    count = int(begun.stderr.split()[0])
    assert begun.stderr == f"{count} findings listed in known-findings.yml; from now on only others count.\n"
    assert (tmp_path / NAME).read_text("utf-8").splitlines()[2:12] == [
        '"content/a.md":',
        "  figure-disagrees:",
        f'    - "[153 km/h]({THIRD})"',
        f'    - "[153 km/h]({THIRD})"',
        "  loose-figure:",
        '    - "4.2 kg"',
        "  unknown-address:",
        '    - "[1 m](calc:shorter-final.after.sped_at_limit.3)"',
        "  unknown-source:",
        '    - "[5](cite:nobody)"',
    ]
    passed = run(tmp_path)
    assert (passed.exit_code, passed.stderr) == (0, "")
    assert passed.stdout.endswith(f"{count} known findings do not count.\n")
    assert "error" not in passed.stdout
    # One is mended, and the list is told of; nothing fails for it, and nothing is written unasked.
    before = (tmp_path / NAME).read_bytes()
    write_site(tmp_path, {"a.md": OLD.replace("[153 km/h]", "[135.5 km/h]", 1).replace("4.2 kg", "much")})
    told = run(tmp_path)
    assert told.exit_code == 0
    assert told.stderr == (
        "2 findings in known-findings.yml are mended: “buildlog proof --shrink” takes them out.\n"
    )
    assert (tmp_path / NAME).read_bytes() == before
    assert (
        run(tmp_path, "--shrink").stderr == f"2 findings taken out of known-findings.yml; {count - 2} left.\n"
    )
    after = (tmp_path / NAME).read_text("utf-8").splitlines()
    assert [line for line in before.decode().splitlines() if line not in after] == [
        "  loose-figure:",
        '    - "4.2 kg"',
    ]
    assert len(after) == len(before.decode().splitlines()) - 3
    assert (
        run(tmp_path, "--shrink").stderr == "Nothing in known-findings.yml is mended; it was left as it is.\n"
    )
    # What was mended and comes back is new.
    write_site(tmp_path, {"a.md": OLD})
    back = run(tmp_path)
    assert back.exit_code == 1
    assert back.stdout.count("  error  ") == 2
    assert (content / "a.md").exists()
    write_site(tmp_path, {"a.md": "# Old", "b.md": "# Broken"})
    assert "none is left, and the file can go" in run(tmp_path, "--shrink").stderr
    assert run(tmp_path).exit_code == 0


@pytest.mark.parametrize(
    "edit",
    [
        lambda text: text.replace("# Old", "# Old\n\nA paragraph more.\n\n- and a list"),
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace("It weighs", "It is red, and weighs"),
        lambda text: text.replace("8200 rpm", "8000 rpm"),  # another computed value, the same disagreement
        lambda text: text.replace("[5](cite:nobody)", "[5](cite:nobody), so").replace("Third", "Then third"),
        lambda text: text.replace(", and again", ".\n\nAgain"),
    ],
)
def test_the_list_outlives_edits(tmp_path: Path, edit: object) -> None:
    known = counted(report_of(tmp_path, a=OLD))
    after = without_known(report_of(tmp_path, a=edit(OLD)), known)  # type: ignore[operator]
    assert after.errors == ()
    assert after.warnings == ()
    assert find_mended(report_of(tmp_path, a=edit(OLD)), known) == Counter()  # type: ignore[operator]


@pytest.mark.parametrize(
    "edit",
    [
        lambda text: text.replace("# Old", f"# Old\n\n[154 km/h]({THIRD})"),
        lambda text: text.replace("# Old", f"# Old\n\n[153 km/h]({THIRD})"),  # once more than is known
        lambda text: text.replace("[153 km/h]", "[154 km/h]", 1),  # another wrong figure in its place
        lambda text: text.replace(f"[153 km/h]({THIRD})", f"[153 km/h]({THIRD[:-1]}4)", 1),
        lambda text: text.replace("4.2 kg", "4.3 kg"),
        lambda text: text.replace("cite:nobody", "cite:somebody"),
        lambda text: text + BROKEN,
        lambda text: text.replace("final_drive: 4.10", "final_drive: fast"),
    ],
)
def test_what_is_new_is_not_hidden(tmp_path: Path, edit: object) -> None:
    known = counted(report_of(tmp_path, a=OLD))
    assert without_known(report_of(tmp_path, a=edit(OLD)), known).errors  # type: ignore[operator]


def test_a_page_that_was_renamed_is_new(tmp_path: Path) -> None:
    known = counted(report_of(tmp_path, a=OLD))
    (tmp_path / "content" / "a.md").unlink()
    assert len(without_known(report_of(tmp_path, b=OLD), known).errors) == 5


def test_notes_are_not_listed(tmp_path: Path) -> None:
    report = report_of(tmp_path, a=OLD.replace("loose: fail", "loose: note"))
    assert any(one.severity is Severity.NOTE for one in report.findings)
    assert {code for _, code, _ in counted(report)} == {
        "figure-disagrees",
        "unknown-address",
        "unknown-source",
    }


def test_the_list_is_counted_in_json_and_its_findings_are_not(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": OLD})
    run(tmp_path, "--start")
    done = run(tmp_path, "--format", "json", "--quiet")
    found = json.loads(done.stdout)
    assert (found["summary"]["known"], found["summary"]["errors"], found["findings"]) == (5, 0, [])


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--shrink"], "there is no known-findings.yml; --start begins it"),
        (["--known", "no.yml"], "--start begins it"),
        (["--start", "--shrink"], "say one of them"),
        (["--start", "--only", "a"], "--start is about the whole site"),
        (["--shrink", "--only", "a"], "--shrink is about the whole site"),
    ],
)
def test_what_cannot_be_asked(tmp_path: Path, arguments: list[str], said: str) -> None:
    write_site(tmp_path, {"a.md": OLD})
    done = run(tmp_path, *arguments)
    assert done.exit_code == 2
    assert said in done.stderr
    assert not (tmp_path / NAME).exists()


def test_a_list_is_begun_once(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": OLD})
    assert run(tmp_path, "--start").exit_code == 0
    write_site(tmp_path, {"b.md": OLD})
    before = (tmp_path / NAME).read_bytes()
    again = run(tmp_path, "--start")
    assert (again.exit_code, (tmp_path / NAME).read_bytes()) == (2, before)
    assert "is there already, and only gets shorter" in again.stderr
    # Nor does shrinking take anything in.
    assert run(tmp_path, "--shrink").exit_code == 1
    assert (tmp_path / NAME).read_bytes() == before


def test_without_an_error_no_list_is_begun(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": "# Fine"})
    assert run(tmp_path, "--start").exit_code == 2
    assert not (tmp_path / NAME).exists()


def test_another_file(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": OLD})
    path = tmp_path / "lists" / "old.yml"
    path.parent.mkdir()
    assert run(tmp_path, "--known", str(path), "--start").exit_code == 0
    assert run(tmp_path).exit_code == 1  # the site's own list is another
    assert run(tmp_path, "--known", str(path)).exit_code == 0
    write_site(tmp_path, {"a.md": OLD.replace("4.2 kg", "much")})
    assert f"“buildlog proof --known {path} --shrink”" in run(tmp_path, "--known", str(path)).stderr


def test_part_of_a_site_does_not_say_what_is_mended(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": OLD, "b.md": BROKEN})
    run(tmp_path, "--start")
    done = run(tmp_path, "--only", "b")
    assert (done.exit_code, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("<<<<<<< HEAD\n", ":1:1"),
        ("[a, b]\n", ":1:1"),
        ('"content/a.md": [x]\n', ":1:17"),
        ('"content/a.md":\n  loose-figure: 4.2 kg\n', ":2:17"),
        ('"content/a.md":\n  loose-figure:\n    - {a: b}\n', ":3:7"),
        ('"content/a.md": &x {}\n', ":1:17"),
        ("\x00", ":1:1"),
        ('"a": {}\n"a": {}\n', ":2:1"),
    ],
)
def test_a_list_that_cannot_be_read_stops_the_site(tmp_path: Path, text: str, place: str) -> None:
    write_site(tmp_path, {"a.md": "# Fine"})
    (tmp_path / NAME).write_text(text)
    done = run(tmp_path)
    assert done.exit_code == 1
    assert f"{NAME}{place}  error  " in done.stdout
    shrink = run(tmp_path, "--shrink")
    assert shrink.exit_code == 2
    assert (tmp_path / NAME).read_text() == text


def test_an_empty_list_knows_nothing(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": OLD})
    (tmp_path / NAME).write_text("# nothing\n")
    assert run(tmp_path).exit_code == 1


WORDS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=20)


@with_examples(200)
@given(st.dictionaries(st.tuples(WORDS, st.sampled_from(["loose-figure", "b"]), WORDS), st.integers(1, 3)))
def test_a_list_reads_back(known: dict[tuple[str, str, str], int]) -> None:
    """By our own reader and by PyYAML's safe loader; sorted, so that the same list is the same text."""
    text = known_text(known)
    assert parse_known(text, NAME) == (Counter(known), [])
    assert text == known_text(dict(reversed(known.items())))
    loaded = yaml.safe_load(text) or {}
    flat = Counter(
        (page, code, what) for page, of in loaded.items() for code, ws in of.items() for what in ws
    )
    assert flat == Counter(known)


@with_examples(100)
@given(
    st.lists(st.sampled_from(["4.2 kg", "5 kg", "6 mm"])),
    st.lists(st.sampled_from(["4.2 kg", "5 kg", "9 N"])),
)
def test_shrinking_never_adds(
    tmp_path_factory: pytest.TempPathFactory, old: list[str], new: list[str]
) -> None:
    """For any before and after: the shrunk list is the part of both, and new findings are those it lacks."""
    folder = Path("/nonexistent")
    site = Book.open(folder / "content", root=folder)

    def report(labels: list[str]) -> Report:
        text = "---\nbuildlog: {loose: fail}\n---\n\n" + "\n\n".join(f"It takes {one} so." for one in labels)
        return proof_book(site.with_page("a", text))

    known, now = counted(report(old)), report(new)
    left, faults = parse_known(shrink_list(now, known), NAME)
    assert not faults
    assert left == known & counted(now)
    assert left.total() == len(without_known(now, known).known)
    assert len(without_known(now, known).errors) == len(new) - left.total()


@pytest.mark.parametrize(("grown", "words"), [(1, ""), (2, " and 1 more"), (4, " and 3 more")])
def test_how_many_more_a_list_has_than_it_had(grown: int, words: str) -> None:
    before = Counter({("a.md", "loose-figure", "5 kg"): 1})
    more = Counter({("a.md", "loose-figure", f"{number} mm"): 1 for number in range(grown)})
    (finding,) = find_growth(before + more, before, "known-findings.yml")
    assert finding.found == f"“0 mm” (loose-figure, a.md){words}"
