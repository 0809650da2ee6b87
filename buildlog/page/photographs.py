"""Pictures of a page: room is kept for them before they are loaded, those in a ``figure`` can be enlarged.

A ``figure`` with several pictures shows them abreast, each with its title as its label: before and after.
An enlarged picture is the picture's own file, which a link leads to; a script may show it on the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from xml.etree.ElementTree import Element, SubElement

from buildlog.files.picture_size import PictureSize, picture_size
from buildlog.reading.pictures import picture_name

_SMALL = 480
"""A photograph that is no wider is shown whole anyhow; in pixels."""

Sizes = dict[str, PictureSize | None]
"""Of the pictures that a page shows, by address; None where nothing is there whose size is known."""


def place_photographs(root: Element, content: Path, key: str) -> Sizes:
    """Keep the places of a page's pictures, and make its figures. `key` is the page's path under content.
    Returns the sizes, which the page rests on too."""
    sizes = sizes_of((_address(picture) for picture in root.iter("img")), content, key)
    for picture in root.iter("img"):
        size = sizes[_address(picture)]
        if size is not None:
            _keep_place(picture, size)
    for figure in [element for element in root.iter("figure") if element.find(".//img") is not None]:
        _make_figure(figure, sizes)
    return sizes


def sizes_of(addresses: Iterable[str], content: Path, key: str) -> Sizes:
    """How large the pictures at some addresses on a page are now."""
    return {address: _size_of(_file_of(address, content, key)) for address in addresses}


def _file_of(address: str, content: Path, key: str) -> Path | None:
    """The file that an address leads to; None where it leads out of the content folder, or to none."""
    inside = picture_name(address, key)
    if not inside:
        return None
    path = (content / inside).resolve()
    return path if path.is_relative_to(content.resolve()) and path.is_file() else None


def _address(picture: Element) -> str:
    return picture.get("src", "")


def _size_of(path: Path | None) -> PictureSize | None:
    if path is not None:
        with suppress(OSError):  # it was there a moment ago
            status = path.stat()
            return _size_at(path, status.st_mtime_ns, status.st_size)
    return None


@lru_cache(maxsize=4096)
def _size_at(path: Path, time: int, length: int) -> PictureSize | None:
    """A picture is read again when its file is another."""
    return picture_size(path)


def _keep_place(picture: Element, size: PictureSize) -> None:
    """Both sides as attributes, of which a browser takes the proportion. What the author wrote stays."""
    width, height = picture.get("width"), picture.get("height")
    if width is None and height is None:
        picture.set("width", str(size.width))
        picture.set("height", str(size.height))
    elif height is None and width is not None and width.isdecimal():
        picture.set("height", str(round(int(width) * size.height / size.width)))
    elif width is None and height is not None and height.isdecimal():
        picture.set("width", str(round(int(height) * size.width / size.height)))
    else:
        return
    _add_class(picture, "buildlog-sized")
    picture.attrib.setdefault("loading", "lazy")


def _make_figure(figure: Element, sizes: Sizes) -> None:
    pictures = list(_pictures_in(figure))
    labelled = len(pictures) > 1
    if labelled:
        _add_class(figure, "buildlog-pictures")
    for parent, picture in pictures:
        size = sizes[_address(picture)]
        shown = _shown(picture, size, labelled=labelled)
        shown.tail, picture.tail = picture.tail, None
        parent[list(parent).index(picture)] = shown


def _pictures_in(element: Element) -> Iterator[tuple[Element, Element]]:
    """Each picture with what holds it; not those of a link, which lead where the author says."""
    for child in element:
        if child.tag == "img":
            yield element, child
        elif child.tag != "a":
            yield from _pictures_in(child)


def _shown(picture: Element, size: PictureSize | None, *, labelled: bool) -> Element:
    """A picture as a figure shows it: in the link that enlarges it, with its label under it."""
    shown = picture
    if size is not None and (size.is_drawing or size.width > _SMALL):
        shown = Element("a", {"class": "buildlog-enlarge", "href": picture.get("src", "")})
        shown.append(picture)
    if not labelled:
        return shown
    box = Element("span", {"class": "buildlog-picture"})
    box.append(shown)
    if label := picture.attrib.pop("title", ""):
        SubElement(box, "span", {"class": "buildlog-picture-label"}).text = label
    return box


def _add_class(element: Element, name: str) -> None:
    element.set("class", " ".join(filter(None, (element.get("class"), name))))
