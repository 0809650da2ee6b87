"""The data files of a site while it is computed: each is read once, for all blocks and cases that name it."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from buildlog.files.text import digest_of
from buildlog.kinds.declaration import Table
from buildlog.reading.data import (
    LARGEST,
    NO_HEADINGS,
    DataColumns,
    DataTable,
    DataText,
    Heading,
    data_path,
    read_columns,
    read_data_text,
)

MOST_KEPT = 2 * LARGEST
"""Characters of texts that are kept for kinds with other columns; what a table takes of them is far less."""

_State = tuple[str, int, int, int]


@dataclass(frozen=True, kw_only=True)
class _Taken:
    """What a table took of a file."""

    form: Table
    called: dict[str, tuple[str, str]]
    columns: DataColumns
    digest: str


@dataclass(kw_only=True)
class DataFiles:
    """Files under a content folder. A file that has changed since it was read is read again."""

    content: Path
    shown: Callable[[Path], str]
    taken: dict[_State, list[_Taken]] = field(default_factory=dict)
    texts: dict[_State, DataText] = field(default_factory=dict)
    digests: dict[_State, str] = field(default_factory=dict)

    def table(self, name: str, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS) -> DataTable:
        """The rows of a CSV file, for the columns of a table. Raises `Refused`."""
        path = data_path(self.content, name)
        state = _state(path)
        called = {column: (heading.text, heading.unit) for column, heading in mapped.items()}
        for taken in self.taken.get(state, ()) if state else ():
            if (taken.form, taken.called) == (form, called):
                return _table(taken.columns, taken.digest)
        data = self._text(path, name, state)
        columns = read_columns(data, form, mapped)
        # With headings of the author's own, findings may have places in the block that names the file.
        if state and not (columns.findings and mapped):
            taken = _Taken(form=form, called=called, columns=columns, digest=data.digest)
            self.taken.setdefault(state, []).append(taken)
        return _table(columns, data.digest)

    def _text(self, path: Path, name: str, state: _State | None) -> DataText:
        if state in self.texts:
            return self.texts[state]
        data = read_data_text(path, name, self.shown)
        if state:
            self.texts[state] = data
            self.digests[state] = data.digest
            while sum(len(kept.text) for kept in self.texts.values()) > MOST_KEPT:
                del self.texts[next(iter(self.texts))]
        return data

    def digest(self, name: str) -> str:
        """The digest of a file, however large. Raises `Refused` and `OSError`."""
        path = data_path(self.content, name)
        state = _state(path)
        if state is None or state not in self.digests:
            made = digest_of(path)
            if state is None:
                return made
            self.digests[state] = made
        return self.digests[state]


def _table(columns: DataColumns, digest: str) -> DataTable:
    return DataTable(rows=columns.rows(), findings=columns.findings, digest=digest)


def _state(path: Path) -> _State | None:
    """What tells a file from what it was before, None where there is no telling."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return str(path), found.st_ino, found.st_size, found.st_mtime_ns
