"""One figure of the prose: what it rests on, and whether it agrees."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from math import inf

from buildlog.book.addresses import NO_SHARE, Target, change
from buildlog.book.book import Book
from buildlog.book.named_values import UNKNOWN_ADDRESS
from buildlog.book.parts import KIND as PART
from buildlog.diagnostics import (
    Diagnostic,
    Position,
    Refused,
    Row,
    Severity,
    declare,
    did_you_mean,
    shorten,
)
from buildlog.figures import units
from buildlog.figures.agreement import Computed, Verdict, judge, judge_pair, unit_of
from buildlog.figures.labels import plain, write_figure
from buildlog.figures.numbers import Unreadable
from buildlog.figures.stated import FIGURE_UNREADABLE, Stated, instead_of, parse, restated
from buildlog.kinds.key_texts import result_in_words
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.citing import compare_with_fact, differing, fact_of, torque_without_fact
from buildlog.proof.comparing import (
    Comparison,
    claim_differs,
    compare_claim,
    compare_values,
    values_differ,
)
from buildlog.proof.direction import direction_beside
from buildlog.proof.figure_value import compared_value, decimals_in, is_change, tolerance_of
from buildlog.proof.named_beside import other_case, other_gear
from buildlog.proof.sentences import ALONE, Sentence, Sentences
from buildlog.proof.words import WORDS_DISAGREE, judge_direction, judge_word
from buildlog.reading.addresses import (
    OPTION_UNREADABLE,
    Address,
    Options,
    called,
    read_address,
    read_options,
)
from buildlog.reading.blocks import SOURCES, SourceEntry
from buildlog.reading.facts import Fact
from buildlog.reading.markdown.page import Link

FIGURE_DISAGREES = declare(
    "figure-disagrees",
    "the figure does not agree with what it rests on",
    why="A reader who repeats the build gets the computed value, not the stated one.",
    mend="Write the computed value, or mend the block if the stated one is right.",
    example="Third runs out at [142.8 km/h](calc:shorter-final.after.speed_at_limit.3)",
)
UNKNOWN_SOURCE = declare(
    "unknown-source",
    "no such entry in sources.yml",
    why="A figure that cites a source which is not listed cannot be looked up by a reader.",
    mend="Add the source to sources.yml, in the folder of the pages, or correct the id.",
    example="[39 N·m](cite:gearbox-manul)",
)
WRONG_STANDING = declare(
    "wrong-standing",
    "a document is told, or hearsay is cited",
    why="Readers trust a cited figure more than somebody's word; the two must not be mixed up.",
    mend="Use cite: for documents (title) and told: for somebody's word (who).",
    example="[240 hp](cite:last-owner)        # whose entry has who, not title",
)
EMPTY_LABEL = declare(
    "empty-label",
    "a cited or told figure without a label",
    why="Only a computed figure can be filled in.",
    mend="Write the figure in the brackets.",
    example="The plug takes [](cite:gearbox-manual).",
)
OTHER_GEAR = declare(
    "other-gear",
    "the sentence names another gear than the figure is of",
    why="The figure is copied rightly and put down to the wrong gear.",
    mend="Point the address at the gear that the sentence names, or name the figure's.",
    severity=Severity.WARNING,
    example="third ends at [95.3 km/h](calc:shorter-final.after.speed_at_limit.2)",
)
OTHER_CASE = declare(
    "other-case",
    "the sentence names another case than the figure is of",
    why="The figure is copied rightly and put down to the wrong case.",
    mend="Point the address at the case that the sentence names, or name the figure's.",
    severity=Severity.WARNING,
    example="with the new axle it is [2882 rpm](calc:shorter-final.before.rpm_at.2)",
)
DIRECTION_CONTRADICTS = declare(
    "direction-contradicts",
    "the words say that it goes the other way",
    why="“10 % less” of what is 10 % more is as wrong as any digit.",
    mend="Change the word, or swap the case and what it is compared with.",
    example='The new axle turns [558 rpm](calc:shorter-final.after.rpm_at.5 "vs before") less.',
)
TORQUE_NOT_CITED = declare(
    "torque-not-cited",
    "a tightening torque for the workshop sheet that no document gives",
    why="Who holds the wrench trusts the sheet. A torque that is computed or told "
    "explains, and does not instruct.",
    mend="Cite the maker's document, or take “for …” out of the title, so that it stays off the sheet.",
    example='[35 N·m](told:last-owner "for the drain plug")',
)


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A figure with what it rests on. `text` is the label to show, filled in where it was empty.

    `value` is what the label is compared with: the target's value, or its change against `versus`.
    `target` is what the address leads to, and `other` what it is compared with.
    `purpose` is what the figure is for, on the sheet. `fact` is what it restates of its source.
    `comparison` is with a value that was found independently.
    `title` is the link's, as written. `spoken` is what was computed where the label is words.
    """

    kind: str
    label: str
    address: str
    text: str
    agrees: bool
    stated: Stated | None = None
    value: Value | None = None
    verdict: Verdict | None = None
    block: BlockResult | None = None
    case: str = ""
    output: str = ""
    key: str = ""
    versus: str = ""
    target: Target | None = None
    other: Target | None = None
    purpose: str = ""
    source: SourceEntry | None = None
    fact: Fact | None = None
    comparison: Comparison | None = None
    diagnostics: tuple[Diagnostic, ...] = ()
    title: str = ""
    spoken: str = ""

    @property
    def targets(self) -> tuple[Target, ...]:
        """Every value that it rests on, or is compared with."""
        compared = self.comparison.targets if self.comparison is not None else ()
        return (*(target for target in (self.target, self.other) if target is not None), *compared)

    @property
    def blocks(self) -> tuple[BlockResult, ...]:
        """Every block that it rests on, or is compared with."""
        own = () if self.block is None else (self.block,)
        return (*own, *(target.block for target in self.targets))

    @property
    def is_given(self) -> bool:
        """Whether it restates an input, as it was given."""
        return self.target is not None and self.target.given is not None and self.other is None

    @property
    def found_how(self) -> str:
        """How the value came about that it restates."""
        return self.target.found_how if self.is_given and self.target else "computed"

    @property
    def computed_text(self) -> str:
        """The computed value with the digits that show the verdict, for people."""
        return self.verdict.shown if self.verdict else self.spoken


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One line of the ledger: a figure, where it stands, what it rests on, whether it agrees.

    `standing` is "computed", "cited", "told" or "loose". `unit` is that of a table's heading, of a loose one.
    `anchor` is the figure's id in the finished page, "" where it has none.
    """

    page: str
    position: Position
    label: str
    standing: str
    address: str
    judged: Judged | None = None
    unit: str = ""
    anchor: str = ""

    @property
    def agrees(self) -> bool:
        return self.judged is not None and self.judged.agrees


@dataclass(frozen=True)
class Places:
    """Where a figure's parts stand: label, address and title."""

    label: Position
    address: Position
    title: Position

    @classmethod
    def all_at(cls, position: Position) -> Places:
        return cls(position, position, position)


