"""Small pages, one for each thing that a page is made of, read as Python-Markdown reads them (`alike.py`):
what the generated pages of the differential tests seldom put side by side.
"""

from __future__ import annotations

import pytest

from tests.reading.markdown.alike import alike

TABLES = """
| % | % |¶|---|---|¶| % | % |
% | %¶---|---¶% | %
| % | %¶|---|---¶| % | %
% | % |¶---|---|¶% | % |
| % |¶|---|¶| % |
| %¶|---¶| %
% |¶---|¶% |
%¶---|¶%
| % |¶|---|¶%
| % |¶|---|¶| % |¶% |¶| %
| % |¶|---|¶| % |¶% %
| % |¶|---|---|¶| % |
| % | % |¶|---|¶| % | % |
| % | % |¶|---|---|
| % | % |¶|-x-|---|¶| % | % |
| % | % |¶|:--|--:|¶| % | % |
| % | % |¶| --- | --- |¶| % | % |
| % | % |¶|---|---|¶| % | % | % |¶| % |
| % | % |¶|---|---|¶| % \\| % | % |
| % | % |¶|---|---|¶| % \\\\| % |
| % | % |¶|---|---|¶| % | % \\|
| % | % |¶|---|---|¶| % | % \\\\|
| % | % \\\\|¶|---|---|¶| % | % |
| % | % |¶|---|---|¶| `% | %` | % |
| % | % |¶|---|---|¶| ``% | %`` | % |
| % | % |¶|---|---|¶| ``% | %` | % |
| % | % |¶|---|---|¶| `% | %`` ` | % |
| % | % |¶|---|---|¶| `%` | `%` |
| % | % |¶|---|---|¶| `% | %` `% | %` | % |
| % | % |¶|---|---|¶| % | `%` | % |
| % | % |¶|---|---|¶| \\`% | %` | % |
| % | % |¶|---|---|¶| \\``% | %` | % |
| % | % |¶|---|---|¶| \\`` % | % `` | % |
| % | % |¶|---|---|¶| `% \\` | % |
| % | % |¶|---|---|¶| [%](calc:% "a|b") | % |
| % | % |¶|---|---|¶|% |[%](calc:%)|
|%|%|¶|-|-|¶|%|%|
|   % | %   |¶|---|---|¶|    [%](calc:%) |   % |
    | % | % |¶    |---|---|
  | % | % |¶  |---|---|¶  | % | % |
% %¶| % | % |¶|---|---|
| % | % |¶|---|---|¶% % %
|% % |% |¶|---|---|¶| %%|% |
| % | % |¶|---|---|¶| `%`% | %`%` |
| % | % |¶¶|---|---|
- %¶¶    | % | [%](calc:%) |¶    |---|---|¶    | % | % |
> | % | % |¶> |---|---|¶> | [%](calc:%) | % |
|¶|---|¶| % |
| | % |¶|---|---|¶| | % |
start¶¶| % | % |¶|---|---|¶| % | % |¶¶| % |¶|---|¶| % |
"""

