"""Figures brought into line: what changes byte for byte, and what is left to the author."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.commands.amend import amend_command
from buildlog.proof.amending import amendments
from buildlog.proof.drift import record_of
from buildlog.proof.proof import proof_book
from buildlog.reading.record import NAME, record_text
from tests.samples import GEARING, calc, open_site, write_site

# By hand, from the block of tests/samples: 195/50R15 rolls 3.05 × 576 mm = 1.7568 m a turn; third is
# 1.4 × 41/9 = 6.3778 overall, so 8200/min × 1.7568 m / 6.3778 = 135.52 km/h = 84.21 mph; first is 15.033,
# so 100 km/h are 14,262 rpm; before the change third ran to 150.58 km/h, 10.0 % more. 1.7568 m are
# 69.165 in = 5 ft 9.165 in.
AFTER = "calc:shorter-final.after"
FAST = "calc:high-limit.after"
THIRD = f"{AFTER}.speed_at_limit.3"
ROUND = f"{AFTER}.rolling_circumference"
NB, NARROW = "\u00a0", "\u202f"


def run(folder: Path, *arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(amend_command, [*arguments, "--site", str(folder)], catch_exceptions=False)
    return result.exit_code, result.output


@pytest.mark.parametrize(
    ("figure", "label"),
    [
        (f"[153.5 km/h]({THIRD})", "135.5 km/h"),
        (f"[153 km/h]({THIRD})", "136 km/h"),
        (f"[153.500{NB}km/h]({THIRD})", f"135.525{NB}km/h"),
        (f"[95.0 mph]({THIRD})", "84.2 mph"),
        (f"[95.0mph]({THIRD})", "84.2mph"),
        (f"[1.53e2 km/h]({THIRD})", "1.36e2 km/h"),
        (f"[15.3{NB}×{NB}10¹ km/h]({THIRD})", f"13.6{NB}×{NB}10¹ km/h"),
        # hedges that say no side
        (f"[about 180 km/h]({THIRD})", "about 136 km/h"),
        (f"[~180 km/h]({THIRD})", "~136 km/h"),
        (f"[roughly 180.0 km/h]({THIRD})", "roughly 135.5 km/h"),
        # thousands
        (f"[15,000 rpm]({FAST}.rpm_at.1)", "14,262 rpm"),
        (f"[15{NARROW}000 rpm]({FAST}.rpm_at.1)", f"14{NARROW}262 rpm"),
        (f"[15000 rpm]({FAST}.rpm_at.1)", "14262 rpm"),
        (f"[9,500 rpm]({FAST}.rpm_at.2)", "8,644 rpm"),
        (f"[15&nbsp;000 rpm]({FAST}.rpm_at.1)", "14&nbsp;262 rpm"),
        # fractions and compounds
        (f"[10 1/2 in]({AFTER}.rolling_radius)", "11 in"),
        (f"[70 1/4 in]({ROUND})", "69 3/16 in"),  # a quarter would be 2 mm off
        (f"[70-1/4 in]({ROUND})", "69-3/16 in"),
        (f"[70¼ in]({ROUND})", "69 3/16 in"),
        (f"[70 5\u20448 in]({ROUND})", "69 3\u204416 in"),
        (f'[279/4]({ROUND} "in in")', "1107/16"),
        (f"[5 ft 11 in]({ROUND})", "5 ft 9 in"),
        (f"[5 ft 11.0 in]({ROUND})", "5 ft 9.2 in"),
        (f"[5′ 11″]({ROUND})", "5′ 9″"),
        # ratios
        (f"[4.100]({AFTER}.overall_ratio.5)", "4.556"),
        (f"[4.10:1]({AFTER}.overall_ratio.5)", "4.56:1"),
        (f"[4.10 : 1]({AFTER}.overall_ratio.5)", "4.56 : 1"),
        # ranges keep their width and how round they are
        (f"[140–150 km/h]({THIRD})", "130–140 km/h"),
        (f"[between 150 and 200 km/h]({THIRD})", "between 100 and 150 km/h"),
        (f"[from 143 to 147 km/h]({THIRD})", "from 134 to 138 km/h"),
        (f"[150.0–151.5 km/h]({THIRD})", "135.0–136.5 km/h"),
        (f"[15,000–15,500 rpm]({FAST}.rpm_at.1)", "14,000–14,500 rpm"),
        (f"[70 1/4 – 70 3/4 in]({ROUND})", "69 – 69 1/2 in"),
        # the unit is in the title
        (f'[153.5]({THIRD} "in km/h")', "135.5"),
        # a tolerance
        (f'[153 km/h]({THIRD} "± 2 %")', "136 km/h"),
        # changes
        (f'It drops by [12.0 %]({THIRD} "vs before")', "10.0 %"),
        (f'[−12.0 %]({THIRD} "vs before")', "−10.0 %"),
        (f'[-12.0 %]({THIRD} "vs before")', "-10.0 %"),
        (f'[−12 km/h]({THIRD} "vs before")', "−15 km/h"),
        (f'[+0.5 %]({AFTER}.overall_ratio.5 "vs before; ± 5 %")', None),
        (f'[+12.0 %]({AFTER}.overall_ratio.5 "vs before")', "+11.1 %"),
        # Markdown in and around the label
        (f"**[153.5 km/h]({THIRD})**", "135.5 km/h"),
        (f"[**153.5** km/h]({THIRD})", "**135.5** km/h"),
        (f'[&minus;12.0 %]({THIRD} "vs before")', "&minus;10.0 %"),
        (f'[\\-12.0&nbsp;%]({THIRD} "vs before")', "\\-10.0&nbsp;%"),
        (f"[153&#46;5 km/h]({THIRD})", "135&#46;5 km/h"),
        # the words around say that it falls
        (f'Down by [12.0 %]({THIRD} "vs before")', "10.0 %"),
        (f'It grew once. Then it went down by [12.0 %]({THIRD} "vs before")', "10.0 %"),
        (f"[153.5\nkm/h]({THIRD})", "135.5\nkm/h"),
        (f"[153.5 km/h][third]\n\n[third]: {THIRD}", "135.5 km/h"),
        (f"- in a list:\n\n    > [153.5 km/h]({THIRD})", "135.5 km/h"),
        (f"## [153.5 km/h]({THIRD})", "135.5 km/h"),
    ],
)
def test_the_number_changes_and_the_style_stays(tmp_path: Path, figure: str, label: str | None) -> None:
    """The whole file is as it was but for the label; afterwards the proof is content, and so is amend."""
    fast = GEARING.replace("shorter-final", "high-limit").replace("8200 rpm", "16000 rpm")
    text = f"{figure}\n\n{GEARING}\n{fast}"
    content = write_site(tmp_path, {"a.md": text})
    old = figure[figure.index("[") + 1 : figure.index("]")]
    code, output = run(tmp_path, "--write")
    if label is None:
        assert code == 1
        assert (content / "a.md").read_text("utf-8") == text
        return
    assert (code, output.splitlines()[-1]) == (0, "1 figure changed, 0 left to you.")
    assert (content / "a.md").read_bytes().decode() == text.replace(f"[{old}]", f"[{label}]", 1)
    assert proof_book(Book.open(content, root=tmp_path)).errors == ()
    assert run(tmp_path) == (0, "Every computed figure is in line.\n")


@pytest.mark.parametrize(
    ("figure", "why"),
    [
        (f"[over 140 km/h]({THIRD})", "comparison"),
        (f"[at least 140 km/h]({THIRD})", "comparison"),
        (f"[<130 km/h]({THIRD})", "comparison"),
        (f"[nearly 150 km/h]({THIRD})", "“nearly” says on which side"),
        (f"[a little over 150 km/h]({THIRD})", "“a little over” says on which side"),
        (f"[43/9]({AFTER}.overall_ratio.5)", "counts teeth"),
        # directions
        (f'[+12.0 %]({THIRD} "vs before")', "the other way"),
        (f'It gains [12.0 %]({THIRD} "vs before")', "its words say something else"),
        (f'[faster]({THIRD} "vs before")', "): its words say something else."),
        (f'It drops, or gains, by [12.0 %]({THIRD} "vs before")', "nothing shows"),
        (f'It gets less. Here [12.0 %]({THIRD} "vs before")', "nothing shows"),
        (f'It fits. It gets less. Here [12.0 %]({THIRD} "vs before")', "nothing shows"),
        (f'Up by, or down by, [12.0 %]({THIRD} "vs before")', "nothing shows"),
        (f'| less |\n|---|\n| [12.0 %]({THIRD} "vs before") |', "nothing shows"),
        (f'[1.0 %]({ROUND} "vs before")', "there is no change any more"),
        (f"[−135 km/h]({THIRD})", "another sign"),
        # too far off to be a slip of the label
        (f"[1400 km/h]({THIRD})", "a factor of 10"),
        (f"[13.5 km/h]({THIRD})", "a factor of 10"),
        (f"[0 km/h]({THIRD})", "a factor of 10"),
        (f"[5 in]({ROUND})", "a factor of 10"),
        (f'less by [2 km/h]({AFTER}.step.1-2 "vs before")', "found"),
        # what no number mends
        (f"[135.5 N·m]({THIRD})", "does not measure"),
        (f"[135.5]({THIRD})", "no unit"),
        (f"[fast]({THIRD})", "not a figure"),
        (f"[1 m]({AFTER}.sped_at_limit.3)", "not there"),
        (f'[153 km/h]({THIRD} "roughly")', "title"),
        # the label is more than a label
        (f"[153.5 km/h]\n\n[153.5 km/h]: {THIRD}", "the name of a link definition"),
        (f"[153.5 km/h][]\n\n[153.5 km/h]: {THIRD}", "the name of a link definition"),
        (f"> [153.5\n> km/h]({THIRD})", "in one piece"),
    ],
)
def test_what_is_left_to_the_author(tmp_path: Path, figure: str, why: str) -> None:
    content = write_site(tmp_path, {"a.md": f"{figure}\n\n{GEARING}"})
    before = (content / "a.md").read_bytes()
    code, output = run(tmp_path, "--write")
    assert code == 1, output
    place = f"content/a.md:{figure[: figure.index(THIRD[:5])].count(chr(10)) + 1}:"
    if "]: " not in figure and "> " not in figure:
        assert output.startswith(place)
    if why != "found":
        assert why in output
    assert ": left as it is: “" in output
    assert "0 figures changed, 1 left to you." in output
    assert (content / "a.md").read_bytes() == before


def test_a_reason_has_its_place_the_label_and_the_computed_value(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": f"See [over 140 km/h]({THIRD}).\n\n{GEARING}"})
    assert run(tmp_path)[1].splitlines()[0] == (
        "content/a.md:1:6: left as it is: “over 140 km/h” (135.5\u00a0km/h is computed): "
        "it is a comparison: the sentence around it may no longer be true."
    )


@pytest.mark.parametrize(("before", "after", "amended"), [(4.10, 4.30, True), (4.60, 4.30, False)])
def test_the_record_knows_which_way_a_change_went(
    tmp_path: Path, before: float, after: float, amended: bool
) -> None:
    """Without a word in the sentence, an unsigned change is amended where figures.lock has the same sign."""
    first = GEARING.replace("4.10", str(before)).replace("41/9", "4.50")
    text = f'It is [{{}}]({AFTER}.overall_ratio.5 "vs before").\n\n'
    share = abs(4.50 - before) / before
    book = open_site(tmp_path, {"a.md": text.format(f"{share:.1%}") + first})
    (tmp_path / "content" / NAME).write_text(record_text(record_of(book, proof_book(book).entries)))
    assert not proof_book(book).errors
    now = first.replace(f"{before}", f"{after}")
    content = write_site(tmp_path, {"a.md": text.format(f"{share:.1%}") + now})
    code, output = run(tmp_path, "--write")
    assert (code == 0) is amended, output
    assert ("It is [4.7%](" in (content / "a.md").read_text()) is amended  # 4.50 / 4.30 − 1


@pytest.mark.parametrize(
    ("label", "amended"),
    [("2 °C", "27 °C"), ("0 °C", "27 °C"), ("32 °F", "81 °F"), ("−5 °C", "−5 °C"), ("1 K", "1 K")],
)
def test_degrees_have_no_order_of_magnitude(tmp_path: Path, label: str, amended: str) -> None:
    """27 °C is no thirteen times 2 °C, as 300 K is 300 times 1 K; a sign that goes is left all the same."""
    block = calc(
        """
        id: cold-air
        kind: charge_temperature
        inputs:
          ambient_temperature: 20 °C
          temperature_before: 46 °C
          temperature_after: 27 °C
          sensor_time_constant: 12 s
          rate_before: 0 K/s
          rate_after: 0 K/s
        """
    )
    write_site(tmp_path, {"a.md": f"[{label}](calc:cold-air.true_temperature_after)\n\n{block}"})
    assert run(tmp_path, "--write")[0] == (label == amended)
    assert f"[{amended}]" in (tmp_path / "content" / "a.md").read_text()


def test_a_change_that_was_recorded_as_none_shows_no_direction(tmp_path: Path) -> None:
    """The record has two equal values: which way it goes now is for the author to say."""
    text = f'It is [{{}}]({AFTER}.overall_ratio.5 "vs before; ± 20 percentage points").\n\n'
    same = GEARING.replace("4.10", "4.50").replace("41/9", "4.50")
    book = open_site(tmp_path, {"a.md": text.format("12.0 %") + same})
    (tmp_path / "content" / NAME).write_text(record_text(record_of(book, proof_book(book).entries)))
    page = text.replace("; ± 20 percentage points", "").format("12.0 %")
    book = open_site(
        tmp_path, {"a.md": page + same.replace("before: {final_drive: 4.50}", "before: {final_drive: 4.30}")}
    )
    changes, left = amendments(book, ["a"])
    assert changes == []
    assert ["nothing shows that it still goes the same way" in one.why for one in left] == [True]


def test_what_is_read_of_a_file_and_what_is_changed_in_it(tmp_path: Path) -> None:
    """Several labels of one page: each at its own place, in one go, with a mark of byte order kept."""
    text = f'A [153.5 km/h]({THIRD}) b [95.0 mph]({THIRD}) c [140 km/h]({THIRD} "for x").\n\n{GEARING}'
    content = write_site(tmp_path, {"a.md": b"\xef\xbb\xbf" + text.encode()})
    changes, left = amendments(open_site(tmp_path, {}), ["a"])
    assert [(one.position.line, one.position.column, one.old, one.new) for one in changes] == [
        (1, 4, "153.5 km/h", "135.5 km/h"),
        (1, 4 + text[3:].index("95.0"), "95.0 mph", "84.2 mph"),
        (1, 4 + text[3:].index("140"), "140 km/h", "136 km/h"),
    ]
    assert left == []
    assert run(tmp_path, "--write")[0] == 0
    wanted = text.replace("153.5", "135.5").replace("95.0 mph", "84.2 mph").replace("140 km/h", "136 km/h")
    assert (content / "a.md").read_bytes() == b"\xef\xbb\xbf" + wanted.encode()
