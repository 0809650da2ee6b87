"""Filament: every published value lies in its family's spread, whose ends are published ones."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from random import Random

import numpy as np
import pytest

from buildlog.diagnostics import OutOfRange
from buildlog.physics import held, plastics

# Data sheets, each by what was read of it. °C, kg/m³, MPa; "share" is strength upright over flat (ISO 527).
SHEETS: dict[str, dict[str, dict[str, list[float]]]] = {
    "PLA": {
        # PolyLite PLA, as a paper's source quotes its sheet: ISO 1183, DSC, ISO 306, ISO 75, ISO 527.
        "PolyLite": {"density": [1220], "glass": [62], "vicat": [62.7], "a": [57.6], "b": [59.3],
                     "share": [36.5 / 49.8]},
        # The same maker's later page, as a public note of filament for design has it.
        "PolyLite, page": {"density": [1170], "glass": [61], "a": [58], "b": [60], "share": [40.5 / 52.3]},
        "PolyTerra V5.3": {"density": [1310], "glass": [60.6], "vicat": [62.7], "a": [52], "b": [57.8],
                           "share": [12.2 / 23.2]},
        # A sheet of PLA for FDM, ASTM D648 at 66 and 264 psi, D1525, DMA (145 °F).
        "FDM": {"density": [1264], "glass": [62.8], "vicat": [54], "a": [51], "b": [53]},
        # 55 °C at both; interlayer adhesion 17 of 57 MPa.
        "Prusament v1.1": {"density": [1240], "a": [55], "b": [55], "share": [17 / 57]},
        # An abstract of a guide to materials: Z 41 of 52 MPa.
        "guide": {"share": [41 / 52]},
    },
    "PETG": {
        "PolyLite": {"density": [1250], "glass": [81], "vicat": [84], "a": [75], "b": [78],
                     "share": [42.8 / 50.8]},
        "Prusament": {"b": [68], "share": [0.38]},
        "Bambu HF V1.0": {"density": [1280], "glass": [66], "vicat": [70], "a": [62], "b": [69],
                          "share": [23 / 34]},
        "Inslogic": {"density": [1260], "glass": [65.5], "b": [72]},
        "guide": {"density": [1250], "a": [65], "b": [68], "share": [36 / 41, 13 / 32]},
        "table": {"density": [1290]},
    },
    "ABS": {
        "PolyLite V5.3": {"density": [1120], "glass": [101.1], "vicat": [103.9], "a": [98.2], "b": [99.6],
                          "share": [29.7 / 33.4]},
        "service": {"a": [76, 82], "b": [90, 96]},
        "guide": {"density": [1050], "a": [75], "b": [87], "share": [35 / 39, 25 / 33]},
        # Cycolac MG47, ISO 306/B50 and ASTM D648; a filament's ISO 306 and 75.
        "resins": {"density": [1050], "vicat": [97.4, 100, 104], "a": [82.2, 83], "glass": [105]},
        # Rodríguez-Panes et al., Materials 2018: 26.4 and 3.15 MPa.
        "paper": {"share": [3.15 / 26.4]},
    },
    "ASA": {
        "PolyLite V5.3": {"density": [1130], "glass": [97.8], "vicat": [105.3], "a": [100.2], "b": [102.6],
                          "share": [30.0 / 38.6]},
        "Polymaker": {"density": [1130], "glass": [98], "vicat": [105], "a": [100], "b": [103],
                      "share": [32.0 / 43.8]},
        "guide": {"density": [1050], "a": [85], "b": [90], "share": [35 / 41]},
        # Toyolac, ISO 75 at 1.8 MPa, six grades; ISO 1183.
        "Toray": {"density": [1060], "a": [80, 83, 78, 80, 80, 80]},
        "text": {"glass": [100]},
    },
    "PC": {
        "PolyLite V5.3": {"density": [1190], "glass": [113.4], "vicat": [119.5], "a": [106.6], "b": [111.2],
                          "share": [52.8 / 69.1]},
        "PolyMax PC-FR V5.1": {"density": [1200], "glass": [115], "vicat": [116], "a": [107], "b": [110],
                               "share": [46 / 67]},
        "PolyMax": {"density": [1190], "glass": [113], "vicat": [117, 120], "a": [99], "b": [114],
                    "share": [41.4 / 53.4, 29.1 / 59.7]},
        "service": {"a": [127], "b": [138]},
        "guide": {"density": [1200, 1220], "glass": [150], "a": [105], "b": [110], "share": [53 / 70]},
        "Prusament blend": {"share": [0.33]},
    },
    "PA": {
        "PolyMide CoPA": {"density": [1120], "glass": [66], "vicat": [117], "a": [70], "b": [111],
                          "share": [45.8 / 78.0, 13.7 / 34.3]},
        "guide, PA6 dry": {"glass": [55], "b": [150, 170], "share": [43 / 66]},
        "Ultrafuse PA": {"density": [1130]},
        "resin": {"density": [1140]},
    },
    "PA-CF": {
        "PolyMide PA6-CF V4.1": {"density": [1170], "glass": [56.6], "a": [196], "b": [215],
                                 "share": [67.7 / 105.0]},
        # Dry, and conditioned at 23 °C, 50 % for 72 h.
        "Ultrafuse PAHT CF15 V4.0": {"density": [1203], "glass": [70], "vicat": [205, 221, 192, 217],
                                     "a": [92, 91], "b": [145, 128], "share": [18.2 / 103.2, 19.1 / 62.9]},
        "guide": {"density": [1160, 1060], "a": [165, 160], "b": [180, 170], "share": [18 / 82, 30 / 78]},
        "PA12-CF": {"density": [1080, 1120], "glass": [45, 55], "vicat": [165, 175], "a": [100, 125],
                    "b": [138, 155]},
    },
    "PP": {
        "guide": {"density": [900], "glass": [-10], "a": [65], "b": [80, 85, 100], "share": [35 / 35]},
        "homopolymer": {"density": [910], "a": [73], "b": [110]},
        "compound": {"vicat": [152], "b": [95]},
    },
}  # fmt: skip
# Common practice, no source: what stands about the one sheet that was found.
WIDER = {("PA", "a"), ("PA", "vicat"), ("PP", "vicat"), ("PP", "glass"), ("PP", "share")}
COLUMNS = {"glass": "glass", "b": "deflection_b", "a": "deflection_a", "vicat": "vicat", "density": "density",
           "share": "layer_share"}  # fmt: skip
STEP = {"glass": 1.0, "b": 1.0, "a": 1.0, "vicat": 1.0, "density": 10.0, "share": 0.011}


def spreads() -> Iterator[tuple[str, str, list[float], plastics.Spread]]:
    for family, sheets in SHEETS.items():
        for column, name in COLUMNS.items():
            values = [one for sheet in sheets.values() for one in sheet.get(column, [])]
            spread = getattr(plastics.PLASTICS[family], name)
            off = 273.15 if column in ("glass", "b", "a", "vicat") else 0.0
            yield family, column, values, plastics.Spread(spread.low - off, spread.high - off)


def test_each_family_has_its_sheets() -> None:
    assert set(SHEETS) == set(plastics.PLASTICS)
    assert all(values for _, _, values, _ in spreads())


def test_every_published_value_lies_in_its_spread_and_its_ends_are_published() -> None:
    for family, column, values, spread in spreads():
        step = STEP[column]
        assert spread.low - step <= min(values), (family, column)
        assert max(values) <= spread.high + step, (family, column)
        if (family, column) not in WIDER:
            assert spread.low == pytest.approx(min(values), abs=step), (family, column)
            assert spread.high == pytest.approx(max(values), abs=step), (family, column)


def test_a_greater_stress_never_softens_later() -> None:
    """ISO 75: a bar that is bent more sags sooner."""
    for plastic in plastics.PLASTICS.values():
        assert plastic.deflection_a.middle <= plastic.deflection_b.middle


@pytest.mark.parametrize(("stress", "softens"), [(0, 350), (0.45e6, 350), (0.46e6, 330), (1.8e6, 330)])
def test_the_next_greater_stress_of_the_standard_counts(stress: float, softens: float) -> None:
    assert plastics.softening_temperature(stress, 350, 330) == softens


def test_beyond_the_standards_stress_nothing_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"1\.8 MPa"):
        plastics.softening_temperature(2e6, 350, 330)


def _longest_above(times: list[float], values: list[float], level: float) -> float:
    """By numpy: the line through the readings, cut where it meets the level, piece by piece."""
    cuts = [
        t0 + (level - v0) / (v1 - v0) * (t1 - t0)
        for (t0, v0), (t1, v1) in pairwise(zip(times, values, strict=True))
        if (v0 - level) * (v1 - level) < 0
    ]
    ends = np.unique([*times, *cuts])
    best = now = 0.0
    for first, last in pairwise(ends):
        now = now + last - first if np.interp((first + last) / 2, times, values) >= level else 0.0
        best = max(best, now)
    return best


def test_what_is_held_is_no_spike() -> None:
    """By hand: beside a spike of 90 there are three readings of 40."""
    times = [float(second) for second in range(0, 100, 10)]
    values = [20.0, 20.0, 90.0, 20.0, 40.0, 40.0, 40.0, 20.0, 20.0, 20.0]
    one = held.Stretches([held.Stretch(times, values)])
    assert held.highest_held(one, 20) == 40.0  # from 40 to 60 s
    assert held.highest_held(one, 30) == pytest.approx(30.0)  # from 35 to 65 s, half way up and down
    assert held.highest_held(one, 10) == pytest.approx(55.0)  # the spike, half way up and down
    assert held.highest_held(one, 90) == 20.0
    with pytest.raises(OutOfRange, match="90 s"):
        held.highest_held(one, 91)


def test_a_little_longer_is_a_little_less() -> None:
    """Readings far apart say no less of a time between two of them."""
    one = held.Stretches([held.Stretch([0.0, 600.0, 1200.0], [40.0, 90.0, 40.0])])
    assert held.highest_held(one, 600) == pytest.approx(65.0)
    assert held.highest_held(one, 600.001) == pytest.approx(65.0, abs=1e-3)
    assert held.highest_held(one, 1e-6) == pytest.approx(90.0)


def test_what_is_held_is_the_level_where_the_time_runs_out() -> None:
    """Against the line through the readings as numpy has it: above a little less it is long enough, above a
    little more it is not."""
    draw = Random(5)
    for _ in range(300):
        count = draw.randint(2, 25)
        times, now = [], 0.0
        for _ in range(count):
            now += draw.choice([0.5, 1.0, 3.0])
            times.append(now)
        values = [draw.choice([20.0, 25.0, 30.0, 31.5]) for _ in times]
        hold = draw.choice([0.5, 2.0, 5.0, 9.0])
        one = held.Stretches([held.Stretch(times, values)])
        if times[-1] - times[0] < hold:
            with pytest.raises(OutOfRange):
                held.highest_held(one, hold)
            continue
        level = held.highest_held(one, hold)
        assert _longest_above(times, values, level - 1e-6) >= hold - 1e-5
        assert _longest_above(times, values, level + 1e-6) < hold
