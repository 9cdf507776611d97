"""Each request in its own language: the browser's, unless `--language` says another; files as the case says."""

from __future__ import annotations

import asyncio
import errno
import re
from html import unescape
from pathlib import Path

import pytest
from starlette.types import Receive, Scope, Send

from genplan.casefile.starter import write_starter
from genplan.errors import unreadable
from genplan.language import Speech, Words, speech, speech_of_files
from genplan.web.app_state import AppState
from genplan.web.spoken import Spoken, asked_by
from genplan.web.worker import told_of_speech
from tests.fixtures.local_server import running
from tests.fixtures.starter_case import in_trade_words


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("", None),
        ("de", "de"),
        ("de-AT,de;q=0.9,en;q=0.8", "de"),
        ("en-IE, de;q=0.9", "en"),
        ("fr, de;q=0.5, en;q=0.4", "de"),
        ("fr;q=0.9", None),
        ("de;q=0, en;q=0.1", "en"),
        ("de;q=x, en;q=0.1", "en"),
        ("de;q=nan", None),
        (";;;,,,q=,de;x", "de"),
        ("de;q", None),
        ("*" * 300 + ",de", None),
    ],
)
def test_what_a_browser_asks_for(header: str, language: str | None) -> None:
    assert asked_by(header) == language


def answered(site: AppState, header: str) -> tuple[Speech, Speech]:
    """Screen and files, as they are said while this is answered."""
    found: list[tuple[Speech, Speech]] = []

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        found.append((speech(), speech_of_files()))
        assert told_of_speech() == (speech().language, speech_of_files().language, speech().words)

    scope = {"type": "http", "headers": [(b"accept-language", header.encode())]}
    asyncio.run(Spoken(app, site)(scope, None, None))  # type: ignore[arg-type]
    return found[0]


def test_the_browser_then_the_case_and_before_both_what_was_asked_for(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("language: de\npolicy: family\n")
    site = AppState(tmp_path)
    german, english = Speech("de", Words.PLAIN), Speech("en", Words.PLAIN)
    try:
        assert answered(site, "en") == (english, german)
        assert answered(site, "fr") == (german, german)
        site.language = "en"
        assert answered(site, "de") == (english, english)
    finally:
        site.close()
    assert (speech(), speech_of_files()) == (Speech(), Speech())


TRADE_WORDS = re.compile(r"\b(?:sittings?|targets?|learners?|material sets?|prompted)\b", re.IGNORECASE)


def read(page: str) -> str:
    """What stands on a page, without its tags."""
    return unescape(re.sub(r"<[^>]*>", " ", page))


def test_a_family_reads_plain_words_and_a_therapist_those_of_the_trade(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    write_starter(folder)
    with running(folder) as local:
        for place in ("/week/2026-W49", "/record", "/share", "/review", "/plan", "/publish", "/phones"):
            assert TRADE_WORDS.findall(read(local.get(place).text)) == [], place
        assert "Skills" in local.get("/case").text
        in_trade_words(folder)
        assert "Targets" in local.get("/case").text


def test_a_browser_gets_its_language_and_a_file_the_cases(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    write_starter(folder)
    with running(folder) as local:
        page = local.get("/record", Accept_Language="de-AT,de;q=0.9").text
        assert '<html lang="de">' in page
        assert "Eintragen" in page
        assert '<html lang="en-GB">' in local.get("/record").text
        span = "from=2026-11-01&to=2026-11-29&learner=robin"
        assert '<html lang="en-GB">' in local.get(f"/review/page?{span}", Accept_Language="de").text
        with (folder / "case.yaml").open("a", encoding="utf-8") as file:
            file.write("language: de\n")
        assert '<html lang="de">' in local.get(f"/review/page?{span}", Accept_Language="en").text


def test_where_the_case_cannot_tell_its_language_each_screen_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else a file would be written in other words than the case asks for."""
    folder = tmp_path / "case"
    write_starter(folder)
    wanted = unreadable(folder / "case.yaml", PermissionError(errno.EACCES, "Permission denied"))

    def refuse(*_: object) -> Speech:
        raise wanted

    with running(folder) as local:
        monkeypatch.setattr("genplan.web.spoken.speech_of", refuse)
        for place in ("/week/2026-W49", "/record"):
            answer = local.get(place)
            assert answer.status == 409
            assert str(wanted) in read(answer.text)
        monkeypatch.undo()
        assert local.get("/record").status == 200
