"""Our parts in the HTML of a page: found whatever they hold, exported as text, moved to another page."""

from __future__ import annotations

import pytest

from buildlog.render.elsewhere import shown_elsewhere
from buildlog.render.exported import exported, formula_text, with_addresses
from buildlog.render.ours import our_parts, replace_ours

BOX = '<div class="buildlog" lang="en">{}</div>'
PLACE = '<span class="buildlog-figure-place">{}</span>'


@pytest.mark.parametrize(
    "inside",
    [
        "",
        "text",
        "<div><div>a</div></div>b",
        PLACE.format("<span>a</span>"),
        "<divider></divider>",
        "<p>a\n</p>",
    ],
)
def test_a_part_ends_where_its_element_does(inside: str) -> None:
    html = f'<div class="other">{BOX.format(inside)}<div>{PLACE.format(inside)}</div></div>'
    assert [html[part.start : part.end] for part in our_parts(html)] == [inside, inside]
    assert [html[part.opening : part.closing] for part in our_parts(html)] == [
        BOX.format(inside),
        PLACE.format(inside),
    ]
    assert replace_ours(html, lambda text: f"<{text}>").count(f"<{inside}>") == 2


def test_what_is_cut_off_is_no_part_and_other_html_is_left_alone() -> None:
    for html in ("", "<p>a</p>", '<div class="buildlog"><div></div>', '<div class="buildlog-other"></div>'):
        assert list(our_parts(html)) == []
        assert replace_ours(html, lambda text: "gone") == html


def test_elsewhere_ids_are_prefixed_and_so_is_what_points_at_them() -> None:
    html = '<p id="a"><a href="#a">a</a></p>' + BOX.format(
        '<table id="a" aria-labelledby="b c" data-row="d"></table><a class="x" href="#a">a</a>'
        '<svg><use xlink:href="#a"/><path style="fill: url(#a)"/></svg><a href="data:x,&quot;#&quot;">b</a>'
    )
    assert shown_elsewhere(html, "p-", lambda address: "there/" + address) == (
        '<p id="a"><a href="#a">a</a></p>'
        + BOX.format(
            '<table id="p-a" aria-labelledby="p-b p-c" data-row="p-d"></table>'
            '<a class="x" href="there/#a">a</a>'
            '<svg><use xlink:href="#p-a"/><path style="fill: url(#p-a)"/></svg>'
            '<a href="there/data:x,&quot;#&quot;">b</a>'
        )
    )


# --- as text ----------------------------------------------------------------------------------


def text_of(inside: str, *, working: bool = False) -> str:
    (part,) = our_parts(html := exported(BOX.format(inside), working=working))
    return html[part.start : part.end]


@pytest.mark.parametrize(
    ("inside", "expected"),
    [
        ('<a href="#a">78 N·m</a><span class="buildlog-tag">1</span>', '<a href="#a">78 N·m</a> (1)'),
        ('a<span class="buildlog-note"> Computed <b>b</b></span> c', "a c"),
        ("<script>x</script><svg><text>y</text></svg>z", "z"),
        (
            "<details><summary>All</summary><p>a &lt; b</p></details>",
            "<div><p><strong>All</strong></p><p>a &lt; b</p></div>",
        ),
        ("<p><i>v</i><sub>0</sub></p>", "<p><i>v</i>_0</p>"),
        (
            '<table><caption>A <span class="buildlog-unit">m</span></caption><tr><th rowspan="2">b</th>'
            "<td>1</td></tr><tr><td>2</td></tr></table>",
            "<p><strong>A  [m]</strong></p><table><tr><th>b</th><td>1</td></tr>"
            "<tr><th></th><td>2</td></tr></table>",
        ),
        ('<p>1 <span class="buildlog-percent">2 %</span></p>', "<p>1, 2 %</p>"),
    ],
)
def test_what_a_style_sheet_says_is_said_in_elements(inside: str, expected: str) -> None:
    assert text_of(inside) == expected


def test_the_working_is_there_where_it_is_asked_for() -> None:
    inside = '<details class="buildlog-fold buildlog-on-screen buildlog-working"><p>a</p></details>'
    assert text_of(inside) == ""
    assert text_of(inside, working=True) == "<div><p>a</p></div>"


@pytest.mark.parametrize(
    ("mathml", "expected"),
    [
        (
            "<mi>r</mi><mo>=</mo><mfrac><mi>U</mi><mrow><mn>2</mn><mo>\u2062</mo><mi>π</mi></mrow></mfrac>",
            "r = U/(2·π)",
        ),
        ("<msup><mrow><mi>a</mi><mo>+</mo><mi>b</mi></mrow><mn>2</mn></msup>", "(a + b)^2"),
        ("<msub><mi>i</mi><mi>g</mi></msub><msqrt><mi>x</mi></msqrt>", "i_g√(x)"),
        ("<msubsup><mi>v</mi><mn>0</mn><mn>2</mn></msubsup>", "v_0^2"),
        ("<mtext>if&nbsp;a</mtext><mo>&lt;</mo><mi>b</mi>", "if a < b"),
        ("<mfrac><msub><mi>F</mi><mi>x</mi></msub><mn>1.5</mn></mfrac>", "F_x/1.5"),
    ],
)
def test_a_formula_is_a_line_of_text(mathml: str, expected: str) -> None:
    assert formula_text(f"<math>{mathml}</math>") == expected
    assert formula_text(f'<math alttext="as told">{mathml}</math>') == "as told"


def test_addresses_are_written_in_attributes_alone() -> None:
    html = '<a class="x" href="a?b&amp;c">href="d"</a><img src="e"><code>src="f"</code>'
    assert with_addresses(html, lambda address: f"/{address}") == html.replace('"a?', '"/a?').replace(
        '"e"', '"/e"'
    )
