"""A change is told as a share only of what has a true zero: 71.5 °C is not 18 % more than 20 °C."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.kinds import catalogue
from buildlog.proof.proof import proof_book
from tests.samples import open_site

(EXAMPLE,) = catalogue.load_kind("forced_induction").examples
BLOCK = f"```yaml calc\n{EXAMPLE}```\n"


def cases_of(folder: Path) -> tuple[str, str]:
    (result,) = open_site(folder, {"a.md": BLOCK}).results.values()
    first, second, *_ = result.cases
    return first, second


@pytest.mark.parametrize("label", ["18 % more", "17.6 %", "1.18 times"])
def test_a_temperature_is_no_share_of_another(tmp_path: Path, label: str) -> None:
    """The kelvins are: (71.5 + 273.15) / 293.15 = 1.176, which no reader of degrees would find."""
    first, second = cases_of(tmp_path)
    address = f"calc:boost.{second}.compressor_outlet_temperature"
    book = open_site(tmp_path, {"a.md": f'[{label}]({address} "vs {first}")\n\n{BLOCK}'})
    (fault,) = proof_book(book).findings
    assert fault.code.name == "no-share"
    assert "share" in fault.code.meaning
    assert "temperature" in fault.found
    assert "difference" in fault.help
