"""A build log with other people's plugins that read its pages: a blog, a feed, a text export, a page of all
pages and a search. Built once, and read as those who use each of them would."""

from __future__ import annotations

import io
import re
from functools import cache
from html import unescape
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest
from PIL import Image

from tests.guests.small_sites import build_site, write
from tests.samples import GEARING

ADDRESS = "https://log.example/site/"
SETTINGS = f"""\
site_name: Test
site_url: {ADDRESS}
site_author: A
theme: {{name: material, font: false}}
plugins:
  - search
  - blog: {{pagination_per_page: 2}}
  - rss:
      abstract_chars_count: -1
      use_git: false
      match_path: (episodes|blog/posts)/.*
      date_from_meta: {{as_creation: date}}
  - rss:
      abstract_chars_count: 160
      use_git: false
      match_path: (episodes|blog/posts)/.*
      date_from_meta: {{as_creation: date}}
      feeds_filenames: {{rss_created: short.xml, rss_updated: short-updated.xml, json_created: short.json,
        json_updated: short-updated.json}}
  - buildlog
  - llmstxt: {{full_output: llms-full.txt, sections: {{Episodes: [episodes/*.md]}}}}
  - print-site
markdown_extensions: [attr_list, md_in_html, tables, toc: {{permalink: true}}, pymdownx.superfences]
nav: [index.md, episodes/gearing.md, episodes/driven.md, Blog: [blog/index.md]]
"""
_ID = re.compile(r"""\sid=["']?([^"'\s>]+)""")
_LINK = re.compile(r"""<a\s[^<>]*?\bhref=(?:"([^"]*)"|'([^']*)')""")
HEAD = "---\ntitle: {title}\ndate: {date}\n---\n\n# {title}\n\n"
TEXT = """\
Third ends at [150.6 km/h](calc:shorter-final.before.speed_at_limit.3) before; bolts at
[78 N·m](cite:sheet.crown), and it had [240 hp](told:owner). Mind [its weight](caution:driveline).

<figure markdown>
![The car](PICTURE)
</figure>

## Then [135.5 km/h](calc:shorter-final.after.speed_at_limit.3)

"""
DRIVEN = """\
Twice the same: [](calc:episodes/gearing#shorter-final.after.speed_at_limit.3), and **[240 hp](told:owner)**.
"""


def picture() -> bytes:
    image = io.BytesIO()
    Image.new("RGB", (640, 480), "teal").save(image, "PNG")
    return image.getvalue()


def post(day: str, text: str) -> str:
    return HEAD.format(title=f"Post of {day}", date=day) + text


FILES: dict[str, str | bytes] = {
    "mkdocs.yml": SETTINGS,
    "docs/sources.yml": "sheet: {title: Axle sheet, facts: {crown: 78 N·m}}\n"
    "owner: {who: the owner, when: at the sale}\n",
    "docs/picture.png": picture(),
    "docs/index.md": "# Home\n\nNothing of ours, but [a link](episodes/gearing.md).\n",
    "docs/episodes/gearing.md": HEAD.format(title="Gearing", date="2024-03-09")
    + TEXT.replace("PICTURE", "../picture.png")
    + GEARING,
    "docs/episodes/driven.md": HEAD.format(title="Driven", date="2024-04-09") + DRIVEN,
    "docs/blog/index.md": "# Blog\n",
    "docs/blog/posts/after.md": post(
        "2024-05-01", f"{TEXT.replace('PICTURE', '../../picture.png')}{GEARING}\n<!-- more -->\n\nAnd on.\n"
    ),
    "docs/blog/posts/before.md": post(
        "2024-06-01", f"It had [240 hp](told:owner).\n\n<!-- more -->\n\n{GEARING}"
    ),
    "docs/blog/posts/old.md": post("2023-06-01", GEARING),
}


@pytest.fixture(scope="session")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the built site."""
    folder = tmp_path_factory.mktemp("log")
    write(folder, FILES)
    return build_site(folder)


@cache
def _ids(file: Path) -> frozenset[str]:
    return frozenset(unescape(name) for name in _ID.findall(file.read_text("utf-8")))


def dead_links(site: Path, page: str) -> set[str]:
    """The links of a page that lead to no file of the site, or to no id of it."""
    dead = set()
    for quoted in _LINK.findall((site / page).read_text("utf-8")):
        address = unescape("".join(quoted))
        parts = urlsplit(urljoin(f"{ADDRESS}{page}", address))
        if not parts.geturl().startswith(ADDRESS):
            continue
        path = unquote(parts.path).removeprefix(urlsplit(ADDRESS).path)
        file = site / path / ("index.html" if path in ("", ".") or path.endswith("/") else "")
        if not file.is_file() or (parts.fragment and unquote(parts.fragment) not in _ids(file)):
            dead.add(address)
    return dead
