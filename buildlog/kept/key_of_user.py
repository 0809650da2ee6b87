"""The secret with which entries are signed, so that nothing is read back that this user's runs did not write.

The folder of what is kept lies in the site's own, where a pull request can put files too: without a signature
a stranger's files would be taken for our results.
"""

from __future__ import annotations

import os
import secrets
import sys
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from stat import S_IRWXG, S_IRWXO, S_ISREG, S_IWGRP, S_IWOTH

_LENGTH = 32
_OTHERS = "another user made it or may"
_TAKE_AWAY = "take it away, and the next run makes another"
_DAMAGED = f"it is damaged; {_TAKE_AWAY}"


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


@dataclass(frozen=True)
class Secret:
    """The secret; None where there is none. `refused` is what lies in its place and is not believed, and
    `why` says what is wrong with it and what to do."""

    value: bytes | None = field(default=None, repr=False)
    refused: Path | None = None
    why: str = ""


def read_secret() -> Secret:
    """The user's secret, made when it is first wanted."""
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
        return Secret()


def _read(file: Path) -> Secret:
    """What lies in the secret's place. The very file that was looked at is read; a pipe or a device is none,
    and would have no end."""
    if _is_open_to_others(file.parent.stat(), S_IWGRP | S_IWOTH):
        return Secret(None, file.parent, f"{_OTHERS} write in it; `chmod 700` it")
    if not S_ISREG(file.stat().st_mode):
        return Secret(None, file, _DAMAGED)
    try:
        with file.open("rb") as opened:
            if _is_open_to_others(os.fstat(opened.fileno()), S_IRWXG | S_IRWXO):
                return Secret(None, file, f"{_OTHERS} read or write it; {_TAKE_AWAY}")
            content = opened.read(_LENGTH + 1)
            if len(content) < _LENGTH:  # another run may be writing it at this moment
                time.sleep(0.1)
                content += opened.read(_LENGTH + 1)
    except PermissionError:
        return Secret(None, file, f"you may not read it; {_TAKE_AWAY}")
    return Secret(content) if len(content) == _LENGTH else Secret(None, file, _DAMAGED)


def _is_open_to_others(state: os.stat_result, modes: int) -> bool:
    """Whether another user made a file or may do with it what some modes say; on Windows its folder is the
    user's own."""
    if sys.platform == "win32":
        return False
    return state.st_uid != os.geteuid() or bool(state.st_mode & modes)
