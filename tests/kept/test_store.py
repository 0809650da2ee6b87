"""What is kept on disk is found again as it was put there, or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from buildlog.kept import key_of_user, store
from buildlog.kept.store import Store, key_for

SECRET = bytes(range(32))
KEY = key_for("a thing")


def entry_of(folder: Path) -> Path:
    (entry,) = folder.glob("??/*")
    return entry


def test_what_is_put_is_found_by_another_run(tmp_path: Path) -> None:
    Store(tmp_path / "kept", SECRET).put(KEY, b"content")
    assert Store(tmp_path / "kept", SECRET).get(KEY) == b"content"
    assert Store(tmp_path / "kept", SECRET).get(key_for("another")) is None


def test_keys_tell_parts_from_each_other() -> None:
    parts = [("ab", "c"), ("a", "bc"), ("abc",), ("", "abc"), ("abc", ""), (b"ab", "d")]
    assert len({key_for(*each) for each in parts}) == len(parts)


@pytest.mark.parametrize("at", [0, 5, 16, 20, 47, 48, 60, -1])
def test_a_damaged_entry_is_none(tmp_path: Path, at: int) -> None:
    Store(tmp_path, SECRET).put(KEY, b"content" * 20)
    held = bytearray(entry_of(tmp_path).read_bytes())
    held[at] ^= 1
    entry_of(tmp_path).write_bytes(held)
    assert Store(tmp_path, SECRET).get(KEY) is None


def test_an_entry_cut_short_or_empty_is_none(tmp_path: Path) -> None:
    Store(tmp_path, SECRET).put(KEY, b"content" * 20)
    whole = entry_of(tmp_path).read_bytes()
    for length in range(len(whole)):
        entry_of(tmp_path).write_bytes(whole[:length])
        assert Store(tmp_path, SECRET).get(KEY) is None


def test_an_entry_under_another_key_is_none(tmp_path: Path) -> None:
    """Who can write into the folder cannot answer one question with the answer to another."""
    Store(tmp_path, SECRET).put(KEY, b"content")
    other = key_for("another thing")
    (tmp_path / other[:2]).mkdir(exist_ok=True)
    entry_of(tmp_path).rename(tmp_path / other[:2] / other[2:])
    assert Store(tmp_path, SECRET).get(other) is None


def test_an_entry_that_another_user_signed_is_none(tmp_path: Path) -> None:
    """A stranger's pull request may bring files in the folder: they are never read as ours."""
    Store(tmp_path, bytes(32)).put(KEY, b"forged")
    assert Store(tmp_path, SECRET).get(KEY) is None


def test_git_and_copying_programs_pass_over_the_folder(tmp_path: Path) -> None:
    Store(tmp_path / "kept", SECRET).put(KEY, b"content")
    assert "*" in (tmp_path / "kept" / ".gitignore").read_text().splitlines()
    # Cache Directory Tagging Specification, version 0.6: the first octets of the file
    tag = (tmp_path / "kept" / "CACHEDIR.TAG").read_bytes()
    assert tag.startswith(b"Signature: 8a477f597d28d172789f06886806bc55")


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path: Path) -> None:
    (tmp_path / "kept").write_text("a file in the folder's place")
    kept = Store(tmp_path / "kept", SECRET)
    kept.put(KEY, b"content")
    assert kept.get(KEY) is None
    kept.end()
    assert (tmp_path / "kept").read_text() == "a file in the folder's place"


def test_on_a_full_disk_nothing_is_kept_and_nothing_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes, *more: object) -> None:
        raise OSError(28, "No space left on device")

    kept = Store(tmp_path, SECRET)
    monkeypatch.setattr(store, "write_whole", full)
    kept.put(KEY, b"content")
    assert kept.get(KEY) is None
    assert not list(tmp_path.glob("??/*"))


def test_the_least_used_goes_where_all_is_too_much(tmp_path: Path) -> None:
    keys = [key_for(str(number)) for number in range(4)]
    kept = Store(tmp_path, SECRET)
    for age, key in enumerate(keys):
        kept.put(key, os.urandom(1000))
        used = time.time() - 1000 * age
        os.utime(tmp_path / key[:2] / key[2:], (used, used))
    Store(tmp_path, SECRET, most_bytes=2500).end()
    assert sum(kept.get(key) is not None for key in keys) == 4  # a run that added nothing takes nothing away
    small = Store(tmp_path, SECRET, most_bytes=2500)
    small.put(keys[0], b"anew")
    small.end()
    assert [kept.get(key) is not None for key in keys] == [True, True, True, False]


def test_an_entry_in_use_is_young_again(tmp_path: Path) -> None:
    Store(tmp_path, SECRET).put(KEY, b"content")
    old = time.time() - 10 * 86_400
    os.utime(entry_of(tmp_path), (old, old))
    assert Store(tmp_path, SECRET).get(KEY) == b"content"
    assert entry_of(tmp_path).stat().st_mtime > old + 86_400


class TestSecret:
    def test_it_is_made_once_and_for_the_user_alone(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(key_of_user, "secret_file", lambda: tmp_path / "state" / "key")
        made = key_of_user.read_secret()
        assert made is not None
        assert len(made) == 32
        assert key_of_user.read_secret() == made
        if sys.platform != "win32":
            assert (tmp_path / "state" / "key").stat().st_mode & 0o077 == 0

    def test_two_users_have_two(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        secrets = set()
        for name in ("one", "other"):
            monkeypatch.setattr(key_of_user, "secret_file", lambda name=name: tmp_path / name / "key")
            secrets.add(key_of_user.read_secret())
        assert len(secrets) == 2

    def test_where_there_can_be_none_nothing_is_kept(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        (tmp_path / "file").write_text("")
        monkeypatch.setattr(key_of_user, "secret_file", lambda: tmp_path / "file" / "key")
        assert key_of_user.read_secret() is None
        kept = Store(tmp_path / "kept")
        kept.put(KEY, b"content")
        assert not (tmp_path / "kept").exists()

    def test_one_that_is_cut_short_is_none(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        (tmp_path / "key").write_bytes(b"short")
        monkeypatch.setattr(key_of_user, "secret_file", lambda: tmp_path / "key")
        assert key_of_user.read_secret() is None


_KILLED = """
import os, sys
from pathlib import Path
from buildlog.files import whole_file
from buildlog.kept.store import Store, key_for
real = os.replace
def killed(*names):
    os._exit(9)
os.replace = killed
Store(Path(sys.argv[1]), bytes(range(32))).put(key_for("a thing"), b"content")
"""


def test_a_run_that_is_killed_leaves_no_entry(tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-c", _KILLED, str(tmp_path)], check=False)
    assert done.returncode == 9
    kept = Store(tmp_path, SECRET)
    assert kept.get(KEY) is None
    kept.put(KEY, b"content")
    assert kept.get(KEY) == b"content"
