"""Words beside a figure: which way it goes, and the gear and the case that it is said to be of.

The sentences are our own; what is expected of each follows from the gears alone: with the shorter final drive
every speed at the limit is lower and every speed of the engine at 100 km/h higher, by the same 10 % and 11 %.
"""

from pathlib import Path

import pytest

from buildlog.diagnostics import Severity
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, open_site

PARTS = """\
```yaml calc
id: bill
kind: parts
inputs:
  currency: EUR
  parts:
    - {name: small battery, mass: 3.2 kg, price: 90 EUR}
    - {name: old battery, action: removed, mass: 11.1 kg}
```
"""
FASTER = '(calc:shorter-final.before.speed_at_limit.3 "vs after")'  # before is faster: 15.1 km/h, 11 %
SLOWER = '(calc:shorter-final.after.speed_at_limit.3 "vs before")'
HIGHER = (
    '(calc:shorter-final.after.rpm_at.5 "vs before")'  # 948.7 rpm of the wheels at 100 km/h · (41/9 − 4.10)
)
THIRD = "(calc:shorter-final.after.speed_at_limit.3)"  # 135.5 km/h
SECOND = "(calc:shorter-final.after.speed_at_limit.2)"  # 94.9 km/h
BEFORE = "(calc:shorter-final.before.speed_at_limit.3)"  # 150.6 km/h


def found(tmp_path: Path, prose: str) -> list[str]:
    book = open_site(tmp_path, {"a.md": f"{prose}\n\n{GEARING}"})
    return [
        finding.code.name for finding in proof_book(book, ["a"]).findings if finding.severity < Severity.NOTE
    ]


@pytest.mark.parametrize(
    "sentence",
    [
        f"Third is [15.1 km/h]{SLOWER} slower.",
        f"Third is slower by [15.1 km/h]{SLOWER}.",
        f"It loses [15.1 km/h]{SLOWER}.",
        f"There is a loss of about [15 km/h]{SLOWER}.",
        f"It drops by [10 %]{SLOWER}, where it rises elsewhere.",
        f"It is down [10 %]{SLOWER}.",
        f"It is [10 %]{SLOWER} down on the old one.",
        f"At the limit [15.1 km/h]{SLOWER} is lost.",
        f"It is [15.1 km/h]{SLOWER} lower and\n[432 rpm]{HIGHER} higher.",
        f"It turns [432 rpm]{HIGHER} more.",
        f"It turns [432 rpm]{HIGHER} faster.",
        f"It is up by [432 rpm]{HIGHER}, and that is less than we hoped.",
        f"The old one was [15.1 km/h]{FASTER} faster.",
        f"It is not [15.1 km/h]{SLOWER} faster, but slower.",
        f"It is [10 %]{SLOWER} up the hill.",  # a place
        f"The change is [15.1 km/h]{SLOWER}, more or less.",
        f"| less | more |\n|--|--|\n| [15.1 km/h]{SLOWER} less | [432 rpm]{HIGHER} more |",
        # A sign says it already, and then the words are not asked.
        f"It changes by [−15.1 km/h]{SLOWER}.",
        # Gears and cases.
        f"Third ends at [135.5 km/h]{THIRD}.",
        f"Second ends at [94.9 km/h]{SECOND} and third at [135.5 km/h]{THIRD}.",
        f"It does [94.9 km/h]{SECOND} and [135.5 km/h]{THIRD} in second and third.",
        f"A second later it does [135.5 km/h]{THIRD}.",
        f"First, we saw [135.5 km/h]{THIRD} in third gear.",
        f"The third time we saw [94.9 km/h]{SECOND}.",
        f"With the new axle it is [135.5 km/h]{THIRD}, where the old one gave [150.6 km/h]{BEFORE}.",
        f"It was [150.6 km/h]{BEFORE} before and is [135.5 km/h]{THIRD} after.",
        f"Before the hairpin it does [135.5 km/h]{THIRD}.",
        f"The change into fourth comes at [135.5 km/h]{THIRD}.",
        f"Third runs out at [135.5 km/h]{THIRD}.",
        f"Before the swap third ran to [150.6 km/h]{BEFORE}.",
        f"It takes [15.1 km/h]{SLOWER} off the speed in third.",
        f"With the new axle [135.5 km/h]{THIRD} against [150.6 km/h]{BEFORE}.",
        f"It is [135.5 km/h]{THIRD}, so the old speedometer went.",
        f"It is [15.1 km/h]{SLOWER} slower than the old one.",
        f"| gear | before | after |\n|--|--|--|\n| third | [150.6 km/h]{BEFORE} | [135.5 km/h]{THIRD} |",
    ],
)
def test_sentence_holds(tmp_path: Path, sentence: str) -> None:
    assert found(tmp_path, sentence) == []


