"""Names that Windows refuses, held to Python's own list, and names that other systems take for one."""

from __future__ import annotations

import ntpath
import os
import unicodedata
import warnings
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.files.file_names import (
    as_listed,
    as_one_name,
    how_they_differ,
    is_of_a_device,
    refused_by_windows,
)

DEVICES = ["con", "AUX", "nul.md", "prn.a.csv", "com1", "LPT9.txt", "com¹.md", "con .md", "conin$", "CONOUT$"]
PLAIN = ["console", "com0", "com10.md", "auxiliary.md", "a.con", "nul-1", "lpt", "com", ".con", "null.md"]


def of_a_device_by_python(name: str) -> bool:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it goes in 3.15, and has ntpath.isreserved in its place
        if hasattr(ntpath, "isreserved"):
            signs = '<>:"|?*\\'
            plain = not set(name) & set(signs) and name[-1:] not in (".", " ")
            return plain and min(name, default=" ") > "\x1f" and bool(ntpath.isreserved(name))
        return PureWindowsPath(name).is_reserved()


@pytest.mark.parametrize("name", [*DEVICES, *PLAIN])
def test_names_of_devices(name: str) -> None:
    assert is_of_a_device(name) == (name in DEVICES) == of_a_device_by_python(name)


@given(
    st.from_regex(
        r"(?i)(con|com[0-9¹]|lpt[0-9]|nul|aux|prn|[a-z]{3})[ .]{0,2}[a-z.]{0,3}[a-z]", fullmatch=True
    )
)
def test_python_takes_the_same_names_for_devices(name: str) -> None:
    assert is_of_a_device(name) == of_a_device_by_python(name)


@pytest.mark.parametrize(
    "name,why",
    [
        ("aux.md", "which Windows keeps for a device"),
        ("a:b.md", "with “:”"),
        ("what?.md", "with “?”"),
        ("a\\b.csv", "with “\\”"),
        ("a\tb.csv", "with the sign 0x09"),
        ("notes.", "which ends in a full stop"),
        ("runs ", "which ends in a blank"),
        ("über 9″.md", ""),
        (".hidden", ""),
    ],
)
def test_names_that_windows_cannot_hold(name: str, why: str) -> None:
    assert refused_by_windows(name) == why


def test_names_that_are_one_elsewhere() -> None:
    composed, apart = "Kühler.csv", unicodedata.normalize("NFD", "Kühler.csv")
    assert as_one_name(composed) == as_one_name(apart) == as_one_name("KÜHLER.CSV")
    assert as_one_name("a.csv") != as_one_name("b.csv")
    assert how_they_differ(composed, apart) == "in how an accent is put together"
    assert how_they_differ("A", "a") == how_they_differ(composed, apart.upper()) == "in capital letters"


def test_paths_as_their_folders_list_them(tmp_path: Path) -> None:
    (tmp_path / "runs").mkdir()
    (tmp_path / "runs" / "Kühler.csv").write_text("a")
    for name in ("runs/Kühler.csv", "Runs/kühler.CSV", unicodedata.normalize("NFD", "runs/Kühler.csv")):
        assert as_listed(tmp_path, name) == "runs/Kühler.csv"
    assert as_listed(tmp_path, "./runs//../runs/Kühler.csv") == "runs/../runs/Kühler.csv"
    assert as_listed(tmp_path, "runs/b.csv") is None
    assert as_listed(tmp_path, "runs/Kühler.csv/a") is None
    (tmp_path / "RUNS").mkdir(exist_ok=True)
    if len(os.listdir(tmp_path)) == 2:  # the system tells the two apart
        assert as_listed(tmp_path, "runs/Kühler.csv") == "runs/Kühler.csv"


def test_a_folder_that_may_not_be_listed_is_believed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: object) -> list[str]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "listdir", refuse)
    assert as_listed(tmp_path, "runs/a.csv") == "runs/a.csv"
