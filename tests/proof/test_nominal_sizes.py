"""What a part is called by is no figure: the noun behind a size, and the dimensions that it is sold by."""

from __future__ import annotations

import pytest

from buildlog.proof.nominal_sizes import is_nominal, names_before, singular


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("10 mm| socket", "length"),
        ("10 mm|-socket", "length"),
        ("76 mm| (3 in) hose", "length"),
        ("76 mm|) hose", "length"),
        ("3 in| stainless steel band clamp", "length"),
        ("12 V| battery", "voltage"),
        ("45°| bends", "angle"),
        ("8 mm| bushes", "length"),
        ("8 mm| assemblies of pipe", "length"),
        ("10 mm| ball-joint", "length"),
        ("1.8 l| Engine", "volume"),
        ("20 EUR| note", "money in EUR"),
    ],
)
def test_names_of_things(text: str, dimension: str) -> None:
    size, _, rest = text.partition("|")
    assert is_nominal(size + rest, len(size), [dimension]) == ("assemblies" not in text)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("3.1 kg| battery", "mass"),  # not what batteries are sold by
        ("76 mm| with a hose", "length"),
        ("3 mm| plate gap", "length"),  # a gap is measured
        ("3 mm| of the way along the whole hose", "length"),
        ("3 in| stainless thin wall cold drawn hose", "length"),  # five words away
        ("76 mm|. Hose", "length"),
        ("76 mm|", "length"),
    ],
)
def test_measures_that_name_nothing(text: str, dimension: str) -> None:
    size, _, rest = text.partition("|")
    assert not is_nominal(size + rest, len(size), [dimension])


def test_a_noun_of_the_sites_own_holds_for_every_dimension() -> None:
    assert not is_nominal("3 kg gizmos", 4, ["mass"])
    assert is_nominal("3 kg gizmos", 4, ["mass"], frozenset({"gizmo"}))


@pytest.mark.parametrize(
    ("text", "is_entry"),
    [
        ("Hose clamp, |76 mm", True),
        ("silicone hose clamps, |76 mm", True),
        ("We cut the hose, |76 mm", False),  # a sentence
        ("Hose gap, |76 mm", False),
        ("The very long and rather old hose clamp, |76 mm", False),
        ("Hose clamp |76 mm", False),
    ],
)
def test_entries_of_a_parts_list(text: str, is_entry: bool) -> None:
    head, _, rest = text.partition("|")
    assert names_before(head + rest, len(head), ["length"]) == is_entry


@pytest.mark.parametrize(
    ("noun", "forms"),
    [
        ("hose", {"hose"}), ("hoses", {"hoses", "hose", "hos"}),
        ("assemblies", {"assemblies", "assemblie", "assembly"}),
        ("bus", {"bus"}),
    ],
)  # fmt: skip
def test_what_a_noun_may_be_the_plural_of(noun: str, forms: set[str]) -> None:
    assert set(singular(noun)) == forms