def judge_figure(
    book: Book,
    page: str,
    label: str,
    address: str,
    title: str,
    places: Places,
    sentence: Sentence = ALONE,
) -> Judged:
    """Judge one link ``[label](address "title")`` of a page in its sentence. Never raises for what an author
    wrote."""
    judged = _judge(book, page, label=label, address=address, title=title, places=places, sentence=sentence)
    judged = replace(judged, diagnostics=(*judged.diagnostics, *_named_otherwise(judged, sentence, places)))
    if judged.purpose and judged.agrees and judged.kind != "cite" and _is_torque(judged):
        standing = "told" if judged.kind == "told" else "computed"
        found = TORQUE_NOT_CITED.at(
            places.title,
            found=f"“{plain(judged.text).text}”, which is {standing}",
            expected="a torque with cite:",
            length=len(title),
        )
        return replace(judged, agrees=False, diagnostics=(*judged.diagnostics, found))
    return judged


def judge_link(book: Book, page: str, link: Link, sentences: Sentences | None = None) -> Judged:
    """Judge a link of a page where it stands. `sentences` are the page's, where they are at hand."""
    title = link.title_position or link.address_position
    places = Places(link.label_position, link.address_position, title)
    around = sentences or Sentences(book.pages[page].read)
    return judge_figure(
        book,
        page,
        label=link.label,
        address=link.address,
        title=link.title or "",
        places=places,
        sentence=around.around(link),
    )


