"""What stands in running text for programs: math, addresses, paths, templates and the like.

A number in it is no figure, however like one it looks: ``$v = 5 m$``, ``https://example.org/5kg``, ``%20km``,
``0x1F``, ``100mm.png``. It is covered by as many signs, so that what stands around it keeps its place. What
the scanner masks already (code, tags, attribute lists, the addresses of links) is not looked for again.

Dollars are math by the rule of pymdownx.arithmatex (`RE_SMART_DOLLAR_INLINE`): no blank behind the first and
none before the last; and by two more, since a site without that extension writes prices. The last dollar has
no digit behind it (``$5–$6``), as Pandoc has it, and what begins as a price and goes on in words is one:
``$5 for the 20 kg, in A$``.

Time is in proportion to the length of the text: a token is looked at once, and what may run over blanks has
an end that no second beginning passes, or a bound.
"""

from __future__ import annotations

import re

from buildlog.reading.markdown.page import MASK

_LONGEST = 1000
"""So many characters of math or of a template are looked through for its end."""

_MATH = re.compile(
    r"\$\$(?P<block>(?:\\.|[^\\$]|\$(?!\$))+?)\$\$"
    r"|(?<![\\$])\$(?![\s$])(?P<line>(?:\\.|[^\\$])+?)(?<!\s)\$(?![0-9$])"
    rf"|\\\((?:(?!\\[()]).){{1,{_LONGEST}}}\\\)"
    rf"|\\\[(?:(?!\\[\[\]]).){{1,{_LONGEST}}}\\\]"
    rf"|\\begin\{{(?P<name>[a-z]{{1,20}}\*?)\}}(?:(?!\\begin\{{(?P=name)).){{1,{_LONGEST}}}?\\end\{{(?P=name)\}}"
)
_PRICE_AND_WORDS = re.compile(
    r"[0-9][0-9.,]*+k? "
    r"(?:a|an|and|as|at|but|by|each|for|from|in|is|it|more|of|on|or|per|that|the|to|was|with)\b"
)
_TEMPLATE = re.compile(
    rf"\{{\{{(?:(?!\}}\}}|\{{\{{).){{0,{_LONGEST}}}\}}\}}"
    rf"|\{{%(?:(?!%\}}|\{{%).){{0,{_LONGEST}}}%\}}"
    rf"|\{{#(?:(?!#\}}|\{{#).){{0,{_LONGEST}}}#\}}"
)
# pymdownx: [=45% "45%"], a bar that shows how far work has come.
_PROGRESS_BAR = re.compile(r"\[=[ ]?[0-9.]{1,9}(?:%|/[0-9.]{1,9})(?:[ ]?\"[^\"\]]{0,80}\")?[ ]?\]")
_KEYS = re.compile(r"\+\+[A-Za-z0-9\"_-]{1,30}(?:\+[A-Za-z0-9\"_-]{1,30}){0,5}\+\+")
_FOOTNOTE = re.compile(r"\[\^[^\]\s]{1,80}\]")
_WHOLE_LINE = re.compile(r"\*\[[^\]]{1,80}\][ ]?:|[;]{0,2}-{1,9}8<-{1,9}")
"""An abbreviation and what it is short for; a snippet that comes in here."""

_TOKEN = re.compile(rf"(?<![^\s{MASK}])[^\s{MASK}0-9]*+[0-9][^\s{MASK}]*+")
"""A word with a digit in it."""
_FILE_ENDINGS = (
    "bat bin bmp bz2 c cfg conf cpp cs css csv dll doc docx exe gif go gz h hpp htm html ico ini ipynb java "
    "jpeg jpg js json jsx lock log lua markdown md mp3 mp4 pdf php png ps1 py rb rs rst sh sql svg tar tex "
    "toml ts tsv tsx txt wav webp whl xls xlsx xml yaml yml zip"
)
_OF_MACHINES = re.compile(
    r"(?:[A-Za-z][A-Za-z0-9+.-]{0,30}://|\b(?:www\.|mailto:|tel:|urn:|doi:|data:))[^\s<>\"“”—|\]]*"
    r"|[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63})+"
    # example.org/5kg, example.org:8080, example.org?of=5kg
    r"|(?<![\w.@/-])[A-Za-z][\w-]{0,62}(?:\.[\w-]{1,63}){0,5}\.[A-Za-z]{2,24}(?::[0-9]{2,5}|[/?#])[^\s<>\"“”|\]]*"
    rf"|[\w./\\~:+-]{{1,250}}\.(?:{'|'.join(_FILE_ENDINGS.split())})(?![\w])(?:[:#][\w:-]*)?"
    r"|(?<![\w.)])(?:\.{1,2}[/\\]|~[/\\]|[A-Za-z]:[/\\](?=\w)|\\\\(?=\w)|/(?=[A-Za-z_.~]|\w+/))\S*"
    r"|\w*[A-Za-z_]\\\w[^\s<>\"]*"
    # %20km, %3F, and what printf fills in; a percentage has its sign behind the number
    r"|[^\s\"'“”‘’(]*(?<![0-9])%[0-9A-Fa-f][^\s\"'“”‘’)]*"
    r"|(?<![\w.,])0[xXbBoO][0-9A-Fa-f]+\w*"
    r"|[Uu]\+[0-9A-Fa-f]{4,6}(?:[–-](?:[Uu]\+)?[0-9A-Fa-f]{2,6})?|\\[uUx][0-9A-Fa-f]{2,8}"
    r"|(?<![\w-])[0-9A-Fa-f]{8}(?:-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}(?![\w-])"
    r"|(?<![\w:]):(?=[^:]{0,40}[A-Za-z])[\w+-]{1,40}:(?![\w:])"
    r"|(?<![\w-])--?[A-Za-z][\w-]{0,40}=\S*"
    r"|\$\{[^{}\s]{0,80}\}"
)
_WORTH_A_LOOK = re.compile(r"[@%:/\\=$_]|\.[A-Za-z]|0[xXbBoO]|[Uu]\+|-[0-9A-Fa-f]{4}-")


def without_machine_text(text: str) -> str:
    """A text with `MASK` over all that stands there for programs; its length stays."""
    if "$" in text or "\\" in text:
        text = _MATH.sub(_covered_math, text)
    if "{" in text:
        text = _TEMPLATE.sub(_covered, text)
    if "[" in text:
        text = _PROGRESS_BAR.sub(_covered, _FOOTNOTE.sub(_covered, text))
    if "++" in text:
        text = _KEYS.sub(_covered, text)
    return _TOKEN.sub(_looked_at, text)


def line_for_machines(line: str) -> bool:
    """Whether a line is no text of the page: what an abbreviation is short for, a snippet's name."""
    return _WHOLE_LINE.match(line) is not None


def _covered(match: re.Match[str]) -> str:
    return MASK * len(match[0])


def _covered_math(match: re.Match[str]) -> str:
    inside = match["line"]
    if inside is not None and _PRICE_AND_WORDS.match(inside):
        return match[0]
    return MASK * len(match[0])


def _looked_at(match: re.Match[str]) -> str:
    token = match[0]
    return _OF_MACHINES.sub(_covered, token) if _WORTH_A_LOOK.search(token) else token
