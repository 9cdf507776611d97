"""The help of the local page: the reference, asked by a word or read page by page."""

from __future__ import annotations

from pathlib import Path

from genplan.help import pages as help_pages
from genplan.help.pages import pages
from genplan.language import Speech, said, speaking
from genplan.language.catalogues import Words
from genplan.web.templating import PLACES
from tests.fixtures.local_server import running


def test_the_reference_answers_on_the_page(tmp_path: Path) -> None:
    with running(tmp_path) as local:  # an empty folder: help needs no case
        start = local.get("/help").text
        assert all(f'?page={p.name}"' in start for p in pages())
        told = local.get("/help?word=rest_minutes").text
        assert "<strong>rest_minutes</strong>" in told
        assert "if left out: 30" in told
        assert "Where else it is spoken of" in told
        slip = local.get("/help?word=maintenence_days").text
        assert "Is it one of these?" in slip
        assert "/help?word=maintenance_days" in slip
        assert "and nothing speaks of it" in local.get("/help?word=zzzzzz").text
        rules = local.get("/help?page=rules").text
        assert "Nobody is in two sittings at once." in rules


def test_the_page_on_the_browser_says_what_screens_are_called_in_plain_words() -> None:
    text = (Path(help_pages.__file__).parent / "browser.md").read_text("utf-8")
    for _address, name in PLACES:
        for language in ("en", "de"):
            with speaking(Speech(language, Words.PLAIN)):
                called = said(name)
            if language == "en" and called == name:
                break
            assert f"*{called}*" in text, called


def test_a_german_reader_gets_german_where_there_is_some_and_is_told_where_not(tmp_path: Path) -> None:
    with running(tmp_path) as local:
        start = local.get("/help", Accept_Language="de").text
        assert "Was hier auf Englisch steht, gibt es nur auf Englisch." in start
        assert '<li><a href="/help?page=cautions">Vorsicht</a>' in start
        assert '<li lang="en"><a href="/help?page=rules">Rules</a>' in start
        cautions = local.get("/help?page=cautions", Accept_Language="de").text
        assert "<h2>Was das Programm nicht tut</h2>" in cautions
        assert "nur auf Englisch" not in cautions
        rules = local.get("/help?page=rules", Accept_Language="de").text
        assert "<p>Diese Seite gibt es nur auf Englisch.</p>" in rules
        assert '<div lang="en">' in rules
        assert "<h2>What the program does not do</h2>" in local.get("/help?page=cautions").text
        assert "lang=" not in local.get("/help?page=cautions").text.split("<main")[1]


def test_what_was_typed_is_shown_and_not_run(tmp_path: Path) -> None:
    with running(tmp_path) as local:
        text = local.get("/help?word=%3Cscript%3Ealert(1)%3C/script%3E").text
    assert "<script>alert" not in text
    assert "&lt;script&gt;alert" in text


def test_no_word_is_a_fault(tmp_path: Path) -> None:
    odd = (
        "",
        "%20",
        "--",
        "*",
        "%5B(",
        "a" * 500,
        "%00",
        "%0A",
        "page",
        "2026-W49",
        "%C3%A9%F0%9F%98%80",
        "%ff",
    )
    with running(tmp_path) as local:
        answers = {word: local.get(f"/help?word={word}&page={word}").status for word in odd}
    assert {word: status for word, status in answers.items() if status != 200} == {}
