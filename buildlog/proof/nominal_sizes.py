"""Nominal sizes: what a part is called by, not what somebody measured.

A ``10 mm socket`` or a ``12 V battery`` is the name of a thing on a shelf. It is known by the noun after
it, and each noun makes nominal only the dimensions it is sold by: ``a 12 V battery`` is a name, ``a 3.1 kg
battery`` a figure. A noun that a site adds holds for every dimension.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from buildlog.figures import units

_MOST_WORDS = 4
"""How many words after the unit may hold the noun: a 3 in stainless steel band clamp."""

_BY_DIMENSIONS: dict[str, str] = {
    # What is bought, or reached for, by a length: tools, fasteners, stock, pipework, running gear.
    "length": """
        socket spanner wrench ratchet key hex bit drill reamer tap die punch chisel file blade hacksaw
        holesaw cutter brush roller tape clamp vice driver extension drive mandrel mallet feeler gauge
        caliper micrometer ruler bolt screw nut washer stud rivet nutsert pin dowel clip circlip hole shim
        spacer bush bushing bearing seal ring grommet thread insert helicoil sheet plate strip bar rod tube
        tubing pipe pipework hose hosing duct ducting line wire cable lead cord rope foam board ply plywood
        mat tie angle channel section stock billet union elbow bend coupler coupling fitting adaptor adapter
        reducer joiner tee bung boss flange gasket joint balljoint terminal lug connector bracket rivnut
        roll reel coil exhaust steel aluminium aluminum brass copper titanium acrylic perspex polycarbonate
        nylon rubber neoprene glass swaybar lathe mill plug cap sleeve sleeving heatshrink conduit belt
        chain sprocket pulley disc rotor drum brake piston cylinder clutch valve throttle carburettor
        carburetor choke jet nozzle wheel alloy rim tyre axle lens arbor trumpet filter intercooler radiator
        fan pcd bead weld
        """,
    "area": "wire cable flex lead core",
    "angle": """
        bend elbow bracket fitting adaptor adapter union joiner chamfer countersink tee vee twin corner
        square pot potentiometer
        """,
    "threads per length": "blade hacksaw saw thread tap die bolt screw nut stud",
    "mass": """
        bag tin can tub sack hammer mallet reel roll pack spool bottle extinguisher sledge weight press jack
        hoist crane winch stand strap
        """,
    "mass per area": "cloth twill weave mat matting fabric glass carbon fibre paper satin",
    "volume": """
        engine motor block four six eight twin triple tin can bottle jug tub bucket container canister drum
        cartridge syringe class unit pot jar sachet
        """,
    "voltage": """
        battery supply system socket outlet charger feed bulb lamp light led pump relay fan motor coil
        solenoid drill driver lead rail line engine head four cylinder sensor reference
        """,
    "electric current": "fuse relay breaker switch charger alternator welder cable plug arm connector",
    "electric charge": "battery cell pack",
    "resistance": "resistor plug lead sender pot potentiometer",
    "power": "bulb lamp light led iron heater element resistor laser speaker gun inverter drill joint boot",
    "energy": "rim wheel",
    "pressure": "cap regulator compressor link linkage",
    "torque": "wrench driver",
    "temperature": "thermostat sealant silicone paint tape grease",
    "force": "press",
    "speed": "limit zone sign",
    "frequency": "supply mains",
    "ratio": "mix mixture solution scale model alcohol isopropyl cotton polyester vinegar sure certain",
    "acceleration": "clamp cramp",
    "money": "note coin voucher class",
}  # fmt: skip

# A word that cannot stand between a size and its noun: after "76 mm with a hose" nothing is named.
_STOPS = frozenset(
    """
    a an the all both this that these those of and or but nor in on at to for from by with without than as
    is was are were be been has have had so which who where when while if then because above below under
    over between behind beyond ahead into onto out off up down through across along around about per each
    every before after until against inside outside towards toward near past clear proud apart away more
    less long tall high longer shorter short thinner thicker wider narrower higher lower deeper bigger
    smaller heavier lighter taller larger stiffer looser tighter further not no it its we you they he she i
    there here too only just still can will would should may might must could did does do gives gave makes
    made leaves left plus minus
    """.split()
)

# After these a noun is no longer what the size names: "a 3 mm plate gap" is a gap.
_MEASURES = frozenset(
    """
    gap travel length lift clearance movement wear stroke thickness diameter depth offset deflection spacing
    height width float play droop runout overlap radius preload stretch reach volume weight mass size
    """.split()
)
_WORD = re.compile(r"[^\W\d_][\w'’]*(?:[-‐‑][^\W\d_][\w'’]*)*")
_BETWEEN = re.compile(r"\ufffc*+(?:[ \u00a0\u202f\u2009]{1,3}|[-‐‑])")
_ENTRY = re.compile(r"((?:[^\W\d_][\w'’-]{0,30} ){0,4}[^\W\d_][\w'’-]{0,30}), ")
_ASIDE = re.compile(r"[ \u00a0]\([^()]{1,24}\)")


@cache
def _built_in() -> Mapping[str, frozenset[str]]:
    """Dimension → nouns; "money" stands for every currency."""
    nouns = {name: frozenset(words.split()) for name, words in _BY_DIMENSIONS.items()}
    for name in units.DIMENSIONS:
        if name.startswith("money"):
            nouns[name] = nouns["money"]
    return nouns


def singular(noun: str) -> Iterable[str]:
    """What a noun may be the plural of, itself first.

    >>> list(singular("bushes"))
    ['bushes', 'bushe', 'bush']
    """
    yield noun
    if noun.endswith("s") and len(noun) > 3:
        yield noun[:-1]
        if noun.endswith("ies"):
            yield noun[:-3] + "y"
        elif noun.endswith("es"):
            yield noun[:-2]


def _names(word: str, nouns: frozenset[str]) -> bool:
    """Whether the word, or its last part (ball-joint), is one of the nouns."""
    return any(form in nouns for form in (*singular(word), *singular(re.split("[-‐‑]", word)[-1])))


def is_nominal(text: str, end: int, dimensions: Iterable[str], extra: frozenset[str] = frozenset()) -> bool:
    """Whether a size in one of the dimensions that ends at `end` is named by the noun after it."""
    built_in = _built_in()
    nouns = extra.union(*(built_in.get(dimension, frozenset()) for dimension in dimensions))
    at = end
    if aside := _ASIDE.match(text, at):  # 76 mm (3 in) hose
        at = aside.end()
    elif text[at : at + 1] == ")":
        at += 1
    for _ in range(_MOST_WORDS):
        between = _BETWEEN.match(text, at)
        word = _WORD.match(text, between.end(), between.end() + 40) if between else None
        if word is None:
            return False
        at, spelt = word.end(), word[0].casefold()
        if _names(spelt, nouns):
            after = _WORD.match(text, at + 1, at + 40) if text[at : at + 1] == " " else None
            if after is None or not _names(after[0].casefold(), _MEASURES):
                return True
        if spelt in _STOPS:
            return False
    return False


def names_before(
    text: str, start: int, dimensions: Iterable[str], extra: frozenset[str] = frozenset()
) -> bool:
    """Whether the text is an entry of a parts list up to the size at `start`: ``Hose clamp, 76 mm``."""
    head = _ENTRY.fullmatch(text, 0, start) if start < 80 else None
    if head is None:
        return False
    built_in = _built_in()
    nouns = extra.union(*(built_in.get(dimension, frozenset()) for dimension in dimensions))
    words = [word.casefold() for word in head[1].split()]
    return _names(words[-1], nouns) and not any(word in _STOPS for word in words)
