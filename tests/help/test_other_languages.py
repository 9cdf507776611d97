"""The pages of the reference in another language say what the English ones say: part by part they have the same shape,
the same words to type and the same links; and each remembers the English text that it follows."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest

from genplan import cli
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.small_words import hazards_named, usually_small
from genplan.help import pages as help_pages
from genplan.help.lookup import look_up
from genplan.help.pages import ENGLISH, HEADING, ORDER, POINT, QUOTED, REMARK, is_there, page_text, pages
from genplan.help.plain_text import answer_lines, page_lines, row_lines
from genplan.language import LANGUAGES, Speech, speaking
from genplan.language.catalogues import Words, translations
from genplan.language.typed import is_word
from genplan.language.typed_days import date_of, day_and_month_of
from genplan.start.hours_text import read_hours, read_hours_of_a_day
from genplan.start.hours_times import one_time

FOLDER = Path(help_pages.__file__).parent
TRANSLATED = [(p.parent.name, p.stem) for p in sorted(FOLDER.glob("*/*.md"))]
GERMAN = Speech("de")
LINK = re.compile(r"\]\(([^)]+)\)")
STRESSED = re.compile(r"(?<![\w*])\*([^*\n]+)\*(?![\w*])")

WEEKS = {
    "mon-fri 3-5pm, sat 10:00-12:00": "Mo-Fr 15-17 Uhr, Sa 10:00-12:00",
    "tue 15.30 to 17.00, the same on thu": "Di 15.30 bis 17.00, dasselbe am Do",
}
HOURS = {
    "3pm - 5.30": "15 Uhr - 17.30",
    "half past 3 to 5pm": "halb 4 bis 5 nachmittags",
    "3-5 in the afternoon": "3-5 nachmittags",
}
TIMES = {"quarter to 4": "Viertel vor 4"}
ALLERGENS = {"egg powder": "Eipulver", "cheese": "Käse"}
ANSWERS = {"back": "zurück", "help": "hilfe", "again": "nochmal", "out": "weg", "stop": "stopp"}
DAYS = {"3 April 2026": "3. April 2026", "1 December": "1. Dezember"}
VALUES = {"whole class": "ganze Klasse", "; taken back: she was asleep": "; taken back: hat geschlafen"}
SHOWN = {
    "to teach": "zu lehren",
    "1 of 2 teachings before its retest": "1 von 2 Lehreinheiten vor der erneuten Überprüfung",
}
"""What the screens say of a teaching."""
EXAMPLES = DAYS | VALUES | SHOWN | WEEKS | HOURS | TIMES | ALLERGENS | ANSWERS
"""What people type as they speak, in an English page and in a German one."""


def blocks(text: str) -> list[list[str]]:
    return list(help_pages._blocks(REMARK.sub("", text).splitlines()))


def shape(block: Sequence[str]) -> tuple[str, int, int]:
    """What it is, of a heading its level, of a table its columns and rows, of a block to type its lines."""
    if found := HEADING.fullmatch(block[0]):
        return "heading", len(found[1]), 0
    if block[0].startswith("|"):
        widths = {len(help_pages.CELLS.split(line.strip())) for line in block}
        assert len(widths) == 1, block[0]
        return "table", widths.pop(), len(block)
    if block[0].startswith("```"):
        return "typed", len(block), 0
    return (
        ("numbered" if block[0][0].isdigit() else "point", 0, 0) if POINT.match(block[0]) else ("text", 0, 0)
    )


def to_type(text: str) -> Counter[str]:
    return Counter(EXAMPLES.get(span, span) for span in QUOTED.findall(text))


def headings(page: str, language: str) -> list[str]:
    """As links name them."""
    lines = (
        found[2] for block in blocks(page_text(page, language)) if (found := HEADING.fullmatch(block[0]))
    )
    return [re.sub(r"[^\w -]", "", line.lower()).replace(" ", "-") for line in lines]


def leads(text: str, language: str) -> Counter[tuple[str, int]]:
    """Where its links lead: pages, and which of their headings. A link leads to a page in its language, if there is
    one."""
    found: Counter[tuple[str, int]] = Counter()
    for target in LINK.findall(text):
        path, _, anchor = target.partition("#")
        page = Path(path).stem
        there = language if is_there(page, language) else ENGLISH
        assert path == (f"{page}.md" if there == language else f"../{page}.md"), target
        found[page, headings(page, there).index(anchor) if anchor else 0] += 1
    return found


def test_there_are_some_and_each_is_of_a_page() -> None:
    assert TRANSLATED
    assert {language for language, _page in TRANSLATED} <= {*LANGUAGES[1:]}
    assert {page for _language, page in TRANSLATED} <= {*ORDER}


@pytest.mark.parametrize(("language", "page"), TRANSLATED)
def test_it_follows_the_english_page_as_it_is(language: str, page: str) -> None:
    now = sha256(page_text(page).encode()).hexdigest()[:12]
    first = page_text(page, language).splitlines()[0]
    assert first == f"<!-- follows {page}.md as of {now} -->", (
        f"{page}.md has changed: say the same in {language}/{page}.md, then write this mark at its top"
    )


@pytest.mark.parametrize(("language", "page"), TRANSLATED)
def test_it_is_the_english_page_part_by_part(language: str, page: str) -> None:
    english, other = blocks(page_text(page)), blocks(page_text(page, language))
    assert [shape(b) for b in other] == [shape(b) for b in english]
    for ours, theirs in zip(english, other, strict=True):
        if ours[0].startswith("```"):
            assert theirs == ours
            continue
        for line, its in zip(ours, theirs, strict=True) if ours[0].startswith("|") else [(ours, theirs)]:
            one, another = (" ".join(text) if isinstance(text, list) else text for text in (line, its))
            assert to_type(another) == to_type(one), another
            assert leads(another, language) == leads(one, ENGLISH), another
            assert another.count("**") == one.count("**"), another
            assert re.findall(r"\| (?:ja|–)(?= \|)", another) == [
                cell.replace("yes", "ja") for cell in re.findall(r"\| (?:yes|–)(?= \|)", one)
            ], another


@pytest.mark.parametrize(("language", "page"), TRANSLATED)
def test_what_it_quotes_from_the_screens_is_what_stands_there(language: str, page: str) -> None:
    """A name that the English page quotes is quoted as the catalogue says it."""
    catalogue = translations(Speech(language))
    english, other = page_text(page), page_text(page, language)
    quoted = [(name, catalogue.gettext(name)) for name in STRESSED.findall(english)]
    names = Counter(called for name, called in quoted if called != name)
    assert names - Counter(STRESSED.findall(other)) == Counter()
    first = [
        [row.split("|")[1].strip() for row in re.findall(r"^\|.*", text, re.M)] for text in (english, other)
    ]
    for name, called in zip(*first, strict=True):
        said = catalogue.gettext(name) if name else ""
        assert said == name or called.startswith(said), name


def test_the_german_examples_of_what_is_typed_are_understood_as_the_english_ones() -> None:
    assert [read_hours(week) for week in WEEKS] == [read_hours(week) for week in WEEKS.values()]
    assert [read_hours_of_a_day(day) for day in HOURS] == [read_hours_of_a_day(day) for day in HOURS.values()]
    assert [date_of(day) or day_and_month_of(day, 2026) for day in (*DAYS, *DAYS.values())] == [
        date(2026, 4, 3),
        date(2026, 12, 1),
    ] * 2
    quarter = {time.minute for text in (*TIMES, *TIMES.values()) if (time := one_time(text))}
    assert quarter == {3 * 60 + 45}
    assert [named_in(name) for name in ALLERGENS] == [named_in(name) for name in ALLERGENS.values()]
    assert all(named_in(name) for name in ALLERGENS)
    for meant, german in ANSWERS.items():
        assert is_word(german, meant), german


@pytest.mark.parametrize("words", Words)
def test_help_is_read_in_the_language_of_now(words: Words) -> None:
    with speaking(Speech("de", words)):
        cautions = next(p for p in pages() if p.name == "cautions")
        assert list(page_lines(cautions, None))[:2] == ["Vorsicht", "========"]
        assert look_up(["Luftballon"]).mentions[0].language == "de"
        rules = next(p for p in pages() if p.name == "rules")
        assert "Diese Seite gibt es nur auf Englisch." in list(page_lines(rules, None))
        told = list(answer_lines(look_up(["rest_minutes"]), None))
        assert told[-1] == "Was hier auf Englisch steht, gibt es nur auf Englisch."
    assert next(p for p in pages() if p.name == "cautions").title == "Cautions"


def test_a_table_of_yes_and_no_is_told_in_the_language_of_now() -> None:
    part = help_pages.Part("data", ("Daten",), "", ("was", "Name", "Geburt"), ("`plan.csv`", "yes", "–"))
    with speaking(GERMAN):
        assert row_lines(part) == ["plan.csv", "ja: Name", "nein: Geburt"]


@pytest.mark.parametrize("asked", ["Ziel", "Ziele", "Fertigkeiten", "die Fertigkeit"])
def test_a_word_is_found_in_the_words_of_the_trade_and_in_plain_ones_of_one_or_several(asked: str) -> None:
    with speaking(GERMAN):
        answer = look_up([asked])
    assert [row.cells[0] for row in answer.rows if row.page == "words"] == ["Ziel, Fertigkeit"]
    assert "Ziel, Fertigkeit" not in answer.longer


def test_an_english_name_is_found_by_german_readers_too() -> None:
    with speaking(GERMAN):
        assert look_up(["material set"]).is_named
        assert look_up(["calendars/location-ID.ics"]).rows[-1].language == "de"


def test_the_command_speaks_german(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["--language", "de", "help", "page", "cautions"]) == 0
    assert capsys.readouterr().out.startswith("Vorsicht\n========\n")
    assert cli.main(["--language", "de", "help"]) == 0
    assert "genplan help page cautions   Was vor allem kommt" in capsys.readouterr().out


def test_the_names_that_the_german_cautions_take_as_examples_are_known() -> None:
    text = page_text("cautions", "de")
    assert "(Eierbrot)" in text
    assert named_in("Eierbrot") == ("egg",)
    assert "(Pfannkuchen: Ei, Milch, Weizen)" in text
    assert (named_in("Pfannkuchen"), set(may_be_in("Pfannkuchen"))) == ((), {"egg", "milk", "wheat"})
    assert "(Murmeln, Perlen, Münzen)" in text
    assert all(map(usually_small, ("Murmeln", "Perlen", "Münzen")))
    assert "(Kühlschrankmagnete)" in text
    assert hazards_named("Kühlschrankmagnete") == {"magnet"}
    assert "(Musikkarte, LED-Kerze, Fernbedienung)" in text
    assert {hazards_named(n) for n in ("Musikkarte", "LED-Kerze", "Fernbedienung")} == {
        frozenset({"button-cell"})
    }
