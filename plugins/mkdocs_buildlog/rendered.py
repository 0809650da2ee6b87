"""Pages as MkDocs has rendered them, kept for as long as nothing that they come from changes: in memory while
serving, and on disk for the next run.

A page's HTML comes from its text, from what the extension puts in, from the site's Markdown extensions, and
from the addresses of the site's files. Extensions that read other files or tell other pages of what they saw
cannot be kept; so nothing is, unless every one of the site's is known to do neither.
"""

from __future__ import annotations

import copy
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import AnchorLink, TableOfContents

from buildlog.files.page_names import without_ending
from buildlog.kept.program import files_digest, version_of
from buildlog.page.insertion import DeferredHtml
from buildlog.page.kept_page import Heading, KeptPage
from buildlog.render import Rendered
from buildlog.render.identity_cache import IdentityCache
from mkdocs_buildlog.look import Lookout

# Extensions of Markdown itself and of pymdownx whose output comes from a page's text alone.
_ALONE = frozenset(
    "abbr admonition attr_list codehilite def_list extra fenced_code footnotes md_in_html nl2br sane_lists "
    "smarty tables toc".split()
)
_ALONE_TOO = frozenset(
    "arithmatex betterem caret critic details emoji highlight inlinehilite keys mark smartsymbols "
    "superfences tabbed tasklist tilde".split()
)
_FUNCTIONS_OF = ("material", "pymdownx")
_PROGRAMS = ("mkdocs", "mkdocs-material", "markdown", "pymdown-extensions", "pygments")
_HERE = Path(__file__).parent


def _rests_on_nothing_else(name: object) -> bool:
    first, _, last = str(name).rpartition(".")
    return last in (_ALONE_TOO if first == "pymdownx" else _ALONE) and first in (
        "",
        "markdown.extensions",
        "pymdownx",
    )


def _find_functions(settings: Any) -> Iterator[Any]:
    if isinstance(settings, dict):
        settings = list(settings.values())
    if isinstance(settings, partial):
        settings = _parts_of(settings)
    if isinstance(settings, list | tuple):
        for setting in settings:
            yield from _find_functions(setting)
    elif callable(settings):
        yield settings


def _parts_of(made: partial[Any]) -> list[Any]:
    """A function with some of its arguments given, as slugs of PyMdown Extensions are made."""
    return ["made of", made.func, *made.args, made.keywords]


def _reads_files(settings: Any) -> bool:
    """Whether an extension that comes from a page's text alone is set to read files, too: icons of a site."""
    if isinstance(settings, dict):
        return "custom_icons" in settings or any(map(_reads_files, settings.values()))
    return isinstance(settings, list | tuple) and any(map(_reads_files, settings))


def _told(setting: Any) -> str:
    """A setting in words that are the same in every run."""
    if isinstance(setting, dict):
        return _told(["by name", *setting.items()])
    if isinstance(setting, list | tuple):
        return f"[{', '.join(map(_told, setting))}]"
    if isinstance(setting, partial):
        return _told(_parts_of(setting))
    if callable(setting):
        return f"{setting.__module__}.{getattr(setting, '__qualname__', repr(setting))}"
    return repr(setting)


def _is_of_known_package(function: Any) -> bool:
    return str(getattr(function, "__module__", "")).partition(".")[0] in _FUNCTIONS_OF


@dataclass(frozen=True, kw_only=True)
class _Made:
    """What MkDocs' rendering sets on a page; files by their paths under content."""

    content: str | None
    toc: TableOfContents
    title: str | None
    anchors: frozenset[str]
    links: dict[str, dict[str, str]] | None
    quiet: bool


