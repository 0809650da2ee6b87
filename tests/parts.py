"""A small car in parts, for tests: a tank bracket that was changed twice, and a pipe that was thrown away."""

from __future__ import annotations

from tests.samples import calc

CAR = "name: Test\nabout: A car.\nstate: standard\ninputs: {}\n"
OLD_BOX = """\
name: old box
number: 10-1
standard: yes
mass: 1.40 ± 0.01 kg
weighed: 2024-03-02
history:
  - {fitted: as built}
  - {taken_off: 2024-03-02, by: box, lies: "shelf 3"}
"""
BOX_A = """\
name: box
number: BR-1
revision: A
standard: no
origin: made
mass: 0.98 ± 0.01 kg
weighed: 2024-03-02
price: 22 EUR
priced: 2024-03-01
replaces: [old-box]
superseded_by: box-b
history:
  - {fitted: 2024-03-02, by: box}
  - {taken_off: 2024-05-04, by: second, lies: "shelf 4"}
"""
BOX_B = """\
name: box
number: BR-1
revision: B
standard: no
origin: made
drawing: {of: second#side}
mass: 1.03 ± 0.01 kg
weighed: 2024-05-04
replaces: [box-a]
page: second
copying: allowed
licence: CC BY 4.0
licence_text: parts/licence.txt
history:
  - {fitted: 2024-05-04, by: second}
"""
OLD_PIPE = """\
name: old pipe
standard: yes
mass: 0.5 kg
weighed: 2024-03-02
history:
  - {fitted: as built}
  - {taken_off: 2024-04-06, by: box}
  - {gone: 2024-04-07, why: "thrown away"}
"""
PIPE = """\
name: pipe
standard: no
mass: 0.7 kg
weighed: 2024-04-06
replaces: [old-pipe]
history:
  - {fitted: 2024-04-06, by: box}
"""
BOX_PAGE = """\
---
title: The box
buildlog:
  series: Test
  episode: 1
  date: 2024-03-02
  reversible: yes
  undo: [Six screws.]
  bill: bill
---

# The box

The box weighs [0.98 kg](calc:parts/box-a.mass) and its material cost [22 EUR](calc:parts/box-a.price).
That is [0.42 kg lighter](calc:parts/box-a.mass "vs parts/old-box") than the old one.

""" + calc(
    """
    id: bill
    kind: parts
    inputs:
      currency: EUR
      parts:
        - {name: box, part: box-a}
        - {name: old box, part: old-box, action: removed}
    """
)
SIDE = """\
    id: side
    kind: sheet_bend
    title: Side of the box
    part: box-b
    inputs:
      material: 5754-H22
      thickness: 1.5 mm
      measured_to: outside
      grain: across
      width: 60 mm
      flanges:
        - {name: back, length: 40 mm}
        - {name: floor, length: 50 mm}
      bends:
        - {name: foot, angle: 90°, inside_radius: 2.5 mm, direction: up}
"""
SECOND_PAGE = (
    """\
---
title: The box again
buildlog:
  series: Test
  episode: 2
  date: 2024-05-04
  reversible: in part
  undo: [Eight rivets.]
  steps: How
  bill: again
---

# The box again

## How

1. Fold it.
    - *Check:* it is square.

"""
    + calc(SIDE)
    + calc(
        """
    id: again
    kind: parts
    inputs:
      currency: EUR
      parts:
        - {name: box, part: box-b, price: 31 EUR}
        - {name: first box, part: box-a, action: removed}
    """
    )
)
LIST = '# Parts\n\n<div data-buildlog="parts"></div>\n'
PARTS: dict[str, str] = {
    "old-box": OLD_BOX,
    "box-a": BOX_A,
    "box-b": BOX_B,
    "old-pipe": OLD_PIPE,
    "pipe": PIPE,
}
SITE: dict[str, str | bytes] = {
    "box.md": BOX_PAGE,
    "second.md": SECOND_PAGE,
    "parts.md": LIST,
    "cars/test.yml": CAR,
    "parts/licence.txt": "May be copied.\n",
    **{f"parts/{name}.yml": text for name, text in PARTS.items()},
}


def with_part(name: str, text: str, site: dict[str, str | bytes] = SITE) -> dict[str, str | bytes]:
    """The site with one part's file in place of what it is, or one more."""
    return {**site, f"parts/{name}.yml": text}
