"""Where readers report a figure: what is taken, what is refused and why, and that all stays in its place."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

from buildlog.reading.report_address import fault_of, filled_in
from tests.reading.test_settings import proofed

HTTPS = "https://example.org/build/issues/new?title={title}&body={body}"
LETTER = "mailto:workshop@example.org?subject={title}&body={body}"


@pytest.mark.parametrize(
    "address",
    [
        HTTPS,
        LETTER,
        "https://example.org/form",
        "https://example.org:8443/new?t={title}",
        "mailto:us@example.org",
    ],
)
def test_addresses_that_are_right(address: str) -> None:
    assert fault_of(address) is None


@pytest.mark.parametrize(
    "address,found",
    [
        ("http://example.org/new?title={title}", "http://example.org"),
        ("javascript:alert(1)", "javascript:alert(1)"),
        ("data:text/html,{body}", "data:text/html"),
        ("//example.org/new", "//example.org/new"),
        ("issues/new", "issues/new"),
        ("https:///new?title={title}", "no host"),
        ("https://example.org@elsewhere.example/?t={title}", "a user's name"),
        ("https://[::1/", "https://[::1/"),
        ("https://example.org/new?title={titel}", "{titel}"),
        ("https://example.org/new?title={}", "{}"),
        ("https://example.org/new?title={title.__class__}", "{title.__class__}"),
        ("https://example.org/{title}?body={body}", "before the question mark"),
        ("https://{title}/?body={body}", "before the question mark"),
        ("https://example.org/new?title={title", "a brace"),
        ("https://example.org/new?title=title}", "a brace"),
        ("https://example.org/new page", "U+0020"),
        ('https://example.org/"onclick="', "U+0022"),
        ("https://example.org/\u0001", "U+0001"),
        ("mailto:", "mailto:"),
        ("mailto:nobody?subject={title}", "mailto:nobody"),
    ],
)
def test_addresses_that_are_not(address: str, found: str) -> None:
    fault = fault_of(address)
    assert fault is not None
    assert found in fault[0]
    assert fault[1]


def test_what_is_filled_in_stays_in_its_place() -> None:
    title, lines = "3 & 4 = {body}#x?\u00a0°", ["a=b&title=c", "100 %", "“ü”"]
    made = urlsplit(filled_in(HTTPS, title, lines))
    assert (made.netloc, made.fragment) == ("example.org", "")
    assert parse_qs(made.query) == {"title": [title], "body": ["\n".join(lines)]}


def test_the_lines_of_a_letter_end_as_those_of_letters_do() -> None:
    """RFC 6068, clause 5: line breaks in the body of a message are %0D%0A; clause 2: hfields."""
    made = filled_in(LETTER, "a\r\nBcc: them@example.org", ["one", "two"])
    assert made.endswith("&body=one%0D%0Atwo")
    assert "subject=a%0D%0ABcc%3A%20them%40example.org&" in made


@pytest.mark.parametrize("written", ['"http://example.org/{title}"', "[a]", "''", "{a: b}", "3"])
def test_a_setting_that_is_no_such_address_is_a_finding(tmp_path: Path, written: str) -> None:
    assert proofed(tmp_path, f"{{report: {written}}}", a="# A\n") == ["mkdocs setting error"]
    assert proofed(tmp_path, f'{{report: "{HTTPS}"}}', a="# A\n") == []
