"""Texts that authors wrote, changed at random as a hurried hand or a hostile one would."""

from __future__ import annotations

import re
from random import Random

_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_VALUE = re.compile(r"(?<=: )[^\s{\[][^,}\]\n#]*")
NUMBERS = ("0", "-1", "1e-30", "1e30", "0.0001", "1", "99999", "-0", "1e999", "nan", "1/3", "010", "")
VALUES = (
    "",
    "{}",
    "[]",
    "~",
    "none",
    "yes",
    "0",
    "x",
    "[1, 2]",
    "{a: 1}",
    "1 ± 1",
    "1 km/h",
    "5 kg",
    "calc:a.b",
    "50 %",
)
SIGNS = "[](){}`*_<>!\\|:~-='\"^&;?/ \t\n\u00a0\u2028\ufeff±−"


def changed(text: str, seed: int, times: int) -> str:
    """The same seed gives the same changes."""
    random = Random(seed)
    for _ in range(times):
        text = random.choice(_CHANGES)(text, random)
    return text


def _number(text: str, random: Random) -> str:
    return _put(text, random, _NUMBER, NUMBERS)


def _scaled(text: str, random: Random) -> str:
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    match = random.choice(found)
    value = float(match[0]) * random.choice((0.1, 0.5, 0.99, 1.5, 3, 10, 1000, -1))
    return f"{text[: match.start()]}{value:.6g}{text[match.end() :]}"


def _value(text: str, random: Random) -> str:
    return _put(text, random, _VALUE, VALUES)


def _swapped(text: str, random: Random) -> str:
    """Two values change places, so that each has the other's unit and form."""
    found = list(_VALUE.finditer(text))
    if len(found) < 2:
        return text
    first, second = sorted(random.sample(found, 2), key=lambda match: match.start())
    between = text[first.end() : second.start()]
    return text[: first.start()] + second[0] + between + first[0] + text[second.end() :]


def _line(text: str, random: Random) -> str:
    """A line is lost, doubled, moved, indented or out."""
    lines = text.split("\n")
    at = random.randrange(len(lines))
    kind = random.randrange(5)
    if kind == 0:
        del lines[at]
    elif kind == 1:
        lines.insert(at, lines[at])
    elif kind == 2:
        lines.insert(random.randrange(len(lines)), lines.pop(at))
    elif kind == 3:
        lines[at] = "  " + lines[at]
    else:
        lines[at] = lines[at].removeprefix("  ")
    return "\n".join(lines)


def _sign(text: str, random: Random) -> str:
    at = random.randrange(len(text) + 1)
    return text[:at] + random.choice(SIGNS) + text[at + random.choice((0, 0, 1)) :]


def _put(text: str, random: Random, places: re.Pattern[str], others: tuple[str, ...]) -> str:
    found = list(places.finditer(text))
    if not found:
        return text
    match = random.choice(found)
    return text[: match.start()] + random.choice(others) + text[match.end() :]


_CHANGES = (_number, _number, _scaled, _scaled, _value, _swapped, _line, _sign)
