"""Pictures on a page: their places are kept, a figure of several has labels, and each can be enlarged."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import markdown
import pytest
from PIL import Image

from buildlog.files.picture_size import PictureSize, picture_size
from buildlog.page.extension import BuildlogExtension
from buildlog.page.photographs import sizes_of
from tests.parsed_html import Tag, parse
from tests.samples import open_site

SVG = '<svg xmlns="http://www.w3.org/2000/svg" {}><path d="M0 0"/></svg>'


@pytest.fixture
def picture(tmp_path: Path) -> Callable[..., Path]:
    """Makes a picture of a size, in any format that Pillow writes."""

    def make(name: str, width: int, height: int, turned: bool = False) -> Path:
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        made = Image.new("RGB", (width, height), "grey")
        if turned:
            exif = Image.Exif()
            exif[0x0112] = 6
            made.save(path, exif=exif)
        else:
            made.save(path)
        return path

    return make


@pytest.mark.parametrize("ending", ["jpg", "png", "webp", "gif"])
def test_the_size_is_read_from_the_file(picture: Callable[..., Path], ending: str) -> None:
    assert picture_size(picture(f"a.{ending}", 640, 480)) == PictureSize(640, 480)


def test_a_photograph_that_was_taken_upright_has_its_sides_exchanged(picture: Callable[..., Path]) -> None:
    """Exif 3.0 (CIPA DC-008), 4.6.5.1, tag Orientation, value 6, from memory."""
    assert picture_size(picture("a.jpg", 640, 480, turned=True)) == PictureSize(480, 640)


@pytest.mark.parametrize(
    "attributes,size",
    [
        ('width="300" height="200"', PictureSize(300, 200, True)),
        ('width="300px" height="200px" viewBox="0 0 3 2"', PictureSize(300, 200, True)),
        ('viewBox="0 36 440 316"', PictureSize(440, 316, True)),
        ('width="100%" height="100%" viewBox="0,0,440,316"', PictureSize(440, 316, True)),
        ('width="100%"', None),
        ('viewBox="0 0 a b"', None),
        ('viewBox="0 0 440 0"', None),
    ],
)
def test_a_drawing_has_the_size_or_the_view_box_of_its_root(
    tmp_path: Path, attributes: str, size: PictureSize | None
) -> None:
    path = tmp_path / "a.svg"
    path.write_text(SVG.format(attributes), encoding="utf-8")
    assert picture_size(path) == size


@pytest.mark.parametrize("name", ["a.svg", "a.jpg", "a.png"])
@pytest.mark.parametrize(
    "content", [b"", b"<svg", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0\x00\x10JFIF", b"no"]
)
def test_what_is_no_picture_has_no_size(tmp_path: Path, name: str, content: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    assert picture_size(path) is None


def test_entities_of_a_drawing_are_not_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    levels = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 20}">' for n in range(1, 12))
    path.write_text(f'<!DOCTYPE svg [<!ENTITY e0 "x">{levels}]>' + SVG.format('width="&e11;"'))
    assert picture_size(path) is None


def shown(folder: Path, text: str) -> Tag:
    book = open_site(folder, {"episodes/one.md": f"# A page\n\n[4.2 kg](told:us)\n\n{text}\n"})
    own = BuildlogExtension(style=False)
    own.book, own.page = book, "episodes/one"
    return parse(
        markdown.markdown(book.pages["episodes/one"].text, extensions=["attr_list", "md_in_html", own])
    )


def test_room_is_kept_for_a_picture(tmp_path: Path, picture: Callable[..., Path]) -> None:
    picture("assets/a b.jpg", 640, 480)
    sizes = {
        "![Duct](../assets/a%20b.jpg)": ("640", "480"),
        '![Duct](<../assets/a b.jpg>){ width="320" }': ("320", "240"),
        '![Duct](../assets/a%20b.jpg){ height="240" }': ("320", "240"),
        '![Duct](../assets/a%20b.jpg){ width="50%" }': ("50%", None),
        '![Duct](../assets/a%20b.jpg){ width="1" height="2" }': ("1", "2"),
        "![Duct](../assets/missing.jpg)": (None, None),
        "![Duct](https://example.org/a.jpg)": (None, None),
        "![Duct](../../outside.jpg)": (None, None),
    }
    (tmp_path / "outside.jpg").write_bytes((tmp_path / "content/assets/a b.jpg").read_bytes())
    for written, size in sizes.items():
        one = shown(tmp_path, written).one("img")
        assert (one.attributes.get("width"), one.attributes.get("height")) == size, written


def test_a_figure_of_two_has_them_abreast_with_their_labels(
    tmp_path: Path, picture: Callable[..., Path]
) -> None:
    picture("a.jpg", 1600, 900)
    picture("b.jpg", 320, 180)
    figure = shown(
        tmp_path,
        '<figure markdown>\n![Old](../a.jpg "Before")\n![New](../b.jpg "After <b>")\n'
        "<figcaption markdown>Both.</figcaption>\n</figure>",
    ).one("figure", "buildlog-pictures")
    first, second = figure.all("span", "buildlog-picture")
    assert first.one("a", "buildlog-enlarge").attributes["href"] == "../a.jpg"
    assert not second.all("a")  # no larger than it is shown
    assert [one.one("span", "buildlog-picture-label").words for one in (first, second)] == [
        "Before",
        "After <b>",
    ]
    assert all(one.attributes.get("title") is None for one in figure.all("img"))


def test_a_picture_that_leads_elsewhere_still_does(tmp_path: Path, picture: Callable[..., Path]) -> None:
    picture("a.jpg", 1600, 900)
    figure = shown(tmp_path, "<figure markdown>\n[![Old](../a.jpg)](https://example.org)\n</figure>").one(
        "figure"
    )
    assert [link.attributes["href"] for link in figure.all("a")] == ["https://example.org"]


def test_a_page_without_anything_of_ours_keeps_its_pictures_as_they_are(
    tmp_path: Path, picture: Callable[..., Path]
) -> None:
    picture("a.jpg", 640, 480)
    book = open_site(tmp_path, {"one.md": "# A page\n\n![Duct](a.jpg)\n"})
    own = BuildlogExtension(style=False)
    own.book, own.page = book, "one"
    assert "width" not in markdown.markdown(book.pages["one"].text, extensions=[own])


def test_a_page_says_which_pictures_it_rests_on(tmp_path: Path, picture: Callable[..., Path]) -> None:
    """Also those whose address stands elsewhere in the text, and those that are not there yet."""
    picture("a.jpg", 640, 480)
    text = "# A page\n\n[3 kg](told:nobody) ![Duct][there] ![Gone](b.jpg)\n\n[there]: a.jpg\n"
    book = open_site(tmp_path, {"one.md": text})
    own = BuildlogExtension(style=False)
    own.book, own.page = book, "one"
    markdown.markdown(text, extensions=[own])
    shown = {"one": {"a.jpg": PictureSize(640, 480), "b.jpg": None}}
    assert own.pictures == shown
    picture("a.jpg", 64, 48)
    picture("b.jpg", 32, 24)
    now = {"a.jpg": PictureSize(64, 48), "b.jpg": PictureSize(32, 24)}
    assert sizes_of(own.pictures["one"], tmp_path / "content", "one") == now
