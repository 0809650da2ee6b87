"""The steps of a job: which lines of a page are taken for them, and how many readings a text asks for."""

from __future__ import annotations

import pytest

from buildlog.figures.leads import limit_at_the_end, limit_at_the_start
from buildlog.reading.front_matter import counted_places
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.steps import Step, read_steps
from buildlog.reading.whole_page import read_page


def steps(text: str, heading: str = "Job") -> tuple[Step, ...] | None:
    return read_steps(scan(text, "a.md"), heading)


def shown(text: str) -> list[tuple[int, str, list[str], bool]]:
    found = steps(text)
    assert found is not None
    return [
        (
            one.number,
            " ".join(one.words.text.split()),
            [" ".join(check.text.split()) for check in one.checks],
            one.more,
        )
        for one in found
    ]


def test_a_numbered_list_under_its_heading() -> None:
    text = """\
# A

1. not this

## *The* Job

Words first.

1. one goes
   on
    - check a
      on
    * check b
2) two

3. three

    ```yaml calc
    id: x
    ```

   A paragraph.

Words end the list.

7. another list

### Below

1. still of the job

## Else

1. not this either
"""
    assert [one[:2] for one in shown(text.replace("*The* Job", "Job"))] == [
        (1, "one goes on"),
        (2, "two"),
        (3, "three"),
        (7, "another list"),
        (1, "still of the job"),
    ]
    first, _, third, *_ = shown(text.replace("*The* Job", "Job"))
    assert first[2:] == (["check a on", "check b"], False)
    assert third[3], "the page has more of it"
    assert steps(text, "the job") is not None, "without emphasis, in any case"
    assert steps(text, "No such") is None


@pytest.mark.parametrize(
    "text",
    [
        "## Job\n\n```\n1. code\n```\n",
        "## Job\n\nNo list, but 1. a number.\n",
        "## Job\n\n- bullets\n",
        "## Job\n",
    ],
)
def test_nothing_else_is_a_step(text: str) -> None:
    assert steps(text) == ()


def test_figures_of_a_step_are_the_page_s_own() -> None:
    text = "## Job\n\n1. Bolts to [78 N·m](cite:sheet.crown), [see](a.md).\n"
    found = steps(text)
    assert found is not None
    (link,) = found[0].words.links
    assert text[link.label_start : link.label_end] == "78 N·m"


@pytest.mark.parametrize(
    ("front", "expected"),
    [
        ("steps: How it goe in", "a heading of this page"),
        ("steps: Empty", "a heading with a numbered list under it"),
        ("steps: [a]", "a heading of this page"),
        ("measure: [{a: {unit: mm, readings: 0}}]", "a whole number from 1 to 12, or a list of names"),
        ("measure: [{a: {unit: mm, readings: 13}}]", "a whole number from 1 to 12, or a list of names"),
        ("measure: [{a: {unit: mm, readings: []}}]", "a whole number from 1 to 12, or a list of names"),
        ("measure: [{a: {unit: mm, reading: 2}}]", "unit, readings"),
    ],
)
def test_what_cannot_be_read_is_said(front: str, expected: str) -> None:
    page = read_page(
        "a", "a.md", f"---\nbuildlog:\n  {front}\n---\n\n## How it goes in\n\n1. One\n\n## Empty\n"
    )
    assert [(fault.code.name, fault.expected) for fault in page.faults] == [("how-to-shape", expected)]


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("at four places", 4),
        ("  At  2 places ", 2),
        ("in twelve points", 12),
        ("at several places", 0),
        ("at one place", 0),
        ("at four places of the wheel", 0),
        ("at 13 places", 0),
        ("four places", 0),
        ("", 0),
    ],
)
def test_only_the_exact_words_count_places(text: str, count: int) -> None:
    assert counted_places(text) == count


def test_the_words_of_a_limit() -> None:
    assert limit_at_the_end("differ by no more than\n  ") == "no more than"
    assert limit_at_the_end("it is At Most") == "At Most"
    assert limit_at_the_end("we had about ") == "", "a hedge is no limit"
    assert limit_at_the_end("no light over ") == "", "which is said of a limit, and is not one by itself"
    assert limit_at_the_end("nothing") == limit_at_the_end("") == ""
    assert limit_at_the_start(" or less, they say") == "or less"
    assert limit_at_the_start(" of it") == ""