INLINES = """
[%](calc:%) % [%](cite:%)
[%](calc:% "vs %") %
[%](calc:% 'vs %') %
[%](calc:%  "vs %"  ) %
[%]( calc:% ) %
[%](<calc:%>) %
[%](<calc:%> "vs %") %
[%](<calc:%> 'vs %' ) %
[%](<calc:% x> "%") %
[%](<calc:%>x) %
[%](calc:%(%)) %
[%](calc:%(%)(%)) %
[%](calc:%((%))) %
[%](calc:%(% "t")) %
[%](calc:% "a (b) c") %
[%](calc:% "a) b") %
[%](calc:%'%'x) %
[%](calc:%"t") %
[%](calc:% "t' u") %
[%](calc:% 't" u') %
[%](calc:% "t" u") %
[%](calc:% "t" 'u') %
[%](calc:%'"t") %
[%](calc:% "t"x) %
[%](calc:% (t)) %
[%](calc:%¶"t") %
[%](calc:% "t¶u") %
[%¶%](calc:%) %
[%] (calc:%) %
[%](calc:% %
[% (calc:%) %
% [] %](calc:%) %
[%](calc:%)[%](calc:%)
[%]() %
[](calc:%) %
[ ](calc:%) %
[% [%] %](calc:%) %
[% \\] %](calc:%) %
[% \\[ %](calc:%) %
\\[%](calc:%) %
[%]\\(calc:%) %
[%\\](calc:%) %
[%](calc:\\_%) %
[%](calc:%\\)) %
[%](calc:\\%) %
![%](calc:%) %
![%](calc:% "%") [%](calc:%)
\\![%](calc:%) %
!\\[%](calc:%) %
[![%](%)](calc:%) %
[% ![%](%) %](calc:%) %
`%` [%](calc:%) `[%](calc:%)`
`% [%](calc:%) %
``% ` %`` [%](calc:%)
`% `` %` [%](calc:%)
`` % ` [%](calc:%)
```% [%](calc:%) %``` %
\\`% [%](calc:%)` %
\\\\`[%](calc:%)` %
\\``[%](calc:%)` %
[`%`](calc:%) %
[% `]` %](calc:%) %
[% `%](calc:%) `%
[**%** *%*](calc:%) %
**[%](calc:%)** *[%](calc:%)*
[%\\*](calc:%) %
[% & %](calc:%) %
&amp; &#37; &#x25; &nope &; % [%](calc:%)
<calc://%> %
<cite://%/a?b> % <https://%>
<calc:%> %
<%@%> % [%](calc:%)
<a@b [%](calc:%) c@d> %
<b>%</b> [%](calc:%) <i>[%](calc:%)</i>
<b title="[%](calc:%)">%</b> %
<b title='%>'>%</b> [%](calc:%)
<b title=%>%</b> %
<b %>%</b> %
<b %='x' %>%
<b "%">% %
< b>% %
<1>% %
</b>% </ b>% %
<b/>% <br>% <br/>%
<b¶title="%">% [%](calc:%)
% <!-- % [%](calc:%) --> %
% <!-- % -- % --> %
% <!-- % <!-- % --> %
% <!-- % % [%](calc:%)
% <!----> % <!--> %
% <? % ?> % <?% [%](calc:%)
% <![CDATA[ % ]]> % <![CDATA[ % [%](calc:%)
\\<b>% \\<!-- % -->
% { .c } % *%*{: .c } %
[%](calc:%){: .c } %
[%][r] % [%][R] [%] [r] %¶¶[r]: calc:% "tt"
[r] % [r][] [R] % [x] %¶¶[r]: calc:%
[%][r]¶[%]¶[r] %¶¶[r]: calc:%
[%][no] % [r](calc:%)¶¶[r]: calc:%
[%][%][r] %¶¶[r]: calc:%
[%¶%][r] % [%][r¶s]¶¶[r s]: calc:%¶[r]: calc:%
[% [%][r] %] [r] %¶¶[r]: calc:%
![%][r] % ![r] % ![r][] ![x] %¶¶[r]: calc:%
[`%`][r] % `[r]` \\[r] [r\\] %¶¶[r]: calc:%
[**%**][r] [% `b`][r] %¶¶[r]: calc:%
[%][] %¶¶[x]: calc:%
[r]: % [r] %¶¶[r]: calc:%
%[^a] [%](calc:%)[^a] [^b] %¶¶[^a]: %
%[^a [^a] [%](calc:%) [^a]%¶¶[^a]: %
[^a](calc:%) [%](calc:%)[^a] %¶¶[^a]: %
`[^a]` \\[^a] %¶¶[^a]: %
[%](told:%), [%](cite:% "for %"), [%](https://%) and [%](other:%)
a [b](calc:c 'd' "e") %
[%](calc:%  ) % [%](calc:%	"t") %
[`%` % ![%](%)](https://%) %
[% <b>%</b> &amp; %](https://%) % <https://%>
[% `[%](calc:%)` %](https://%) %
[`%` %][r] % [**%** <i>%</i>][r]¶¶[r]: https://%
![% `%` %](https://%) %
% <%@%.%> % <a@b> %
"""

