"""Our words in another language: each has its translation, and what is shown is in it or says it is not."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from importlib import resources
from pathlib import Path

import pytest
import yaml
from markupsafe import Markup

from buildlog.book.book import Book
from buildlog.kept.packing import pack, unpack
from buildlog.reading.words import ENGLISH, Words, read_words, shipped, words_for
from buildlog.render import render_card
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.pieces import script_texts, words_script
from buildlog.render.words import (
    english,
    foreign,
    say,
    say_count,
    say_plainly,
    speaking,
    units_in_words,
    words_mark,
    words_of_page,
)
from buildlog.said import PLACEHOLDER, WORDINGS, Said, listed, said, worded
from tests.parsed_html import Tag, parse
from tests.render.blocks import compute, uncertain
from tests.samples import open_site, write_site
from tests.words_asked_for import PACKAGE, asked_for

LANGUAGES = ("de",)


def words(language: str) -> Words:
    found = shipped(language)
    assert found is not None
    return found


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_has_its_translation_and_there_are_no_others(language: str) -> None:
    known = words(language)
    there = known.texts.keys() | known.counted.keys()
    assert sorted(asked_for() - there) == [], "not translated"
    assert sorted(there - asked_for()) == [], "nothing asks for it"


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_has_the_same_placeholders(language: str) -> None:
    known = words(language)
    pairs = [*known.texts.items(), *((text, form) for text, forms in known.counted.items() for form in forms)]
    for text, translated in pairs:
        assert Counter(PLACEHOLDER.findall(text)) == Counter(PLACEHOLDER.findall(translated)), text
        assert translated[:1].isspace() == text[:1].isspace(), text
        assert bool(WORDINGS.search(text)) == bool(WORDINGS.search(translated)), text


def test_what_is_said_is_a_template_with_its_values() -> None:
    """A text with values written into it already is the key to no translation."""
    written = []
    for file in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id == "said" and isinstance(node.args[0], ast.JoinedStr | ast.BinOp):
                written.append(f"{file.name}:{node.lineno}")
    assert written == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_text_is_translated_twice(language: str) -> None:
    """YAML takes the last of several without a word."""
    file = resources.files("buildlog.reading") / "languages" / f"{language}.yml"
    root = yaml.compose(file.read_text(encoding="utf-8"))
    assert isinstance(root, yaml.MappingNode)
    keys = [key.value for key, _ in root.value]
    assert [key for key, count in Counter(keys).items() if count > 1] == []


_NO_WORDS = {"buildlog", "En", "Found", "Expected", "What to do"}
"""Names and symbols, and what stands inside of findings, which are English in any language."""


def test_templates_say_all_their_words() -> None:
    bare = []
    for file in sorted((PACKAGE / "render" / "templates").glob("*.j2")):
        text = re.sub(r"\{#.*?#\}|\{%.*?%\}|<style>.*?</style>", "", file.read_text("utf-8"), flags=re.DOTALL)
        text = re.sub(r"\{\{.*?\}\}", "", text, flags=re.DOTALL)
        pieces = re.split(r"<[^>]*>", text) + re.findall(r'(?:aria-label|title|data-name)="([^"]*)"', text)
        words = (re.sub("&[a-z]+;", "", piece).strip(" \n.,;:=()·[]") for piece in pieces)
        bare += [
            (file.name, word) for word in words if re.search("[A-Za-z]{2}", word) and word not in _NO_WORDS
        ]
    # One word of a refusal, and a macro that makes attributes.
    assert bare == [("chart.html.j2", "expected"), ("results.html.j2", 'class="buildlog-row-"')]


# --- saying it --------------------------------------------------------------------------------


def test_a_text_is_said_in_the_language_spoken_and_in_english_afterwards() -> None:
    with speaking(words("de")):
        assert say("Results") == "Ergebnisse"
        assert say("Episode {number}", number=3) == "Folge 3"
        assert [say_count(count, "{count} row", "{count} rows") for count in (0, 1, 2)] == [
            "0 Zeilen",
            "1 Zeile",
            "2 Zeilen",
        ]
    assert (say("Results"), say("Episode {number}", number=3)) == ("Results", "Episode 3")
    assert say_count(1, "{count} row", "{count} rows") == "1 row"


def test_english_is_spoken_again_after_a_fault() -> None:
    with pytest.raises(ZeroDivisionError), speaking(words("de")):
        _ = 1 / 0
    assert say("Results") == "Results"


def test_a_text_of_values_remembers_what_it_was_made_of() -> None:
    text = listed([said("gears"), "<i>", said("{count} smaller ones", count=2)])
    assert text == "gears, <i>, 2 smaller ones"
    assert isinstance(text, Said)
    with speaking(words("de")):
        assert say(text) == "Gänge, <i>, 2 kleinere"
        assert say(listed([said("nobody has translated this"), said("gears")])) == Markup(
            '<span lang="en">nobody has translated this</span>, Gänge'
        )


SLIPS = said("Worn, it [may slip|slips] under the engine's torque.")


def test_a_limit_is_said_with_the_wording_that_was_chosen() -> None:
    may, does = worded(SLIPS, 1), worded(SLIPS, 2)
    assert does == "Worn, it slips under the engine's torque."
    counts = "{says} It is {shown} with ± {wide}, and the uncertainty counts."
    with speaking(words("de")):
        assert say(may) == "Verschlissen kann sie unter dem Drehmoment des Motors rutschen."
        assert say(does) == "Verschlissen rutscht sie unter dem Drehmoment des Motors."
        assert say(said(counts, says=does, shown="0.96", wide="0.02")).startswith(f"{say(does)} Der Wert ist")


def test_brackets_in_a_value_are_no_wordings() -> None:
    text = worded(said("{name} [may be|is] left.", name="a [x|y]"), 2)
    assert text == "a [x|y] is left."
    with speaking(Words(language="de", texts={text.template: "{name} [bleibt wohl|bleibt]."}, counted={})):
        assert say(text) == "a [x|y] bleibt."


def test_a_drawing_marks_no_language() -> None:
    with speaking(words("de")):
        assert say_plainly(listed([said("nobody has translated this"), worded(SLIPS, 2)])) == (
            f"nobody has translated this, {say(worded(SLIPS, 2))}"
        )
        assert say_plainly("Results") == "Ergebnisse"


def test_a_remark_that_was_kept_can_be_said_as_a_fresh_one() -> None:
    fresh = said("{says} It is {shown}.", says=worded(SLIPS, 2), shown="0.96")
    kept = unpack(pack(fresh))
    assert (kept, type(kept), vars(kept)) == (fresh, Said, vars(fresh))
    assert [kept.values["says"].wording, kept.values["says"].template] == [2, SLIPS.template]


def test_a_german_card_has_its_remarks_in_german() -> None:
    """What the calculator says of a gearing that goes beyond the tyre's speed symbol."""
    block = compute(GERMAN.replace("195/50R15", "195/50R15 82 H"))
    remarks = [remark for remark, _ in block.remarks()]
    assert remarks, "a block without a remark shows nothing here"
    with speaking(words("de")):
        card = parse(render_card(block).html(lambda link: "#"))
    shown = [tag.text for tag in card.all("p", "buildlog-remark")]
    assert len(shown) == len(remarks)
    assert any("das Geschwindigkeitssymbol des Reifens endet bei 210" in text for text in shown), shown
    assert not any("lang" in tag.attributes for tag in card.all("p", "buildlog-remark"))
    assert still_english(card) == []


