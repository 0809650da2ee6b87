"""Figures at the ends of what they may be, by the table of the agreement rule, of values that are exact: an
engine speed of 8000 rpm that a block was given, and 6000 rpm in its other case."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

BLOCK = calc(
    """
    id: a
    kind: gearing
    inputs: {gears: [2.0, 1.0], final_drive: 4.0, rolling_circumference: 1.8 m}
    cases: {high: {rev_limit: 8000 rpm}, low: {rev_limit: 6000 rpm}}
    """
)
HIGH, LOW = "calc:a.high.rev_limit", "calc:a.low.rev_limit"


def codes(folder: Path, prose: str) -> list[str]:
    return [one.code.name for one in proof_book(open_site(folder, {"a.md": f"{prose}\n\n{BLOCK}"})).errors]


@pytest.mark.parametrize(
    ("label", "title", "agrees"),
    [
        # x − h − t ≤ c ≤ x + h + t, an end being among them
        ("8000 rpm", "", True),
        ("8000.0 rpm", "", True),
        ("8000.4 rpm", "", False),
        ("7999.5 rpm", "", False),
        ("7999 rpm", "", False),
        ("7990 rpm", "± 9.5 rpm", True),  # 7990 + 0.5 + 9.5
        ("7990 rpm", "± 9.4 rpm", False),
        ("8010 rpm", "± 9.5 rpm", True),
        ("8010 rpm", "± 9.4 rpm", False),
        ("8010 ± 9.5 rpm", "", True),
        ("8010 ± 9.4 rpm", "", False),
        ("7920 rpm", "± 1 %", False),  # 7920 + 0.5 + 79.2
        ("7921 rpm", "± 1 %", True),  # 7921 + 0.5 + 79.21
        ("8080 rpm", "± 1 %", True),  # 8080 − 0.5 − 80.8
        ("8081 rpm", "± 1 %", True),
        ("8082 rpm", "± 1 %", False),
        ("133.3 rev/s", "", True),  # 133.33
        ("133.4 rev/s", "", False),
        # s is the wider of h and 5 % of x
        ("about 7620 rpm", "", True),  # 8001
        ("about 7619 rpm", "", False),  # 7999.95
        ("nearly 8400 rpm", "", True),  # 7980
        ("nearly 8000 rpm", "", True),
        ("nearly 7999 rpm", "", False),
        ("nearly 8500 rpm", "", False),  # 8075
        ("just under 8400 rpm", "", True),
        ("just over 7700 rpm", "", True),
        ("just over 8000 rpm", "", True),
        ("just over 8001 rpm", "", False),
        ("just over 7600 rpm", "", False),  # 7980
        # a range has no rounded ends
        ("7000–8000 rpm", "", True),
        ("8000–9000 rpm", "", True),
        ("7000–7999 rpm", "", False),
        ("8001–9000 rpm", "", False),
        ("7000–7990 rpm", "± 10 rpm", True),
        ("7000–7990 rpm", "± 9 rpm", False),
        # a limit is exact, and no tolerance helps
        ("over 8000 rpm", "", False),
        ("over 7999 rpm", "", True),
        ("at least 8000 rpm", "", True),
        ("at least 8001 rpm", "", False),
        ("under 8000 rpm", "", False),
        ("under 8001 rpm", "", True),
        ("at most 8000 rpm", "", True),
        ("at most 7999 rpm", "", False),
        ("well over 7600 rpm", "", True),  # 7980
        ("well over 7700 rpm", "", False),  # 8085
        ("well under 8500 rpm", "", True),  # 8075
        ("well under 8400 rpm", "", False),  # 7980
        ("over 7000 rpm", "± 1 %", False),
    ],
)
def test_a_value(tmp_path: Path, label: str, title: str, agrees: bool) -> None:
    figure = f'[{label}]({HIGH} "{title}")' if title else f"[{label}]({HIGH})"
    assert (codes(tmp_path, f"It was {figure}.") == []) == agrees


@pytest.mark.parametrize(
    ("prose", "found"),
    [
        # 2000 rpm, a third of 6000 and a quarter of 8000
        (f'It turns [2000 rpm]({HIGH} "vs low") more.', []),
        (f'It turns [2000 rpm]({HIGH} "vs low") less.', ["direction-contradicts"]),
        (f'It turns [2000 rpm]({LOW} "vs high") less.', []),
        (f'It turns [2000 rpm]({LOW} "vs high") more.', ["direction-contradicts"]),
        (f'It turns [+2000 rpm]({HIGH} "vs low").', []),
        (f'It turns [−2000 rpm]({HIGH} "vs low").', ["figure-disagrees"]),
        (f'It turns [33.3 %]({HIGH} "vs low") more.', []),
        (f'It turns [33.4 %]({HIGH} "vs low") more.', ["figure-disagrees"]),
        (f'It turns [25 %]({LOW} "vs high") less.', []),
        (f'It turns [a third]({HIGH} "vs low") more.', []),
        (f'It turns [a third more]({HIGH} "vs low").', []),
        (f'It turns [a third less]({HIGH} "vs low").', ["direction-contradicts"]),
        (f'It turns [a quarter]({LOW} "vs high") less.', []),
        (f'It turns [a quarter]({LOW} "vs high") more.', ["direction-contradicts"]),
        (f'It turns [a third]({LOW} "vs high") less.', ["figure-disagrees"]),
        # a pair, before and after, with the word of its way outside of the brackets
        (f'It rose [from 6000 to 8000 rpm]({HIGH} "vs low").', []),
        (f'It fell [from 8000 to 6000 rpm]({LOW} "vs high").', []),
        (f'It fell [from 6000 to 8000 rpm]({HIGH} "vs low").', ["direction-contradicts"]),
        (f'It went [from 8000 to 6000 rpm]({HIGH} "vs low").', ["figure-disagrees"]),
        (f'It went [from 6000 to 8001 rpm]({HIGH} "vs low").', ["figure-disagrees"]),
        (f'It went [from 6001 to 8000 rpm]({HIGH} "vs low").', ["figure-disagrees"]),
    ],
)
def test_a_change(tmp_path: Path, prose: str, found: list[str]) -> None:
    assert codes(tmp_path, prose) == found
