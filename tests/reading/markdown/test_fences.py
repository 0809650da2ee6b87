"""Which lines open and close a fenced block: what pymdownx.superfences 13.1 takes for one, the scanner takes
for one, and what it leaves as text is text (`rendered.py` says with which extensions). A header that nearly
is `yaml calc` is a block of code of ours; what is near is said by the docstring of `fences.py`.
"""

from __future__ import annotations

import pytest

from buildlog.reading.markdown.fences import FoundFence, find_fences, means_calculation
from buildlog.reading.markdown.scanner import scan
from tests.reading.markdown.rendered import render
from tests.reading.markdown.test_scanner_differential import assert_same

HEADERS = """
text
.text
. text
c++
c#
objective-c
x.y
text{.foo}
text {.foo}
{.text}
{.text .foo #bar}
{ .text }
{.text
text {.foo
.text}
text foo
text foo=1
text title="a"
text title='a'
text title="a
text title="a" b"
text title="5" wheels"
text title="5" wheels" linenums="1"
text title="" linenums="1"
text title=a
text title= "a"
text title ="a"
text title
text title="a"linenums="1"
text title="a" linenums="1"
text title="a"  linenums="1"
text title_mode="auto"
text title_mode
text title_modes="auto"
text hl_lines="1"
text hl_lines="1 2"
text hl_lines="1-2 4"
text hl_lines="1- 4"
text hl_lines="1,4"
text hl_lines=""
text hl_lines
text hl_lines="a"
text linenums="1"
text linenums="1 2 3"
text linenums="a"
text linenums=""
text linenums
text hl_lines="1" foo="b"
text Title="a"
text 1title="a"
text title="a" 1
text -
title="a"
linenums="1"
hl_lines="1" linenums="2"
"""


@pytest.mark.parametrize("header", [line for line in HEADERS.splitlines() if line])
@pytest.mark.parametrize("before", ["```", "``` ", "~~~"])
def test_what_opens_a_block(before: str, header: str) -> None:
    text = f"start\n\n{before}{header}\n[L0](calc:a0)\n{before.strip()}\n\n[L1](calc:a1)\n"
    page = scan(text, "page.md")
    is_block = "<pre" in render(text).html
    assert [fence.closed for fence in page.fences] == ([True] if is_block else [])
    assert_same(text, page)


@pytest.mark.parametrize(
    ("header", "language", "words"),
    [
        ("text", "text", ()),
        (".text", "text", ()),
        ("  c++ linenums='1'", "c++", ("linenums='1'",)),
        ("{.text}", "", ()),
        ("text {.a .b}", "text", ("{.a", ".b}")),
        ("title='a'", "", ()),
        ("", "", ()),
    ],
)
def test_what_a_header_names(header: str, language: str, words: tuple[str, ...]) -> None:
    text = f"```{header}\nx\n```\n"
    fences = find_fences(text.split("\n"), 0)
    (fence,) = fences
    assert (fence.language, fence.is_calc, fence.is_mistyped) == (language, False, False)
    assert scan(text, "a.md").fences[0].words == words


def only(text: str) -> FoundFence:
    (fence,) = find_fences(text.split("\n"), 0)
    return fence


@pytest.mark.parametrize(
    ("header", "meant"),
    [
        # As the manual has it: near is what differs by a letter or two, or has the word in another place.
        ("yaml calc", True),
        ("yamlcalc", True),
        ("yaml:calc", True),
        ("yaml cal", True),
        ("yaml kalk", True),
        ("yml calc", True),
        ("YAML calc", True),
        ("yaml Calc", True),
        ("calc", True),
        ("{.yaml .calc}", True),
        ("yaml calc now", True),
        ("yaml calc='1'", True),
        ("text title='calc'", False),
        ('text title="a calc b"', False),
        ("yaml title", False),
        ("yaml", False),
        ("text", False),
        ("python calculate", False),
        ("calculator", False),
        ("yaml ` calc", False),
        ("yaml calc ~", False),
        ("", False),
    ],
)
def test_what_was_meant_for_a_calculation(header: str, meant: bool) -> None:
    assert means_calculation(header) is meant


@pytest.mark.parametrize(
    ("header", "calc", "mistyped"),
    [
        ("yaml calc", True, False),
        ("  yaml   calc  ", True, False),
        (".yaml calc", True, False),
        ("yml calc", False, True),
        ("yaml calc calc", True, False),
        ("yaml calc linenums='1'", False, True),
        ("yaml calc now", False, True),
        ("yaml {.calc}", False, True),
        ("yaml linenums='1'", False, False),
    ],
)
def test_what_is_a_calculation(header: str, calc: bool, mistyped: bool) -> None:
    fence = only(f"```{header}\nid: a\n```")
    assert (fence.is_calc, fence.is_mistyped, fence.closed) == (calc, mistyped, True)
    assert fence.info == header.strip()


LINES = """
```text|% a|```
> ```text|> % a|```text|b|```
```text|% a|````
```text|% a|``
```text|% a|``` |b
```text|% a|```x|b|```
````text|% a|```|b|````
~~~text|% a|```|~~~
~~~text|% a|~~~~|~~~
  ```text|  % a|  ```
  ```text|  % a|```|b
  ```text|  % a|   ```|b|  ```
  ```text| % a|  ```
  ```text||  % a|  ```
```text|    % a|```
```text|> a|```
> ```text|> % a|> ```
> ```text|% a|> ```
> ```text|>|> % a|> ```
> ```text||> % a|> ```
> ```text||% a|> ```
> ```text|> % a||> ```
> ```text|> % a||```
> ```text|> > % a|> ```
> > ```text|> % a|> > ```
> > ```text||> % a|> > ```
> > ```text||>   % a|> > ```
> > ```text|>   % a|> > ```
>  ```text|>  % a|>  ```
>  ```text|> % a|>  ```
>```text|>% a|>```
>```text|> % a|>```
- a||    ```text|    % a|    ```
- a||    ```text|  % a|    ```
- a||    > ```text|    > % a|    > ```
```text
% a|```text
```|% a|```
"""


@pytest.mark.parametrize("lines", [line for line in LINES.splitlines() if line])
def test_where_a_block_ends(lines: str) -> None:
    text = "start\n\n" + lines.replace("|", "\n").replace("%", "[L0](calc:a0)") + "\n\n[L1](calc:a1)\n"
    assert_same(text, scan(text, "page.md"))


def test_what_is_given_up_is_told_only_of_calculations() -> None:
    """An author who opened a calculation is told of it; other code that is never closed is text."""
    for header, found in (("yaml calc", [(0, 2, False)]), ("text", [])):
        fences = find_fences([f"```{header}", "a", "b"], 0)
        assert [(one.start, one.end, one.closed) for one in fences] == found
    given_up = find_fences(["> ```yaml calc", "> a", "b", "```text", "c", "```"], 0)
    assert [(one.start, one.end, one.closed, one.language) for one in given_up] == [
        (0, 1, False, "yaml"),
        (3, 5, True, "text"),
    ]
