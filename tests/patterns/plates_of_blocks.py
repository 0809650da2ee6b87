"""A kind that hands over a pattern: a strip as long as a header's primary."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from buildlog.kinds import catalogue
from buildlog.kinds.declaration import CaseView
from buildlog.kinds.pattern import Dimension, Line, Note, Pattern

STRIP = """\
id: strip
kind: header
title: A strip
inputs:
  engine_speed: {speed} rpm
  engine_displacement: 1998 cm³
  volumetric_efficiency: 98 %
  ambient_pressure: 955 hPa
  ambient_temperature: 18 °C
  air_fuel_ratio: 12.8
  gas_temperature: 800 °C
  back_pressure: 12 kPa
  firing_order: [1, 3, 4, 2]
  reflection: 1
  return_angle: 300°
  port_length: 85 mm
  primary_gas_speed: 90 m/s
"""


def strips(cases: Mapping[str, CaseView]) -> tuple[Pattern, ...]:
    """A strip of each case, with a bend in its middle."""
    return tuple(_strip(case.outputs["primary_length"]) for case in cases.values())


def _strip(length: float) -> Pattern:
    return Pattern(
        title="strip",
        material="card",
        revision="A",
        lines=(
            Line(kind="cut", points=((0, 0), (length, 0), (length, 0.04), (0, 0.04)), closed=True),
            Line(kind="bend", points=((length / 2, 0), (length / 2, 0.04))),
        ),
        dimensions=(Dimension(start=(0, 0), end=(length, 0), output="primary_length", away=-0.01),),
        notes=(Note(place=(0.1, 0.02), text="at {value}", output="return_angle"),),
    )


@contextmanager
def header_with_strips() -> Iterator[None]:
    """While it lasts the kind header hands over strips."""
    kind = catalogue.load_kind("header")
    object.__setattr__(kind, "patterns", strips)  # a kind is made once, and frozen
    try:
        yield
    finally:
        object.__setattr__(kind, "patterns", None)
