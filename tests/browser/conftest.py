"""The demonstration, computed and proofed once for the tests of this folder."""

from __future__ import annotations

import pytest

from buildlog.book.book import Book
from buildlog.proof.overview import Overview
from tests.house import ROOT


@pytest.fixture(scope="session")
def site() -> Overview:
    """The whole site in view."""
    return Overview(Book.open(root=ROOT))