DEFINITIONS = """
[%]: calc:%¶¶%
[%]: <calc:%>¶%
[%]: calc:% "%"¶%
[%]: calc:% '%'¶%
[%]: calc:% (%)¶%
[%]: calc:%¶"%"¶%
[%]: calc:%¶  '%'¶%
[%]: calc:%¶    (%)¶%
[%]: calc:%¶"%" %¶%
[%]: calc:% "%" %¶%
[%]: calc:% %¶%
[%]: calc:%"%"¶%
[%]: calc:%'%'¶%
[%]: calc:%(%)¶%
[%]: calc:% "¶%
[%]: calc:% ""¶%
[%]: calc:%¶"¶%
[%]: calc:%¶""¶%
[%]:calc:%¶%
[%]:¶calc:%¶%
[%]:¶calc:% "%"¶%
[%]:¶calc:%¶"%"¶%
[%]:¶   calc:%¶   "%"¶%
[%]:¶¶calc:%
[%]:
[%] : calc:%¶%
[%¶%]: calc:%¶%
[%¶%¶%]: calc:% "%"¶%
[%¶¶%]: calc:%
[% [%]: calc:%¶%
[% %] %: calc:%
 [%]: calc:%¶  [%]: calc:%¶   [%]: calc:%¶    [%]: calc:%
%¶[%]: calc:%¶%
%¶[%]: calc:%¶[%]: calc:%¶%
[%]: calc:%¶[%]: calc:%¶[%]: calc:%¶%
[%]: calc:%¶[%]: calc:%¶"%"¶[%]: calc:%¶%
[%]: calc:%¶[%]:¶calc:%¶%
[%]: calc:%¶[%] %¶%
[%]: calc:%¶[%]: calc:% %¶%
[%]: calc:%¶- %¶- %
[%]: calc:%¶# %
[%]: calc:%¶    %¶%
- [%]: calc:%¶- %
- %¶¶    [%]: calc:% "%"
> [%]: calc:%¶> %
> [%]: calc:%¶> "%"
[r]: calc:%¶[R]: calc:%¶¶[%][r]
[r]: calc:%¶¶[%][r] %¶¶[r]: calc:%
[%][ r ] [%][r]¶¶[ r ]: calc:%
[^a]: %¶¶%[^a]
[^a]: % [%](calc:%)¶¶    % [%](calc:%)¶¶%[^a]
[^a]: %¶    %¶%¶¶%[^a]
[^a]: %¶[^b]: %¶¶%[^a] %[^b]
[^a]: %¶[^b]: %¶    %¶¶    %¶¶%[^a] %[^b]
%[^a] %[^b]¶[^a]: %¶[^b]: %
%[^a] %¶[^a]: %¶%
[^a]:¶    %¶¶%[^a]
[^a]:¶¶    %¶¶%[^a]
[^a]: %¶¶¶    %¶¶%[^a]
[^a]: %¶¶    %¶¶        %¶¶%[^a]
[^a]: %¶¶    - %¶    - %¶¶%[^a]
[^a]: %¶¶    ```yaml calc¶    id: %¶    ```¶¶%[^a]
[^a]: %¶¶    %¶    [^b]: %¶¶%[^a] [^b]
   [^a]: %¶¶%[^a]
    [^a]: %¶¶%[^a]
[^]: %¶¶%[^]
[^a b]: %¶¶%[^a b]
- [^a]: %¶¶%[^a]
> [^a]: %¶¶%[^a]
"""

