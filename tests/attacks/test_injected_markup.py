"""Markup in every text that an author can write, through a whole build: the site has the elements and
attributes of one with plain texts, and the text is there to read.

Places are those of blocks, rows, sheets of cars, sources, front matter, data and words. What stands in the
Markdown of a page, and what the generator makes of front matter of its own, is the generator's.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from buildlog.book.book import Book
from buildlog.proof.proof import proof_book
from tests.guests.small_sites import build_site, write
from tests.parsed_html import parse, shape

LENGTH = 24
TAME = "x" * (LENGTH - 2)
HOSTILE = [
    "<i>\"'{{7*7}}--></svg>",
    "javascript:alert(1)",
    "\"onload='a()'><script>",
    "<svg/onload=a()>{%x%}",
    "&lt;b&gt;]]><!--${7*7}",
    "</title></script><img>",
]
SETTINGS = """\
site_name: Site
docs_dir: content
use_directory_urls: false
theme: mkdocs
markdown_extensions: [tables, admonition, attr_list, md_in_html, footnotes, pymdownx.superfences]
plugins: [search, buildlog]
"""
ADDRESSES = ("href", "src", "action", "formaction", "xlink:href")
PROGRAMS = ("javascript:", "vbscript:", "data:text/html", "data:image/svg")
LISTS = ("series", "ledger", "sources", "predictions")


class Texts:
    """Texts that differ in their last two signs, so that none is another one's double."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.given = 0

    def __call__(self) -> str:
        self.given += 1
        return f"{self.text[: LENGTH - 2]:x<{LENGTH - 2}}{self.given:02}"

    @property
    def quoted(self) -> str:
        """As YAML has it, which reads JSON."""
        return json.dumps(self())

    @property
    def in_front(self) -> str:
        """In front matter a text that may hold a figure has no escapes."""
        return json.dumps(self().replace('"', "'"))


def page(text: Texts) -> str:
    def q() -> str:
        return text.quoted

    def f() -> str:
        return text.in_front

    return f"""\
---
buildlog:
  series: {f()}
  episode: 1
  date: 2024-05-31
  time: {f()}
  skill: {f()}
  reversible: in part
  hazards: [fuel]
  tools: [{f()}, {f()}]
  consumables: [{f()}]
  measure: [{f()}, {f()}]
  undo: [{f()}]
  steps: How
  bill: bill
---

# Page

Set [2.4 kg](calc:bill.mass_change), [9 N·m](cite:sheet.nut), [1 mm](told:owner), and so on.

## How

1. First.

```yaml calc
id: bill
kind: parts
title: {q()}
inputs:
  currency: EUR
  parts:
    - name: {q()}
      mass: 3.4 kg
      part_number: {q()}
      supplier: {q()}
      link: "https://a.example/"
    - {{name: {q()}, mass: 1 kg, action: removed}}
```

```yaml calc
id: table
kind: parts
title: {q()}
inputs: {{currency: EUR, parts: {{data: rows.csv}}}}
```

```yaml calc
id: gears
kind: gearing
title: {q()}
car: car
```

```yaml calc
id: choice
kind: decision
title: {q()}
requires:
  - {{name: {q()}, key: a, value: calc:gears.overall_ratio.1, at_least: 1}}
options: [one, two]
chosen: one
```
"""


def files(hostile: str) -> dict[str, str | bytes]:
    text = Texts(hostile)
    cell = '"' + text().replace('"', '""') + '"'
    return {
        "mkdocs.yml": SETTINGS,
        "content/index.md": "# Home\n",
        "content/page.md": page(text),
        "content/rows.csv": f"name,mass,supplier\n{cell},2 kg,{cell}\n",
        "content/cars/car.yml": f"name: {text.quoted}\nabout: {text.quoted}\nstate: old\n"
        "inputs: {gears: [3.1], final_drive: 4.1, tyre: 195/50R15, rev_limit: 7000 rpm}\n"
        f"changes: [{{state: new, since: {text.quoted}, inputs: {{final_drive: 4.3}}}}]\n",
        "content/sources.yml": f"sheet: {{title: {text.quoted}, publisher: {text.quoted}, "
        f"edition: {text.quoted}, page: {text.quoted}, about: {text.quoted}, facts: {{nut: 9 N·m}}}}\n"
        f"owner: {{who: {text.quoted}, when: {text.quoted}, about: {text.quoted}}}\n",
        **{f"content/{name}.md": f'# {name}\n\n<div data-buildlog="{name}"></div>\n' for name in LISTS},
    }


@cache
def built(text: str) -> dict[str, str]:
    """The pages of a site whose authors write this, by path."""
    with TemporaryDirectory() as made:
        folder = Path(made)
        write(folder, files(text))
        errors = proof_book(Book.open(root=folder)).errors
        assert not errors, [str(one) for one in errors]
        site = build_site(folder)
        return {
            path.relative_to(site).as_posix(): path.read_text("utf-8")
            for path in site.rglob("*")
            if path.suffix in (".html", ".json", ".xml", ".csv", ".svg")
        }


@pytest.mark.slow
@pytest.mark.parametrize("text", HOSTILE)
def test_a_whole_site_has_no_markup_of_its_author(text: str) -> None:
    hostile, tame = built(text), built(TAME)
    assert hostile.keys() == tame.keys()
    for name in sorted(tame):
        if name.endswith(".html"):
            assert shape(hostile[name]) == shape(tame[name]), name
            for tag in parse(hostile[name]).walk():
                assert not any(key.startswith("on") for key in tag.attributes)
                led = [tag.attributes.get(key, "").strip().lower() for key in ADDRESSES]
                assert not [address for address in led if address.startswith(PROGRAMS)]
        elif name.endswith(".json"):
            json.loads(hostile[name])
    assert "49" not in hostile["sources.html"].replace("x49", "")


@pytest.mark.slow
@pytest.mark.parametrize("text", HOSTILE)
def test_and_the_text_can_be_read(text: str) -> None:
    """So that it is escaped, and not left out."""
    shown = parse(built(text)["page.html"]).words
    assert shown.count(" ".join(text[: LENGTH - 2].split())) >= 10
