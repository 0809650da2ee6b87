"""A checkout with CR LF, as git makes on Windows, is the same site: same findings, hashes and bundles."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.book.repeating import hash_lines
from buildlog.files.text import _PART, digest, digest_of, with_unix_line_ends
from buildlog.proof.drift import record_of
from buildlog.proof.proof import proof_book
from buildlog.render.bundle import page_bundle
from buildlog.render.program import running_program

CONTENT = Path(__file__).resolve().parents[2] / "content"
HAS_LINES = {".md", ".yml", ".csv", ".lock", ".txt"}


@pytest.mark.parametrize(
    "data,hashed",
    [
        (b"a\r\nb\r\n", b"a\nb\n"),
        (b"a\nb\n", b"a\nb\n"),
        (b"a\rb\r", b"a\rb\r"),  # git leaves a lone CR too
        (b"a\r\r\nb", b"a\r\nb"),
        (b"\0a\r\nb", b"\0a\r\nb"),  # a binary file is hashed as it is
        (b"x" * 8000 + b"\0\r\n", b"x" * 8000 + b"\0\n"),  # git looks no further
        (b"x" * (_PART - 1) + b"\r\n\r\n", b"x" * (_PART - 1) + b"\n\n"),  # over the end of a part
        (b"x" * (_PART - 2) + b"\r\r\n", b"x" * (_PART - 2) + b"\r\n"),
        (b"\r" * (_PART + 5) + b"\n", b"\r" * (_PART + 4) + b"\n"),
        (b"", b""),
    ],
)
def test_what_is_hashed_of_a_file(tmp_path: Path, data: bytes, hashed: bytes) -> None:
    path = tmp_path / "file"
    path.write_bytes(data)
    assert with_unix_line_ends(data) == hashed
    assert digest(data) == digest_of(path) == hashlib.sha256(hashed).hexdigest()


@pytest.mark.slow
def test_the_demonstration_with_windows_line_ends(tmp_path: Path) -> None:
    """Its hashes, findings and bundles are those of the files as they lie here, which have LF."""
    unix, windows = tmp_path / "unix", tmp_path / "windows"
    turned = 0
    for path in sorted(CONTENT.rglob("*")):
        if not path.is_file():
            continue
        data = path.read_bytes()
        for folder in (unix, windows):
            there = folder / "content" / path.relative_to(CONTENT)
            there.parent.mkdir(parents=True, exist_ok=True)
            if folder is windows and path.suffix in HAS_LINES:
                assert b"\r" not in data
                data = data.replace(b"\n", b"\r\n")
                turned += 1
            there.write_bytes(data)
    assert turned > 200
    one, other = (Book.open(folder / "content", root=folder) for folder in (unix, windows))
    of_one, of_other = proof_book(one), proof_book(other)
    assert of_one.findings == of_other.findings
    assert len(of_one.entries) > 400
    assert record_of(one, of_one.entries) == record_of(other, of_other.entries)
    for key in one.pages:
        assert hash_lines(one, key) == hash_lines(other, key), key
    program = running_program()
    for key in ("episodes/final-drive", "episodes/before-and-after"):
        bundle = page_bundle(one, key, program, lambda name: True)
        assert bundle is not None
        assert bundle == page_bundle(other, key, program, lambda name: True), key