class RenderedPages:
    """Renders pages, or gives what was rendered before. `deferred` has what is put in later."""

    def __init__(self, cache: IdentityCache, deferred: DeferredHtml) -> None:
        self._cache = cache
        self._deferred = deferred
        self._site: tuple[object, ...] = ()
        self._may_keep = False
        self._waiting: dict[str, tuple[str, _Made]] = {}

    def begin(self, config: MkDocsConfig, files: Files) -> None:
        """Take in what all pages rest on; where it is what it was, it stays the same object."""
        names = [name for name in config.markdown_extensions if not isinstance(name, Lookout)]
        functions = _find_functions(config.mdx_configs)
        self._may_keep = (
            all(map(_rests_on_nothing_else, names))
            and all(map(_is_of_known_package, functions))
            and not _reads_files(config.mdx_configs)
        )
        site = (
            [str(name) for name in names],
            _told(config.mdx_configs),
            repr(config.validation),
            {file.src_uri: (file.url, str(file.inclusion)) for file in files},
        )
        if site != self._site:
            self._site = site

    def bind(self, page: Page, of: tuple[object, ...], like: object) -> None:
        """Let a page be rendered so. Its HTML rests on its text, on `of`, and on what is `like`."""
        page.render = partial(self._render, page, of, like)  # type: ignore[method-assign]

    def forget(self, key: str) -> None:
        """A page turned out to rest on something else. Its key is its path without the ending."""
        self._waiting.pop(key, None)
        self._cache.forget(("page", key))

    def keep(self, key: str) -> None:
        """A page turned out to be what it was said to rest on: leave it for the next run."""
        place, made = self._waiting.pop(key, ("", None))
        if self._cache.kept is None or made is None:
            return
        taken = self._deferred.take_apart(made.content or "")
        if taken is not None:
            self._cache.kept.put(place, _kept(made, *taken))

    def _render(
        self, page: Page, of: tuple[object, ...], like: object, config: MkDocsConfig, files: Files
    ) -> None:
        key = without_ending(page.file.src_uri)
        like = (page.markdown, like)
        found_or_rendered = partial(self._found_or_rendered, page, key, of, like, config, files)
        made = self._cache.get(("page", key), (self._site, *of), found_or_rendered, like=like)
        if not (made.quiet and self._may_keep):  # what MkDocs says of a page it is to say again
            self.forget(key)
        page.content = made.content
        # A copy, since other plugins write into it.
        page.toc = copy.deepcopy(made.toc)
        page._title_from_render = made.title
        page.present_anchor_ids = set(made.anchors)
        if made.links is not None:
            by_path = {path: files.get_file_from_path(path) for path in made.links}
            page.links_to_anchors = {
                file: dict(made.links[path]) for path, file in by_path.items() if file is not None
            }

    def _found_or_rendered(
        self,
        page: Page,
        key: str,
        of: tuple[object, ...],
        like: object,
        config: MkDocsConfig,
        files: Files,
    ) -> _Made:
        """A page as an earlier run has left it, or rendered."""
        self._deferred.begin(key)
        kept, place = self._cache.kept, ""
        if kept is not None and self._may_keep:
            place = kept.key(("rendered", key, _programs()), (self._site, *of), like)
            found = kept.get(place)
            if isinstance(found, KeptPage):
                return _made(found, self._deferred.put_together(key, found.content, found.parts))
        made = _render_page(page, config, files)
        if place:
            self._waiting[key] = place, made
        return made


class _Said(logging.Handler):
    """Whether anything was logged."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.anything = False

    def emit(self, record: logging.LogRecord) -> None:
        self.anything = True


def _render_page(page: Page, config: MkDocsConfig, files: Files) -> _Made:
    said = _Said()
    loggers = [logging.getLogger(name) for name in ("mkdocs", "MARKDOWN")]
    for logger in loggers:
        logger.addHandler(said)
    try:
        type(page).render(page, config, files)
    finally:
        for logger in loggers:
            logger.removeHandler(said)
    links = None
    if page.links_to_anchors is not None:
        links = {file.src_uri: dict(anchors) for file, anchors in page.links_to_anchors.items()}
    return _Made(
        content=page.content,
        toc=copy.deepcopy(page.toc),
        title=page._title_from_render,
        anchors=frozenset(page.present_anchor_ids or ()),
        links=links,
        quiet=not said.anything,
    )


@cache
def _programs() -> tuple[str, ...]:
    """What renders a page besides the core."""
    return files_digest(_HERE), *map(version_of, _PROGRAMS)


def _kept(made: _Made, content: str, parts: tuple[Rendered, ...]) -> KeptPage:
    """A page for the next run, its content taken apart."""
    return KeptPage(
        content=content,
        parts=parts,
        headings=tuple(map(_heading, made.toc)),
        title=made.title,
        anchors=tuple(sorted(made.anchors)),
        links=made.links,
    )


def _heading(link: AnchorLink) -> Heading:
    return link.title, link.id, link.level, tuple(map(_heading, link.children))


def _made(kept: KeptPage, content: str) -> _Made:
    """A page of an earlier run. Only quiet ones are kept."""
    return _Made(
        content=content,
        toc=TableOfContents(list(map(_link, kept.headings))),
        title=kept.title,
        anchors=frozenset(kept.anchors),
        links=kept.links,
        quiet=True,
    )


def _link(heading: Heading) -> AnchorLink:
    title, id, level, below = heading
    link = AnchorLink(title, id, level)
    link.children = list(map(_link, below))
    return link
