"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path


def write_whole(path: Path, content: bytes, ready: Callable[[Path], None] = lambda made: None) -> None:
    """Put a file in a path's place. It is made beside it; `ready` sees to what else it needs, and may raise:
    then, as with any `OSError`, the path is as it was and nothing is left behind. Windows refuses to replace
    a file that another program holds open."""
    # Short, since a name, and on Windows a path, may be as long as it can be already.
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".")
    made = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        ready(made)
        os.replace(made, path)
    except BaseException:
        made.unlink(missing_ok=True)
        raise
