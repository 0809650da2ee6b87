"""Data files: what is read of a table, and what is said of a bad one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import Input, Number, Table, Whole
from buildlog.reading.data import read_data

FORM = Table(
    (
        Input(
            name="engine_speed",
            form=Number(dimension="rotational speed", unit="rpm", low=0, high=20000),
            about="revs",
        ),
        Input(
            name="torque",
            form=Number(dimension="torque", unit="N·m", low=0, high=2000, why="car engines"),
            about="torque",
        ),
    ),
    2,
    20,
)
HEADER = "engine_speed [rpm],torque [N·m]\n"


def rows(tmp_path: Path, data: str | bytes, form: Table = FORM) -> list[dict[str, Any]]:
    (tmp_path / "run.csv").write_bytes(data if isinstance(data, bytes) else data.encode())
    return read_data(tmp_path, "run.csv", form)[0]


@pytest.mark.parametrize(
    "data",
    [
        HEADER + "2000,150\n3000,160\n",
        HEADER + "2000,150\n\n3000,160",
        (HEADER + "2000,150\n3000,160\n").replace(",", ";"),
        (HEADER + "2000,150\n3000,160\n").replace(",", "\t"),
        (HEADER + "2000,150\n3000,160\n").replace("\n", "\r\n"),
        (HEADER + "2000,150\n3000,160\n").replace("\n", "\r"),
        "\ufeff" + HEADER + "2000,150\n3000,160\n",
        " engine speed [ rpm ] , torque [N·m] ,note\n 2000 , 150 ,x\n 3000 ,160,\n",
        'time,"torque [N·m]","engine_speed [rpm]"\n0,"150","2000"\n1,"160","3000"\n',
    ],
)
def test_a_table_is_read(tmp_path: Path, data: str) -> None:
    first, second = rows(tmp_path, data)
    assert first["torque"] == 150.0
    assert second["torque"] == 160.0
    # NIST SP 811 (2008), B.8: 1 r/min = 1.047198 E-01 rad/s
    assert first["engine_speed"] == pytest.approx(2000 * 0.1047198, rel=1e-6)


@pytest.mark.parametrize(
    ("data", "found", "help"),
    [
        ("", "run.csv:1: no column engine_speed", ""),
        (HEADER, "0 rows in run.csv", ""),
        (HEADER + "2000,abc\n3000,160\n", "run.csv:2: torque “abc”", ""),
        (HEADER + "2000,-1\n3000,160\n", "run.csv:2: torque -1", "car engines"),
        (HEADER + "2000,-1\n3000,\n", "run.csv:2: torque -1", "car engines; 1 more cell to mend, in line 3"),
        (HEADER.replace(",", ";") + "2000;1,5\nx;160\n", "run.csv:2: torque “1,5”", "1 more cell"),
        (
            HEADER + "x,y\n" * 7,
            "run.csv:2: engine_speed “x”",
            "13 more cells to mend, in line 2, 3, 4, 5, 6 …",
        ),
        (HEADER + "2000,1e400\n3000,160\n", "run.csv:2: torque 1e400", ""),
        (HEADER + '2000,"150\n', "run.csv:2: unexpected end of data", ""),
        (b"torque\r2\r\xfc", "run.csv:3 is not UTF-8", "UTF-8"),
        ("engine_speed,torque [N·m]\n2000,150\n", "run.csv:1: the column engine_speed without a unit", ""),
        ("engine_speed [km/h],torque [N·m]\n", "run.csv:1: engine_speed [km/h]", "rpm"),
    ],
)
def test_a_bad_table_says_where_it_is_bad(tmp_path: Path, data: str | bytes, found: str, help: str) -> None:
    with pytest.raises(Refused) as refused:
        rows(tmp_path, data)
    assert refused.value.found == found
    assert help in refused.value.help


def test_an_endless_number_is_no_whole_one(tmp_path: Path) -> None:
    form = Table((Input(name="teeth", form=Whole(1, 100), about="teeth"),), 1, 5)
    with pytest.raises(Refused):
        rows(tmp_path, "teeth\n1e999\n", form)
    assert rows(tmp_path, "teeth\n9\n", form) == [{"teeth": 9}]