def test_words_of_authors_and_of_translators_are_no_html() -> None:
    sly = Words(language="de", texts={"From {block}": "<b>Aus</b> {block} {missing}"}, counted={})
    with speaking(sly):
        said_of = say("From {block}", block=Markup("<a>x</a>"), missing="<script>")
        assert said_of == "&lt;b&gt;Aus&lt;/b&gt; <a>x</a> &lt;script&gt;"
        assert isinstance(said_of, Markup)
        assert foreign("<script>") == '<span lang="en">&lt;script&gt;</span>'
        assert not isinstance(say("From {block}", block="<a>", missing=""), Markup)


def test_what_stays_english_says_so() -> None:
    assert (english(), foreign("by hand"), units_in_words("2 percentage points")) == (
        "",
        "by hand",
        "2 percentage points",
    )
    with speaking(words("de")):
        assert (english(), english("Results"), english("by hand")) == (' lang="en"', "", ' lang="en"')
        assert units_in_words("2 percentage points") == "2 Prozentpunkte"


@pytest.mark.parametrize(
    ("page", "spoken", "mark"),
    [
        ("", "en", ""),
        ("en-GB", "en", ""),
        ("de", "de", ""),
        ("de-AT", "de", ""),
        ("fr", "en", "en"),
        ("../de", "en", "en"),
    ],
)
def test_the_language_of_a_page(page: str, spoken: str, mark: str) -> None:
    found = words_for(page)
    assert (found.language, words_mark(page, found)) == (spoken, mark)


