"""Links, devices and folders that cannot be read, in a content folder: nothing outside of it is read, what a
generator would publish from there is told, whatever its ending, and nobody can set that aside."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.diagnostics import CODES, Severity
from buildlog.proof.proof import proof_book
from buildlog.reading.content_folder import MOST_LINKED_FOLDERS
from buildlog.reading.settings import read_settings
from buildlog.report.codes import all_codes
from mkdocs_buildlog.look import folder_has_signs
from tests.samples import GEARING, write_site
from tests.systems import is_superuser, link, on_unix, pipe

PAGE = f"# A\n\nThird: [135.5 km/h](calc:shorter-final.after.speed_at_limit.3).\n\n{GEARING}"


def told(folder: Path) -> list[tuple[str, str]]:
    """The codes and the paths of what the proof finds."""
    report = proof_book(Book.open(root=folder, settings=read_settings(folder)))
    return [(one.code.name, one.position.path) for one in report.findings]


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_site(tmp_path, {"a.md": PAGE, "inner/b.md": "# B"})
    secret = tmp_path / "secret"
    (secret / "deeper").mkdir(parents=True)
    for name in ("s.md", "s.csv", "s.png", "deeper/s.txt"):
        (secret / name).write_text("UNHEARD", "utf-8")
    return tmp_path


# --- out of the folder ---


@pytest.mark.parametrize(
    "name",
    ["s.md", "s.csv", "s.png", "s.yml", "s.html", "s", "runs/s.txt", "cars/s.yml", "words/s.yml", "s.MD"],
)
def test_a_link_to_a_file_outside_is_told_whatever_its_ending(site: Path, name: str) -> None:
    path = site / "content" / name
    path.parent.mkdir(exist_ok=True)
    link(path, site / "secret" / "s.md")
    assert told(site) == [("outside-content", f"content/{name}")]


@pytest.mark.parametrize("name", ["all", "cars", "inner/all", ".hidden", "templates"])
@pytest.mark.parametrize("target", ["secret", "secret/deeper", "/", "..", "../content_of_mine"])
def test_a_link_to_a_folder_outside_is_told_once_and_not_entered(site: Path, name: str, target: str) -> None:
    """MkDocs goes through hidden and excluded folders too: one that leads to / has no end."""
    (site / "content_of_mine").mkdir()  # its name begins as that of the content folder
    (site / "content_of_mine" / "c.md").write_text("# C", "utf-8")
    link(site / "content" / name, site / "content" / target if target.startswith(".") else site / target)
    assert told(site) == [("outside-content", f"content/{name}")]


def test_what_the_site_excludes_may_lead_anywhere(site: Path) -> None:
    (site / "mkdocs.yml").write_text("docs_dir: content\nexclude_docs: |\n  *.bak\n  drafts/\n", "utf-8")
    (site / "content" / "drafts").mkdir()
    for name in ("old.bak", ".env", "drafts/s.csv", "drafts/s.md", ".s.md"):
        link(site / "content" / name, site / "secret" / "s.csv")
    assert told(site) == []


def test_a_link_inside_is_followed_as_the_generator_follows_it(site: Path) -> None:
    link(site / "content" / "again", site / "content" / "inner")
    link(site / "content" / "picture.png", "inner/b.md")
    book = Book.open(site / "content", root=site)
    assert (sorted(book.pages), book.faults) == (["a", "again/b", "inner/b"], [])


def test_the_content_folder_itself_may_be_a_link(site: Path) -> None:
    (site / "content").rename(site / "real")
    link(site / "content", site / "real")
    link(site / "real" / "s.csv", site / "secret" / "s.csv")
    assert told(site) == [("outside-content", "content/s.csv")]


def test_nothing_outside_is_quoted(site: Path) -> None:
    link(site / "content" / "s.csv", site / "secret" / "s.csv")
    link(site / "content" / "all", site / "secret")
    for form in ("text", "json", "sarif", "lines"):
        output = CliRunner().invoke(main, ["proof", "--format", form, "--site", str(site)]).output
        assert output.count("outside-content") >= 2
        assert "UNHEARD" not in output
        assert "deeper" not in output


# --- without end ---


@pytest.mark.parametrize("target", [".", "..", "../..", "../../inner"])
def test_a_link_that_leads_back_is_told_and_not_entered(site: Path, target: str) -> None:
    (site / "content" / "inner" / "deep").mkdir()
    link(site / "content" / "inner" / "deep" / "back", target)
    assert told(site) == [("links-without-end", "content/inner/deep/back")]


def test_two_folders_that_lead_into_each_other(site: Path) -> None:
    write_site(site, {"one/c.md": "# C", "two/d.md": "# D"})
    link(site / "content" / "one" / "to-two", "../two")
    link(site / "content" / "two" / "to-one", "../one")
    assert told(site) == [
        ("links-without-end", "content/one/to-two/to-one"),
        ("links-without-end", "content/two/to-one/to-two"),
    ]


def test_links_that_multiply_have_an_end(site: Path) -> None:
    """Each of thirty folders has three links to the next: 3³⁰ ways, and no link leads back."""
    for number in range(30):
        folder = site / "content" / f"f{number:02}"
        folder.mkdir()
        for name in "xyz":
            link(folder / name, f"../f{number + 1:02}")
    (site / "content" / "f30").mkdir()
    ((code, _),) = told(site)
    assert code == "links-without-end"
    report = proof_book(Book.open(site / "content", root=site))
    assert report.findings[0].found == (
        f"more than {MOST_LINKED_FOLDERS} folders that are entered through links"
    )
    assert folder_has_signs(str(site / "content"), (".md",))


# --- devices and what cannot be read ---


@pytest.mark.parametrize("name", ["d.md", "d.csv", "d.png", "cars/d.yml", "words/d.yml"])
def test_a_pipe_is_told_whatever_its_ending(site: Path, name: str) -> None:
    path = site / "content" / name
    path.parent.mkdir(exist_ok=True)
    pipe(path)
    assert set(told(site)) == {("file-unreadable", f"content/{name}")}
    folder_has_signs(str(site / "content"), (".md",))  # which does not wait for a writer


def test_a_socket_is_told(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if not hasattr(socket, "AF_UNIX"):
        pytest.skip("a socket has no place in a folder here")
    monkeypatch.chdir(site / "content")  # the path of a socket is to be short
    with socket.socket(socket.AF_UNIX) as one:
        one.bind("s.sock")
        assert told(site) == [("file-unreadable", "content/s.sock")]


def test_a_device_behind_a_link_is_told_and_does_not_hold_up_the_plugin(site: Path) -> None:
    (site / "content" / "a.md").write_text("# A", "utf-8")
    for name in ("z.md", "z.png"):
        link(site / "content" / name, "/dev/zero")
    assert not folder_has_signs(str(site / "content"), (".md",))
    assert told(site) == [("outside-content", "content/z.md"), ("outside-content", "content/z.png")]


def test_a_link_to_nothing_would_end_the_build(site: Path) -> None:
    link(site / "content" / "gone.png", "nowhere.png")
    link(site / "content" / "round.csv", "round.csv")
    assert told(site) == [("file-unreadable", "content/gone.png"), ("file-unreadable", "content/round.csv")]


@pytest.mark.parametrize("name", ["inner", "cars", "inner/deep"])
def test_a_folder_that_cannot_be_listed_is_told(
    site: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = site / "content" / name
    folder.mkdir(exist_ok=True)
    scandir = os.scandir

    def refuse(path: str) -> object:  # the superuser may list anything
        if str(path) == str(folder):
            raise PermissionError(13, "Permission denied", str(path))
        return scandir(path)

    if is_superuser():
        monkeypatch.setattr(os, "scandir", refuse)
    else:
        folder.chmod(0)
    try:
        assert told(site) == [("file-unreadable", f"content/{name}")]
    finally:
        folder.chmod(0o700)


@pytest.mark.parametrize("name", ["s.png", "s.csv"])
def test_a_file_that_may_not_be_read_is_told(site: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    path = site / "content" / name
    path.write_text("x", "utf-8")
    if is_superuser():
        monkeypatch.setattr(os, "access", lambda asked, mode: str(asked) != str(path))
    else:
        path.chmod(0)
    assert told(site) == [("file-unreadable", f"content/{name}")]


# --- nobody can set it aside ---

UNREAD = {
    "outside-content",
    "links-without-end",
    "file-unreadable",
    "file-too-large",
    "not-utf-8",
    "nul-character",
    "nested-too-deep",
    "too-many-blocks",
}


def test_what_is_not_read_always_counts() -> None:
    assert {code.name for code in all_codes() if code.always_counts} == UNREAD
    assert all(CODES[name].severity is Severity.ERROR for name in UNREAD)


def test_no_list_takes_up_what_is_not_read(site: Path) -> None:
    content = site / "content"
    link(content / "s.csv", site / "secret" / "s.csv")
    link(content / "z.md", "/dev/zero")
    (content / "latin.md").write_bytes(b"# \xe4")
    (content / "old.md").write_text(PAGE.replace("135.5", "153.5"), "utf-8")
    begun = CliRunner().invoke(main, ["proof", "--start", "--site", str(site)])
    assert begun.exit_code == 1
    assert "1 finding listed in known-findings.yml" in begun.stderr
    assert "3 findings cannot be listed" in begun.stderr
    listed = (site / "known-findings.yml").read_text("utf-8")
    assert "figure-disagrees" in listed
    assert not [name for name in UNREAD if name in listed]
    again = CliRunner().invoke(main, ["proof", "--site", str(site)])
    assert again.exit_code == 1
    assert again.stdout.count("  error  ") == 3


def test_a_list_written_by_hand_hides_nothing_either(site: Path) -> None:
    link(site / "content" / "s.csv", site / "secret" / "s.csv")
    (site / "known-findings.yml").write_text(
        '"content/s.csv":\n  outside-content:\n    - "a link that leads out"\n', "utf-8"
    )
    result = CliRunner().invoke(main, ["proof", "--site", str(site)])
    assert (result.exit_code, result.stdout.count("outside-content")) == (1, 1)


def test_where_nothing_can_be_listed_no_list_is_begun(site: Path) -> None:
    link(site / "content" / "s.csv", site / "secret" / "s.csv")
    result = CliRunner().invoke(main, ["proof", "--start", "--site", str(site)])
    assert (result.exit_code, (site / "known-findings.yml").exists()) == (2, False)
    assert "nothing that can be listed" in result.stderr


# --- deep and many ---


@on_unix
def test_folders_too_deep_to_be_named_are_told(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """2500 in each other: a path of 5000 signs, where Linux takes 4096."""
    top = site / "content" / "d"
    top.mkdir()
    monkeypatch.chdir(top)
    for _ in range(2500):
        os.mkdir("d")
        os.chdir("d")
    os.chdir(site)
    try:
        ((code, path),) = told(site)
        assert code == "file-unreadable"
        assert path.startswith("content/d/d/d/")
        assert folder_has_signs(str(site / "content"), (".md",))
    finally:
        subprocess.run(["rm", "-rf", str(top)], check=True)


# --- the build ---


@on_unix
@pytest.mark.slow
def test_a_build_publishes_nothing_from_outside_and_does_not_hang(site: Path) -> None:
    (site / "mkdocs.yml").write_text("site_name: A\ndocs_dir: content\nplugins: [buildlog]\n", "utf-8")
    link(site / "content" / "z.md", "/dev/zero")
    link(site / "content" / "s.png", site / "secret" / "s.png")
    link(site / "content" / "all", site / "secret")
    pipe(site / "content" / "p.md")
    (site / "known-findings.yml").write_text(
        '"content/all":\n  outside-content:\n    - "a link that leads out"\n', "utf-8"
    )
    built = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--quiet"],
        cwd=site,
        env={
            **os.environ,
            "NO_MKDOCS_2_WARNING": "1",
            "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
        },
        capture_output=True,
        check=False,
        timeout=600,
    )
    assert built.returncode == 1
    assert b"buildlog: 4 findings; no page was written." in built.stderr
    assert not (site / "site").exists()