def _named_otherwise(judged: Judged, sentence: Sentence, places: Places) -> Iterator[Diagnostic]:
    """Where the words beside a figure name another gear or another case than it is of."""
    block = judged.block
    if block is None or (judged.value is None and not judged.spoken):
        return
    declared = block.outputs.get(judged.output)
    length = len(judged.label)
    label = plain(judged.text).text
    of_a_gear = declared is not None and declared.key in ("gear", "shift")
    if of_a_gear and (gear := other_gear(sentence, judged.key)):
        yield OTHER_GEAR.at(
            places.label,
            found=f"“{label}”, of gear {judged.key}, where the sentence names gear {gear}",
            expected="the gear that the sentence names",
            help=f"point the address at gear {gear}, or name gear {judged.key} in the sentence",
            length=length,
        )
    if case := other_case(sentence, (judged.case, judged.versus), block.cases):
        yield OTHER_CASE.at(
            places.label,
            found=f"“{label}”, of the case “{judged.case}”, where the sentence names “{case}”",
            expected="the case that the sentence names",
            help=f"point the address at {case}, or name “{judged.case}” in the sentence",
            length=length,
        )


def _is_torque(judged: Judged) -> bool:
    if judged.value is not None:
        return judged.value.dimension == "torque"
    return bool(judged.stated and any(unit.dimension == "torque" for unit in units.spelt(judged.stated.unit)))


def _judge(
    book: Book, page: str, label: str, address: str, title: str, places: Places, sentence: Sentence
) -> Judged:
    kind = address.partition(":")[0]
    nothing = Judged(kind=kind, label=label, address=address, text=label, agrees=False, title=title)
    try:
        parsed = read_address(address)
    except Refused as error:
        return replace(nothing, diagnostics=(_diagnostic(error, places.address, len(address)),))
    if parsed.scheme != "calc":
        options = _of_source_only(title, parsed.scheme)
        judged = _sourced(book, nothing, parsed, options or Options(), places)
        if options is None:  # a tolerance or “vs” here would be believed and never applied
            found = OPTION_UNREADABLE.at(
                places.title,
                found=f"the title “{shorten(title)}” on a {parsed.scheme}: figure",
                expected="no title but “for WHAT” and “in UNIT”: the other options are for calc:",
                help="say it in the label, as a range for a tolerance",
                length=len(title),
            )
            return replace(judged, agrees=False, diagnostics=(*judged.diagnostics, found))
        return _claimed(book, page, replace(judged, purpose=options.purpose), options, places)
    try:
        options = read_options(title)
        if options.about:
            raise _only_of_claims(title)
    except Refused as error:
        found = _diagnostic(error, places.title, len(title))
        with suppress(Refused):
            found = _telling_value(found, book.target(page, parsed), nothing)
        return replace(nothing, diagnostics=(found,))
    try:
        target = book.target(page, parsed)
    except Refused as error:
        block = book.result(parsed.page or page, parsed.block)
        found = _diagnostic(error, places.address, len(address), block.position if block else None)
        return replace(nothing, block=block, diagnostics=(found,))
    judged = replace(
        nothing,
        block=target.block,
        case=target.case,
        output=target.output,
        key=target.key,
        target=target,
        value=target.value,
        versus=options.versus,
        purpose=options.purpose,
    )
    if options.versus:
        try:
            judged = replace(judged, other=book.other(page, target, options.versus))
        except Refused as error:
            found = _diagnostic(error, places.title, len(title), target.block.position)
            return replace(judged, diagnostics=(_telling_value(found, target, judged),))
    judged = _against_target(judged, target, label, options, places, sentence)
    return _found_independently(book, page, judged, options, places)


def _found_independently(book: Book, page: str, judged: Judged, options: Options, places: Places) -> Judged:
    """A computed figure beside a value that was found without it, where its title names one."""
    if not options.against or judged.target is None:
        return judged
    try:
        against = book.target(page, read_address(options.against))
        comparison = compare_values(judged.target, against)
    except Refused as error:
        found = _diagnostic(error, places.title, len(judged.title), judged.target.block.position)
        return replace(judged, agrees=False, diagnostics=(*judged.diagnostics, found))
    judged = replace(judged, comparison=comparison)
    if comparison.agrees:
        return judged
    found = values_differ(comparison, judged.label, places.title, len(judged.title))
    return replace(judged, diagnostics=(*judged.diagnostics, found))


