"""Pictures of a page: room is kept for them before they are loaded, those in a ``figure`` can be enlarged.

A ``figure`` with several pictures shows them abreast, each with its title as its label: before and after.
An enlarged picture is the picture's own file, which a link leads to; a script may show it on the page.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element, SubElement

from buildlog.files.picture_size import PictureSize, picture_size
from buildlog.reading.markdown.page import ScannedPage
from buildlog.reading.pictures import picture_name, read_pictures

_SMALL = 480
"""A photograph that is no wider is shown whole anyhow; in pixels."""

Signature = tuple[tuple[str, int, int], ...]


def place_photographs(root: Element, content: Path, key: str) -> None:
    """Keep the places of a page's pictures, and make its figures. `key` is the page's path under content."""
    sizes = {id(picture): _size_of(picture, content, key) for picture in root.iter("img")}
    for picture in root.iter("img"):
        size = sizes[id(picture)]
        if size is not None:
            _keep_place(picture, size)
    for figure in [element for element in root.iter("figure") if element.find(".//img") is not None]:
        _make_figure(figure, sizes)


def picture_files(scanned: ScannedPage, content: Path, key: str) -> Signature:
    """The files of a page's pictures as they are now: path, time and size. A page rests on them too."""
    return tuple(
        (path.as_posix(), status.st_mtime_ns, status.st_size)
        for picture in read_pictures(scanned)
        if (path := _file_of(picture.address, content, key)) is not None
        for status in (path.stat(),)
    )


def _file_of(address: str, content: Path, key: str) -> Path | None:
    """The file that an address leads to; None where it leads out of the content folder, or to none."""
    inside = picture_name(address, key)
    if not inside:
        return None
    path = (content / inside).resolve()
    return path if path.is_relative_to(content.resolve()) and path.is_file() else None


def _size_of(picture: Element, content: Path, key: str) -> PictureSize | None:
    path = _file_of(picture.get("src", ""), content, key)
    return None if path is None else picture_size(path)


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


def _make_figure(figure: Element, sizes: dict[int, PictureSize | None]) -> None:
    pictures = list(_pictures_in(figure))
    labelled = len(pictures) > 1
    if labelled:
        _add_class(figure, "buildlog-pictures")
    for parent, picture in pictures:
        size = sizes[id(picture)]
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
