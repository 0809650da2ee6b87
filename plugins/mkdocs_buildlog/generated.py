"""A file that is made, for the site to have: its content is in memory, and on a disk for whoever asks
where."""

from __future__ import annotations

import hashlib
import tempfile
from functools import cache
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File

from buildlog.files.whole_file import write_whole
from mkdocs_buildlog.messages import writing


class MadeFile(File):
    """MkDocs' own generated files have no path to read them from. Plugins ask for one all the same (some read
    the file, some compare the path with the content folder's); so there is one, outside of the content
    folder, written when it is asked for. `dest_uri` is where the site has the file, where that is not its
    `src_uri`."""

    def __init__(
        self, config: MkDocsConfig, src_uri: str, content: str | bytes, *, dest_uri: str | None = None
    ) -> None:
        super().__init__(src_uri, None, config.site_dir, config.use_directory_urls, dest_uri=dest_uri)
        self.generated_by = "buildlog"
        self._content = content
        self._path: str | None = None

    @property
    def abs_src_path(self) -> str:
        if self._path is not None:
            return self._path
        content = self.content_bytes
        folder = Path(_folder().name) / hashlib.sha256(content).hexdigest()[:16]
        path = folder / Path(self.src_uri).name
        if not path.is_file():
            with writing(path):
                folder.mkdir(parents=True, exist_ok=True)
                write_whole(path, content)
        return str(path)

    @abs_src_path.setter
    def abs_src_path(self, path: str | None) -> None:
        self._path = path


@cache
def _folder() -> tempfile.TemporaryDirectory[str]:
    """One for the process, gone with it."""
    return tempfile.TemporaryDirectory(prefix="buildlog-")
