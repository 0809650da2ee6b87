"""Regression: the page of times is what the bench writes from what it measured, and the code it compares with
computes what our blocks do. Nothing here is timed."""

from __future__ import annotations

import re
import runpy
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.kinds.results import Value
from buildlog.proof.proof import proof_book
from tests.bench import measurements, speed_page, written_both_ways
from tests.bench.measurements import BARE, OVER_BARE, PAGE_BARE, SITE_COLD, SITE_WARM, Measurements
from tests.bench.one_process import Taken
from tests.bench.site_of_copies import ROOT, write_site


def test_the_page_is_written_from_what_was_measured() -> None:
    measured = measurements.read()
    assert speed_page.PAGE.read_text("utf-8") == speed_page.page(measured), (
        "run `python -m tests.bench.growth --again`"
    )


def test_all_that_the_bench_measures_is_kept() -> None:
    measured = measurements.read()
    for size in measured.sizes:
        assert set(measured.rounds[size]) == {*OVER_BARE, BARE, PAGE_BARE}
        assert len({len(taken) for taken in measured.rounds[size].values()}) == 1
    assert set(measured.shares) == {BARE, SITE_WARM, SITE_COLD}


def test_what_was_measured_is_read_as_it_was_written(tmp_path: Path) -> None:
    measured = _measured()
    measurements.write(measured, tmp_path / "measured.json")
    assert measurements.read(tmp_path / "measured.json") == measured


def test_a_table_of_known_numbers() -> None:
    """Twice the seconds of the bare build at either size; ten times the episodes take 10 ** 1.5 the time."""
    lines = {line.split(" | ")[0]: line for line in speed_page.table(_measured()).splitlines()}
    assert lines["| bare site, seconds of the processor"].startswith(
        "| bare site, seconds of the processor | 1.00 | 31.6 | 1.50 |"
    )
    assert lines["| proof, cold, of the processor"] == (
        "| proof, cold, of the processor | 2.00 | 2.00 | 1.50 | ≤ 0.60: missed; growth ≤ 1.02: missed |"
    )
    assert (
        lines["| site, cold, by the clock"] == "| site, cold, by the clock | 2.00 | 2.00 |  | ≤ 2.50: met |"
    )
    # 100 MB more than the bare build's of 10 episodes, and 190 more of 100: one more an episode
    assert lines["| site, cold, memory beyond it in MB"] == (
        "| site, cold, memory beyond it in MB | 100 | 190 | 1.00 MB each | ≤ 0.30 MB each: missed |"
    )


def test_shares_are_percent_of_the_bare_build() -> None:
    page = speed_page.page(_measured())
    assert "| buildlog | 0.0 | 25.0 | 100.0 |\n| Python-Markdown | 100.0 | 75.0 | 100.0 |" in page
    assert "| **together** | 100.0 | 100.0 | 200.0 |" in page
    assert "Of the warm build 75% is the work of others" in page


def _measured() -> Measurements:
    def taken(size: int, factor: int) -> list[Taken]:
        seconds = factor * (size / 10) ** 1.5
        return [
            Taken(processor=seconds, clock=seconds, megabytes=100.0 * factor + (size if factor == 2 else 10))
        ]

    rounds = {
        size: {
            **{what: taken(size, 2) for what in OVER_BARE},
            **{what: taken(size, 1) for what in (BARE, PAGE_BARE)},
        }
        for size in (10, 100)
    }
    shares = {
        BARE: {"buildlog": 0.0, "Python-Markdown": 4.0},
        SITE_WARM: {"buildlog": 1.0, "Python-Markdown": 3.0},
        SITE_COLD: {"buildlog": 4.0, "Python-Markdown": 4.0},
    }
    return Measurements(date="2026-11-28", machine={"Cores": "2"}, rounds=rounds, shares_of=10, shares=shares)


OF_A_SET = len(list((ROOT / "content" / "episodes").glob("*.md")))
"""Episodes of the demonstration."""


# --- the sites -----------------------------------------------------------------------


