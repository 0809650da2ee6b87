"""What a row or a listed value goes by in an address."""

from __future__ import annotations

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import AsWritten, InputsConflict
from buildlog.kinds.keys import address_key, pair_key, row_keys, value_keys
from buildlog.reading.addresses import read_address


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("battery", "battery"),
        ("hose clamp", "hose-clamp"),
        ("  old  battery ", "old-battery"),
        ("bolt M8×40 (lower)", "bolt-M8×40-lower"),
        ("Kühlerschlauch", "Kühlerschlauch"),
        ("バッテリー", "バッテリー"),
        ("60 km/h", "60-km/h"),
        ("1,500 rpm", "1,500-rpm"),
        ("0.5 mm", "0.5-mm"),
        ("−10 °C", "-10-°C"),
        ("1\u00a0½ in", "1-½-in"),
        ("50 %", "50-%"),
        ("rod end, left", "rod-end,-left"),
        ("see #3: clip & tie", "see-3-clip-tie"),
        ("no. 5.", "no.-5"),
        ("the end..", "the-end"),
        ("calc:a.b", "calc-a.b"),
        ("(#)", ""),
    ],
)
def test_words_as_an_address_has_them(words: str, key: str) -> None:
    assert address_key(words) == key
    assert address_key(key) == key


@given(st.text(max_size=30))
def test_a_key_can_be_written_in_an_address_and_means_itself(words: str) -> None:
    key = address_key(words)
    assert address_key(key) == key
    assert not re.search(r"[\s()<>\[\]\"'`|*#&\\\\]", key)
    if key:
        assert ".".join(read_address(f"calc:block.quantity.{key}").rest[1:]) == key


def test_names_that_look_alike_are_one() -> None:
    assert address_key(unicodedata.normalize("NFD", "Kühler")) == address_key("Kühler")


def test_rows_go_by_their_names() -> None:
    assert row_keys("parts", [{"name": "bolt, long"}, {}, {"name": "nut"}]) == ["bolt,-long", "2", "nut"]


@pytest.mark.parametrize(
    ("rows", "found", "at"),
    [
        ([{"name": "bolt"}, {"name": "nut"}, {"name": "bolt"}], "two rows named “bolt”", (2, "name")),
        ([{"name": "old bolt"}, {"name": "old-bolt"}], "two rows named “old-bolt”", (1, "name")),
        ([{"name": "2"}, {}], "two rows named “2”", (1, "name")),
        ([{"name": "nut"}, {"name": "?"}], "the name “?”", (1, "name")),
    ],
)
def test_rows_that_could_be_taken_for_each_other(
    rows: list[dict[str, str]], found: str, at: tuple[int, str]
) -> None:
    with pytest.raises(InputsConflict) as refused:
        row_keys("parts", rows)
    assert (refused.value.name, refused.value.found, refused.value.at) == ("parts", found, at)


def test_listed_values_go_by_how_they_are_written() -> None:
    speeds = [AsWritten(50 / 3.6, "50 km/h", "km/h"), AsWritten(26.8224, "60 mph", "mph")]
    assert value_keys("speed", speeds) == ["50-km/h", "60-mph"]
    assert value_keys("speed", [10.0, 20.0]) == ["1", "2"], "nobody wrote these"
    with pytest.raises(InputsConflict) as refused:
        value_keys("speed", [*speeds, speeds[0]])
    assert (refused.value.found, refused.value.at) == ("50 km/h twice", (2,))


def test_a_span_goes_by_both_ends() -> None:
    thirty, sixty = AsWritten(13.4112, "30 mph", "mph"), AsWritten(26.8224, "60 mph", "mph")
    assert pair_key(thirty, sixty, 1) == "30-60-mph"
    assert pair_key(thirty, AsWritten(100 / 3.6, "100 km/h", "km/h"), 1) == "30-mph-100-km/h"
    assert pair_key(13.4112, 26.8224, 3) == "3"
