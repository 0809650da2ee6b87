"""What a card says of how a log was read."""

from __future__ import annotations

from pathlib import Path

from buildlog.kinds.log_account import accounts
from tests.reading.test_logs import BOTH, good


def test_rows_rules_and_what_was_left_out(tmp_path: Path) -> None:
    block = BOTH.replace("unit: km/h}", "unit: km/h, quantum: 1 km/h}") + "gap: 2 s\nbackwards: drop\n"
    log = good(
        tmp_path, block, "Time,RPM,Speed\n0,2000,36\n1,2001,\n0.5,9,9\n2,2003,38\n9,2003,38\n10,2004,39\n"
    )
    (told,) = accounts((log,))
    assert told.replace("\u00a0", " ") == (
        "log.csv: 5 rows of 6 used; 3 s with a row every 1 s; 1 gap; 1 row with a time before that of an "
        "earlier row, left out; 1 empty cell of road speed; the smallest step of engine speed is 1 rpm, and "
        "no quantum is stated; the smallest step of road speed is 1 km/h; steps above 2 s are gaps"
    )


def test_other_inputs_have_none() -> None:
    assert accounts(3.0) == accounts([1.0]) == accounts((1.0, 2.0)) == ()
