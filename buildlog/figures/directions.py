"""Words that say which way a quantity goes: “lighter”, “560 rpm more”, “saves”.

The words are the common ones of English (common practice, no source). What some of them mean depends on
the quantity: quicker is less of a time and more of a speed. Where a word does not tell, its sense is 0 and
nothing is made of it: a shorter final drive has the larger ratio.
"""

from __future__ import annotations

_MORE = frozenset(
    "more extra additional higher larger bigger greater up plus "
    "gain gains gained gaining rise rises rose risen rising raise raises raised grow grows grew grown "
    "growing "
    "increase increases increased increasing add adds added adding climbs climbed".split()
)
_LESS = frozenset(
    "less lower smaller fewer down minus reduced "
    "lose loses lost losing loss drop drops dropped dropping fall falls fell fallen falling "
    "save saves saved saving savings shed sheds shedding cut cuts "
    "decrease decreases decreased decreasing reduce reduces reducing reduction "
    "shrink shrinks shrank shrunk".split()
)
_OF_ONE = {
    "heavier": (("mass", "force", "moment of inertia"), 1),
    "lighter": (("mass", "force", "moment of inertia"), -1),
    "hotter": (("temperature", "temperature difference"), 1),
    "warmer": (("temperature", "temperature difference"), 1),
    "cooler": (("temperature", "temperature difference"), -1),
    "colder": (("temperature", "temperature difference"), -1),
    "longer": (("length", "time"), 1),
    "shorter": (("length", "time"), -1),
    "taller": (("length",), 1),
    "deeper": (("length",), 1),
    "wider": (("length", "area", "angle"), 1),
    "thicker": (("length",), 1),
    "narrower": (("length", "area", "angle"), -1),
    "thinner": (("length",), -1),
    "stiffer": (("stiffness", "torsional stiffness"), 1),
    "softer": (("stiffness", "torsional stiffness"), -1),
    "stronger": (("force", "torque", "power", "pressure"), 1),
    "weaker": (("force", "torque", "power", "pressure"), -1),
    "dearer": (("money",), 1),
    "cheaper": (("money",), -1),
    "later": (("time",), 1),
    "sooner": (("time",), -1),
    "earlier": (("time",), -1),
    "louder": (("sound level", "level difference"), 1),
    "quieter": (("sound level", "level difference"), -1),
}
_QUICK = frozenset("quicker faster".split())
_SLOW = frozenset("slower".split())
_SPEEDS = frozenset(("speed", "frequency", "rotational speed", "acceleration", "angular acceleration"))
# “gains half a second” is said of less time, and of more as well.
_EITHER_OF_TIME = frozenset("gain gains gained gaining lose loses lost losing loss up down".split())

WORDS = _MORE | _LESS | _OF_ONE.keys() | _QUICK | _SLOW


def sense(word: str, dimension: str) -> int:
    """1 where the word says that a quantity of this dimension grew, −1 where it fell, else 0."""
    word = word.lower()
    if dimension == "time":
        if word in _EITHER_OF_TIME:
            return 0
        if word in _QUICK | _SLOW:
            return -1 if word in _QUICK else 1
    if word in _QUICK | _SLOW:
        return (1 if word in _QUICK else -1) if dimension in _SPEEDS else 0
    if word in _OF_ONE:
        dimensions, direction = _OF_ONE[word]
        return direction if dimension.startswith(dimensions) else 0
    if word in _MORE:
        return 1
    return -1 if word in _LESS else 0


_OPPOSITES = (
    "more less", "higher lower", "larger smaller", "bigger smaller", "greater smaller", "up down",
    "faster slower", "quicker slower", "heavier lighter", "hotter cooler", "warmer cooler", "longer shorter",
    "wider narrower", "thicker thinner", "stiffer softer", "stronger weaker", "dearer cheaper",
    "later earlier", "louder quieter",
)  # fmt: skip


def opposite(word: str) -> str:
    """The word that says the other direction, as far as there is a common one, or ""."""
    for pair in _OPPOSITES:
        words = pair.split()
        if word in words:
            return words[1 - words.index(word)]
    return ""
