"""Which files of the content folder a site publishes as pages.

MkDocs takes patterns like those of ``.gitignore``: ``exclude_docs`` for files that are no part of the site,
``draft_docs`` for those that only serving shows. pathspec reads them, as it does for MkDocs. Of ``README.md``
and ``index.md`` in one folder MkDocs publishes the latter.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from pathlib import PurePosixPath

from pathspec.gitignore import GitIgnoreSpec

from buildlog.diagnostics import Diagnostic, shorten
from buildlog.files.page_names import without_ending
from buildlog.reading.configuration import CONFIGURATION, Scalar, is_null, text_of
from buildlog.reading.nodes import YamlMapping, YamlNode, describe

ALWAYS_EXCLUDED = GitIgnoreSpec.from_lines([".*", "/templates/"])
"""MkDocs' own, which a pattern of the site with a ! takes in again."""


class Standing(Enum):
    """Whether a file is a page of the site."""

    PUBLISHED = "published"
    DRAFT = "draft"
    EXCLUDED = "excluded"


@dataclass(frozen=True, kw_only=True)
class Posts:
    """A folder of a blog's posts, of which those are not published that say ``draft: true``. Serving shows
    them where `on_serve` says so."""

    folder: str
    on_serve: bool = True


@dataclass(frozen=True, kw_only=True)
class Publication:
    """What a site says on which of its files it publishes. `hidden` ones are, outside of the navigation."""

    excluded: GitIgnoreSpec = field(default_factory=lambda: ALWAYS_EXCLUDED)
    drafts: GitIgnoreSpec | None = None
    hidden: GitIgnoreSpec | None = None
    posts: tuple[Posts, ...] = ()

    def standing(self, path: str) -> Standing:
        """Of a file, by its path under the content folder."""
        if self.excluded.match_file(path):
            return Standing.EXCLUDED
        if self.drafts is not None and self.drafts.match_file(path):
            return Standing.DRAFT
        return Standing.PUBLISHED

    def posts_with(self, path: str) -> Posts | None:
        """The posts that a file is one of."""
        return next((posts for posts in self.posts if path.startswith(f"{posts.folder}/")), None)


def read_publication(
    site: YamlMapping, plugins: list[tuple[str, YamlNode]], faults: list[Diagnostic]
) -> Publication:
    """The settings of a site; what MkDocs refuses is a fault."""
    excluded = _patterns(site, "exclude_docs", faults)
    return Publication(
        excluded=ALWAYS_EXCLUDED if excluded is None else ALWAYS_EXCLUDED + excluded,
        drafts=_patterns(site, "draft_docs", faults),
        hidden=_patterns(site, "not_in_nav", faults),
        posts=tuple(
            _posts(options) for name, options in plugins if name == "blog" and not _shows_drafts(options)
        ),
    )


def _patterns(site: YamlMapping, name: str, faults: list[Diagnostic]) -> GitIgnoreSpec | None:
    node = site.get(name)
    if is_null(node):
        return None
    assert node is not None
    text = text_of(node)
    found, expected = f"{name}: {shorten(describe(node))}", "patterns of files, a line for each"
    if text is not None:
        try:
            return GitIgnoreSpec.from_lines(text.splitlines())
        except ValueError as error:
            found, expected = f"{name}: {shorten(str(error))}", "patterns as in .gitignore"
    faults.append(CONFIGURATION.at(node.position, found=found, expected=expected))
    return None


def _option(options: YamlNode, name: str) -> YamlNode | None:
    return options.get(name) if isinstance(options, YamlMapping) else None


def _posts(options: YamlNode) -> Posts:
    """Where a blog's posts are, by the options of Material's plugin."""
    blog = text_of(_option(options, "blog_dir")) or "blog"
    folder = (text_of(_option(options, "post_dir")) or "{blog}/posts").replace(
        "{blog}", os.path.normpath(blog)
    )
    on_serve = _option(options, "draft_on_serve")
    shown = not (isinstance(on_serve, Scalar) and on_serve.switch is False)
    return Posts(folder=PurePosixPath(os.path.normpath(folder)).as_posix(), on_serve=shown)


def _shows_drafts(options: YamlNode) -> bool:
    node = _option(options, "draft")
    return isinstance(node, Scalar) and node.switch is True


def dropped(found: dict[str, Standing]) -> Iterator[str]:
    """Of files in a folder that would be one page, those that MkDocs leaves out."""
    first: dict[str, str] = {}
    for name in sorted(found):
        folder, _, file = without_ending(name).rpartition("/")
        page = f"{folder}/{'index' if file == 'README' else file}"
        other = first.setdefault(page, name)
        if other != name and without_ending(other) != without_ending(name):
            yield other if found[name] is Standing.PUBLISHED else name
