"""A pattern's drawing as DXF of release 12, which every program for cutting reads: millimetres at full size,
one layer for each kind of line."""

from __future__ import annotations

from io import StringIO

from ezdxf.addons.r12writer import R12FastStreamWriter

from buildlog.patterns.identity import Origin
from buildlog.patterns.layout import Drawing, StrokeKind

LAYERS: dict[StrokeKind, str] = {
    "cut": "CUT",
    "bend": "BEND",
    "centre": "CENTRE",
    "mark": "MARK",
    "dimension": "DIMENSION",
}
WORDS_LAYER = "TEXT"
_LINETYPES: dict[StrokeKind, str] = {
    "cut": "CONTINUOUS",
    "bend": "DASHED",
    "centre": "CENTER",
    "mark": "DOT",
    "dimension": "CONTINUOUS",
}
"""Of the table of line types that the writer gives each file."""
_SIGNS = {
    "°": "%%d",
    "±": "%%p",
    "⌀": "%%c",
    "−": "-",
    "×": "x",
    "\u00a0": " ",
    "\u202f": " ",
    "’": "'",
    "–": "-",
}
"""How release 12 writes signs beyond ASCII, and what stands for those that it has none for."""


def as_dxf(drawing: Drawing, origin: Origin) -> bytes:
    """The drawing as a file of DXF. Its first line, a comment, tells where it came from."""
    stream = StringIO()
    stream.write(f"999\n{origin.written()}\n")
    writer = R12FastStreamWriter(stream, fixed_tables=True)
    for stroke in drawing.strokes:
        writer.add_polyline_2d(
            stroke.points, closed=stroke.closed, layer=LAYERS[stroke.kind], linetype=_LINETYPES[stroke.kind]
        )
    for ring in drawing.rings:
        writer.add_circle(ring.centre, ring.radius, layer=LAYERS[ring.kind])
    for words in drawing.words:
        writer.add_text(
            _ascii(words.text),
            insert=words.place,
            height=words.size,
            rotation=words.turned,
            align="MIDDLE_LEFT" if words.anchor == "start" else "MIDDLE_CENTER",
            layer=WORDS_LAYER,
        )
    writer.close()
    return stream.getvalue().encode("ascii")


def _ascii(text: str) -> str:
    """Words on one line, in the signs of release 12; one that it does not have is a question mark. What it
    takes for orders, `%%` and `^`, is parted."""
    plain = " ".join(text.split()).replace("%%", "% %").replace("%%", "% %").replace("^", "^ ")
    known = "".join(_SIGNS.get(sign, sign if " " <= sign <= "~" else "?") for sign in plain)
    return known
