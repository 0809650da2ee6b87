"""A series of two jobs and a third page that is only read, for tests of what front matter does."""

from __future__ import annotations

from tests.samples import calc

SOURCES = """\
axle-sheet:
  {title: Axle sheet, publisher: Test Axles, edition: 2nd edition, page: "7", facts: {crown: 78 N·m}}
last-owner: {who: the last owner, when: at the sale}
"""
CAR = """\
state: standard
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  final_drive: 4.10
changes:
  - state: shorter-final
    since: the shorter final drive
    inputs: {final_drive: 41/9}
"""
FIRST = (
    """\
---
title: A shorter final drive
buildlog:
  series: The Test Car
  episode: 1
  date: 2024-03-09
  time: "[14 h](cite:axle-sheet)"
  skill: somebody who has set up a gear pair before
  reversible: yes
  hazards: [lifting]
  tools: [dial gauge, torque wrench]
  consumables: ["[1.1 l](cite:axle-sheet) of axle oil"]
  measure:
    - Backlash of the old pair: mm
    - Photograph of the contact pattern
  undo: [Fit the old pair., Recalibrate the speedometer.]
---

# A shorter final drive

Third ends at [150.6 km/h](calc:then.speed_at_limit.3).

<div data-buildlog="needs"></div>

1. Mind [its weight](caution:driveline), and [](caution:friction-dust).
2. Bolts to [78 N·m](cite:axle-sheet.crown "for the crown wheel bolts").

"""
    + calc("id: then\nkind: gearing\ncar: test\nstate: standard")
    + calc(
        """
        id: pair
        kind: parts
        inputs:
          currency: EUR
          parts:
            - {name: crown wheel and pinion, mass: 7.00 ± 0.03 kg, price: 400 EUR}
            - {name: crown wheel bolt, quantity: 8, mass: 50 g, price: 2.50 EUR}
            - {name: old pair, action: removed, mass: 6.20 ± 0.04 kg}
        """
    )
)
SECOND = """\
---
title: A cold-air duct
buildlog:
  series: The Test Car
  episode: 2
  time: 90 min
---

# A cold-air duct

""" + calc(
    """
        id: duct
        kind: parts
        inputs:
          currency: EUR
          parts:
            - {name: aluminium duct, mass: 0.84 kg, price: 31 EUR, origin: made}
            - {name: hose clamp, quantity: 4, mass: 35 g, price: 2.40 EUR}
            - {name: old air box, action: removed, mass: 2.10 kg}
        """
)
THIRD = "# About\n\nNothing to do here.\n"
FILES: dict[str, str | bytes] = {
    "sources.yml": SOURCES,
    "cars/test.yml": CAR,
    "episodes/final.md": FIRST,
    "episodes/duct.md": SECOND,
    "about.md": THIRD,
}
