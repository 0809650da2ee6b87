"""Figures brought into line, many at a time: labels in any style, and the demo with another car."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.figures.labels import plain
from buildlog.proof.amending import amended_text, amendments
from buildlog.proof.proof import proof_book
from tests.examples import with_examples
from tests.proof.test_amending import AFTER, NARROW, NB, ROUND, THIRD, run
from tests.samples import GEARING, open_site

ROOT = Path(__file__).resolve().parents[2]

LEADS = st.sampled_from(["", "about ", "~ ", "roughly "])
VALUES = [(THIRD, 135.524571, "km/h"), (ROUND, 1756.8, "mm"), (f"{AFTER}.overall_ratio.5", 4.5556, "")]


@st.composite
def wrong_labels(draw: st.DrawFn) -> tuple[str, str]:
    """A label in some style whose number is some way off, and the address it rests on."""
    address, value, unit = draw(st.sampled_from(VALUES))
    off = value * draw(st.floats(0.2, 6))
    decimals = draw(st.integers(0, 5))
    number = f"{off:,.{decimals}f}" if draw(st.booleans()) else f"{off:.{decimals}f}"
    if draw(st.booleans()):
        width = draw(st.integers(1, 40)) * 10**-decimals
        number += f"–{off + width:.{decimals}f}" if "," not in number else f"–{off + width:,.{decimals}f}"
        lead = ""
    else:
        lead = draw(LEADS)
    space = draw(st.sampled_from([" ", NB, NARROW]))
    return address, f"{lead}{number}{space if unit else ''}{unit}"


def test_amended_figures_agree_and_stay(tmp_path: Path) -> None:
    """Whatever is amended agrees, has as many digits and the same words, and is not amended again."""
    site = open_site(tmp_path, {"a.md": GEARING})

    @with_examples(200)
    @given(st.lists(wrong_labels(), min_size=1, max_size=6))
    def check(figures: list[tuple[str, str]]) -> None:
        head = "\n\n".join(f"x [{label}]({address}) y" for address, label in figures)
        book = site.with_page("a", f"{head}\n\n{GEARING}")
        changes, left = amendments(book, ["a"])
        text = amended_text(book.pages["a"].text, changes)
        after = site.with_page("a", text)
        again, still = amendments(after, ["a"])
        assert not again
        assert [(one.position, one.label) for one in still] == [(one.position, one.label) for one in left]
        wrong = {one.position for one in proof_book(after, ["a"]).errors}
        assert wrong <= {one.position for one in left}
        for change in changes:
            old, new = plain(change.old).text, plain(change.new).text
            assert [len(part) for part in _decimals(old)] == [len(part) for part in _decimals(new)]
            assert _words(old) == _words(new)

    check()


def _decimals(label: str) -> list[str]:
    return [part.partition(".")[2] for part in _numbers(label)]


def _numbers(label: str) -> list[str]:
    kept = "".join(char if char in "0123456789." else " " if char not in ",\u202f" else "" for char in label)
    return [part for part in kept.split() if part.strip(".")]


def _words(label: str) -> str:
    return "".join(char for char in label if char not in "0123456789.,\u202f\u00a0 ")


# --- the demo ------------------------------------------------------------------------------

STALE = [
    ("39/10", "43/10"),
    ("8100 rpm", "7900 rpm"),
    ("1.776 ± 0.003 m", "1.82 ± 0.003 m"),
    ("1598 cm³", "1797 cm³"),
    ("(96 ± 2) %", "(91 ± 2) %"),
    ("168 ± 3 N·m", "181 ± 3 N·m"),
    ("662 kg", "701 kg"),
    ("41/9", "43/11"),
]


@pytest.mark.parametrize("seed", range(4))
def test_stale_figures_of_the_demo_are_brought_into_line(tmp_path: Path, seed: int) -> None:
    """Values of the car's sheet are changed at random; what was amended then agrees."""
    content = tmp_path / "content"
    shutil.copytree(ROOT / "content", content, ignore=shutil.ignore_patterns("manual", "figures.lock"))
    sheet = content / "cars" / "brindle.yml"
    chosen = random.Random(seed).sample(STALE, 1 if seed == 0 else 3)
    text = sheet.read_text("utf-8")
    for old, new in chosen:
        assert old in text
        text = text.replace(old, new)
    sheet.write_text(text, "utf-8")
    before = Book.open(content, root=tmp_path)
    stale = [one for one in proof_book(before).entries if one.standing == "computed" and not one.agrees]
    changes, left = amendments(before, list(before.pages))
    assert len(changes) + len(left) == len(stale)
    assert len(changes) > len(stale) / 2
    code, output = run(tmp_path, "--write")
    assert code == (1 if left else 0), output
    after = Book.open(content, root=tmp_path)
    # A block may no longer have what it names, a gear that a log is now not driven in: that is no figure.
    of_blocks = {one.position for one in proof_book(before).errors} - {one.position for one in stale}
    wrong_now = {one.position for one in proof_book(after).errors} - of_blocks
    assert {place.line for place in wrong_now} <= {one.position.line for one in left}
    assert not amendments(after, list(after.pages))[0]
    wrong = [one for one in proof_book(after).entries if one.standing == "computed" and not one.agrees]
    assert len(wrong) == len(left)
