"""Labels in words, multiples and pairs on a real page.

What is expected follows from the final drives by hand: the speed of the engine at a speed of the car is in
proportion to the final drive, the speed at a limit the other way round; 1.7568 m of circumference at 100 km/h
are 948.7 rpm of the wheel.
"""

from pathlib import Path

import pytest

from buildlog.proof.proof import proof_book
from tests.samples import open_site

# 948.7 rpm · 4 = 3795 rpm in the plain case.
AXLES = """\
```yaml calc
id: axle
kind: gearing
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  tyre: 195/50R15
  cruise_speed: 100 km/h
cases:
  plain: {final_drive: 4.0, rev_limit: 8000 ± 100 rpm}
  short: {final_drive: 8.0, rev_limit: 8000 ± 100 rpm}
  third: {final_drive: 16/3, rev_limit: 8000 ± 100 rpm}
  spare: {final_drive: 4.0, rev_limit: 8050 ± 100 rpm}
  high: {final_drive: 4.0, rev_limit: 9000 ± 100 rpm}
```
"""

DECISION = """\
```yaml calc
id: choice
kind: decision
requires:
  - {name: turns fast enough, key: revs, value: calc:axle.rpm_at.5, at_least: 5000 rpm}
options: [plain, short]
```
"""


def found(tmp_path: Path, prose: str) -> list[str]:
    book = open_site(tmp_path, {"a.md": f"{prose}\n\n{AXLES}\n{DECISION}"})
    return [
        finding.code.name for finding in proof_book(book, ["a"]).findings if finding.severity.word != "note"
    ]


def rpm(case: str, versus: str = "plain") -> str:
    return f'(calc:axle.{case}.rpm_at.5 "vs {versus}")' if versus else f"(calc:axle.{case}.rpm_at.5)"


def limit(case: str, versus: str = "plain") -> str:
    return f'(calc:axle.{case}.speed_at_limit.5 "vs {versus}")'


