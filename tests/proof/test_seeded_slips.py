"""Slips of Markdown sown into every figure of the demo: none may be published as if it were proofed.

Each figure of the episodes stands in a paragraph of its own, once as it is written, without any finding, and
once with a slip: each paragraph then has an error at one of its lines.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.figures.numbers import Unreadable
from buildlog.figures.stated import parse
from buildlog.proof.proof import proof_book

ROOT = Path(__file__).resolve().parents[2]
PAGE = "index"

# L is the label, A the address with its title, B the address alone, N a number that no other figure has.
SLIPS = {
    "space before the address": "We set [L] (A) there.",
    "line break before the address": "We set [L]\n(A) there.",
    "brackets swapped": "We set (L)[A] there.",
    "square brackets twice": "We set [L][A] there.",
    "round brackets twice": "We set (L)(A) there.",
    "address not closed": "We set [L](A there.",
    "label not closed": "We set [L(A) there.",
    "label not opened": "We set L](A) there.",
    "curly brackets": "We set [L]{A} there.",
    "escaped bracket": r"We set [L\](A) there.",
    "address alone": "We set L, B there.",
    "reference without a definition": "We set [L][nowhere-N] there.",
    "definition of another name": "We set [L][new-N] there.\n\n[old-N]: A",
    "calculate:": "We set [L](calculate:REST) there.",
    "clac:": "We set [L](clac:REST) there.",
    "cacl:": "We set [L](cacl:REST) there.",
    "CALC:": "We set [L](CALC:REST) there.",
    "Calc:": "We set [L](Calc:REST) there.",
    "scheme as an entity": "We set [L](c&#97;lc:REST) there.",
    "escaped colon": r"We set [L](calc\:REST) there.",
    "blank after the colon": "We set [L](calc: REST) there.",
    "raw HTML": "<figcaption>[L](A)</figcaption>",
    "raw HTML, a link": 'We set <a href="B">L</a> there.',
    "raw HTML, a block": "<div>\nWe set [L](A) there.\n</div>",
    "alternative text": "![we set [L](A) there](x.png)",
    "an image of the figure": "![L](A)",
}
FIGURES_ONLY = ("reference without a definition", "definition of another name")
"""Without an address only the label tells that a figure was meant. Of words the unused definition tells,
where no other reference may have been meant for it: they are tried alone."""


@dataclass(frozen=True, kw_only=True)
class Written:
    label: str
    address: str
    title: str
    number: int

    def in_slip(self, slip: str) -> str:
        titled = f'{self.address} "{self.title}"' if self.title else self.address
        scheme, _, rest = titled.partition(":")
        if "REST" in slip:  # the slips of calc: are made of cite: and told: likewise
            slip = re.sub(r"calculate|clac|cacl", lambda made: _like(made[0], scheme), slip)
            slip = slip.replace("CALC", scheme.upper()).replace("Calc", scheme.capitalize())
            slip = slip.replace("c&#97;lc", f"{scheme[0]}&#{ord(scheme[1])};{scheme[2:]}")
            slip = slip.replace("(calc", f"({scheme}")
        parts = {"L": self.label, "A": titled, "B": self.address, "N": str(self.number), "REST": rest}
        return re.sub(r"REST|\b[LABN]\b", lambda part: parts[part[0]], slip)


def _like(made: str, scheme: str) -> str:
    """The same slip of another scheme."""
    return {
        "calculate": {"calc": "calculate", "cite": "citation", "told": "toldby"},
        "clac": {"calc": "clac", "cite": "ctie", "told": "tlod"},
        "cacl": {"calc": "cacl", "cite": "ciet", "told": "todl"},
    }[made][scheme]


@cache
def book() -> Book:
    return Book.open(root=ROOT)


@cache
def figures() -> tuple[Written, ...]:
    """Every figure of the episodes with a label, with addresses that hold on any page."""
    written: list[Written] = []
    for page in book().pages.values():
        for link in page.scanned.links if page.key.startswith("episodes/") else ():
            address = link.address
            if link.scheme == "calc" and "#" not in address:
                address = f"calc:{page.key}#{address.removeprefix('calc:')}"
            title = link.title or ""
            # An address in a title is one of its own page, and so is a row of another block.
            alone = "calc:" not in title and not re.search(r"vs [\w-]+\.\w", title)
            if link.label.strip() and '"' not in title and alone and "\n" not in link.label:
                number = len(written)
                written.append(Written(label=link.label, address=address, title=title, number=number))
    return tuple(written)


def states_a_figure(label: str) -> bool:
    """With digits, that is: “half a metre” is words first, which are told by the unused definition alone."""
    if not any(sign.isdigit() for sign in label):
        return False
    try:
        return bool(parse(label).unit)
    except Unreadable:
        return False


def paragraphs_with_errors(paragraphs: list[str]) -> list[bool]:
    """Whether an error stands at one of the lines of each paragraph."""
    text = "\n\n".join(paragraphs) + "\n"
    report = proof_book(book().with_page(PAGE, text), [PAGE])
    lines = {error.position.line for error in report.errors if error.position.path.endswith(f"/{PAGE}.md")}
    caught = []
    line = 1
    for paragraph in paragraphs:
        height = paragraph.count("\n") + 1
        caught.append(any(line <= at < line + height for at in lines))
        line += height + 1
    return caught


def test_as_they_are_written_they_have_no_error() -> None:
    caught = paragraphs_with_errors([figure.in_slip("We set [L](A) there.") for figure in figures()])
    assert len(caught) > 200
    assert not any(caught)


@pytest.mark.parametrize("name", SLIPS)
def test_a_slip_is_an_error_at_its_place(name: str) -> None:
    chosen = [figure for figure in figures() if name not in FIGURES_ONLY or states_a_figure(figure.label)]
    sown = [figure.in_slip(SLIPS[name]) for figure in chosen]
    caught = paragraphs_with_errors(sown)
    missed = [paragraph for paragraph, error in zip(sown, caught, strict=True) if not error]
    print(f"\n{name}: {len(sown) - len(missed)} of {len(sown)} caught")
    assert len(sown) > 100
    assert not missed, "\n".join(missed[:10])


def test_words_whose_definition_has_another_name_are_an_error() -> None:
    words = [figure for figure in figures() if not states_a_figure(figure.label)]
    assert len(words) > 20
    for figure in words:
        sown = figure.in_slip(SLIPS["definition of another name"])
        assert paragraphs_with_errors([sown]) == [True], sown
