"""The drawing on paper: PDFs made into pictures by poppler, a general library, and measured there."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from buildlog.diagnostics import Refused
from buildlog.kinds.pattern import Line
from buildlog.patterns.layout import PATTERN_NOT_DRAWN, Drawing, lay_out
from buildlog.patterns.paper import FOOT, MARGIN, OVERLAP, SIZES, Told, as_pdf, plan_of, sheets_of
from tests.patterns.plates import ORIGIN, PLATE, tell

Black = NDArray[np.bool_]
PER_MM = 10
TOLD = Told(
    title="side",
    details=("sheet of 1 mm", "revision B"),
    measure="this bar is 100 mm",
    join="cut and lay on",
    lines=(("cut", "cut"), ("bend", "bend")),
)
SMALL = replace(
    PLATE,
    lines=(Line(kind="cut", points=((0, 0), (0.1, 0), (0.1, 0.08), (0, 0.08)), closed=True),),
    holes=(),
    dimensions=(),
    notes=(),
)
needs_poppler = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs poppler")


def _sheets(drawing: Drawing, size: str, folder: Path) -> list[Black]:
    """What each sheet shows, black is True, ten points a millimetre."""
    file = folder / "pattern.pdf"
    file.write_bytes(as_pdf(drawing, size, TOLD, ORIGIN))
    dots = str(25.4 * PER_MM)
    subprocess.run(["pdftoppm", "-r", dots, "-gray", "-aa", "no", file, folder / "sheet"], check=True)
    return [np.asarray(Image.open(one)) < 128 for one in sorted(folder.glob("sheet-*.pgm"))]


def _longest(row: Black) -> tuple[int, int]:
    """The longest run of black in a row: where it begins, and how long it is."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
    runs = [(end - start, start) for start, end in zip(edges[::2], edges[1::2], strict=True)]
    length, start = max(runs, default=(0, 0))
    return start, length


