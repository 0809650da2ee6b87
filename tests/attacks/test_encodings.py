"""Files in another encoding, in several at once, or with signs that are no text."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.attacks.proofing import proof
from tests.samples import GEARING, calc

FIGURE = "[9 °C](cite:sheet)\n"
BYTES = {
    "UTF-16 with its mark": FIGURE.encode("utf-16"),
    "UTF-16 without": FIGURE.encode("utf-16-le"),
    "UTF-16 the other way": b"\xfe\xff" + FIGURE.encode("utf-16-be"),
    "UTF-32": FIGURE.encode("utf-32"),
    "UTF-7 is ASCII, and no figure": b"[9 +ALA-C](cite:sheet)\n",
    "Latin-1": FIGURE.encode("latin-1"),
    "both at once": FIGURE.encode() + FIGURE.encode("latin-1"),
    "UTF-8 and then UTF-16": FIGURE.encode() + FIGURE.encode("utf-16-le"),
    "a lone surrogate": b"[9 \xed\xa0\x80C](cite:sheet)\n",
    "a pair of them": b"[9 \xed\xa0\xbd\xed\xb8\x80](cite:sheet)\n",
    "an overlong slash": b"[9 C](cite:\xc0\xaf)\n",
    "beyond Unicode": b"[9 \xf4\x90\x80\x80](cite:sheet)\n",
    "cut off": FIGURE.encode()[:4],
    "NUL": b"[9 mm](cite:sheet)\0\n",
    "NULs only": b"\0" * 4096,
    "a mark in the middle": b"[9 mm]\xef\xbb\xbf(cite:sheet)\n[8 mm](cite:sheet)\n",
    "gzip": b"\x1f\x8b\x08\x00\x00\x00\x00\x00",
}
SAID = {"not-utf-8", "nul-character", "unknown-source", "figure-unreadable", "link-space"}


@pytest.mark.parametrize("name", BYTES)
@pytest.mark.parametrize(
    "file", ["a.md", "sources.yml", "cars/a.yml", "words/fr.yml", "run.csv", "figures.lock"]
)
def test_a_file_of_the_site(tmp_path: Path, name: str, file: str) -> None:
    """It is told in that file, and the other pages are proofed as ever."""
    block = calc("id: d\nkind: parts\ninputs: {currency: EUR, parts: {data: run.csv}}")
    files: dict[str, str | bytes] = {
        "b.md": f"[9 mm](cite:none)\n\n{GEARING}\n{block}",
        "run.csv": "part\nx\n",
    }
    told = proof(tmp_path, {**files, file: BYTES[name]})
    assert told.exit_code == 1
    assert any(one["path"].endswith("b.md") for one in told.of("unknown-source"))
    assert any(one["path"].endswith(file) for one in told.findings)


ESCAPES = [
    '"\\uD800"',
    '"\\uDC00\\uD800"',
    '"\\x00"',
    '"\\0"',
    '"\\U00110000"',
    '"\\UFFFFFFFF"',
    "\x07",
    "\x7f",
    "\ufffe",
]


@pytest.mark.parametrize("escape", ESCAPES, ids=ascii)
@pytest.mark.parametrize("key", ["id", "kind", "title", "car", "state"])
def test_signs_that_yaml_escapes(tmp_path: Path, escape: str, key: str) -> None:
    """What no text holds is no value either, written as an escape or not."""
    told = proof(tmp_path, {"a.md": f"```yaml calc\nkind: gearing\n{key}: {escape}\n```\n"})
    assert told.exit_code == 1


@pytest.mark.parametrize(
    "entity", ["&#xD800;", "&#0;", "&#x110000;", "&#99999999999;", "&#x202E;", "&#27;", "&nosuch;"]
)
def test_signs_that_html_writes_as_entities(tmp_path: Path, entity: str) -> None:
    address = "calc:shorter-final.after.speed_at_limit.3"
    text = f'[135.5 {entity}km/h]({address}) [1 mm](cite:{entity}) [135.5 km/h]({address} "{entity}")\n\n'
    told = proof(tmp_path, {"a.md": text + GEARING})
    assert told.exit_code == 1
    assert {one["line"] for one in told.findings if one["severity"] == "error"} == {1}
