"""What is read of a finished page: its ids, its addresses, and the labels of its figures."""

from __future__ import annotations

from html.parser import HTMLParser

_FIGURE = "buildlog-figure"
_MARK = "buildlog-mark"
_OTHER = "buildlog-other"
_CARD = "buildlog-card"
_UNREAD = frozenset(("script", "style", "template", "textarea", "title"))
_VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())
_ADDRESSES = ("href", "src")


class FinishedPage(HTMLParser):
    """A finished page. `ids` has how often each stands there, `labels` the words of a figure by its id,
    `markers` the lists that were asked for and are not there, `code` the text of what is shown as code."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: dict[str, int] = {}
        self.addresses: dict[str, None] = {}
        self.labels: dict[str, str] = {}
        self.cards = 0
        self.markers: list[str] = []
        self.code: list[str] = []
        self._open: list[tuple[str, str]] = []  # each element with its classes
        self._figure = ""  # the id of the one whose label comes next
        self._label: list[str] | None = None  # of the figure whose label it is in
        self._code: list[str] | None = None
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        classes = values.get("class", "")
        if name := values.get("id"):
            self.ids[name] = self.ids.get(name, 0) + 1
        for attribute in _ADDRESSES:
            if address := values.get(attribute):
                self.addresses[address] = None
        named = classes.split()
        self.cards += _CARD in named
        if "data-buildlog" in values:
            self.markers.append(values["data-buildlog"])
        if _MARK in named:
            self._figure = values.get("id", "")
        elif _FIGURE in named and self._figure:
            self._label = []
        if tag == "code":
            self._code = []
        if tag not in _VOID:
            self._open.append((tag, classes))

    def handle_endtag(self, tag: str) -> None:
        while any(name == tag for name, _ in self._open):
            name, classes = self._open.pop()
            self._close(name, classes)
            if name == tag:
                return

    def _close(self, tag: str, classes: str) -> None:
        if self._label is not None and _FIGURE in classes.split():
            self.labels.setdefault(self._figure, "".join(self._label))
            self._label, self._figure = None, ""
        if tag == "code" and self._code is not None:
            self.code.append("".join(self._code))
            self._code = None

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1][0] in _UNREAD:
            return
        if self._code is not None:
            self._code.append(data)
        if self._label is not None and not any(_OTHER in classes.split() for _, classes in self._open):
            self._label.append(data)
