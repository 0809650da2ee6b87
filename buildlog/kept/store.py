"""Entries on disk, found by what they were made of: signed, written whole, bounded.

Whatever is wrong with an entry or the folder, a lookup then finds nothing and what is wanted is made anew.
"""

from __future__ import annotations

import hmac
import os
import time
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from stat import S_ISREG
from zlib import compress, decompress, error

from buildlog.files.whole_file import write_whole
from buildlog.kept.key_of_user import Secret, read_secret

FOLDER = Path(".cache", "buildlog")
"""Under the site's own folder, beside its settings."""
MOST_BYTES = 1_000_000_000
"""Of all entries together. An episode of the demonstration takes some eight hundred thousand."""
_FORM = b"buildlog kept 1\n"
_SIGNED = 32
_DAY = 86_400
_MARKS = {
    ".gitignore": "# Made by buildlog, which makes it again when it is gone.\n*\n",
    "CACHEDIR.TAG": "Signature: 8a477f597d28d172789f06886806bc55\n# By buildlog; see bford.info/cachedir\n",
}


class Store:
    """What is kept of the site whose settings are in a folder. `get` and `put` never raise."""

    def __init__(self, site: Path, secret: bytes | None = None, *, most_bytes: int = MOST_BYTES) -> None:
        self.folder = site / FOLDER
        self._site = site
        self._own: set[Path] = set()  # folders of which it is known that no link leads to them
        self.most_bytes = most_bytes
        found = Secret(secret) if secret is not None else read_secret()
        self._secret = found.value
        self.refused, self.why = found.refused, found.why
        self._writes = self._secret is not None
        self._added = 0

    def has(self, key: str) -> bool:
        """Whether something lies where what was put under a key would; only reading tells what it is."""
        return self._secret is not None and os.path.lexists(self._place(key))

    def get(self, key: str) -> bytes | None:
        """What was put under a key, or None: it was never, is gone, is damaged or somebody else's."""
        if self._secret is None:
            return None
        place = self._place(key)
        try:
            held = self._read(place)
            if not held.startswith(_FORM):
                return None
            signature, packed = held[len(_FORM) :][:_SIGNED], held[len(_FORM) + _SIGNED :]
            if not hmac.compare_digest(signature, self._sign(key, packed)):
                return None
            found = decompress(packed)
            if time.time() - place.stat().st_mtime > _DAY:  # the least used go first
                os.utime(place)
        except (OSError, error):
            return None
        return found

    def put(self, key: str, content: bytes) -> None:
        """Keep something under a key, where that can be. After one failure nothing more is tried."""
        if not self._writes or self._secret is None:
            return
        packed = compress(content, 1)
        try:
            self._begin()
            place = self._place(key)
            place.parent.mkdir(exist_ok=True)
            self._refuse_link(place.parent)
            write_whole(place, _FORM + self._sign(key, packed) + packed)
            self._added += 1
        except OSError:
            self._writes = False

    def end(self) -> None:
        """A run is over: take away what was used least, where all is more than is allowed."""
        if not self._added:
            return
        self._added = 0
        entries = sorted(self._entries(), reverse=True)
        left = self.most_bytes
        for _, size, place in entries:
            left -= size
            if left < 0:
                with suppress(OSError):
                    place.unlink()

    def _place(self, key: str) -> Path:
        return self.folder / key[:2] / key[2:]

    def _read(self, place: Path) -> bytes:
        """An entry's bytes. A proposal may have put a link, a device or a great file in its place: these are
        not read. Raises `OSError`."""
        self._refuse_link(place.parent)
        state = place.lstat()
        if not S_ISREG(state.st_mode) or state.st_size > self.most_bytes:
            raise OSError(f"{place} is no entry")
        return place.read_bytes()

    def _refuse_link(self, folder: Path) -> None:
        """Raise `OSError` where a folder is not the site's own: a link would lead reading, writing and taking
        away to anywhere."""
        if folder not in self._own:
            own = Path(os.path.realpath(self._site)) / folder.relative_to(self._site)
            if Path(os.path.realpath(folder)) != own:
                raise OSError(f"{folder} leads elsewhere")
            self._own.add(folder)

    def _sign(self, key: str, packed: bytes) -> bytes:
        assert self._secret is not None
        return hmac.digest(self._secret, key.encode() + b"\n" + packed, sha256)

    def _begin(self) -> None:
        """Make the folder, which git passes over and programs that make copies too."""
        if self._added:
            return
        for folder in (self.folder.parent, self.folder):
            folder.mkdir(exist_ok=True)
            self._refuse_link(folder)
        for name, text in _MARKS.items():
            if not (self.folder / name).is_file():
                write_whole(self.folder / name, text.encode())

    def _entries(self) -> Iterator[tuple[float, int, Path]]:
        """(last used, bytes, place) of every entry, and of what a killed run left half-written."""
        for folder in self.folder.glob("??"):
            with suppress(OSError):
                self._refuse_link(folder)
                for place in folder.iterdir():
                    state = place.lstat()
                    if S_ISREG(state.st_mode):
                        yield state.st_mtime, state.st_size, place


def key_for(*parts: bytes | str) -> str:
    """A key for what was made of some parts: other parts, another key."""
    digest = sha256()
    for part in parts:
        content = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        digest.update(b"%d:" % len(content))
        digest.update(content)
    return digest.hexdigest()
