"""The drawing as SVG (W3C, Scalable Vector Graphics 1.1, 7.10 units and 8 paths)."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from buildlog.kinds.pattern import Note
from buildlog.patterns.identity import read_origin
from buildlog.patterns.layout import lay_out
from buildlog.patterns.svg import as_file, in_page
from tests.patterns.plates import ORIGIN, PLATE, tell

SVG = "{http://www.w3.org/2000/svg}"


def _read(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def test_a_file_is_as_large_as_what_it_shows() -> None:
    """One unit of the view box is a millimetre."""
    root = _read(as_file(lay_out(PLATE, tell), title="side", origin=ORIGIN))
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{width:.3f}mm"
    assert root.attrib["height"] == f"{height:.3f}mm"


def test_the_outline_is_measured_again() -> None:
    root = _read(as_file(lay_out(PLATE, tell), title="side", origin=ORIGIN))
    cut = next(one for one in root.iter(f"{SVG}path") if one.attrib["data-line"] == "cut")
    outline = cut.attrib["d"].split("Z")[0]
    numbers = [float(one) for one in re.findall(r"-?[\d.]+", outline)]
    across, downwards = numbers[::2], numbers[1::2]
    assert max(across) - min(across) == pytest.approx(420)
    assert max(downwards) - min(downwards) == pytest.approx(310)
    assert max(downwards) == 0  # y goes down in SVG, and the plate stands on 0


def test_kinds_of_lines_are_told_apart() -> None:
    root = _read(as_file(lay_out(PLATE, tell), title="side", origin=ORIGIN))
    paths = {one.attrib["data-line"]: one for one in root.iter(f"{SVG}path")}
    assert set(paths) == {"cut", "bend", "centre", "mark", "dimension"}
    dashes = [one.attrib.get("stroke-dasharray", "") for kind, one in paths.items() if kind != "dimension"]
    assert len(set(dashes)) == 4
    assert float(paths["cut"].attrib["stroke-width"]) >= 2 * float(paths["bend"].attrib["stroke-width"])


def test_values_lead_to_their_results() -> None:
    root = _read(as_file(lay_out(PLATE, tell), title="side", origin=ORIGIN))
    links = {one.attrib["href"]: "".join(one.itertext()) for one in root.iter(f"{SVG}a")}
    assert links == {
        "calc:box#side.width": "420.0 mm",
        "calc:box#side.height": "310.0 mm",
        "calc:box#side.angle": "90°",
    }


def test_a_file_says_where_it_came_from() -> None:
    root = _read(as_file(lay_out(PLATE, tell), title="side", origin=ORIGIN))
    metadata = root.find(f"{SVG}metadata")
    assert metadata is not None
    assert read_origin(metadata.text or "") == ORIGIN


def test_nothing_of_an_author_is_markup() -> None:
    hostile = '<script>alert(1)</script>" onload="x'
    text = in_page(
        lay_out(PLATE, tell),
        anchor=hostile,
        title=hostile,
        description=hostile,
        words=3.5,
        href=lambda one: hostile,
    )
    root = _read(text)
    assert not list(root.iter(f"{SVG}script"))
    assert "onload" not in {name for one in root.iter() for name in one.attrib}
    assert root.find(f"{SVG}title").text == hostile  # type: ignore[union-attr]


@pytest.mark.parametrize("words", [3.5, 7.0])
def test_words_in_a_page_are_neither_too_small_nor_too_large(words: float) -> None:
    """By the width of the view box and of the picture: from 11 to 14 px, whatever there is room for."""
    text = in_page(
        lay_out(PLATE, tell, words=words), anchor="a", title="t", description="d", words=words, href=str
    )
    across = float(_read(text).attrib["viewBox"].split()[2])
    pixels = {name: float(size) for name, size in re.findall(r"--buildlog-(\w+-width): (\d+)px", text)}
    assert pixels["least-width"] * words / across == pytest.approx(11.2, rel=0.01)
    assert pixels["most-width"] * words / across == pytest.approx(14, rel=0.01)


def test_in_a_page_values_without_an_address_are_no_links() -> None:
    text = in_page(
        lay_out(PLATE, tell), anchor="a", title="t", description="d", words=3.5, href=lambda address: ""
    )
    assert not list(_read(text).iter(f"{SVG}a"))


@pytest.mark.parametrize(
    "sign", ["\0", "\x1b", "\x0b", "\ud800", "\ufffe", "<", "&", "]]>", '"', "\u202e", "\n"]
)
def test_no_sign_of_an_author_breaks_the_file(sign: str) -> None:
    """Signs that XML 1.0 does not have (section 2.2, Char) are told by the replacement sign."""
    worded = replace(PLATE, notes=(Note(place=(0.1, 0.1), text=f"up{sign}side"),))
    made = as_file(lay_out(worded, tell), title=f"a{sign}b", origin=ORIGIN).encode(
        "utf-8", "xmlcharrefreplace"
    )
    root = ElementTree.fromstring(made)
    assert root.findtext("{*}title") in (f"a{sign}b", "a\ufffdb")
    assert [one.text for one in root.iterfind("{*}text")][-1] in (f"up{sign}side", "up\ufffdside")
