"""A block's patterns in its card, and the files that they are published as."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from io import StringIO
from math import inf, nan
from typing import Any

import pytest
from ezdxf import bbox
from ezdxf.filemanagement import read

from buildlog.kinds.results import BlockResult, row_anchor
from buildlog.patterns.identity import origin_of, read_origin
from buildlog.render import render_card
from buildlog.render.pattern import named_patterns, pattern_files, pattern_paths, shown_patterns, title_of
from tests.parsed_html import parse
from tests.patterns.plates_of_blocks import STRIP, header_with_strips
from tests.render.blocks import compute


@pytest.fixture
def block() -> Iterator[BlockResult]:
    with header_with_strips():
        yield compute(STRIP.format(speed=7200))


def _card(block: BlockResult, **options: Any) -> Any:
    made = render_card(block, draw=lambda *of: "<svg></svg>", **options)
    return parse(made.html(lambda link: link.file or f"#{link.anchor}"))


def test_the_card_shows_the_pattern_with_its_values(block: BlockResult) -> None:
    card = _card(block)
    (figure,) = [one for one in card.all("figure") if "buildlog-pattern" in one.attributes.get("class", "")]
    value = block.value("", "primary_length")
    assert not isinstance(value, str | None)
    length = next(one for one in figure.all("a") if one.words.endswith("mm"))
    assert float(length.words.split()[0]) == pytest.approx(1000 * value.si, abs=0.5)
    assert length.attributes["href"] == "#" + row_anchor("strip", "primary_length")
    for word in ("card", "revision A", "drawing", "wide: cut", "dashed: bend"):
        assert word in figure.words


def test_a_drawing_is_called_by_its_authors_title_or_else_by_the_block(block: BlockResult) -> None:
    assert block.calculator is not None
    worded = replace(block.patterns[0], title="Flat")
    bare = replace(block, title=block.calculator.title)
    assert title_of(bare, worded) == "Flat, strip"
    assert title_of(replace(block, title="Cut from card"), worded) == "Flat, Cut from card"


def test_links_lead_to_the_files_that_the_site_has(block: BlockResult) -> None:
    paths = pattern_paths(block)
    assert [path.rpartition("/")[2] for path in paths] == [
        "strip-A4.pdf", "strip-Letter.pdf", "strip.dxf", "strip.svg",
    ]  # fmt: skip
    shown = {one.attributes.get("href") for one in _card(block, published=paths).all("a")}
    assert set(paths) <= shown
    assert not set(paths) & {one.attributes.get("href") for one in _card(block).all("a")}


def test_files_are_what_the_links_say(block: BlockResult) -> None:
    files = pattern_files(block)
    assert list(files) == pattern_paths(block)
    value = block.value("", "primary_length")
    assert not isinstance(value, str | None)
    document = read(StringIO(files["assets/buildlog/episode/strip.dxf"].decode()))
    box = bbox.extents(document.modelspace().query('POLYLINE[layer=="CUT"]'))
    assert box.size.x == pytest.approx(1000 * value.si, abs=1e-5)
    assert files["assets/buildlog/episode/strip-A4.pdf"].startswith(b"%PDF")


def test_all_drawings_of_a_pattern_have_one_digest(block: BlockResult) -> None:
    files = pattern_files(block)
    (shown,) = shown_patterns(block, ())
    (in_card,) = re.findall("drawing ([0-9a-f]{12})", " ".join(shown.details))
    dxf = read_origin(files["assets/buildlog/episode/strip.dxf"].decode().splitlines()[1])
    assert dxf is not None
    assert dxf.digest == in_card
    assert in_card in files["assets/buildlog/episode/strip.svg"].decode()


def test_names_of_files_are_safe_and_each_has_its_own(block: BlockResult) -> None:
    (pattern,) = block.patterns
    names = ("a/b", "a b", "../../etc", "A-B", "<x>", "")
    several = replace(block, patterns=tuple(replace(pattern, name=name) for name in names))
    made = [name for name, _ in named_patterns(several)]
    assert len({name.lower() for name in made}) == len(names)
    assert all(re.fullmatch(r"[A-Za-z0-9_.-]+", name) for name in made)


def test_names_of_files_are_those_of_one_block_and_not_too_long(block: BlockResult) -> None:
    (pattern,) = block.patterns
    of_case = replace(block, id="box", patterns=(replace(pattern, case="side"),))
    of_block = replace(block, id="box-side", patterns=(pattern,))
    assert not set(pattern_paths(of_case)) & set(pattern_paths(of_block))
    long = [replace(block, id="box", patterns=(replace(pattern, case=f"{'x' * 300}{end}"),)) for end in "ab"]
    names = [path.rpartition("/")[2] for one in long for path in pattern_paths(one)]
    assert len(set(names)) == 8
    assert max(map(len, names)) < 128


@pytest.mark.parametrize("wrong", [nan, inf, 1e300])
def test_a_pattern_that_is_no_number_says_why(wrong: float, block: BlockResult) -> None:
    (pattern,) = block.patterns
    line = replace(pattern.lines[0], points=((0.0, 0.0), (wrong, 0.0)))
    bad = replace(block, patterns=(replace(pattern, lines=(line,)),))
    assert "The pattern is not drawn" in _card(bad).words
    assert pattern_files(bad) == {}


def test_what_cannot_be_drawn_says_why_and_has_no_files(block: BlockResult) -> None:
    (pattern,) = block.patterns
    wrong = replace(block, patterns=(replace(pattern, lines=()),))
    assert "The pattern is not drawn" in _card(wrong).words
    assert pattern_files(wrong) == {}


def test_nothing_of_an_author_is_markup(block: BlockResult) -> None:
    (pattern,) = block.patterns
    hostile = "<script>alert(1)</script>{{7*7}}"
    worded = replace(
        pattern, name=hostile, title=hostile, material=hostile, revision=hostile, use=hostile,
        notes=tuple(replace(note, text=hostile) for note in pattern.notes),
    )  # fmt: skip
    card = _card(replace(block, title=hostile, patterns=(worded,)))
    assert not list(card.all("script"))
    assert hostile in card.words


BENT = """id: lip
kind: sheet_bend
inputs:
  material: 6082-T6
  thickness: 1.5 mm
  measured_to: outside
  width: 100 mm
  flanges: [{length: 40 mm}, {length: 40 mm}]
  bends: [{angle: 90°, inside_radius: 0.5 mm, direction: up}]
