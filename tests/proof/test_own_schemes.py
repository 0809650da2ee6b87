"""Addresses of other programs are not told as nearly figures; slips of ours are."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.proof.proof import proof_book
from tests.samples import GEARING, open_site

BLOCK = f"\n{GEARING}"


def nearly(folder: Path, *pages: str) -> list[str]:
    """Page and what was found of each address that is told as nearly a figure's."""
    files: dict[str, str | bytes] = {f"{name}.md": page for name, page in zip("abc", pages, strict=False)}
    files["sources.yml"] = "manual: {title: The manual, publisher: us, year: 2020}\n"
    found = proof_book(open_site(folder, files)).findings
    return [f"{one.position.path[-4]} {one.found}" for one in found if one.code.name == "nearly-a-figure"]


@pytest.mark.parametrize("scheme", ["call", "site", "tool", "kite", "caller", "cit", "tolk", "cake", "calk"])
def test_a_scheme_in_use_without_numbers_is_the_sites_own(tmp_path: Path, scheme: str) -> None:
    page = f"Ask [the workshop]({scheme}:workshop), or [line 4.1]({scheme}:gears.ratio).\n"
    assert nearly(tmp_path, page, f"See [12 N·m]({scheme}:a.b)\n\n[x]: {scheme}:unused\n") == []


@pytest.mark.parametrize(
    "slip",
    [
        "[4.1](cal:gears.ratio)",
        "[](clac:shorter-final.before.final_drive)",
        "[half](clac:gears.ratio)",
        "[the ratio](clac:shorter-final.before.final_drive)",
        "[the ratio](clac:a#shorter-final.before.final_drive)",
        "[the manual](ciet:manual)",
        "[its weight](cuation:driveline)",
        "[the ratio](CALC:gears.ratio)",
    ],
)
def test_a_slip_is_found(tmp_path: Path, slip: str) -> None:
    assert len(nearly(tmp_path, f"It has {slip}.\n{BLOCK}", "Ask [us](call:workshop).\n")) == 1


def test_a_slip_is_found_beside_another_scheme_that_is_the_sites_own(tmp_path: Path) -> None:
    page = "Ask [us](call:workshop), [4.1](cal:gears.ratio) and [5](call:five).\n"
    assert nearly(tmp_path, page) == ["a “cal:”"]


def test_a_loose_figure_in_a_link_of_the_sites_own_is_told(tmp_path: Path) -> None:
    page = f"[us](call:us), and [4.1 N·m](call:five).\n{BLOCK}"
    report = proof_book(open_site(tmp_path, {"a.md": page}))
    assert [one.found for one in report.findings if one.code.name == "loose-figure"] == ["“4.1 N·m”"]