CONTAINERS = """
- %¶- %
- %¶%¶- %
- %¶¶- %
- %¶¶%
- %¶¶    %
- %¶¶        %
- %¶¶            %
- %¶    - %¶    - %¶- %
- %¶    - %¶        - %¶¶            %
- %¶¶    - %¶¶        %¶¶    %
- %¶    %¶    - %¶¶    %
- %¶  - %¶   - %
-   %¶¶    %
-     %
- - %¶- 1. %
1. %¶2. %¶- %
1. %¶¶- %
* %¶+ %¶- %
-%¶1.%¶1) %
   - %¶    - %
- # %¶- ## %¶- %
- # %¶  %
- %¶¶    # %¶    %
- %¶¶- # %¶        %
- %¶¶- %¶¶    # %¶        %
- > %¶  > %
- > %¶- %¶    - %¶        - [%](calc:%)
- > %¶- %¶    %
- > %¶    - %¶        - %¶¶            %
- %¶¶    > %¶¶    - %¶        - %
1. > - %¶2. %¶    - %¶        %
- > %¶    # %¶    %
- %¶    > %¶- %¶    - [%](calc:%)¶        - %
:   %¶¶> %¶¶:   - %¶        - %
%¶:   > %¶    - %¶        - %
- %¶    > %¶¶    > %
- ```text¶  %¶  ```
- %¶¶    ```text¶    %¶    ```
- %¶¶    ```yaml calc¶    id: %¶    ```¶¶    %
- %¶¶¶- %¶¶¶    %
- [ ] %¶- [%](calc:%)
> %¶> %
> %¶%
> %¶¶> %
> %¶¶%
>%¶>%
> - %¶> - %¶>¶>     %
> > %¶> %¶%
> # %¶> %
%¶> %
    > %
>     %¶>     %
> ```yaml calc¶> id: %¶> ```
> %¶>¶> ```yaml calc¶> id: %¶> ```¶> %
# %¶%
%¶# %
# % #¶## % ##¶####### %
#%¶# % \\#¶# %\\¶#
 # %¶  ## %
%¶===¶%¶---
%¶=¶%¶-
%¶%¶===
%¶===¶¶%¶---¶%
===¶%
- %¶===
# % [%](calc:%)
% [%](calc:%)¶---
---¶%¶***¶%¶* * *¶%¶_ _ _
%¶***¶%
%¶- - -¶%
*  *  *¶*   * *¶**¶--¶__
    %¶¶    %
%¶¶    %¶%
%¶    %
    %¶%
	%¶¶%	%
    ```yaml calc¶    id: %¶    ```
    %¶    ```text¶    %¶    ```
> %¶>¶>     %¶>     ```text¶>     %¶>     ```
!!! note¶    %
!!! note "% [%](calc:%)"¶    %¶¶    %¶¶%
!!! note ""¶    %
!!! note a b "%"¶    %
!!! note %¶    %
!!!note "%"¶    %
!!! "%"¶    %
%¶!!! note¶    %¶%
!!! note¶%
!!! note¶¶    %
!!! note¶    - %¶¶        %¶¶    %
!!! note¶    - %¶        - %¶¶            %
!!! note¶    !!! tip "%"¶        %¶¶        %¶¶    %
!!! note¶    %¶¶        %
!!! note¶    ```yaml calc¶    id: %¶    ```
- !!! note¶      %
- %¶¶    !!! note "%"¶        %
??? note¶    %
???+ note "% [%](calc:%)"¶    %¶¶    %
??? "%"¶    %¶%
???¶    %
??? note¶    - %¶¶        %
=== "%"¶    %¶¶=== "%"¶    %
=== "% [%](calc:%)"¶¶    %¶¶        %¶¶=== "%"¶¶    - %¶¶        %
===! "%"¶    %¶¶===+ "%"¶    %
=== %¶    %
=== "%"¶    %¶%
%¶=== "%"¶    %
=== "%"¶    === "%"¶        %¶¶        %¶¶    %
%¶:   %
%¶¶:   %
%¶%¶:   %¶:   %
%¶:   %¶    %¶%
%¶:   %¶¶    %¶¶        %
%¶:   - %¶¶        %
%¶:   # %¶        %
%¶¶:   %¶¶:   %¶¶%
%¶:   %¶¶%¶:   %
: %
%¶: %¶:  %¶:    %¶:%
%¶   : %
% [%](calc:%)¶:   % [%](calc:%)
%¶:   %¶¶    - %¶¶        %¶¶    %
"""

