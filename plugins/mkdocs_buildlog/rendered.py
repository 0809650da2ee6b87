"""Pages as MkDocs has rendered them, kept for as long as nothing that they come from changes: in memory while
serving, and on disk for the next run.

A page's HTML comes from its text, from what the extension puts in, from the site's Markdown extensions, from
the addresses of the site's files and from the sizes of its pictures. Extensions that read other files or tell
other pages of what they saw cannot be kept; so nothing is, unless every one of the site's is known to do
neither. What other plugins do to a page before and after it is rendered they do as ever.
"""

from __future__ import annotations

import copy
import logging
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial
from hashlib import sha256
from importlib.metadata import entry_points
from operator import attrgetter
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

import mkdocs.structure.pages
from markdown.util import get_installed_extensions
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import AnchorLink, TableOfContents

from buildlog.files.page_names import without_ending
from buildlog.kept.program import files_digest, source_digest, version_of
from buildlog.page.insertion import DeferredHtml
from buildlog.page.kept_page import Heading, KeptPage
from buildlog.page.photographs import Sizes, sizes_of
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
_PLUGGED_IN = ("pygments.lexers", "pygments.styles", "pygments.formatters", "pygments.filters")
"""What packages may add to what highlights code."""
_HERE = Path(__file__).parent
_PAGES = logging.getLogger(mkdocs.structure.pages.__name__)
_ADDRESS = attrgetter("src_uri", "url", "inclusion")


def _rests_on_nothing_else(name: object) -> bool:
    return isinstance(name, str) and _is_alone(name)


@cache
def _is_alone(name: str) -> bool:
    """Whether an extension is one of those, and no package has another one under its name."""
    first, _, last = name.rpartition(".")
    known = last in (_ALONE_TOO if first == "pymdownx" else _ALONE)
    packages = ("markdown.extensions", "pymdownx")
    return (
        known
        and first in ("", *packages)
        and all(
            one.module.rpartition(".")[0] in packages
            for one in get_installed_extensions()
            if one.name == name
        )
    )


def _find_functions(settings: Any) -> Iterator[Any]:
    if isinstance(settings, dict):
        settings = list(settings.values())
    if isinstance(settings, partial):
        settings = _parts_of(settings)
    if isinstance(settings, list | tuple):
        for setting in settings:
            yield from _find_functions(setting)
    elif not isinstance(settings, _PLAIN):
        yield settings


_PLAIN = (str, int, float, type(None))


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


def _is_known(config: MkDocsConfig) -> bool:
    """Whether all that makes HTML of a page's text on this site makes it of nothing else."""
    return (
        all(map(_rests_on_nothing_else, _names(config)))
        and all(map(_is_of_known_package, _find_functions(config.mdx_configs)))
        and not _reads_files(config.mdx_configs)
        and _is_of_mkdocs(Page.render)
        and _all_lexers_are_known()
    )


def _names(config: MkDocsConfig) -> list[Any]:
    return [name for name in config.markdown_extensions if not isinstance(name, Lookout)]


def _is_of_mkdocs(render: Any) -> bool:
    """Whether a page's method is MkDocs' own: a plugin may have put another in its place."""
    return isinstance(render, FunctionType) and render.__globals__ is vars(mkdocs.structure.pages)


def _all_lexers_are_known() -> bool:
    """Whether nobody has added to the list of those that come with Pygments."""
    listed = getattr(sys.modules.get("pygments.lexers"), "LEXERS", {})
    return all(module.startswith("pygments.lexers.") for module, *_ in listed.values())


@dataclass(frozen=True, kw_only=True)
class _Made:
    """What MkDocs' rendering sets on a page; files by their paths under content."""

    content: str | None
    toc: TableOfContents
    title: str | None
    anchors: frozenset[str]
    links: dict[str, dict[str, str]] | None
    pictures: Sizes
    quiet: bool


class RenderedPages:
    """Renders pages, or gives what was rendered before. `deferred` has what is put in later; `pictures`, of
    each page, those that it shows: the extension says so while it renders."""

    def __init__(self, cache: IdentityCache, deferred: DeferredHtml) -> None:
        self._cache = cache
        self._deferred = deferred
        self.pictures: dict[str, Sizes] = {}
        self._plugins: tuple[str, ...] = ()
        self._addresses: tuple[object, ...] = ()
        self._listed: tuple[int, int] | None = None
        self._site: tuple[object, ...] = ()
        self._may_keep = False
        self._waiting: dict[str, tuple[str, _Made]] = {}

    def begin(self, config: MkDocsConfig) -> None:
        """A build begins: take in which plugins and hooks run, and as what they stand in their files."""
        self._plugins = tuple(map(_source_of, config.plugins.values()))
        self._listed = None

    def _take_in(self, config: MkDocsConfig, files: Files) -> None:
        """What all pages rest on, as it is now: a plugin may change it between two pages. Where it is what it
        was, it stays the same object."""
        self._may_keep = _is_known(config)
        site = (
            self._plugins,
            list(map(str, _names(config))),
            _told(config.mdx_configs),
            repr(config.validation),
            _PAGES.getEffectiveLevel() > logging.DEBUG,  # otherwise MkDocs notes no links to anchors
            self._addresses_of(files),
        )
        if site != self._site:
            self._site = site

    def _addresses_of(self, files: Files) -> tuple[object, ...]:
        """Where the site's files lead. They are looked at anew where there are others or more: to look at all
        of them at every page would take a time that grows as the square of the site."""
        listed = id(files), len(files)
        if listed != self._listed:
            self._listed, self._addresses = listed, tuple(map(_ADDRESS, files))
        return self._addresses

    def bind(self, page: Page, of: tuple[object, ...], like: object, content: Path) -> bool:
        """Let a page be rendered so; false where another plugin renders it in a way of its own. Its HTML
        rests on its text, on `of`, on what is `like`, and on the sizes of its pictures, which lie in
        `content`."""
        own = vars(page).get("render")
        if not _is_of_mkdocs(type(page).render) or (own and getattr(own, "func", None) != self._render):
            return False
        page.render = partial(self._render, page, of, like, content)  # type: ignore[method-assign]
        return True

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
        self,
        page: Page,
        of: tuple[object, ...],
        like: object,
        content: Path,
        config: MkDocsConfig,
        files: Files,
    ) -> None:
        key = without_ending(page.file.src_uri)
        self._take_in(config, files)
        if self._are_others(self.pictures.get(key, {}), content, key):
            self._cache.forget(("page", key))
        like = (page.markdown, like)
        found_or_rendered = partial(self._found_or_rendered, page, key, of, like, content, config, files)
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
        content: Path,
        config: MkDocsConfig,
        files: Files,
    ) -> _Made:
        """A page as an earlier run has left it, or rendered."""
        self._deferred.begin(key)
        self._waiting.pop(key, None)  # its stand-ins are gone
        kept, place = self._cache.kept, ""
        if kept is not None and self._may_keep:
            place = kept.key(("rendered", key, _programs()), (self._site, *of), like)
            found = kept.get(place)
            if isinstance(found, KeptPage) and not self._are_others(found.pictures, content, key):
                self.pictures[key] = found.pictures
                return _made(found, self._deferred.put_together(key, found.content, found.parts))
        self.pictures.pop(key, None)
        made = _render_page(page, config, files, lambda: self.pictures.get(key, {}))
        if place:
            self._waiting[key] = place, made
        return made

    def _are_others(self, pictures: Sizes, content: Path, key: str) -> bool:
        """Whether pictures of a page are no longer as large as they were."""
        return pictures != sizes_of(pictures, content, key)