RIGHT = [
    f"It turns [twice]{rpm('short')} as fast.",
    f"The speed is [double]{rpm('short')} the old one.",
    f"It turns [2×]{rpm('short')} and [2.0 times]{rpm('short')} as fast.",
    f"It turns [half]{rpm('plain', 'short')} as fast.",
    f"It turns [a third more]{rpm('third')}.",
    f"It turns [a quarter less]{rpm('plain', 'third')}.",
    f"It went [from 3,795 to 7,590 rpm]{rpm('short')}.",
    f"It fell [from 7,590 to 3,795 rpm]{rpm('plain', 'short')}.",
    f"It went [3,795 → 7,590 rpm]{rpm('short')}.",
    f"Now [7,590 rpm (was 3,795)]{rpm('short')}.",
    f"It is [3,795 rpm more]{rpm('short')} and [50 % less]{limit('short')}.",
    f"It turns [a third]{rpm('third')} more revs, and [a quarter]{rpm('plain', 'third')} less.",
    f"It rose [from 3,795 to 7,590 rpm]{rpm('short')}, by [a further 3,795 rpm]{rpm('short')}.",
    f"It is [up 100 %]{rpm('short')}.",
    f"It turns [an extra 3,795 rpm]{rpm('short')}.",
    f"The engine turns [faster]{rpm('short')} and the car is [slower]{limit('short')}.",
    f"With the spare limiter there is [no measurable difference]{limit('spare')}.",
    f"It is [no slower]{limit('spare')} and [no faster]{limit('short')}.",
    f"With the high limiter it is [quicker]{limit('high')}.",
    f"At the limit it turns [the same]{rpm('spare')}.",
    # 7590 rpm and 3795 rpm, where 5000 rpm are asked for.
    "It is [enough](calc:choice.short.revs) and [holds](calc:choice.short).",
    "The plain one [fails](calc:choice.plain.revs).",
    "It is [fast enough](calc:choice.short.revs), the plain one [not fast enough](calc:choice.plain.revs).",
    f"A range [3,700–3,900 rpm]{rpm('plain', '')} is a range still.",
]
WRONG = [
    (f"It turns [twice]{rpm('third')} as fast.", "figure-disagrees"),
    (f"It turns [half]{rpm('short')} as fast.", "figure-disagrees"),
    (f"It turns [a third more]{rpm('short')}.", "figure-disagrees"),
    (f"It turns [a third less]{rpm('third')}.", "direction-contradicts"),
    (f"It went [from 900 to 7,590 rpm]{rpm('short')}.", "figure-disagrees"),
    (f"It fell [from 7,590 to 3,795 rpm]{rpm('short')}.", "direction-contradicts"),
    (f"It rose [from 7,590 to 3,795 rpm]{rpm('plain', 'short')}.", "direction-contradicts"),
    (f"It turns [a third]{rpm('third')} less.", "direction-contradicts"),
    (f"It turns [a quarter]{rpm('third')} more.", "figure-disagrees"),
    (f"Now [7,590 rpm (was 3,975)]{rpm('short')}.", "figure-disagrees"),
    (f"It is [3,795 rpm less]{rpm('short')}.", "direction-contradicts"),
    (f"It is [down 100 %]{rpm('short')}.", "direction-contradicts"),
    (f"The engine turns [slower]{rpm('short')}.", "words-disagree"),
    (f"The car is [faster]{limit('short')}.", "words-disagree"),
    # 0.6 % more, with U = 3.5 %.
    (f"With the spare limiter it is [faster]{limit('spare')}.", "words-disagree"),
    (f"There is [no measurable difference]{limit('high')}.", "words-disagree"),
    (f"It is [no slower]{limit('short')}.", "words-disagree"),
    ("It is [enough](calc:choice.plain.revs).", "words-disagree"),
    ("It is [fast enough](calc:choice.plain.revs).", "words-disagree"),
    ("It is [nearly enough](calc:choice.short.revs).", "figure-unreadable"),
    ("It [fails](calc:choice.short.revs).", "words-disagree"),
    ("That is [too close to call](calc:choice.short.revs).", "words-disagree"),
    ("All of it [holds](calc:choice.plain).", "words-disagree"),
    (f"It is [lighter]{limit('short')}.", "figure-unreadable"),
    (f"It is [slower]{rpm('short', '')}.", "figure-unreadable"),
    (f"It is [enough]{rpm('short', '')}.", "figure-unreadable"),
    (f"It turns [twice]{rpm('short', '')} as fast.", "figure-unreadable"),
    (f"It turns [7,590 rpm more]{rpm('short', '')}.", "figure-unreadable"),
    (f"It fell [from 7,590 to 3,795 rpm]{rpm('short', '')}.", "figure-unreadable"),
]


@pytest.mark.parametrize("sentence", RIGHT)
def test_right(tmp_path: Path, sentence: str) -> None:
    assert found(tmp_path, sentence) == []


@pytest.mark.parametrize(("sentence", "code"), WRONG)
def test_wrong(tmp_path: Path, sentence: str, code: str) -> None:
    assert found(tmp_path, sentence) == [code]


def test_within_its_uncertainty_the_help_says_what_to_write(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": f"It is [faster]{limit('spare')}.\n\n{AXLES}"})
    (finding,) = proof_book(book, ["a"]).findings
    assert "no measurable difference" in finding.help


def test_a_word_that_goes_the_other_way_is_told_its_opposite(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": f"It is [quicker]{limit('short')}.\n\n{AXLES}"})
    (finding,) = proof_book(book, ["a"]).findings
    assert "“slower”" in finding.help


def test_a_pair_that_goes_the_other_way_is_told_which(tmp_path: Path) -> None:
    book = open_site(
        tmp_path, {"a.md": f"It rose [from 7,590 to 3,795 rpm]{rpm('plain', 'short')}.\n\n{AXLES}"}
    )
    (finding,) = proof_book(book, ["a"]).findings
    assert "it is less" in finding.message