def _claimed(book: Book, page: str, judged: Judged, options: Options, places: Places) -> Judged:
    """Somebody's word beside what is computed of the same thing, where its title names that."""
    if not options.about or not judged.agrees:
        return judged
    place, length = places.title, len(judged.title)
    try:
        target = book.target(page, read_address(options.about))
        other = book.other(page, target, options.about_versus) if options.about_versus else None
        place, length = places.label, len(judged.label)
        comparison = compare_claim(parse(judged.label), target, other, options.unit)
    except Refused as error:
        if error.code in (OPTION_UNREADABLE, NO_SHARE):
            place, length = places.title, len(judged.title)
        found = _diagnostic(error, place, length)
        with suppress(Refused):
            found = _telling_value(found, book.target(page, read_address(options.about)), judged)
        return replace(judged, agrees=False, diagnostics=(*judged.diagnostics, found))
    judged = replace(judged, comparison=comparison)
    if comparison.agrees:
        return judged
    found = claim_differs(comparison, judged.label, places.label)
    return replace(judged, diagnostics=(*judged.diagnostics, found))


def _against_target(
    judged: Judged, target: Target, label: str, options: Options, places: Places, sentence: Sentence
) -> Judged:
    """A computed figure compared; what cannot be compared is a finding at its place."""
    try:
        return _judged(judged, target, label=label, options=options, places=places, sentence=sentence)
    except Refused as error:
        place, length = places.label, len(label)
        if isinstance(error, Unreadable):
            place, length = replace(place, column=place.column + error.offset), error.length
        elif error.code == UNKNOWN_ADDRESS:
            place, length = places.address, len(judged.address)
        elif error.code in (OPTION_UNREADABLE, NO_SHARE):
            place, length = places.title, len(judged.title)
        found = _diagnostic(error, place, length, target.block.position)
        return replace(judged, diagnostics=(_telling_value(found, target, judged),))


def _telling_value(found: Diagnostic, target: Target, judged: Judged) -> Diagnostic:
    """The finding with what the figure rests on: the author most likely wants to write that value."""
    value, what = target.value, f"the {target.found_how} value"
    if value is None:
        return found
    with suppress(Refused):
        if judged.other is not None:
            value = change(target, judged.other, "difference")
            what = f"the change against {judged.versus}"
    unit = units.find(value.unit, value.dimension)
    number = write_figure(unit.from_si(value.si), value.decimals, "")
    symbol = unit.difference_symbol(number) if value is not target.value else unit.symbol
    text = write_figure(unit.from_si(value.si), value.decimals, symbol)
    return replace(found, help=f"{found.help.removesuffix('.')}; {what} is {text}")


def _of_source_only(title: str, scheme: str) -> Options | None:
    """The title's options where they say no more than what a cited figure is for and in which unit it is, and
    of a told one what it is about."""
    with suppress(Refused):
        options = read_options(title)
        allowed = Options(purpose=options.purpose, unit=options.unit)
        if scheme == "told":
            allowed = replace(allowed, about=options.about, about_versus=options.about_versus)
        if options == allowed:
            return options
    return None


def _only_of_claims(title: str) -> Refused:
    return Refused(
        "title",
        f"“{title}” on a calc: figure",
        "“of” on a told: figure only",
        help="two computed values are compared by “against”, a change by “vs”",
        code=OPTION_UNREADABLE,
    )


def still_holds(book: Book, judged: Judged) -> bool:
    """Whether a judgement of an earlier book is that of this one, for the same link at the same place: the
    result or the source that it names is the same. Where something was wrong it is judged anew."""
    if judged.diagnostics:
        return False
    source = judged.source
    if source is None and judged.block is None:
        return False
    if source is not None and book.sources.get(source.id) != source:
        return False
    return all(book.result(block.page, block.id) is block for block in judged.blocks)


def _diagnostic(
    error: Refused, position: Position, length: int, second: Position | None = None
) -> Diagnostic:
    return error.code.at(
        position,
        found=error.found,
        expected=error.expected,
        help=error.help,
        length=length,
        second=second,
        second_label="the block it rests on" if second else "",
    )


