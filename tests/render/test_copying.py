"""The button that copies lines: from a file, by the keyboard, and that a page without scripts has none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from buildlog.book.repeating import hash_lines
from buildlog.render.pieces import page_scripts, stylesheet
from buildlog.render.reproduce import render_reproduce
from tests.render.test_bundle import SITE
from tests.samples import open_site

SCRIPTS = "".join(page_scripts().values())


def test_lines_are_copied_as_they_are_typed_and_compared(browser: Any, tmp_path: Path) -> None:
    from selenium.webdriver.common.keys import Keys

    book = open_site(tmp_path, SITE)
    rendered = render_reproduce(book, book.pages["resting"], ())
    assert rendered is not None
    section = rendered.html(lambda link: link.file)
    page = tmp_path / "page.html"
    page.write_text(
        f'<!doctype html><html lang="en"><meta charset="utf-8"><title>x</title><style>{stylesheet()}</style>'
        f"<body><main>{section.replace('<details ', '<details open ')}</main><textarea></textarea>",
        encoding="utf-8",
    )
    browser.get(page.as_uri())
    assert [one.is_displayed() for one in browser.find_elements("css selector", "button")] == [False, False]
    page.write_text(f"{page.read_text('utf-8')}<script>{SCRIPTS}</script>", encoding="utf-8")
    browser.get(page.as_uri())
    _, hashes = browser.find_elements("css selector", "button.buildlog-copy")
    assert hashes.is_displayed()
    assert hashes.accessible_name == "Copy the hashes"
    hashes.send_keys(Keys.ENTER)
    browser.execute_async_script("setTimeout(arguments[0], 300)")
    assert hashes.text == "Copied"
    assert browser.find_element("css selector", "[role=status]").get_property("textContent") == "Copied"
    assert browser.switch_to.active_element == hashes
    box = browser.find_element("css selector", "textarea")
    box.send_keys(Keys.CONTROL, "v")
    assert box.get_property("value").splitlines() == hash_lines(book, "resting")