HTML = """
<div>%</div>¶¶%
<div>¶%¶¶%¶</div>¶¶%
<div>%</div> %
<div>¶<div>%</div>¶%</div> %
<div>%¶¶%
%<div>%</div>
%¶<div>%</div>¶%
   <div>%</div>
    <div>%</div>
- <div>%</div>
- %¶¶    <div>%</div>
<p>%</p>%
<b>%</b>¶¶%
<b>¶%</b>
</div>%
</div>¶¶%
<hr>¶%
<hr> %
<hr/> %
%¶<hr>
<br>%
<br/>%
<div/>%
<img src="%"> %
<pre>¶%¶¶[%](calc:%)¶</pre>¶%
<script>¶% <b> "</div>"¶</script>¶%
<style>¶% </styles>¶</style >%
<script>%
<textarea>%</textarea>%
<DIV>%</Div>%
<div class="%">%</div>%
<div class="%>%">%</div>%
<div¶class="x">%</div>¶%
<div %
<div>¶```yaml calc¶id: %¶```¶</div>¶¶%
<div markdown>¶%¶</div>¶%
<div markdown>¶¶% [%](calc:%)¶¶- %¶¶</div>
<div markdown="1">%</div>%
<div markdown="block">¶%¶</div>
<div markdown="span">¶% [%](calc:%)¶¶- %¶</div>
<div markdown="0">¶%¶</div>
<div markdown=block>¶% [%](calc:%)¶</div>
<div class="a" markdown>¶%¶</div>
<div Markdown="1">¶%¶</div>
<div markdown="markdown">¶%¶</div>
<p markdown>%</p>%
<p markdown="block">¶- %¶</p>
<p markdown>¶- % [%](calc:%)¶</p>
<h2 markdown>% [%](calc:%)</h2>%
<h6 markdown>%</h6>¶%
<td markdown>%</td>
<pre markdown>¶% [%](calc:%)¶</pre>
<script markdown>%</script>%
<hr markdown>%
<section markdown>¶<div>%</div>¶%¶</section>
<section markdown>¶<div markdown>¶- %¶</div>¶%¶</section>¶%
<section markdown>¶<div>¶%¶<p markdown>%</p>¶</div>¶%¶</section>
<section markdown>¶<p>%¶<p>%¶</section>%
<p markdown>%<p markdown>%</p>
<div markdown>¶<b>%</b> <i>[%](calc:%)</i>¶</div>
<div markdown>¶%
<div markdown>¶<div markdown>¶%¶</div>
<div markdown>¶</p>%¶</div>
<div markdown>¶```yaml calc¶id: %¶```¶</div>¶%
<div markdown="span">¶```yaml calc¶id: %¶```¶</div>
<div markdown>¶¶    %¶¶</div>
<div markdown>¶<hr>¶%¶<!-- % -->¶%¶</div>
<div markdown><div>%</div></div>%
<div markdown>%<div>%</div>%</div>%
<details markdown>¶<summary>% [%](calc:%)</summary>¶%¶</details>
<details markdown>¶<summary markdown>% [%](calc:%)</summary>¶%¶</details>¶¶    %
<details>¶<summary>%</summary>¶</details>¶¶    %
<table><tr><td>%</td></tr></table>¶%
<dl markdown>¶<dt>%</dt>¶<dd>[%](calc:%)</dd>¶</dl>
<!-- % -->¶%
<!-- %¶¶% -->¶%
<!-- % --> %
% <!-- %¶¶% --> %
<!-- %
<!--¶```yaml calc¶id: %¶```¶-->¶%
<!-- % --><!-- % -->¶%
<b> <!-- % --> %</b> %
<b>¶<!-- % -->¶%</b> %
<b>¶<!-- % -->¶¶%</b> %
<i>%¶¶<!-- % -->¶%</i>
- %¶¶    <!-- % -->¶¶    %
<? % ?>¶%
<?%¶¶%?> %
% <? % ?> %
<!DOCTYPE %>¶%
<!% %>%
<![CDATA[ %¶¶% ]]>¶%
<a href="%">%</a> %
<a>%</b> % <!-- % -->
<1>%
<%>%
< div>%
<div>%</div><div>%</div>%
<div>%</div>¶<div>%</div>¶%
<div>%</span></div>%
<div><p>%</div>%</p>%
%¶¶<ins>%</ins>¶%
<span markdown>%</span>
<video>%</video>%
<unknown-tag>%</unknown-tag>
"""


def lines(text: str) -> list[str]:
    return [line for line in text.splitlines() if line]


@pytest.mark.parametrize("page", lines(TABLES))
def test_tables(page: str) -> None:
    alike(page)


@pytest.mark.parametrize("page", lines(INLINES))
def test_the_inside_of_a_paragraph(page: str) -> None:
    alike(page)


@pytest.mark.parametrize("page", lines(DEFINITIONS))
def test_names_and_footnotes(page: str) -> None:
    alike(page)


@pytest.mark.parametrize("page", lines(CONTAINERS))
def test_containers(page: str) -> None:
    alike(page)


@pytest.mark.parametrize("page", lines(HTML))
def test_raw_html(page: str) -> None:
    alike(page)