def _sourced(book: Book, judged: Judged, address: Address, options: Options, places: Places) -> Judged:
    """A cited or told figure: the source must exist and be of that standing."""
    source = address.block
    entry = book.sources.get(source)
    length = len(judged.address)
    if entry is None:
        hint = did_you_mean(source, book.sources)
        expected = f"an entry of {book.shown(book.content / SOURCES)}"
        if book.sources:
            expected = "one of " + ", ".join(book.sources)
        found = UNKNOWN_SOURCE.at(
            places.address, found=f"“{source}”", expected=expected[:200], help=hint, length=length
        )
        return replace(judged, diagnostics=(found,))
    if entry.hearsay != (judged.kind == "told"):
        right, standing = ("told", "somebody's word") if entry.hearsay else ("cite", "a document")
        found = WRONG_STANDING.at(
            places.address,
            found=f"{judged.kind}:{source}, which is {standing}",
            expected=f"{right}:{source}",
            length=length,
            second=entry.position,
            second_label="the source's entry",
        )
        return replace(judged, source=entry, diagnostics=(found,))
    judged = replace(judged, source=entry, purpose=options.purpose)
    if address.rest:
        return _of_fact(judged, entry, address.rest[0], options, places)
    if not judged.label.strip():
        found = EMPTY_LABEL.at(places.label, found="nothing", expected="a figure")
        return replace(judged, diagnostics=(found,))
    stated = None
    with suppress(Refused):  # what a source says may be words; only computed figures are compared
        stated = parse(judged.label)
    judged = replace(judged, agrees=True, stated=stated)
    if judged.kind == "cite" and _is_torque(judged):
        found = torque_without_fact(judged.label, entry, options.purpose, places.address, length)
        agrees = found.severity is not Severity.ERROR
        return replace(judged, agrees=agrees, diagnostics=(found,))
    return judged


def _of_fact(judged: Judged, entry: SourceEntry, name: str, options: Options, places: Places) -> Judged:
    """A figure that restates a fact of its source; an empty label is filled in with it."""
    fact = fact_of(entry, name, places.address, len(judged.address))
    if isinstance(fact, Diagnostic):
        return replace(judged, diagnostics=(fact,))
    judged = replace(judged, fact=fact)
    if not judged.label.strip():
        return replace(judged, text=fact.text, stated=fact.stated, agrees=True)
    try:
        stated = parse(judged.label)
        cited = compare_with_fact(stated, fact, options.unit)
    except Refused as error:
        place, length = places.label, len(judged.label)
        if isinstance(error, Unreadable):
            place, length = replace(place, column=place.column + error.offset), error.length
        found = _diagnostic(error, place, length, fact.position)
        help = f"{found.help.removesuffix('.')}; the source gives {fact.text}"
        return replace(judged, diagnostics=(replace(found, help=help),))
    judged = replace(judged, stated=stated, value=cited.value, verdict=cited.verdict, agrees=cited.agrees)
    if cited.agrees:
        return judged
    return replace(judged, diagnostics=(differing(judged.label, fact, entry, places.label),))


def _judged(
    judged: Judged, target: Target, label: str, options: Options, places: Places, sentence: Sentence
) -> Judged:
    text = " ".join(plain(label).text.split())
    if not text:
        return _filled(judged, target, options)
    if target.word and judged.other is None and text.casefold() == target.word.casefold():
        return replace(judged, agrees=True, spoken=target.word)
    stated = parse(label)
    judged = replace(judged, stated=stated)
    if stated.form == "words":
        return _judged_words(judged, target, stated, places)
    if judged.other is not None:
        stated = _with_word_outside(stated, text, target, sentence)
    if stated.form == "pair" and judged.other is not None:
        return _judged_pair(judged, target, stated, options, places)
    value = compared_value(target, judged.other, stated, options)
    unit = unit_of(stated, value.dimension, options.unit)
    said = _with_direction(judged, target, stated, value=value, sentence=sentence)
    verdict = judge(
        said,
        Computed(value.si, value.dimension, value.expanded_uncertainty),
        unit,
        tolerance_of(options),
        change=judged.other is not None,
        of=target.number.dimension,
    )
    return _found(replace(judged, value=value, verdict=verdict), said, places)


def _filled(judged: Judged, target: Target, options: Options) -> Judged:
    """An empty label, filled in."""
    if target.value is None or (target.word and judged.other is None and not options.unit):
        return replace(judged, text=target.word, agrees=True, spoken=target.word)
    value = compared_value(target, judged.other, None, options)
    unit = units.find(options.unit or value.unit, value.dimension)
    text = write_figure(unit.from_si(value.si), decimals_in(value, unit), unit.symbol)
    return replace(judged, text=text, agrees=True, value=value)