def test_what_was_made_in_another_language_is_made_anew() -> None:
    kept = IdentityCache()
    made = []
    for spoken in (ENGLISH, words("de"), words("de"), ENGLISH):
        with speaking(spoken):
            made.append(kept.get(("card", "page"), (), lambda: say("Results")))
    assert made == ["Results", "Ergebnisse", "Ergebnisse", "Results"]


# --- what is shown ----------------------------------------------------------------------------

_NOT_READ = frozenset(("code", "script", "style", "math"))


def texts_in(tag: Tag) -> Iterator[str]:
    """The texts that a voice reads in the page's language, with those of attributes."""
    for child in tag.children:
        if isinstance(child, str):
            if child.strip():
                yield " ".join(child.split())
        elif child.name not in _NOT_READ and child.attributes.get("lang") != "en":
            yield from (
                child.attributes[name] for name in ("aria-label", "data-name") if name in child.attributes
            )
            yield from texts_in(child)


@cache
def _english_in(language: str) -> re.Pattern[str]:
    """Any of our texts that is another one in that language."""
    known = words(language)
    pairs = [*known.texts.items(), *((text, forms[1]) for text, forms in known.counted.items())]
    patterns = []
    for text, translated in pairs:
        letters = re.findall(r"[^\W\d_]{2,}", PLACEHOLDER.sub("", text))
        if letters and text.casefold() != translated.casefold():
            parts = re.split(PLACEHOLDER.pattern.replace("(", "(?:"), text.replace("\u00a0", " "))
            patterns.append(".+".join(map(re.escape, parts)))
    return re.compile("|".join(f"(?:{pattern})" for pattern in patterns), re.IGNORECASE)


def still_english(html: Tag, language: str = "de") -> list[str]:
    """The texts of ours in it that are neither in that language nor said to be English."""
    return [text for text in texts_in(html) if _english_in(language).fullmatch(text)]


GERMAN = """\
id: achse
kind: gearing
title: Eine kürzere Achse
inputs:
  gears: [3.32, 2.04, 1.43, 1.13, 1.00]
  tyre: 195/50R15
  rolling_circumference: 1.752 ± 0.003 m
  rev_limit: 8200 rpm
  cruise_speed: 100 km/h
cases:
  alt: {final_drive: 39/10}
  neu: {final_drive: 41/9}
"""
DECISION = """\
id: wahl
kind: decision
title: Die Achse
requires:
  - {name: Spitze, value: {alt: 220 ± 3 km/h, neu: 190 km/h}, at_least: 195 km/h}
  - {name: Zug, value: {alt: 3.9, neu: 4.6}, at_least: 4.5}
options: [alt, neu]
chosen: alt
"""
SCATTER = """\
id: masse
kind: measured
inputs:
  readings: [7.62 kg, 7.58 kg, 7.60 kg]
  resolution: 0.02 kg
"""


@pytest.mark.parametrize("body", [GERMAN, DECISION, SCATTER])
def test_a_card_in_german_has_no_word_of_ours_in_english(body: str) -> None:
    block = compute(body)
    assert block.cases
    assert not [fault for fault in block.faults if fault.severity.word == "error"]
    with speaking(words("de")):
        card = parse(render_card(block).html(lambda link: "#"))
    assert still_english(card) == []


def test_a_card_in_english_is_found_to_be() -> None:
    """The look for English words finds them: in the very card, spoken in English."""
    found = still_english(parse(render_card(compute(GERMAN)).html(lambda link: "#")))
    assert {"Computed", "change", "Working, step by step", "Link to this row"} <= set(found)


def test_an_english_card_marks_nothing() -> None:
    html = render_card(uncertain()).html(lambda link: "#")
    assert " lang=" not in html