"""


def test_a_drawing_says_which_face_it_shows_and_which_limits_are_not_kept() -> None:
    """Whoever cuts by a file has no card to read: 6082-T6 of 1.5 mm wants 2.5 times as much (EN 485-2)."""
    block = compute(BENT)
    (pattern,), (unkept, *_) = block.patterns, block.cases[""].unkept
    files = {path.rpartition(".")[2]: content for path, content in pattern_files(block).items()}
    svg = files["svg"].decode()
    lines = [one.words for one in parse(svg).all("text")]
    below = " ".join(lines[lines.index(next(one for one in lines if "100 mm" in one)) :])
    assert str(pattern.use) in below
    assert f"Limit: {unkept}" in below
    document = read(StringIO(files["dxf"].decode()))
    words = " ".join(one.dxf.text for one in document.modelspace().query("TEXT"))
    assert "Drawn is the face that is up" in words
    assert "Limit: " in words
    assert f"Limit: {unkept}" in _card(block).words


def test_the_digest_tells_a_limit_that_is_not_kept_any_more() -> None:
    block = compute(BENT)
    case = replace(block.cases[""], unkept=())
    kept = replace(block, cases={"": case})
    (pattern,) = block.patterns
    assert origin_of(block, pattern).digest != origin_of(kept, pattern).digest


def test_words_of_a_page_are_never_small(block: BlockResult) -> None:
    """At the least size of the drawing its words are 11 px high, however wide or tall the pattern is."""
    (shown,) = shown_patterns(block, ())
    svg = parse(str(shown.svg)).all("svg")[0].attributes
    least = [float(one) for one in re.findall(r"least-(?:width|height): (\d+)px", svg["style"])]
    box = [float(one) for one in svg["viewbox"].split()]
    sizes = {float(one.attributes["font-size"]) for one in parse(str(shown.svg)).all("text")}
    for side, pixels in zip(box[2:], least, strict=True):
        assert min(sizes) * pixels / side >= 11