def _judged_words(judged: Judged, target: Target, stated: Stated, places: Places) -> Judged:
    """Words without a number: of a decision, of a change, or a word that the block gives."""
    value: Value | None
    if judged.other is not None:
        value = change(target, judged.other, "difference")
        spoken = judge_direction(stated.words, value, target.number.dimension, judged.other.number.si)
    elif target.word:
        value = target.value
        spoken = judge_word(stated.words, target.word)
    elif is_change(target):
        value = target.number
        spoken = judge_direction(stated.words, value, value.dimension, value.si)
    else:
        raise Refused(
            "",
            f"“{plain(stated.label).text}”, and no other case",
            "a number, or a case to compare with",
            help="name the other case in the title: “vs CASE”",
            code=FIGURE_UNREADABLE,
        )
    judged = replace(judged, value=value, spoken=spoken.computed, agrees=spoken.agrees)
    if spoken.agrees:
        return judged
    label = plain(judged.label).text
    found = WORDS_DISAGREE.at(
        places.label,
        f"“{label}” is said, and what is computed is: {spoken.computed}",
        found=f"“{label}”",
        expected=f"{spoken.computed} ({_what(judged)})",
        help=f"write “{spoken.instead}”, or mend the block at {target.block.position}",
        second=target.block.position,
        second_label=f"computed by {target.block.id} ({target.block.kind})",
        length=len(judged.label),
        rows=(
            Row("stated", label),
            Row("computed", spoken.computed),
            *_rests_on(judged),
        ),
    )
    return replace(judged, diagnostics=(found,))


def _judged_pair(judged: Judged, target: Target, stated: Stated, options: Options, places: Places) -> Judged:
    """Two values, before and after, each against its own."""
    assert judged.other is not None
    value = target.number
    unit = unit_of(stated, value.dimension, options.unit)
    before, after = (
        Computed(each.si, each.dimension, each.expanded_uncertainty) for each in (judged.other.number, value)
    )
    verdict = judge_pair(stated, before, after, unit, tolerance_of(options))
    return _found(replace(judged, value=value, verdict=verdict), stated, places)


def _found(judged: Judged, said: Stated, places: Places) -> Judged:
    """A judged figure with what there is to say of it."""
    verdict = judged.verdict
    assert verdict is not None
    judged = replace(judged, agrees=verdict.agrees)
    if verdict.agrees:
        return judged
    if verdict.wrong_way:
        return replace(judged, diagnostics=(_contradiction(judged, said.direction_word, places),))
    return replace(judged, diagnostics=(_disagreement(judged, places),))


def _with_word_outside(stated: Stated, text: str, target: Target, sentence: Sentence) -> Stated:
    """A pair with the direction that the words beside it say; and a part that “more” or “less” makes a
    change, outside the brackets as inside: “a sixth” more."""
    if stated.direction_word:
        return stated
    beside = direction_beside(sentence, target.number.dimension)
    if beside is None:
        return stated
    if stated.form == "pair":
        return replace(stated, direction_word=beside.word)
    if stated.multiple and abs(stated.low.value) < 1 and sentence.after.lower().startswith(f" {beside.word}"):
        with suppress(Refused):
            return parse(f"{text} {beside.word}")
    return stated


def _with_direction(
    judged: Judged, target: Target, stated: Stated, *, value: Value, sentence: Sentence
) -> Stated:
    """The label with the direction that the words beside it say, where it is a change or below zero and has
    no sign or word of its own."""
    changes = judged.other is not None or is_change(target)
    if stated.direction_word:
        if changes or value.si < 0 or target.given is not None:
            return stated
        raise Refused(
            "",
            f"“{stated.direction_word}” of what is no change",
            "a case to compare with",
            help="name the other case in the title, “vs CASE”, or leave the word out of the brackets",
            code=FIGURE_UNREADABLE,
        )
    if stated.signed or stated.multiple:
        return stated
    beside = direction_beside(sentence, target.number.dimension)
    if beside is None or not (changes or (value.si < 0 and beside.direction < 0)):
        return stated
    return replace(stated, direction_word=beside.word)