@pytest.mark.parametrize(
    ("sentence", "code"),
    [
        (f"Third is [15.1 km/h]{SLOWER} faster.", "direction-contradicts"),
        (f"Third is faster by [15.1 km/h]{SLOWER}.", "direction-contradicts"),
        (f"It gains [15.1 km/h]{SLOWER}.", "direction-contradicts"),
        (f"There is a gain of about [15 km/h]{SLOWER}.", "direction-contradicts"),
        (f"It rises by [10 %]{SLOWER}.", "direction-contradicts"),
        (f"It is up [10 %]{SLOWER}.", "direction-contradicts"),
        (f"It turns [432 rpm]{HIGHER} less.", "direction-contradicts"),
        (f"It drops by some [432 rpm]{HIGHER}.", "direction-contradicts"),
        (f"The old one was [15.1 km/h]{FASTER} or so slower.", "direction-contradicts"),
        (f"| a | b |\n|--|--|\n| x | [432 rpm]{HIGHER} less |", "direction-contradicts"),
        (f"Second ends at [135.5 km/h]{THIRD}.", "other-gear"),
        (f"In 2nd it does [135.5 km/h]{THIRD}.", "other-gear"),
        (f"Second runs out at [135.5 km/h]{THIRD}.", "other-gear"),
        (f"The change into fifth comes at [135.5 km/h]{THIRD}.", "other-gear"),
        (f"Before the swap it did [135.5 km/h]{THIRD}.", "other-case"),
        (f"After the swap it does [150.6 km/h]{BEFORE}.", "other-case"),
        (f"The top speed climbs [15.1 km/h]{SLOWER}.", "direction-contradicts"),
        (f"The old axle took [15.1 km/h]{FASTER} off it.", "direction-contradicts"),
        (f"In gear 2 it does [135.5 km/h]{THIRD}.", "other-gear"),
        (f"Third ends at [94.9 km/h]{SECOND}.", "other-gear"),
        (f"Second ends at [94.9 km/h]{SECOND} and fourth at [135.5 km/h]{THIRD}.", "other-gear"),
        (f"| gear | speed |\n|--|--|\n| third | [94.9 km/h]{SECOND} |", "other-gear"),
        (f"With the new axle it does [150.6 km/h]{BEFORE}.", "other-case"),
        (f"With the old axle it does [135.5 km/h]{THIRD}.", "other-case"),
        (f"| gear | before | after |\n|--|--|--|\n| third | [135.5 km/h]{THIRD} | |", "other-case"),
    ],
)
def test_sentence_contradicts(tmp_path: Path, sentence: str, code: str) -> None:
    assert found(tmp_path, sentence) == [code]


def test_result_that_is_a_change(tmp_path: Path) -> None:
    # 3.2 kg in place of 11.1 kg: −7.9 kg.
    page = (
        "It is [7.9 kg](calc:bill.mass_change) lighter, saves [7.9 kg](calc:bill.mass_change),\n"
        "changes by [−7.9 kg](calc:bill.mass_change), and is [7.9 kg](calc:bill.mass_change) heavier.\n\n"
    )
    book = open_site(tmp_path, {"a.md": page + PARTS})
    (finding,) = proof_book(book, ["a"]).findings
    assert (finding.code.name, finding.position.line, finding.position.column) == (
        "direction-contradicts",
        2,
        54,
    )
    assert "less" in finding.expected
