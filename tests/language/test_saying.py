"""Saying a sentence: looked up, filled in, in the language and words of whoever is spoken to."""

from __future__ import annotations

import gettext
from datetime import date, datetime

import pytest
from jinja2 import Environment

from genplan.language import (
    N_,
    Speech,
    Words,
    _,
    and_list,
    and_list_of,
    catalogues,
    dates,
    ngettext,
    or_list,
    said,
    speaking,
)
from genplan.language.templates import speak_in

GERMAN = Speech("de")
TUESDAY = date(2026, 12, 1)


def test_what_no_catalogue_has_is_said_as_it_stands() -> None:
    with speaking(GERMAN):
        assert _("not in {place}", place="a catalogue") == "not in a catalogue"
        assert ngettext("{n} such thing", "{n} such things", 2) == "2 such things"


def test_a_sentence_without_values_may_hold_braces() -> None:
    assert _("such as {this}") == "such as {this}"


def test_a_speech_falls_from_plain_words_to_its_language() -> None:
    assert Speech("de", Words.PLAIN).catalogues == ("de@plain", "de")
    assert Speech("de").catalogues == ("de",)
    with pytest.raises(ValueError, match="no catalogue for the language 'xx'"):
        Speech("xx")


def test_what_is_marked_is_said_when_it_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    class Loud(gettext.NullTranslations):
        def gettext(self, message: str) -> str:
            return message.upper()

    table = {1: N_("not met")}
    monkeypatch.setattr("genplan.language.saying.translations", lambda speech: Loud())
    assert said(table[1]) == "NOT MET"
    assert said("") == ""


def test_speaking_ends_with_its_block() -> None:
    with speaking(GERMAN):
        assert dates.day_name(0) == "Montag"
        with pytest.raises(KeyError), speaking(Speech()):
            raise KeyError
        assert dates.day_name(0) == "Montag"
    assert dates.day_name(0) == "Monday"


def test_dates_in_english() -> None:
    assert dates.day_words(TUESDAY) == "Tuesday 1 December"
    assert dates.long_date(TUESDAY) == "Tuesday 1 December 2026"
    assert dates.day_short(TUESDAY) == "1 Dec 2026"
    assert dates.moment_short(datetime(2026, 12, 1, 9, 5)) == "Tue 09:05"


def test_dates_in_german() -> None:
    with speaking(GERMAN):
        assert dates.day_words(TUESDAY) == "Dienstag, 1. Dezember"
        assert dates.long_date(TUESDAY) == "Dienstag, 1. Dezember 2026"
        assert dates.day_short(TUESDAY) == "1. Dez. 2026"
        assert dates.moment_short(datetime(2026, 12, 1, 9, 5)) == "Di 09:05"


def test_lists() -> None:
    assert [and_list(list("abc")[:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]
    assert or_list(list("abc")) == "a, b or c"
    assert and_list_of(list("abcd"), 3) == "a, b, c and 1 other"
    with speaking(GERMAN):
        assert and_list(list("abc")) == "a, b und c"
        assert or_list(list("abc")) == "a, b oder c"
        assert and_list_of(list("abcd"), 2) == "a, b und 2 weitere"


def test_values_in_a_template_are_escaped_and_the_markup_of_a_sentence_is_not() -> None:
    environment = Environment(autoescape=True, finalize=lambda v: v.strip() if type(v) is str else v)
    speak_in(environment)
    template = "{{ _('<i>{name}</i>', name=n) }} {{ _html('<i>{name}</i>', name=n) }} {{ nhtml('<b>{n}</b> {w}', '', 1, w=n) }}"  # noqa: E501
    text = environment.from_string(template).render(n=" <a> ")
    assert text == "&lt;i&gt; &lt;a&gt; &lt;/i&gt; <i>&lt;a&gt;</i> <b>1</b> &lt;a&gt;"


def test_in_a_template_a_sentence_begins_with_a_capital_and_keeps_those_it_has() -> None:
    environment = Environment(autoescape=True)
    speak_in(environment)
    template = environment.from_string("{{ words|capital }} {{ _html('<b>{w}</b>', w=words)|capital }}")
    assert template.render(words="über & in Wochen") == "Über &amp; in Wochen <b>über &amp; in Wochen</b>"
    assert template.render(words="") == " <b></b>"


def test_every_language_is_named() -> None:
    assert catalogues.LANGUAGES[0] == "en"
    assert set(catalogues.LANGUAGES) == {"en", "de"}