def _disagreement(judged: Judged, places: Places) -> Diagnostic:
    """That a figure is not what it rests on."""
    verdict, stated, value, block = judged.verdict, judged.stated, judged.value, judged.block
    assert verdict is not None
    assert stated is not None
    assert value is not None
    assert block is not None
    label = plain(judged.label).text
    return FIGURE_DISAGREES.at(
        places.label,
        f"“{label}” is stated, {verdict.shown} is {judged.found_how}",
        found=f"{label}, which stands for {_interval(verdict)}",
        expected=f"{verdict.shown}, {_by_how_much(verdict)} ({_what(judged)})",
        help=f"write {_suggestion(value, verdict, stated)}, or mend {_to_mend(judged, block)}",
        second=block.position,
        second_label=f"{judged.found_how} by {block.id} ({block.kind})",
        length=len(judged.label),
        rows=(
            Row("stated", label, f"stands for {_interval(verdict)}"),
            Row(judged.found_how, verdict.shown, _by_how_much(verdict)),
            *_rests_on(judged),
        ),
    )


def _contradiction(judged: Judged, word: str, places: Places) -> Diagnostic:
    """That the words in a figure or beside it go the other way."""
    verdict, value, block = judged.verdict, judged.value, judged.block
    assert verdict is not None
    assert value is not None
    assert block is not None
    of_a_pair = judged.stated is not None and judged.stated.form == "pair" and judged.other is not None
    base = judged.other.number.si if of_a_pair and judged.other is not None else 0.0
    way = "more" if value.si > base else "less"
    swap = ""
    if judged.versus and judged.case:
        swap = f", or swap the two: the address of {judged.versus} with “vs {judged.case}”"
    return DIRECTION_CONTRADICTS.at(
        places.label,
        f"“{word}” is said, and it is {way}",
        found=f"“{word}” with {plain(judged.label).text}",
        expected=f"{verdict.shown} {way} ({_what(judged)})",
        help=f"change the word{swap}",
        second=block.position,
        second_label=f"computed by {block.id} ({block.kind})",
        length=len(judged.label),
        rows=(
            Row("stated", f"{plain(judged.label).text}, “{word}”"),
            Row("computed", f"{verdict.shown} {way}"),
            *_rests_on(judged),
        ),
    )


def _to_mend(judged: Judged, block: BlockResult) -> str:
    """What gave the value: the block, or what a part's file says, which is on no page."""
    given = judged.target.given if judged.target is not None else None
    if block.kind == PART and given is not None and given.position is not None:
        return f"the part’s file at {given.position}"
    return f"the block at {block.position}"


def _what(judged: Judged) -> str:
    """What a figure rests on, shortly."""
    assert judged.block is not None
    where = ".".join(filter(None, (judged.block.id, called(judged.case), judged.output, judged.key)))
    return f"{where} against {judged.versus}" if judged.versus else where


def _rests_on(judged: Judged) -> tuple[Row, ...]:
    """What a figure rests on, by its address and as readers call it."""
    rows = (Row("rests on", _what(judged)),)
    block = judged.block
    declared = None if block is None else block.outputs.get(judged.output)
    if block is None or declared is None:
        return rows
    return (*rows, Row("which is", result_in_words(block, declared, judged.key)))


def _unit(verdict: Verdict) -> str:
    return f" {verdict.unit.symbol}" if verdict.unit.symbol else ""


def _interval(verdict: Verdict) -> str:
    low, high = verdict.allowed_low, verdict.allowed_high
    if low == -inf:
        return f"anything below {high:.6g}{_unit(verdict)}"
    if high == inf:
        return f"anything above {low:.6g}{_unit(verdict)}"
    return f"{low:.6g} to {high:.6g}{_unit(verdict)}"


def _by_how_much(verdict: Verdict) -> str:
    """How far the computed value lies from the stated one."""
    size = abs(verdict.difference)
    way = "more" if verdict.difference > 0 else "less"
    stated = verdict.computed - verdict.difference
    percent = 0.0
    if stated and verdict.unit.symbol not in ("%", "percentage points"):  # a share of a share misleads
        percent = 100 * size / abs(stated)
    share = f" or {percent:.2g} %" if 0 < percent < 100 else ""
    number = f"{size:.3g}"
    symbol = verdict.unit.difference_symbol(number)
    return f"{number}{symbol and f' {symbol}'}{share} {way}"


def _suggestion(value: Value, verdict: Verdict, stated: Stated) -> str:
    computed = verdict.computed
    again = verdict.instead or restated(stated, computed) or instead_of(stated, verdict.shown)
    return f"“{plain(again).text}”"
