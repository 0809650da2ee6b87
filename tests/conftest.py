"""Shared by all tests: warnings are errors, how hypothesis runs, and a browser."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from buildlog.figures import units
from buildlog.figures.units import OwnUnits
from tests.examples import SEARCHING, USUAL, most_examples

# Slow machines must not fail a property. `make test` tries the same examples on every run, so that it fails
# for what was changed; looking for new ones is `make search`, and what it finds becomes an @example.
settings.register_profile(
    "fixed", deadline=None, max_examples=most_examples(USUAL), derandomize=True, print_blob=True
)
settings.register_profile(
    "search",
    deadline=None,
    max_examples=most_examples(USUAL),
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("search" if SEARCHING else "fixed")


def pytest_configure(config: pytest.Config) -> None:
    # Nothing is kept between runs where no secret can be: tests of what is kept bring their own.
    os.environ["XDG_STATE_HOME"] = os.devnull
    os.environ["BUILDLOG_CORES"] = "1"  # tests run on all of them
    os.environ.pop("GITHUB_ACTIONS", None)  # there the proof announces its findings to the host
    config.addinivalue_line("filterwarnings", "error")
    # quantulum3 says on import that its optional classifier is absent; we compare only its grammar.
    config.addinivalue_line("filterwarnings", "ignore:Classifier dependencies not installed:UserWarning")


@pytest.fixture(autouse=True)
def no_own_units() -> None:
    """A test begins without the units of the site that another has read."""
    units.use(OwnUnits())


# What starts programs, serves and builds whole sites, or draws and integrates at length.
_SLOW = (
    "tests/attacks/test_sizes.py",
    "tests/bench",
    "tests/book/test_data_tables.py",
    "tests/book/test_goals.py",
    "tests/book/test_reopening.py",
    "tests/calculators/test_acceleration.py",
    "tests/charts",
    "tests/commands/test_cli.py",
    "tests/commands/test_since.py",
    "tests/commands/test_start.py",
    "tests/commands/test_terminal.py",
    "tests/demonstration",
    "tests/formulae/test_formula.py",
    "tests/kinds/test_forms.py",
    "tests/proof/test_amending_many.py",
    "tests/proof/test_drift.py",
    "tests/proof/test_loose_sentences.py",
    "tests/page/test_extension.py",
    "tests/page/test_furniture.py",
    "tests/plugins",
    "tests/proof/test_seeded_errors.py",
    "tests/proof/test_seeded_sentences.py",
    "tests/proof/test_seeded_slips.py",
    "tests/reading/markdown/test_scanner_differential.py",
    "tests/render/test_card.py",
    "tests/render/test_lists.py",
    "tests/attacks/test_orders_in_outputs.py",
    "tests/report/test_schemas.py",
    "tests/test_ci_files.py",
    "tests/test_installed.py",
    "tests/test_project.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what `make check` leaves out, and begin with the files that take minutes: where several processes
    share the work, each takes a file at a time."""
    for item in items:
        path = item.path.relative_to(Path(__file__).parents[1]).as_posix()
        if path.startswith(_SLOW):
            item.add_marker("slow")
        if {"browser", "browser_of_module"} & set(getattr(item, "fixturenames", ())):
            item.add_marker("browser")
    of_the_demo = Path(__file__).with_name("demonstration")
    long = {
        item.path for item in items if item.get_closest_marker("browser") or of_the_demo in item.path.parents
    }
    items.sort(key=lambda item: item.path not in long)


BROWSER_FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--window-size=1280,900",
)

PATIENCE = 600
"""How long a browser may take over one question, s: on a busy machine axe-core takes minutes for a page."""

NO_BROWSER = "chromium and chromedriver are needed: apt-get install chromium chromium-driver"


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Say how many tests no browser has looked at: a line of dots ends in “passed” without them too."""
    skipped = [one for one in terminalreporter.stats.get("skipped", ()) if NO_BROWSER in str(one.longrepr)]
    if skipped:
        count = f"{len(skipped)} test{'s' if len(skipped) > 1 else ''}"
        terminalreporter.write_line(f"No browser was found, and {count} skipped: {NO_BROWSER}", yellow=True)


@contextmanager
def _chromium(profile: Path) -> Iterator[Any]:
    """Debian's Chromium with an empty profile, driven by selenium; nothing is fetched.

    Without Chromium the test is skipped, or fails where BUILDLOG_BROWSER=required (as in CI).
    """
    chromium, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if not (chromium and driver):
        if os.environ.get("BUILDLOG_BROWSER") == "required":
            pytest.fail(NO_BROWSER)
        pytest.skip(NO_BROWSER)
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    for flag in BROWSER_FLAGS:
        options.add_argument(flag)
    options.add_argument(f"--user-data-dir={profile}")
    session = webdriver.Chrome(options=options, service=Service(driver))
    answering: Any = session.command_executor
    answering.client_config.timeout = PATIENCE
    try:
        yield session
    finally:
        session.quit()


@pytest.fixture
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A browser of the test's own: what it stores, emulates and logs is gone with it."""
    with _chromium(tmp_path_factory.mktemp("chromium")) as session:
        yield session


@pytest.fixture(scope="module")
def browser_of_module(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """One for all tests of a file, which open what is slow to load once and leave nothing behind in it."""
    with _chromium(tmp_path_factory.mktemp("chromium")) as session:
        yield session
