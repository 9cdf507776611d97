"""In which language and words a screen is said: as `--language` asks, else as the browser, else as the case."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from genplan.casefile.speech import is_begun, speech_of
from genplan.errors import FileError
from genplan.language import LANGUAGES, Speech, Words, speaking
from genplan.start.draft import words_so_far

if TYPE_CHECKING:
    from genplan.web.app_state import AppState

UNREADABLE = "genplan.unreadable"
"""Where a request carries the FileError of a case that does not tell its language: no screen does anything then."""
MOST_ASKED = 200
"""Characters of what a browser says of its languages; what comes after them is not read."""


def asked_by(header: str) -> str | None:
    """The language that a browser likes best of those that there are (RFC 9110, 12.5.4), if any."""
    best, most = None, 0.0
    for part in header[:MOST_ASKED].split(","):
        tag, _, weight = part.partition(";")
        language = tag.strip().lower().partition("-")[0]
        liked = _weight(weight)
        if language in LANGUAGES and liked > most:
            best, most = language, liked
    return best


def _weight(text: str) -> float:
    name, _, value = text.strip().partition("=")
    if name.strip().lower() != "q":
        return 1.0
    try:
        return min(max(float(value), 0.0), 1.0)
    except ValueError:
        return 0.0


def speech_of_request(language: str | None, headers: Headers) -> Speech:
    """As the guard has it, who knows no case: plainly."""
    return Speech(language or asked_by(headers.get("accept-language", "")) or LANGUAGES[0], Words.PLAIN)


def speeches(site: AppState, headers: Headers) -> tuple[Speech, Speech]:
    """How the screen and the files are said, as the case stands now; before there is one as its purpose asks, if that
    was answered."""
    files = speech_of(site.folder, site.language)
    if not is_begun(site.folder):
        files = Speech(files.language, words_so_far(site.folder))
    browser = asked_by(headers.get("accept-language", ""))
    return Speech(site.language or browser or files.language, files.words), files


class Spoken:
    """Wraps an app behind the guard: where the browser asks for no language it is the case's, in the case's words, and
    the case's files are written as the case says."""

    def __init__(self, app: ASGIApp, site: AppState) -> None:
        self.app, self.site = app, site

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if (ahead := self.site.ahead) and ahead.is_alive():
            await run_in_threadpool(ahead.join)
        try:
            both = speeches(self.site, headers)
        except FileError as problem:
            scope[UNREADABLE] = problem
            both = (speech_of_request(self.site.language, headers),) * 2
        with speaking(*both):
            await self.app(scope, receive, send)