def test_a_german_card_keeps_its_addresses_and_numbers() -> None:
    block = compute(GERMAN)
    english_card = render_card(block)
    with speaking(words("de")):
        german = render_card(block)
    assert german.ids == english_card.ids
    numbers = [
        [
            re.findall(r"[0-9.]+", cell.text)
            for table in parse(card.html(lambda link: "#")).all("table", "buildlog-values")
            for cell in table.all("td")
        ]
        for card in (english_card, german)
    ]
    assert numbers[0] == numbers[1]
    card = parse(german.html(lambda link: "#"))
    row = card.by_id("calc-achse.speed_at_limit.2")
    assert row.one("th").text.startswith("2")
    assert "Fahrgeschwindigkeit bei der Höchstdrehzahl" in card.text


# --- a site's own words -----------------------------------------------------------------------

OWN = """\
"Results": "Résultats"
"Episode {number}": "Épisode {numero}"
"{count} rows": "{count} lignes"
"{count} more rows": {one: "{count} ligne de plus", other: "{count} lignes de plus"}
"Resuls": "Résultats"
"Cautions": ""
"The blades [may touch|touch] their ring.": "Les pales touchent leur anneau."
"""


def test_a_site_adds_a_language(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": "---\nbuildlog: {lang: fr}\n---\n\n# A\n", "words/fr.yml": OWN})
    french = words_of_page(book, book.pages["a"])
    assert french.language == "fr"
    with speaking(french):
        assert say("Results") == "Résultats"
        assert say("Episode {number}", number=3) == "Episode 3"
        assert say_count(1, "{count} more row", "{count} more rows") == "1 ligne de plus"
        assert english("Results") == ""
        assert english("Cautions") == ' lang="en"'
    found = [
        (finding.code.name, finding.position.path, finding.position.line, finding.found)
        for finding in book.faults
    ]
    assert found[:-1] == [
        ("translation", "content/words/fr.yml", 2, "{numero}"),
        ("translation", "content/words/fr.yml", 3, "“{count} lignes”"),
        ("translation", "content/words/fr.yml", 5, "“Resuls”"),
        ("translation", "content/words/fr.yml", 6, "nothing"),
        ("translation", "content/words/fr.yml", 7, "“Les pales touchent leur anneau.”"),
    ]
    assert found[-1][:3] == ("untranslated", "content/words/fr.yml", 1)
    assert "Results" in book.faults[2].help


def test_a_site_has_words_of_its_own_in_german(tmp_path: Path) -> None:
    book = open_site(
        tmp_path, {"a.md": "---\nbuildlog: {lang: de}\n---\n\n# A\n", "words/de.yml": '"Results": "Werte"\n'}
    )
    assert book.faults == []
    with speaking(words_of_page(book, book.pages["a"])):
        assert (say("Results"), say("Result")) == ("Werte", "Ergebnis")


@pytest.mark.parametrize(
    ("text", "name"),
    [("", "fr"), ("- Results", "fr"), ("Results", "fr"), ('"Results": "x"', "Français"), ("a: [", "fr")],
)
def test_what_is_no_file_of_words_is_a_finding(text: str, name: str) -> None:
    found, faults = read_words(text, f"words/{name}.yml", name)
    assert found is None
    assert [fault.position.path for fault in faults] == [f"words/{name}.yml"]


def test_the_same_words_are_the_same_object() -> None:
    """Pages are made anew when their words are others."""
    assert read_words(OWN, "words/fr.yml", "fr") is read_words(OWN, "words/fr.yml", "fr")


def test_a_theme_says_the_language_of_pages_that_say_none(tmp_path: Path) -> None:
    (tmp_path / "mkdocs.yml").write_text("docs_dir: content\ntheme: {name: material, language: de}\n")
    write_site(tmp_path, {"a.md": "# A\n", "b.md": "---\nbuildlog: {lang: en}\n---\n\n# B\n"})
    book = Book.open(root=tmp_path)
    assert [words_of_page(book, book.pages[key]).language for key in ("a", "b")] == ["de", "en"]


# --- scripts ----------------------------------------------------------------------------------


def test_scripts_get_the_words_that_they_say() -> None:
    script = words_script(words("de"))
    assert script_texts() <= words("de").texts.keys()
    assert 'const language = "de";' in script
    assert '"Close": "Schließen"' in script
    assert "Achsübersetzung" not in script  # the words of cards are in the cards
