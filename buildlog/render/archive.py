"""Zip files of which the same content is the same bytes: sorted names, one date, one mode."""

from __future__ import annotations

import io
import unicodedata
import zipfile
from collections.abc import Iterable, Mapping

_DATE = (1980, 1, 1, 0, 0, 0)  # the first that a zip file can say
_MODE = 0o100644 << 16
_UNIX = 3


def archive(files: Mapping[str, bytes]) -> bytes:
    """Files by their path as a zip file. Two programs that compress differently make other bytes of it, which
    unpack to the same."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, _DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = _MODE
            entry.create_system = _UNIX
            packed.writestr(entry, files[name], compresslevel=9)
    return made.getvalue()


def can_be_packed(path: str) -> bool:
    """Whether a path can stand in a zip file and be unpacked anywhere under the folder that is meant."""
    parts = path.split("/")
    try:
        path.encode("utf-8")
    except UnicodeEncodeError:  # a file's name that is no text
        return False
    return not any(part in ("", ".", "..") for part in parts) and not any(
        sign == "\\" or ord(sign) < 32 or ord(sign) == 127 for sign in path
    )


def same_elsewhere(names: Iterable[str]) -> tuple[str, ...]:
    """Two of these names that are one where capitals are not told apart, or é is one letter and not two; none
    where all differ everywhere."""
    seen: dict[str, str] = {}
    for name in sorted(names):
        known = unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
        if known in seen:
            return seen[known], name
        seen[known] = name
    return ()
