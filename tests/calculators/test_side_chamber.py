"""The kind `side_chamber`, whole: chamber, branch, orders and revs."""

from __future__ import annotations

from math import pi
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.calculators import side_chamber
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from tests.examples import with_examples

# 343.2 m/s, as in the worked checks: T = a²/(γ R).
TEMPERATURE = 343.2**2 / (1.4 * 287.05287)
RPM = pi / 30
ENGINE: dict[str, Any] = {
    "air_temperature": TEMPERATURE,
    "necks": 1,
    "cylinders": 4,
    "idle_speed": 900 * RPM,
    "rev_limit": 8000 * RPM,
}
CHAMBER: dict[str, Any] = {
    "chamber_volume": 0.003, "neck_diameter": 0.05, "neck_length": 0.1, "inner_end": "flanged",
    "outer_end": "free",
}  # fmt: skip
BRANCH: dict[str, Any] = {"branch_length": 0.40, "branch_diameter": 0.05, "branch_end": "free"}


def run(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    return dict(side_chamber.compute(ENGINE | changes, working or Working()))


def refused(kind: type[Refused], **inputs: Any) -> tuple[str, str, str]:
    with pytest.raises(kind) as caught:
        side_chamber.compute(ENGINE | inputs, Working())
    return caught.value.name, caught.value.found, caught.value.expected


# Rayleigh; Kinsler and Frey, ch. 10, at 343.2 m/s: 139.740318404 Hz without end corrections; with a flanged
# and a free end (Levine and Schwinger) 119.583387738 Hz.
def test_helmholtz() -> None:
    bare = run(**CHAMBER | {"inner_end": "none", "outer_end": "none"})
    assert bare["speed_of_sound"] == pytest.approx(343.2, rel=1e-12)
    assert bare["helmholtz_frequency"] == pytest.approx(139.740318404, rel=1e-9)
    ended = run(**CHAMBER)
    assert ended["helmholtz_frequency"] == pytest.approx(119.583387738, rel=1e-5)
    # 100 mm + (8/3π + 0.6133) · 25 mm
    assert ended["neck_acoustic_length"] == pytest.approx(0.1 + 25e-3 * (8 / (3 * pi) + 0.6133), rel=1e-12)


# Kinsler and Frey, ch. 10, with Levine and Schwinger's end: 206.581473879 Hz, and three times that.
def test_quarter_wave() -> None:
    found = run(**BRANCH)
    assert found["quarter_wave_frequency"] == pytest.approx(206.581473879, rel=1e-9)
    assert found["quarter_wave_overtone"] == pytest.approx(3 * 206.581473879, rel=1e-9)


# Speed of sound: 331.45 m/s at 0 °C, 343.4 at 20 °C (handbook values for dry air; CRC Handbook, from memory).
@pytest.mark.parametrize(("celsius", "expected"), [(0, 331.45), (20, 343.4)])
def test_speed_of_sound(celsius: float, expected: float) -> None:
    found = run(**BRANCH, air_temperature=celsius + 273.15)
    assert found["speed_of_sound"] == pytest.approx(expected, rel=0.001)


# By definition: four cylinders fire twice a turn: 119.583387738 Hz is order 2 at 3587.5 rpm, and order
# ½ at 14 350 rpm.
def test_revs_of_the_orders() -> None:
    found = run(**CHAMBER)
    assert found["firing_order"] == 2
    assert found["helmholtz_firing_revs"] / RPM == pytest.approx(60 * 119.583387738 / 2, rel=1e-5)
    assert set(found["helmholtz_revs"]) == {"1", "2", "3", "4", "8"}
    assert found["helmholtz_revs"]["1"] / RPM == pytest.approx(60 * 119.583387738 / 0.5, rel=1e-5)
    assert found["helmholtz_revs"]["3"] / RPM == pytest.approx(60 * 119.583387738 / 1.5, rel=1e-5)
    assert found["helmholtz_revs"]["4"] == found["helmholtz_firing_revs"]


@pytest.mark.parametrize(("cylinders", "order"), [(1, 0.5), (3, 1.5), (6, 3), (8, 4), (12, 6)])
def test_firing_order(cylinders: int, order: float) -> None:
    found = run(**CHAMBER, cylinders=cylinders)
    assert found["firing_order"] == order
    assert list(found["helmholtz_revs"]) == [*(str(n) for n in range(1, cylinders + 1)), str(2 * cylinders)]
    assert found["helmholtz_firing_revs"] * order == pytest.approx(2 * pi * found["helmholtz_frequency"])


# By hand from 119.58 Hz: order 4 at 1794 rpm, 2 at 3588, 1½ at 4783, 1 at 7175; ½ at 14 350 is out of reach.
def test_words_on_what_is_met() -> None:
    assert run(**CHAMBER)["met"] == (
        "twice firing (order 4) at 1794 rpm: chamber; firing (order 2) at 3588 rpm: chamber; "
        "order 1.5 at 4783 rpm: chamber; order 1 at 7175 rpm: chamber"
    )
    quiet = run(**CHAMBER, idle_speed=3600 * RPM, rev_limit=4700 * RPM)
    assert quiet["met"] == "none of these orders is met between idle and the limiter"


def test_chamber_and_branch_together() -> None:
    found = run(**CHAMBER, **BRANCH)
    assert found["met"].count("chamber") == 4
    assert "firing (order 2) at 6197 rpm: branch" in found["met"]
    assert found["quarter_wave_firing_revs"] / RPM == pytest.approx(30 * 206.581473879, rel=1e-9)
    assert found["overtone_revs"]["8"] / RPM == pytest.approx(15 * 3 * 206.581473879, rel=1e-9)
    assert set(found) == {output.name for output in side_chamber.OUTPUTS}


# Two necks are one of twice the area: √2 higher.
def test_necks() -> None:
    two, one = run(**CHAMBER, necks=2), run(**CHAMBER)
    assert two["helmholtz_frequency"] == pytest.approx(one["helmholtz_frequency"] * 2**0.5, rel=1e-12)


# The square root of the temperature: 10 K on 293 K are 1.7 % (the manual's words).
def test_temperature() -> None:
    cold, warm = run(**CHAMBER, air_temperature=293.15), run(**CHAMBER, air_temperature=303.15)
    ratio = warm["helmholtz_frequency"] / cold["helmholtz_frequency"]
    assert ratio == pytest.approx((303.15 / 293.15) ** 0.5)
    assert ratio - 1 == pytest.approx(0.017, abs=0.0005)


@with_examples(60)
@for_all(st.floats(0.001, 0.02), st.floats(0.02, 0.08), st.floats(0.03, 0.15), st.floats(1.05, 3))
def test_larger_and_longer_is_lower(volume: float, bore: float, length: float, factor: float) -> None:
    chamber = CHAMBER | {"chamber_volume": volume, "neck_diameter": bore, "neck_length": length}
    if (pi * bore**2 / 4) * (length + 2 * bore) / volume > 0.5:
        return
    base = run(**chamber)
    larger = run(**chamber | {"chamber_volume": volume * factor})
    assert larger["helmholtz_frequency"] < base["helmholtz_frequency"]
    assert larger["helmholtz_firing_revs"] < base["helmholtz_firing_revs"]
    assert larger["lumping_error"] < base["lumping_error"]
    flanged = run(**chamber | {"outer_end": "flanged"})
    assert flanged["helmholtz_frequency"] < base["helmholtz_frequency"]
    blind = BRANCH | {"branch_diameter": 0.03}
    longer = run(**blind | {"branch_length": length * factor})["quarter_wave_frequency"]
    assert longer < run(**blind | {"branch_length": length})["quarter_wave_frequency"]


def test_remarks() -> None:
    working = Working()
    run(working, **CHAMBER)
    assert working.remarks == []
    run(working, **CHAMBER | {"neck_length": 0.25})
    assert working.remarks == ["The neck is long for a plug of air: the chamber sounds about 3 % lower."]
    working = Working()
    run(
        working,
        **CHAMBER
        | {"chamber_volume": 0.0003, "neck_length": 0.001, "inner_end": "none", "outer_end": "free"},
    )
    assert any("of a wavelength across" in remark for remark in working.remarks)


# --- refusals ----------------------------------------------------------------------------


@pytest.mark.parametrize(("group", "other"), [(CHAMBER, BRANCH), (BRANCH, CHAMBER)])
def test_a_group_is_given_whole(group: dict[str, Any], other: dict[str, Any]) -> None:
    for name in group:
        part = {key: value for key, value in group.items() if key != name}
        missing, found, expected = refused(MissingInput, **part, **other)
        assert missing == name
        assert found == f"{next(iter(part))} without {name}"
        assert expected == f"{name} as well"


def test_something_has_to_sound() -> None:
    assert refused(MissingInput) == (
        "chamber_volume",
        "neither a chamber nor a branch",
        "chamber_volume or branch_length",
    )


def test_a_branch_is_longer_than_it_is_wide() -> None:
    name, found, expected = refused(OutOfRange, **BRANCH | {"branch_length": 0.04})
    assert (name, found, expected) == ("branch_length", "40 mm", "at least its bore, 50 mm")


def test_idle_is_below_the_limiter() -> None:
    assert refused(InputsConflict, **BRANCH, idle_speed=8000 * RPM) == (
        "idle_speed",
        "not below rev_limit",
        "less than rev_limit",
    )


def test_a_neck_that_is_a_pipe() -> None:
    name, found, expected = refused(OutOfRange, **CHAMBER | {"neck_length": 1.5, "chamber_volume": 0.002})
    assert (name, expected) == ("neck_length", "at most 10 %")
    assert found == "1537 mm with its ends: 25 % in frequency"


# --- chart -------------------------------------------------------------------------------


def case(**changes: Any) -> SimpleNamespace:
    return SimpleNamespace(inputs=ENGINE | changes, outputs=run(**changes))


def test_chart() -> None:
    spec = side_chamber.chart({"cold": case(**CHAMBER), "hot": case(**CHAMBER, air_temperature=340.0)})
    assert spec is not None
    assert [line.label for line in spec.series] == [
        "twice firing (order 4)",
        "firing (order 2)",
        "order 1.5",
        "order 1",
        "order 0.5",
    ]
    assert [marker.label for marker in spec.markers] == ["chamber, cold", "chamber, hot"]
    # Firing at 8000 rpm is 8000/60 · 2 a second.
    assert spec.series[1].y[-1] == pytest.approx(8000 / 60 * 2)
    eight = side_chamber.chart({"": case(**BRANCH, cylinders=8)})
    assert eight is not None
    assert [line.label for line in eight.series] == [
        "twice firing (order 8)",
        "firing (order 4)",
        "order 3",
        "order 2",
        "order 1",
    ]
