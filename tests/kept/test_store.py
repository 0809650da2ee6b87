"""What is kept on disk is found again as it was put there, or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.cli import main as cli
from buildlog.kept import key_of_user, store
from buildlog.kept.store import FOLDER, Store, key_for
from buildlog.report.secret import told_of_secret
from tests.samples import write_site
from tests.systems import link, pipe

SECRET = bytes(range(32))
KEY = key_for("a thing")


def entry_of(site: Path) -> Path:
    (entry,) = (site / FOLDER).glob("??/*")
    return entry


def test_what_is_put_is_found_by_another_run(tmp_path: Path) -> None:
    Store(tmp_path, SECRET).put(KEY, b"content")
    assert Store(tmp_path, SECRET).get(KEY) == b"content"
    assert Store(tmp_path, SECRET).get(key_for("another")) is None


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
    (tmp_path / FOLDER / other[:2]).mkdir(exist_ok=True)
    entry_of(tmp_path).rename(tmp_path / FOLDER / other[:2] / other[2:])
    assert Store(tmp_path, SECRET).get(other) is None


def test_an_entry_that_another_user_signed_is_none(tmp_path: Path) -> None:
    """A stranger's pull request may bring files in the folder: they are never read as ours."""
    Store(tmp_path, bytes(32)).put(KEY, b"forged")
    assert Store(tmp_path, SECRET).get(KEY) is None


def test_git_sees_nothing_of_what_is_kept_and_all_that_others_keep(tmp_path: Path) -> None:
    """Whatever list a site has; the theme keeps files in the same folder, which are its own to hide."""
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True, timeout=60)
    others = tmp_path / ".cache" / "others" / "card.png"
    others.parent.mkdir(parents=True)
    others.touch()
    Store(tmp_path, SECRET).put(KEY, b"content")
    seen = subprocess.run(
        ["git", "status", "--porcelain", "-uall"],
        cwd=tmp_path,
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    ).stdout
    assert seen == "?? .cache/others/card.png\n"


def test_copying_programs_pass_over_the_folder(tmp_path: Path) -> None:
    """Cache Directory Tagging Specification, version 0.6: the first octets of the file."""
    Store(tmp_path, SECRET).put(KEY, b"content")
    tag = (tmp_path / FOLDER / "CACHEDIR.TAG").read_bytes()
    assert tag.startswith(b"Signature: 8a477f597d28d172789f06886806bc55")


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path: Path) -> None:
    (tmp_path / FOLDER.parent).mkdir()
    (tmp_path / FOLDER).write_text("a file in the folder's place")
    kept = Store(tmp_path, SECRET)
    kept.put(KEY, b"content")
    assert kept.get(KEY) is None
    kept.end()
    assert (tmp_path / FOLDER).read_text() == "a file in the folder's place"


def test_on_a_full_disk_nothing_is_kept_and_nothing_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes, *more: object) -> None:
        raise OSError(28, "No space left on device")

    kept = Store(tmp_path, SECRET)
    monkeypatch.setattr(store, "write_whole", full)
    kept.put(KEY, b"content")
    assert kept.get(KEY) is None
    assert not list((tmp_path / FOLDER).glob("??/*"))


def test_the_least_used_goes_where_all_is_too_much(tmp_path: Path) -> None:
    keys = [key_for(str(number)) for number in range(4)]
    kept = Store(tmp_path, SECRET)
    for age, key in enumerate(keys):
        kept.put(key, os.urandom(1000))
        used = time.time() - 1000 * age
        os.utime(tmp_path / FOLDER / key[:2] / key[2:], (used, used))
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


class TestProposal:
    """What a stranger's proposal may have put in the folder's place."""

    @pytest.fixture
    def outside(self, tmp_path: Path) -> Path:
        """A folder with files that look like entries, which are nobody's to read, write or take away."""
        folder = tmp_path / "outside"
        for name in ("buildlog", KEY[:2], f"buildlog/{KEY[:2]}"):
            (folder / name).mkdir(parents=True)
        for name in (KEY[2:], f"{KEY[:2]}/{KEY[2:]}", f"buildlog/{KEY[:2]}/{KEY[2:]}"):
            (folder / name).write_bytes(b"private" * 1000)
        return folder

    @pytest.mark.parametrize("place", [FOLDER.parent, FOLDER, FOLDER / KEY[:2], FOLDER / KEY[:2] / KEY[2:]])
    def test_a_link_is_neither_read_nor_written_through_nor_taken_away_from(
        self, tmp_path: Path, outside: Path, place: Path
    ) -> None:
        site = tmp_path / "site"
        (site / place).parent.mkdir(parents=True)
        link(site / place, outside)
        before = {path: path.is_dir() or path.read_bytes() for path in outside.rglob("*")}
        kept = Store(site, SECRET, most_bytes=1000)
        assert kept.get(KEY) is None
        kept.put(KEY, b"content")
        for number in range(20):
            kept.put(key_for(str(number)), os.urandom(500))
        kept.end()
        assert {path: path.is_dir() or path.read_bytes() for path in outside.rglob("*")} == before

    def test_a_pipe_or_a_great_file_is_not_read(self, tmp_path: Path) -> None:
        entry = tmp_path / FOLDER / KEY[:2] / KEY[2:]
        entry.parent.mkdir(parents=True)
        with entry.open("wb") as great:
            great.truncate(10**12)  # with nothing in it: it takes no room
        assert Store(tmp_path, SECRET).get(KEY) is None
        entry.unlink()
        pipe(entry)
        assert Store(tmp_path, SECRET).get(KEY) is None  # and does not wait for ever


