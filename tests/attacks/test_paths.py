"""Paths that lead out of the content folder, or to what is no file: none is read, quoted or waited for.

Links of pages and their folders, and what a build publishes through them, are in test_links.py.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.attacks.proofing import proof, proof_there
from tests.samples import GEARING, calc, write_site
from tests.systems import link, pipe

SECRET = "S3CRET"
# As a table, a log, a page, a source, a car's sheet and a snippet would have it.
TEXT = f"part,price\n{SECRET},1\n[9 {SECRET}](cite:{SECRET})\n{SECRET}: &{SECRET} {SECRET}\n"
NAMES = [
    "../secret.csv",
    "../content/../secret.csv",
    "runs/../../secret.csv",
    "../content-beside/secret.csv",  # a sibling that begins as the folder does
    "../contents.csv",
    "/etc/passwd",
    "//etc/passwd",
    "/proc/self/environ",
    "/dev/stdin",
    "/dev/zero",
    "/dev/fd/0",
    "~/.ssh/id_rsa",
    "$HOME/secret.csv",
    "%2e%2e/secret.csv",
    "..\\\\secret.csv",
    "C:\\\\secret.csv",
    "\\\\\\\\host\\\\share\\\\secret.csv",
    "file:///etc/passwd",
    "http://127.0.0.1:9/secret.csv",
    "secret.csv\\0.csv",
    "runs/pipe.csv",
    "runs/out.csv",
    "runs/zero.csv",
    "runs/environ.csv",
    "runs/round.csv",
    "out/secret.csv",
    "runs",
    ".",
    "",
    "x/" * 2000 + "a.csv",
    "a" * 400 + ".csv",
]


def attacked(folder: Path) -> Path:
    """A content folder with a secret beside it, and links and devices in it."""
    content = write_site(folder, {"runs/own.csv": "part,price\na,1\n", "a.md": "# A\n"})
    for place in (folder, folder / "content-beside"):
        place.mkdir(exist_ok=True)
        (place / "secret.csv").write_text(TEXT, "utf-8")
    (folder / "contents.csv").write_text(TEXT, "utf-8")
    link(content / "runs" / "out.csv", folder / "secret.csv")
    link(content / "runs" / "zero.csv", "/dev/zero")
    link(content / "runs" / "environ.csv", "/proc/self/environ")
    link(content / "runs" / "round.csv", "round.csv")
    link(content / "out", folder)
    pipe(content / "runs" / "pipe.csv")
    return content


def settings(folder: Path, text: str) -> None:
    (folder / "mkdocs.yml").write_text(
        f"site_name: x\ndocs_dir: content\nplugins: [buildlog]\n{text}", "utf-8"
    )


@pytest.mark.parametrize("name", NAMES, ids=lambda name: name[:24])
@pytest.mark.parametrize(
    "block",
    [
        'id: a\nkind: parts\ninputs: {{currency: EUR, parts: {{data: "{}"}}}}',
        'id: a\nkind: instrument_lag\ninputs:\n  data: "{}"\n  channels: {{time: part}}',
        'id: a\nkind: log_compare\ninputs:\n  before: {{data: ["{}"]}}',
    ],
    ids=["a table", "a log", "logs"],
)
def test_a_data_file(tmp_path: Path, name: str, block: str) -> None:
    content = attacked(tmp_path)
    (content / "a.md").write_text(calc(block.format(name)), "utf-8")
    told = proof_there(tmp_path)
    assert told.exit_code == 1
    assert SECRET not in str(told.findings)


@pytest.mark.parametrize("name", NAMES, ids=lambda name: name[:24])
@pytest.mark.parametrize("base", ["content", ""], ids=["content", "root"])
def test_a_snippet(tmp_path: Path, name: str, base: str) -> None:
    """Of pymdownx.snippets as it is set by itself: what lies below a base that the site names is its own."""
    content = attacked(tmp_path)
    settings(tmp_path, f"markdown_extensions:\n  - pymdownx.snippets: {{base_path: [{base or '.'}]}}\n")
    text = name.replace("\\\\", "\\").replace("\\0", "\0")
    (content / "a.md").write_text(f'--8<-- "{text}"\n\n[9 mm](cite:none)\n\n{GEARING}', "utf-8")
    told = proof_there(tmp_path)
    assert told.exit_code == 1
    if base:
        assert SECRET not in str(told.findings)


@pytest.mark.parametrize("name", NAMES, ids=lambda name: name[:24])
def test_an_included_file(tmp_path: Path, name: str) -> None:
    content = attacked(tmp_path)
    (tmp_path / "mkdocs.yml").write_text(
        "site_name: x\ndocs_dir: content\nplugins: [include-markdown, buildlog]\n", "utf-8"
    )
    text = name.replace("\\\\", "\\").replace("\\0", "\0")
    (content / "a.md").write_text(f'{{% include "{text}" %}}\n\n[9 mm](cite:none)\n\n{GEARING}', "utf-8")
    told = proof_there(tmp_path)
    assert told.exit_code == 1
    assert SECRET not in str(told.findings)


def test_a_snippet_is_no_link_that_leads_out(tmp_path: Path) -> None:
    """The extension follows it; the proof does not, and says so."""
    content = attacked(tmp_path)
    settings(tmp_path, "markdown_extensions:\n  - pymdownx.snippets: {base_path: [content]}\n")
    (content / "a.md").write_text(f'--8<-- "runs/out.csv"\n\n{GEARING}', "utf-8")
    (told,) = proof_there(tmp_path).of("page-not-vouched")
    assert "a link that leads out" in told["found"]


@pytest.mark.parametrize("name", NAMES, ids=lambda name: name[:24])
def test_an_address_a_picture_and_a_source(tmp_path: Path, name: str) -> None:
    """No address of ours is a path of the machine, and a picture that is none of the site's is not opened."""
    content = attacked(tmp_path)
    (content / "sources.yml").write_text(f'sheet: {{title: T, url: "{name}", page: "{name}"}}\n', "utf-8")
    (content / "a.md").write_text(
        f"[1 mm](calc:{name}#a.b) [1 mm](<cite:{name}>) [1 mm](cite:sheet) ![alt](<{name}>)\n\n{GEARING}",
        "utf-8",
    )
    told = proof_there(tmp_path)
    assert told.exit_code == 1
    assert SECRET not in str(told.findings)


@pytest.mark.parametrize("name", ["..", "../content", "/", ".", "a/../..", "nul\x01"])
def test_a_car(tmp_path: Path, name: str) -> None:
    attacked(tmp_path)
    told = proof(tmp_path, {"a.md": f'```yaml calc\nid: a\nkind: gearing\ncar: "{name}"\n```\n'})
    assert told.exit_code == 1


def test_a_device_or_a_pipe_in_a_files_place_ends_no_proof(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"b.md": "[9 mm](cite:none)\n"})
    (content / "cars").mkdir()
    (content / "words").mkdir()
    for name in ("a.md", "sources.yml", "cars/a.yml", "words/fr.yml", "figures.lock"):
        pipe(content / name)
    for name in ("c.md", "cars/b.yml", "words/de.yml"):
        link(content / name, "/dev/zero")
    told = proof_there(tmp_path)
    assert told.exit_code == 1
    assert told.of("unknown-source")


def test_the_devices_of_a_folder_are_told_where_they_stand(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"b.md": "# B\n"})
    pipe(content / "a.md")
    told = proof_there(tmp_path)
    (unreadable,) = told.of("file-unreadable")
    assert unreadable["path"] == "content/a.md"
