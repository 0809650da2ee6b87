"""Whether every part of a scanned page has the text that stands at its place."""

from __future__ import annotations

from buildlog.reading.markdown.page import MASK, Fence, LinkForm, ScannedPage


def every_place_slices_back(page: ScannedPage) -> None:
    """Raises AssertionError where an offset or a position of the page leads elsewhere.

    On a line that begins with an empty tag, ``<hr/> a<br/>b``, Python-Markdown takes the others out too and
    joins what stood around them: places behind one are on their line, and too far left by the tag.
    """
    text, raw = page.text, page.lines.raw
    for link in (*page.links, *page.cautions):
        if "/>" in raw[link.position.line - 1]:
            continue
        assert 0 <= link.start <= link.label_start <= link.label_end <= link.end <= len(text)
        assert text[link.start] == ("<" if link.form is LinkForm.AUTOMATIC else "[")
        # A sign that Python-Markdown drops, directly behind a link, is counted to it.
        assert text[: link.end].rstrip("\x02\x03")[-1] in ")]>"
        assert page.offset_to_position(link.start) == link.position
        written = text[link.label_start : link.label_end]
        if "\n" not in written and "\r" not in written:
            assert written == link.label
        address = text[link.address_start : link.address_end]
        if not set(address) & set("\\\r\n\t\x02\x03`"):
            assert address == link.address
    for fence in page.fences:
        _body_slices_back(fence, raw)
    for span in page.prose:
        if "/>" in raw[span.line - 1]:
            continue
        source = raw[span.line - 1][span.column - 1 :]
        assert len(span.text) <= len(source)
        assert all(shown in (MASK, written) for shown, written in zip(span.text, source, strict=False))


def _body_slices_back(fence: Fence, raw: list[str]) -> None:
    assert raw[fence.line - 1].startswith(fence.prefix)
    assert raw[fence.line - 1][fence.column - 1] in "`~"
    for index, (line, column) in enumerate(zip(fence.body_lines, fence.body_columns, strict=True)):
        source = raw[fence.line + index]
        for at, character in enumerate(line):
            if character != " ":
                assert source[column - 1 + at] == character
