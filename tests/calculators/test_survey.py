"""The kind `survey`: offsets, fits, mirror images and gaps, against numpy, scipy and geometry by hand."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from scipy import optimize

from buildlog.diagnostics import OutOfRange
from buildlog.kinds.results import BlockResult, Value
from buildlog.physics import survey
from buildlog.physics.survey import Offsets
from tests.samples import calc, open_site

MEASURED = {
    "a": (151.0, -312.0, 80.5),
    "b": (152.0, 309.0, 81.0),
    "c": (481.5, -336.0, 79.0),
    "d": (485.0, 335.5, 78.5),
}
DRAWN = {
    "a": (150.0, -310.0, 80.0),
    "b": (150.0, 310.0, 80.0),
    "c": (480.0, -335.0, 80.0),
    "d": (480.0, 335.0, 80.0),
}
FELLOWS = {"b": "a", "d": "c"}


def rows(*, drawn: bool = True, mirrored: bool = True, doubt: str = "") -> str:
    listed = []
    for name, place in MEASURED.items():
        cells = [f"name: {name}", *(f"{axis}: {at}{doubt} mm" for axis, at in zip("xyz", place, strict=True))]
        if drawn:
            cells += [f"drawing_{axis}: {at} mm" for axis, at in zip("xyz", DRAWN[name], strict=True)]
        if mirrored and name in FELLOWS:
            cells.append(f"mirror_of: {FELLOWS[name]}")
        listed.append("  - {" + ", ".join(cells) + "}")
    return "points:\n" + "\n".join(listed)


def block(folder: Path, inputs: str) -> BlockResult:
    text = "id: x\nkind: survey\ninputs:\n" + "\n".join(f"  {line}" for line in inputs.splitlines())
    return open_site(folder, {"page.md": calc(text)}).results["page", "x"]


def good(folder: Path, inputs: str) -> BlockResult:
    result = block(folder, inputs)
    assert not result.faults, [str(fault) for fault in result.faults]
    return result


def number(result: BlockResult, name: str, key: str = "") -> Value:
    value = result.value("", name, key)
    assert isinstance(value, Value), f"{name} {key} is {value!r}"
    return value


def of_points(result: BlockResult, name: str, keys: str) -> list[list[float]]:
    return [[1000 * number(result, f"{name}_{axis}", key).si for axis in "xyz"] for key in keys]


# --- the drawing --------------------------------------------------------------------------------


def test_as_it_was_measured(tmp_path: Path) -> None:
    result = good(tmp_path, rows())
    expected = [np.subtract(MEASURED[key], DRAWN[key]) for key in "abcd"]
    assert np.allclose(of_points(result, "off", "abcd"), expected)
    for key, offset in zip("abcd", expected, strict=True):
        assert 1000 * number(result, "off", key).si == pytest.approx(np.linalg.norm(offset))


def test_the_shift_of_least_squares_by_scipy(tmp_path: Path) -> None:
    # scipy.optimize.least_squares over the three shifts.
    result = good(tmp_path, rows() + "\nfit: translation")
    off = np.array([np.subtract(MEASURED[key], DRAWN[key]) for key in "abcd"])
    found = optimize.least_squares(lambda shift: (off + shift).ravel(), [0.0, 0.0, 0.0]).x
    shift = [1000 * number(result, f"shift_{axis}").si for axis in "xyz"]
    assert shift == pytest.approx(list(found), abs=1e-6)
    assert np.allclose(of_points(result, "off", "abcd"), off + found, atol=1e-6)


def test_the_uncertainty_of_a_fitted_offset(tmp_path: Path) -> None:
    # JCGM 100:2008, 5.1.2, by hand: the shift is the mean of n offsets, so that u² = u_x² (1 − 1/n).
    result = good(tmp_path, rows(doubt=" ± 0.4") + "\nfit: translation")
    assert number(result, "off_x", "a").expanded_uncertainty == pytest.approx(0.8e-3 * sqrt(1 - 1 / 4))
    assert number(result, "shift_x").expanded_uncertainty == pytest.approx(0.8e-3 / 2)


def test_the_step_of_the_rule(tmp_path: Path) -> None:
    # JCGM 100:2008, F.2.2.1: q/√12 for each coordinate.
    result = good(tmp_path, rows() + "\nresolution: 1 mm")
    assert number(result, "off_y", "c").expanded_uncertainty == pytest.approx(2e-3 / sqrt(12))


def test_a_line_that_lies_crooked_cancels_in_a_fit(tmp_path: Path) -> None:
    text = rows().replace("points:", "points:", 1) + "\nfit: translation"
    folded = "id: x\nkind: survey\ncommon: {line: {of: [points.y], by: ± 2 mm}}\ninputs:\n"
    folded += "\n".join(f"  {line}" for line in text.splitlines())
    result = open_site(tmp_path, {"page.md": calc(folded)}).results["page", "x"]
    assert not result.faults
    assert number(result, "off_y", "a").expanded_uncertainty == pytest.approx(0.0, abs=1e-9)
    assert number(result, "shift_y").expanded_uncertainty == pytest.approx(4e-3)


def test_a_survey_in_the_plane_of_some_points(tmp_path: Path) -> None:
    text = (
        "points:\n  - {name: a, x: 10 mm, y: 5 mm, drawing_x: 7 mm, drawing_y: 1 mm}\n"
        "  - {name: b, x: 20 mm, y: 5 mm}"
    )
    result = good(tmp_path, text)
    assert 1000 * number(result, "off", "a").si == pytest.approx(5.0)  # 3, 4, 5
    assert result.value("", "off", "b") is None
    assert result.value("", "off_z", "a") is None
    assert len(result.charts) == 1


# --- the mirror ---------------------------------------------------------------------------------


def test_right_against_left_by_hand(tmp_path: Path) -> None:
    result = good(tmp_path, rows(drawn=False))
    for right, left in FELLOWS.items():
        expected = np.subtract(MEASURED[right], np.multiply(MEASURED[left], (1, -1, 1)))
        assert np.allclose(of_points(result, "mirror", right), [expected])


def test_a_mirror_image_that_was_moved_is_found_again(tmp_path: Path) -> None:
    """Left points flipped about y = 3 mm and moved by 5 mm along x: derived."""
    left = {"a": (100.0, -300.0), "c": (400.0, -350.0), "e": (700.0, -280.0)}
    text = "points:\n"
    for name, (x, y) in left.items():
        text += f"  - {{name: {name}, x: {x} mm, y: {y} mm}}\n"
        text += f"  - {{name: {name}-right, x: {x + 5} mm, y: {6 - y} mm, mirror_of: {name}}}\n"
    result = good(tmp_path, text + "fit: translation")
    assert 1000 * number(result, "mirror_shift_y").si == pytest.approx(6.0)  # twice the plane's place
    assert 1000 * number(result, "mirror_shift_x").si == pytest.approx(5.0)
    assert number(result, "mirror_off", "c-right").si == pytest.approx(0.0, abs=1e-12)


def test_another_plane(tmp_path: Path) -> None:
    text = "points:\n  - {name: a, x: 10 mm, y: 5 mm}\n  - {name: b, x: -12 mm, y: 5 mm, mirror_of: a}\n"
    result = good(tmp_path, text + "mirror_axis: x")
    assert 1000 * number(result, "mirror_x", "b").si == pytest.approx(-2.0)


# --- gaps and verdicts --------------------------------------------------------------------------


def test_gaps(tmp_path: Path) -> None:
    text = (
        "gaps:\n  - {name: door left, gap: [4.1 mm, 4.3 mm, 4.2 mm], drawing: 4.0 mm, tolerance: 1.0 mm}\n"
        "  - {name: door right, gap: 5.6 ± 0.1 mm, drawing: 4.0 mm, tolerance: 1.0 mm}\n"
        "  - {name: lid, gap: -1.0 ± 0.2 mm, drawing: 0 mm, tolerance: 1.0 mm}\n"
        "  - {name: bonnet, gap: 3.0 mm, drawing: 3.5 mm}"
    )
    result = good(tmp_path, text)
    assert 1000 * number(result, "gap_off", "door-left").si == pytest.approx(0.2)
    # JCGM 100:2008, G.3.2: t(2) by scipy 4.5269, s/√3 = 0.0577 mm.
    assert number(result, "gap_off", "door-left").expanded_uncertainty == pytest.approx(0.2614e-3, rel=1e-3)
    said = {key: result.value("", "gap_verdict", key) for key in ("door-left", "door-right", "lid", "bonnet")}
    assert said == {"door-left": "holds", "door-right": "fails", "lid": "too close to call", "bonnet": None}


@pytest.mark.parametrize(
    "tolerance, said",
    # Offsets of d: 5 mm along x, 0.5 mm across and −1.5 mm up, each ± 0.58 mm by the step.
    [("6 mm", "holds"), ("5.2 mm", "too close to call"), ("4 mm", "fails")],
)
def test_verdicts_on_points(tmp_path: Path, tolerance: str, said: str) -> None:
    result = good(tmp_path, rows() + f"\nresolution: 1 mm\ntolerance: {tolerance}")
    assert result.value("", "verdict", "d") == said
    result = good(tmp_path, rows() + f"\nresolution: 1 mm\nmirror_tolerance: {tolerance}")
    assert result.value("", "mirror_verdict", "b") == "holds"


def test_a_point_with_a_tolerance_of_its_own(tmp_path: Path) -> None:
    text = rows().replace("name: d,", "name: d, tolerance: 1 mm,") + "\ntolerance: 9 mm"
    result = good(tmp_path, text)
    assert [result.value("", "verdict", key) for key in "acd"] == ["holds", "holds", "fails"]


def test_the_drawing_enlarges_the_offsets_and_says_so(tmp_path: Path) -> None:
    result = good(tmp_path, rows() + "\nfit: translation")
    above, side = result.charts
    assert "drawn 20 times as long" in above.description
    assert above.equal_scale  # type: ignore[union-attr]
    arrow = above.arrows[0]  # type: ignore[union-attr]
    assert arrow.end[0] - arrow.start[0] == pytest.approx(20 * number(result, "off_x", "a").si)
    assert "from the side" in side.title


# --- what is refused ----------------------------------------------------------------------------

A, B = "{name: a, x: 1 mm, y: 2 mm}", "{name: b, x: 1 mm, y: 2 mm, drawing_x: 1 mm, drawing_y: 1 mm}"


@pytest.mark.parametrize(
    "inputs, said",
    [
        ("resolution: 1 mm", "neither points nor gaps"),
        (f"points: [{A}]", "what they are compared with"),
        (f"points: [{A}, {{name: c, x: 1 mm, y: 1 mm, z: 1 mm}}]", "no z of a"),
        ("points: [{name: a, x: 1 mm, y: 2 mm, drawing_x: 1 mm}]", "no drawing_y of a"),
        (
            "points: [{name: a, x: 1 mm, y: 2 mm, drawing_x: 1 mm, drawing_y: 1 mm, drawing_z: 1 mm}]",
            "without z",
        ),
        ("points: [{name: a, x: 1 mm, y: 2 mm, mirror_of: b}]", "the name of another point"),
        ("points: [{name: a, x: 1 mm, y: 2 mm, mirror_of: a}]", "the name of another point"),
        (f"points: [{A}, {A}]", "two rows named “a”"),
        (f"points: [{B}]\nfit: translation", "one would fit anyway"),
        (f"points: [{A}, {{name: c, x: 1 mm, y: 2 mm, mirror_of: a}}]\nfit: translation", "2 or more"),
        (f"points: [{A}, {{name: c, x: 1 mm, y: 2 mm, mirror_of: a}}]\nmirror_axis: z", "not measured"),
        (f"points: [{A}, {{name: c, x: 1 mm, y: 2 mm, mirror_of: a}}]\ntolerance: 1 mm", "no drawing"),
        (f"points: [{B}]\nmirror_tolerance: 1 mm", "no pair"),
        (f"points: [{B}]\ntolerance: 0 mm", "0.001 to 500 mm"),
        (f"points: [{B}]\nresolution: 0 mm", "0.001 to 20 mm"),
        ("points: [{name: a, x: 1 km, y: 2 mm}]", "cars and their trailers"),
    ],
)
def test_refused(tmp_path: Path, inputs: str, said: str) -> None:
    faults = block(tmp_path, inputs).faults
    told = " ".join(f"{fault.found} {fault.expected} {fault.help}" for fault in faults)
    assert said in told


def test_formulae_refuse_what_they_cannot_mean() -> None:
    with pytest.raises(OutOfRange):
        survey.best_shift(Offsets([1.0]), 1)
    with pytest.raises(OutOfRange):
        survey.best_shift(Offsets([1.0, 2.0]), 3)
    with pytest.raises(OutOfRange):
        survey.off_mirror(right=1.0, left=1.0, sign=2.0, shift=0.0)
