# ruff: noqa: F811  (the fixture of another file)
"""How far up a page is found by the site's search, and what of it."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.page.test_extension import BLOCK
from tests.plugins.test_plugin import Site, run, site  # noqa: F401  (the fixture)

EPISODE = (
    "---\nbuildlog: {{series: The Brindle, episode: {}}}\n{}---\n\n"
    "# {}\n\nBolts at [39 N·m](cite:manual.nut).\n\n"
)
PLUGINS = "plugins: [search, buildlog]"


def episode(number: int, more: str = "") -> str:
    return EPISODE.format(number, more, f"Episode {number}")


def ranks(site: Any, pages: dict[str, str]) -> dict[str, Any]:
    """What each page says of itself to a search, once the site is built."""
    config = site(pages, PLUGINS)
    run(config)
    files = config.plugins["buildlog"].memory.files
    return {
        page.file.src_uri: page.meta.get("search")
        for page in (file.page for file in files.documentation_pages())
        if page is not None
    }


def test_episodes_and_jobs_come_first_unless_they_say_otherwise(site: Site) -> None:
    found = ranks(
        site,
        {
            "one.md": episode(1),
            "two.md": episode(2, "search: {boost: 3}\n"),
            "three.md": episode(3, "search: {exclude: true}\n"),
            "four.md": episode(4, "search: never\n"),
            "job.md": "---\nbuildlog: {time: 2 h}\n---\n\n# Job\n",
        },
    )
    assert found["one.md"] == found["job.md"] == {"boost": 1e6}
    assert found["two.md"] == {"boost": 3}
    assert found["three.md"] == {"exclude": True, "boost": 1e6}
    assert found["four.md"] == "never"  # what is not understood is the search's to refuse
    assert found["index.md"] is found["pipe.md"] is None


def test_figures_are_in_the_index_as_they_are_typed_and_not_in_the_page(site: Site) -> None:
    folder = run(site({"one.md": f"{episode(1)}## Nuts\n\n[39 N·m](cite:manual.nut)\n\n{BLOCK}"}, PLUGINS))
    index = json.loads((folder / "search" / "search_index.json").read_text("utf-8"))
    texts = {doc["location"]: doc["text"] for doc in index["docs"] if doc["location"].startswith("one/")}
    assert texts["one/#nuts"].count("39 Nm") == 1
    page = (folder / "one" / "index.html").read_text("utf-8")
    assert "39 N·m" in page
    assert "39 Nm" not in page


@pytest.mark.parametrize(
    ("plugins", "wanted"), [("[search, buildlog]", True), ("[buildlog]", False)], ids=["search", "none"]
)
def test_the_notice_is_loaded_only_where_there_is_a_search_and_something_of_ours(
    site: Site, plugins: str, wanted: bool
) -> None:
    folder = run(site({}, f"plugins: {plugins}"))
    assert (folder / "assets/buildlog-search.js").is_file() is wanted
    assert ("assets/buildlog-search.js" in (folder / "pipe/index.html").read_text("utf-8")) is wanted
    assert "buildlog" not in (folder / "index.html").read_text("utf-8")