class _Said(logging.Handler):
    """Whether anything was said."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.anything = logging.root.manager.disable >= logging.INFO  # nobody could know

    def emit(self, record: logging.LogRecord) -> None:
        self.anything = True


@contextmanager
def _listening() -> Iterator[_Said]:
    """Note what is said meanwhile, also what a quiet run does not show: the next one may."""
    said, root, of_mkdocs = _Said(), logging.getLogger(), logging.getLogger("mkdocs")
    level, shown_from = of_mkdocs.level, of_mkdocs.getEffectiveLevel()
    showing = [*root.handlers, *of_mkdocs.handlers]

    def is_shown(record: logging.LogRecord) -> bool:
        return record.levelno >= shown_from or record.name.partition(".")[0] != of_mkdocs.name

    for handler in showing:
        handler.addFilter(is_shown)
    root.addHandler(said)
    of_mkdocs.addHandler(said)
    if shown_from > logging.INFO:
        of_mkdocs.setLevel(logging.INFO)
    try:
        yield said
    finally:
        if shown_from > logging.INFO:
            of_mkdocs.setLevel(level)
        of_mkdocs.removeHandler(said)
        root.removeHandler(said)
        for handler in showing:
            handler.removeFilter(is_shown)


def _render_page(page: Page, config: MkDocsConfig, files: Files, pictures: Callable[[], Sizes]) -> _Made:
    with _listening() as said:
        type(page).render(page, config, files)
    links = None
    if page.links_to_anchors is not None:
        links = {file.src_uri: dict(anchors) for file, anchors in page.links_to_anchors.items()}
    return _Made(
        content=page.content,
        toc=copy.deepcopy(page.toc),
        title=page._title_from_render,
        anchors=frozenset(page.present_anchor_ids or ()),
        links=links,
        pictures=pictures(),
        quiet=not said.anything,
    )


@cache
def _programs() -> tuple[str, ...]:
    """What renders a page besides the core. What others add to it may be a file that somebody writes at."""
    added = sorted(
        (one.group, one.name, one.value, one.module)
        for group in _PLUGGED_IN
        for one in entry_points(group=group)
    )
    sources = (part for *named, module in added for part in (*named, source_digest(module)))
    return files_digest(_HERE), *map(version_of, _PROGRAMS), *sources


def _source_of(plugin: Any) -> str:
    """A plugin, or a hook, with what stands in its file: it may have changed how pages are rendered."""
    module = plugin if isinstance(plugin, ModuleType) else sys.modules.get(type(plugin).__module__)
    file = Path(getattr(module, "__file__", None) or "")
    name = getattr(module, "__name__", "")
    return f"{name} {sha256(file.read_bytes()).hexdigest() if file.is_file() else ''}"


def _kept(made: _Made, content: str, parts: tuple[Rendered, ...]) -> KeptPage:
    """A page for the next run, its content taken apart."""
    return KeptPage(
        content=content,
        parts=parts,
        headings=tuple(map(_heading, made.toc)),
        title=made.title,
        anchors=tuple(sorted(made.anchors)),
        links=made.links,
        pictures=made.pictures,
    )


def _heading(link: AnchorLink) -> Heading:
    return link.title, link.id, link.level, tuple(map(_heading, link.children))


def _made(kept: KeptPage, content: str) -> _Made:
    """A page of an earlier run. Only quiet ones are kept."""
    links = list(map(_link, kept.headings))
    for link in links[:1]:
        link.active = True  # type: ignore[attr-defined] # as MkDocs has it
    return _Made(
        content=content,
        toc=TableOfContents(links),
        title=kept.title,
        anchors=frozenset(kept.anchors),
        links=kept.links,
        pictures=kept.pictures,
        quiet=True,
    )


def _link(heading: Heading) -> AnchorLink:
    title, id, level, below = heading
    link = AnchorLink(title, id, level)
    link.children = list(map(_link, below))
    return link