def test_copies_differ_and_the_first_set_is_the_demonstration(tmp_path: Path) -> None:
    written = write_site(tmp_path, plugin=True, episodes=2 * OF_A_SET + 1)
    assert len(written) == 2 * OF_A_SET + 1
    assert [path.parent.name for path in written[::OF_A_SET]] == ["set-00", "set-01", "set-02"]
    first, second = (tmp_path / "content" / group / "final-drive.md" for group in ("set-00", "set-01"))
    assert "  cruise_speed: 42 km/h\n" in first.read_text("utf-8")
    assert "  cruise_speed: 42.000000000001 km/h\n" in second.read_text("utf-8")
    assert "car: brindle-set-01\n" in second.read_text("utf-8")
    assert (tmp_path / "content" / "cars" / "brindle-set-01.yml").is_file()


def test_what_the_copies_name_is_there(tmp_path: Path) -> None:
    """A part without a file, or whose file names a page that is not there, is an error: nothing is built."""
    written = write_site(tmp_path, plugin=True, episodes=2 * OF_A_SET)
    parts = {path.stem: path.read_text("utf-8") for path in (tmp_path / "content" / "parts").glob("*.yml")}
    named = {
        name for path in written for name in re.findall(r"\bpart: ([a-z0-9-]+)", path.read_text("utf-8"))
    }
    assert named
    assert named <= parts.keys()
    pages = {page for text in parts.values() for page in re.findall(r"(?:set-\d+|episodes)/[a-z-]+", text)}
    assert pages
    assert pages <= {f"{path.parent.name}/{path.stem}" for path in written}


def test_a_site_of_less_than_a_set_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=f"at least the demonstration's {OF_A_SET}"):
        write_site(tmp_path / "site", plugin=True, episodes=OF_A_SET - 1)


# --- the page that is written twice ----------------------------------------------------


@pytest.mark.slow  # matplotlib draws four charts
def test_the_code_computes_what_the_blocks_do(tmp_path: Path) -> None:
    written_both_ways.write_site(tmp_path, way=written_both_ways.BLOCKS, pages=1)
    book = Book.open(root=tmp_path)
    assert not proof_book(book).errors
    run, said = _run(tmp_path / "code.py")
    names = {
        "overall_ratio": "overall gear ratio",
        "speed_at_limit": "road speed at the rev limit, km/h",
        "speed_per_1000": "road speed by engine speed, km/h/1000 rpm",
        "rpm_at": "engine speed at the cruise speed, rpm",
        "lowest_speed": "road speed at the lowest engine speed, km/h",
        "step": "ratio step at the shift",
        "rpm_after": "engine speed after the shift, rpm",
        "rpm_drop": "drop in engine speed at the shift, rpm",
    }
    for block, computed in (("axle", run["axle"]), ("road-home", run["home"])):
        for name, theirs in names.items():
            for case in ("before", "after"):
                ours = book.results["page-0", block].cases[case].values[name]
                assert isinstance(ours, dict)
                quantity = computed[case][theirs] / (1000 * run["rpm"] if "/1000 rpm" in theirs else 1)
                si = quantity.to_base_units().magnitude
                for key, value in ours.items():  # by gear or shift: “2”, “1-2”
                    assert isinstance(value, Value)
                    assert value.si == pytest.approx(si[int(key.partition("-")[0]) - 1], rel=1e-9)
    prose = re.sub(
        r"\[([^\]]*)\]\([^)]*\)", r"\1", (written_both_ways.PAGES / "blocks.md").read_text("utf-8")
    )
    sentences = re.findall(r"^[A-Z€].*\.$", said, re.MULTILINE)
    assert len(sentences) == 4
    for sentence in sentences:
        assert sentence in " ".join(prose.split())


def _run(file: Path) -> tuple[dict[str, Any], str]:
    """The names that the page's code has made, and what it has printed."""
    page = (written_both_ways.PAGES / "code.md").read_text("utf-8")
    file.write_text(
        "".join(re.findall(r"^```python [^\n]*\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)), "utf-8"
    )
    with redirect_stdout(StringIO()) as said:
        return runpy.run_path(str(file)), said.getvalue()
