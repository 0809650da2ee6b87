"""The secret with which entries are signed, so that nothing is read back that this user's runs did not write.

The folder of what is kept lies in the site's own, where a pull request can put files too: without a signature
a stranger's files would be taken for our results.
"""

from __future__ import annotations

import os
import secrets
import sys
from contextlib import suppress
from pathlib import Path
from stat import S_ISREG, S_IWGRP, S_IWOTH

_LENGTH = 32


def secret_file() -> Path:
    """Where the secret lies: with what programs keep for a user and do not show."""
    named, usual = "XDG_STATE_HOME", Path(".local", "state")
    if sys.platform == "win32":
        named, usual = "LOCALAPPDATA", Path("AppData", "Local")
    if sys.platform == "darwin":
        named, usual = "", Path("Library", "Application Support")
    # A relative one is to be passed over (XDG Base Directory Specification): it would lie in the site.
    state = Path(os.environ.get(named) or "")
    return (state if state.is_absolute() else Path.home() / usual) / "buildlog" / "key"


def read_secret() -> bytes | None:
    """The user's secret, made when it is first wanted; None where there can be none."""
    try:
        file = secret_file()
        with suppress(FileNotFoundError):
            return _read(file)
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with suppress(FileExistsError):  # another run has just made it
            handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as made:
                made.write(secrets.token_bytes(_LENGTH))
        return _read(file)
    except (OSError, RuntimeError):  # RuntimeError: nobody knows a home
        return None


def _read(file: Path) -> bytes | None:
    """A secret that is being written is none yet; a pipe or a device is none, and would have no end. One that
    others may write is theirs."""
    state = file.stat()
    if not (S_ISREG(state.st_mode) and state.st_size == _LENGTH) or _is_of_others(state):
        return None
    return file.read_bytes()


def secret_of_others() -> Path | None:
    """The file of the secret where it is not believed, since another user made it or may write it."""
    with suppress(OSError, RuntimeError):
        file = secret_file()
        return file if _is_of_others(file.stat()) else None
    return None


def _is_of_others(state: os.stat_result) -> bool:
    """Whether another user made a file or may write it; on Windows its folder is the user's own."""
    if sys.platform == "win32":
        return False
    return state.st_uid != os.geteuid() or bool(state.st_mode & (S_IWGRP | S_IWOTH))
