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

_LENGTH = 32


def secret_file() -> Path:
    """Where the secret lies: with what programs keep for a user and do not show."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "buildlog" / "key"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "buildlog" / "key"
    return Path(os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state") / "buildlog" / "key"


def read_secret() -> bytes | None:
    """The user's secret, made when it is first wanted; None where there can be none."""
    try:
        file = secret_file()
        with suppress(FileNotFoundError):
            return _whole(file.read_bytes())
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with suppress(FileExistsError):  # another run has just made it
            handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as made:
                made.write(secrets.token_bytes(_LENGTH))
        return _whole(file.read_bytes())
    except (OSError, RuntimeError):  # RuntimeError: nobody knows a home
        return None


def _whole(secret: bytes) -> bytes | None:
    """A secret that is being written is none yet."""
    return secret if len(secret) == _LENGTH else None
