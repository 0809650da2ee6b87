"""Where readers report what looks wrong to them: an address with places for a title and a text.

``https://example.org/new?title={title}&body={body}``, or for a letter
``mailto:us@example.org?subject={title}&body={body}``. Nothing is sent: a browser opens it, filled in.
"""

from __future__ import annotations

import re
from urllib.parse import quote, urlsplit

PLACES = ("title", "body")
_BRACED = re.compile(r"\{([^{}]*)\}")
_UNFIT = re.compile(r"[\s\x00-\x1f\x7f<>\"'`\\]")


def fault_of(address: str) -> tuple[str, str] | None:
    """What is found and what is expected instead; None where the address is right."""
    if (scheme_and_rest := _fault_of_scheme(address)) is not None:
        return scheme_and_rest
    before, _, _ = address.partition("?")
    for found in _BRACED.finditer(address):
        if found[1] not in PLACES:
            return f"the place “{{{found[1]}}}”", " and ".join(f"{{{place}}}" for place in PLACES)
        if found.start() < len(before):
            return f"“{found[0]}” before the question mark", "places behind it, as in ?title={title}"
    if "{" in (rest := _BRACED.sub("", address)) or "}" in rest:
        return "a brace without its other", "{title} and {body}"
    return None


def _fault_of_scheme(address: str) -> tuple[str, str] | None:
    expected = "https://HOST/…?title={title}&body={body}, or mailto:NAME@HOST?subject={title}&body={body}"
    if unfit := _UNFIT.search(address):
        return f"U+{ord(unfit[0]):04X} in the address", "an address, with such signs as %XX"
    try:
        parts = urlsplit(address)
        host, name = parts.hostname, parts.username
    except ValueError:  # such as an IPv6 address without its end
        return f"“{address}”", expected
    if parts.scheme == "https":
        if not host:
            return "no host", expected
        return ("a user's name before the host", expected) if name is not None else None
    if parts.scheme == "mailto" and re.fullmatch(r"[^@{}]+@[^@{}]+", parts.path):
        return None
    return f"“{address}”", expected


def filled_in(address: str, title: str, lines: list[str]) -> str:
    """The address with a title and a text, which stay in their places. A letter's lines end as RFC 6068,
    clause 5, has it."""
    end = "\r\n" if address.startswith("mailto:") else "\n"
    places = {"title": title, "body": end.join(lines)}
    return _BRACED.sub(lambda found: quote(places[found[1]], safe=""), address)