class TestSecret:
    @pytest.fixture
    def own(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
        """Where the secret is to lie."""
        file = tmp_path / "state" / "key"
        file.parent.mkdir(mode=0o700)
        monkeypatch.setattr(key_of_user, "secret_file", lambda: file)
        return file

    def test_it_is_made_once_and_for_the_user_alone(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(key_of_user, "secret_file", lambda: tmp_path / "state" / "key")
        made = key_of_user.read_secret()
        assert made.value is not None
        assert len(made.value) == 32
        assert key_of_user.read_secret() == made
        if sys.platform != "win32":
            assert (tmp_path / "state" / "key").stat().st_mode & 0o077 == 0

    def test_two_users_have_two(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        secrets = set()
        for name in ("one", "other"):
            monkeypatch.setattr(key_of_user, "secret_file", lambda name=name: tmp_path / name / "key")
            secrets.add(key_of_user.read_secret().value)
        assert len(secrets) == 2

    @pytest.mark.parametrize("named", ["rel", "./rel", "../rel", ""])
    def test_it_never_lies_in_the_site(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: str
    ) -> None:
        """XDG Base Directory Specification: a relative path is invalid, and to be passed over. A proposal
        could bring a secret of its own there."""
        monkeypatch.chdir(tmp_path)
        for name in ("XDG_STATE_HOME", "LOCALAPPDATA"):
            monkeypatch.setenv(name, named)
        monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
        assert key_of_user.secret_file().is_relative_to(tmp_path / "home")

    @pytest.mark.skipif(sys.platform == "win32", reason="the folder is the user's own there")
    @pytest.mark.parametrize("mode", [0o620, 0o602, 0o666, 0o640, 0o604, 0o700 | 0o010])
    def test_one_that_others_may_read_or_write_is_none(self, own: Path, mode: int) -> None:
        """Nothing is kept, and what was is not believed; it is not made anew over theirs."""
        secret = key_of_user.read_secret().value
        assert secret is not None
        assert told_of_secret(Store(own.parent)) == ""
        own.chmod(mode)
        assert key_of_user.read_secret().value is None
        assert f"{own}: another user made it or may read or write it; take it away" in told_of_secret(
            Store(own.parent)
        )
        assert own.read_bytes() == secret

    @pytest.mark.skipif(sys.platform == "win32", reason="the folder is the user's own there")
    @pytest.mark.parametrize("mode", [0o777, 0o770, 0o1777, 0o702])
    def test_one_in_a_folder_that_others_may_write_in_is_none(self, own: Path, mode: int) -> None:
        """They could put another file of the user's there, one whose text they know."""
        assert key_of_user.read_secret().value is not None
        own.parent.chmod(mode)
        assert key_of_user.read_secret().value is None
        assert f"{own.parent}: another user made it or may write in it; `chmod 700` it" in told_of_secret(
            Store(own.parent)
        )
        own.parent.chmod(0o755)
        assert key_of_user.read_secret().value is not None

    @pytest.mark.skipif(sys.platform == "win32", reason="there is no such number of a user there")
    def test_one_that_another_user_made_is_theirs(self, own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        assert key_of_user.read_secret().value is not None
        monkeypatch.setattr(os, "geteuid", lambda: own.stat().st_uid + 1)
        assert key_of_user.read_secret().value is None
        assert key_of_user.read_secret().refused is not None

    def test_a_pipe_is_none(self, own: Path) -> None:
        pipe(own)
        assert key_of_user.read_secret().value is None  # and does not wait for ever
        assert "it is damaged" in told_of_secret(Store(own.parent))

    def test_where_there_can_be_none_nothing_is_kept(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        (tmp_path / "file").write_text("")
        monkeypatch.setattr(key_of_user, "secret_file", lambda: tmp_path / "file" / "key")
        assert key_of_user.read_secret().value is None
        kept = Store(tmp_path)
        kept.put(KEY, b"content")
        assert not (tmp_path / FOLDER).exists()
        assert told_of_secret(kept) == ""

    @pytest.mark.parametrize("content", [b"", b"short", bytes(33), bytes(1000)])
    def test_one_that_is_damaged_is_none(self, own: Path, content: bytes) -> None:
        own.write_bytes(content)
        own.chmod(0o600)
        assert key_of_user.read_secret().value is None
        assert f"{own}: it is damaged; take it away" in told_of_secret(Store(own.parent))

    def test_one_that_is_being_written_is_waited_for(
        self, own: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        own.write_bytes(SECRET[:7])
        own.chmod(0o600)
        monkeypatch.setattr(time, "sleep", lambda seconds: own.write_bytes(SECRET))
        assert key_of_user.read_secret().value == SECRET

    def test_a_command_tells_it_in_one_line(self, own: Path, tmp_path: Path) -> None:
        own.write_bytes(b"short")
        own.chmod(0o600)
        write_site(tmp_path, {"index.md": "# One\n"})
        told = CliRunner().invoke(cli, ["proof", "--site", str(tmp_path)]).stderr
        assert told.count("nothing is kept for the next run") == 1
        assert next(line for line in told.splitlines() if str(own) in line).endswith("makes another.")


_KILLED = """
import os, sys
from pathlib import Path
from buildlog.files import whole_file
from buildlog.kept.store import FOLDER, Store, key_for
from buildlog.report.secret import told_of_secret
from tests.samples import write_site
from tests.systems import link, pipe
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