def test_paper_is_as_large_as_its_standard_says() -> None:
    """A4 by ISO 216:2007 (210 mm × 297 mm); Letter is 8½ × 11 inches."""
    assert SIZES["A4"] == (210.0, 297.0)
    assert SIZES["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


@needs_poppler
@pytest.mark.parametrize("size", SIZES)
def test_the_bar_is_measured_on_every_printed_sheet(size: str, tmp_path: Path) -> None:
    drawing = lay_out(PLATE, tell)
    plan = plan_of(drawing, size)
    sheets = _sheets(drawing, size, tmp_path)
    assert len(sheets) == 1 + len(plan.tiles)
    for sheet in sheets[1:]:
        height, width = sheet.shape
        assert (width / PER_MM, height / PER_MM) == pytest.approx(plan.paper, abs=0.15)
        foot = sheet[-round((MARGIN + FOOT - 1) * PER_MM) :]
        lengths = [_longest(row) for row in foot]
        start, length = max(lengths, key=lambda one: one[1])
        assert length / PER_MM == pytest.approx(100, abs=0.3)
        assert start / PER_MM == pytest.approx(MARGIN, abs=0.2)


@needs_poppler
@pytest.mark.parametrize("size", SIZES)
def test_the_part_is_measured_on_a_printed_sheet(size: str, tmp_path: Path) -> None:
    """Its outline of 100 × 80 mm: the first and last black of the drawing, less the width of the line."""
    (sheet,) = _sheets(lay_out(SMALL, tell), size, tmp_path)
    drawn = sheet[: -round((MARGIN + FOOT) * PER_MM)]
    down, across = np.nonzero(drawn)
    assert (across.max() - across.min() + 1) / PER_MM - 0.5 == pytest.approx(100, abs=0.2)
    assert (down.max() - down.min() + 1) / PER_MM - 0.5 == pytest.approx(80, abs=0.2)


@needs_poppler
@pytest.mark.parametrize("size", SIZES)
def test_sheets_that_are_joined_show_the_whole(size: str, tmp_path: Path) -> None:
    """Laid on each other by their overlaps, sheets make the whole: an outline of 420 mm by 310 mm."""
    drawing = lay_out(replace(PLATE, dimensions=(), notes=()), tell)
    plan = plan_of(drawing, size)
    sheets = _sheets(drawing, size, tmp_path)[1:]
    left, top = (min(one.low[0] for one in plan.tiles), max(one.low[1] for one in plan.tiles) + plan.shown[1])
    right = max(one.low[0] for one in plan.tiles) + plan.shown[0]
    low = min(one.low[1] for one in plan.tiles)
    whole = np.zeros((round((top - low) * PER_MM) + 3, round((right - left) * PER_MM) + 3), bool)
    for tile, sheet in zip(plan.tiles, sheets, strict=True):
        edge = round(MARGIN * PER_MM)
        high, wide = round(plan.shown[1] * PER_MM), round(plan.shown[0] * PER_MM)
        part = sheet[edge : edge + high, edge : edge + wide]
        down = round((top - tile.low[1] - plan.shown[1]) * PER_MM)
        across = round((tile.low[0] - left) * PER_MM)
        whole[down : down + high, across : across + wide] |= part
    zero = round((0 - left) * PER_MM), round((top - 0) * PER_MM)

    def black(x: float, y: float) -> bool:
        """Whether something is drawn within 0.3 mm of a place of the plate, in mm."""
        column, row = zero[0] + round(x * PER_MM), zero[1] - round(y * PER_MM)
        return bool(whole[row - 3 : row + 4, column - 3 : column + 4].any())

    assert all(black(x, 0) and black(x, 310) for x in range(0, 421, 5))
    assert all(black(0, y) and black(420, y) for y in range(0, 311, 5))
    assert not any(black(x, 305) for x in (60, 130, 250, 400))  # nor is it black everywhere


def test_neighbours_show_the_same_line_across_their_overlap() -> None:
    plan = plan_of(lay_out(PLATE, tell), "A4")
    assert plan.columns > 1
    for one, other in pairwise(sorted({tile.low[0] for tile in plan.tiles})):
        # The line is in the middle of the overlap, of either sheet.
        assert one + plan.shown[0] - OVERLAP / 2 == pytest.approx(other + OVERLAP / 2)
    for one, other in pairwise(sorted({tile.low[1] for tile in plan.tiles})):
        assert one + plan.shown[1] - OVERLAP / 2 == pytest.approx(other + OVERLAP / 2)


def test_sheets_cover_all_that_is_drawn() -> None:
    drawing = lay_out(PLATE, tell)
    for size in SIZES:
        plan = plan_of(drawing, size)
        across, upwards = [one.low[0] for one in plan.tiles], [one.low[1] for one in plan.tiles]
        assert min(across) <= drawing.low[0]
        assert max(across) + plan.shown[0] >= drawing.high[0]
        assert min(upwards) <= drawing.low[1]
        assert max(upwards) + plan.shown[1] >= drawing.high[1]


def test_one_sheet_has_no_plan() -> None:
    assert dict(sheets_of(lay_out(SMALL, tell))) == {"A4": 1, "Letter": 1}


def test_names_of_sheets_are_letters_across_and_numbers_down() -> None:
    plan = plan_of(lay_out(PLATE, tell), "A4")
    assert [one.name for one in plan.tiles] == [
        f"{letter}{row}" for row in range(1, plan.rows + 1) for letter in "ABCDEF"[: plan.columns]
    ]


def test_more_sheets_than_anybody_joins_are_refused() -> None:
    large = replace(SMALL, lines=(Line(kind="cut", points=((0, 0), (5, 0), (5, 5), (0, 5)), closed=True),))
    with pytest.raises(Refused) as refused:
        plan_of(lay_out(large, tell), "A4")
    assert refused.value.code == PATTERN_NOT_DRAWN


def test_the_same_drawing_gives_the_same_bytes() -> None:
    drawing = lay_out(PLATE, tell)
    assert as_pdf(drawing, "A4", TOLD, ORIGIN) == as_pdf(drawing, "A4", TOLD, ORIGIN)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler")
def test_a_long_name_is_told_whole_on_every_sheet(tmp_path: Path) -> None:
    """On several lines, so that it can be read."""
    words = [f"word{number}" for number in range(30)]
    file = tmp_path / "long.pdf"
    file.write_bytes(as_pdf(lay_out(PLATE, tell), "A4", replace(TOLD, title=" ".join(words)), ORIGIN))
    text = subprocess.run(["pdftotext", "-layout", file, "-"], check=True, capture_output=True, text=True)
    sheets = text.stdout.split("\f")[:-1]
    assert len(sheets) > 2
    assert all(word in sheet for sheet in sheets for word in words)


def test_words_without_a_sign_in_the_font_are_told_with_a_question_mark(tmp_path: Path) -> None:
    told = replace(TOLD, title="側 “side” −1")
    content = as_pdf(lay_out(SMALL, tell), "A4", told, ORIGIN)
    assert content.startswith(b"%PDF")
    if shutil.which("pdftotext"):
        file = tmp_path / "words.pdf"
        file.write_bytes(content)
        text = subprocess.run(["pdftotext", file, "-"], check=True, capture_output=True, text=True).stdout
        assert "? “side” -1" in text
