"""How large a picture is, so that a page can keep its place before it is loaded."""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import ParseError, iterparse

from PIL import Image, UnidentifiedImageError

_TURNED = frozenset(
    (5, 6, 7, 8)
)  # values of the tag Orientation (Exif 3.0, 4.6.5.1) with the sides exchanged
_ORIENTATION = 0x0112
_PIXELS = re.compile(r"\s*([0-9]{1,6}(?:\.[0-9]+)?)(?:px)?\s*")
_BETWEEN = re.compile(r"[\s,]+")


@dataclass(frozen=True)
class PictureSize:
    """Width and height in pixels, as a browser shows the picture; a drawing can be shown in any size."""

    width: int
    height: int
    is_drawing: bool = False


def picture_size(path: Path) -> PictureSize | None:
    """The size of a picture, of which only the head is read; None where there is none that can be read."""
    try:
        return _drawing_size(path) if path.suffix.lower() == ".svg" else _photograph_size(path)
    except (OSError, UnidentifiedImageError, ParseError, ValueError, SyntaxError):
        return None


def _photograph_size(path: Path) -> PictureSize | None:
    with warnings.catch_warnings():
        # What is large is not unpacked here, so that it can do no harm.
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        try:
            with Image.open(path) as picture:
                width, height = picture.size
                turned = picture.getexif().get(_ORIENTATION) in _TURNED
        except Image.DecompressionBombError:
            return None
    return PictureSize(height, width) if turned else PictureSize(width, height)


def _drawing_size(path: Path) -> PictureSize | None:
    """By the root element's width and height, or else by its view box (SVG 2, 8.2 and 8.6)."""
    with path.open("rb") as file:
        root = next(iter(iterparse(file, events=("start",))))[1]
    stated = [_PIXELS.fullmatch(root.get(name, "")) for name in ("width", "height")]
    sides = [float(match[1]) for match in stated if match]
    if len(sides) != 2:
        sides = [float(part) for part in _BETWEEN.split(root.get("viewBox", "").strip())[2:4]]
    if len(sides) != 2 or min(sides) < 1:
        return None
    return PictureSize(round(sides[0]), round(sides[1]), is_drawing=True)
