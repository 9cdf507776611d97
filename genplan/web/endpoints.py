"""Between the server and the screens: forms read and checked, errors turned into a page with sentences."""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan.casefile.edit import ChangedOutside
from genplan.errors import CaseError, FileError, GenplanError, UsageError, reason_of
from genplan.language import N_, _, said
from genplan.web.after_a_form import shown_apart
from genplan.web.app_state import AppState
from genplan.web.rows_told import told
from genplan.web.spoken import UNREADABLE
from genplan.web.templating import screen


class Answers:
    """What was typed into a form; a field that is not there is empty."""

    def __init__(self, pairs: Mapping[str, list[str]]) -> None:
        self._pairs = pairs

    def one(self, name: str) -> str:
        return next(iter(self._pairs.get(name, ())), "").replace("\r\n", "\n").strip()

    def as_typed(self, name: str) -> str:
        """With blanks at its ends, which may belong to a password."""
        return next(iter(self._pairs.get(name, ())), "")

    def all(self, name: str) -> list[str]:
        return [v.strip() for v in self._pairs.get(name, ()) if v.strip()]

    def has(self, name: str) -> bool:
        return name in self._pairs

    def without(self, *names: str) -> Answers:
        """The same form with these fields empty."""
        return Answers({name: values for name, values in self._pairs.items() if name not in names})

    def but(self, name: str, value: str) -> Answers:
        """The same form with this field saying this."""
        return Answers({**self._pairs, name: [value]})


Shown = Callable[[AppState, Request], Response]
Changing = Callable[[AppState, Request, Answers], Response]
Endpoint = Callable[[Request], Awaitable[Response]]


@dataclass(frozen=True)
class Uploaded:
    """A file that a form brought: its name as the browser says it, and its bytes."""

    name: str
    data: bytes


Uploading = Callable[[AppState, Request, Answers, Uploaded | None], Response]

STATUS = {ChangedOutside: 409, CaseError: 422, UsageError: 422, FileError: 409}

ON_THE_COMPUTER = N_("It cannot be shown or written down at the moment. The page on the computer says why.")


def shown(site: AppState, handler: Shown) -> Endpoint:
    """A page to look at: changes nothing."""

    async def endpoint(request: Request) -> Response:
        return await _guarded(site, request, lambda: handler(site, request))

    return endpoint


def changing(site: AppState, handler: Changing) -> Endpoint:
    """A form that was sent: without the token of this run it is not even read."""

    async def endpoint(request: Request) -> Response:
        answers, _ = await _read(request, files=0)
        return _refused(site, request, answers) or shown_apart(
            site, await _guarded(site, request, lambda: handler(site, request, answers))
        )

    return endpoint


def uploading(site: AppState, handler: Uploading) -> Endpoint:
    """As `changing`, for a form that may bring one file."""

    async def endpoint(request: Request) -> Response:
        answers, uploaded = await _read(request, files=1)
        return _refused(site, request, answers) or shown_apart(
            site, await _guarded(site, request, lambda: handler(site, request, answers, uploaded))
        )

    return endpoint


async def _read(request: Request, files: int) -> tuple[Answers, Uploaded | None]:
    pairs: dict[str, list[str]] = {}
    uploaded = None
    async with request.form(max_files=files) as form:
        for name, value in form.multi_items():
            if isinstance(value, str):
                pairs.setdefault(name, []).append(value)
            elif value.filename:
                uploaded = Uploaded(value.filename, await value.read())
    return Answers(pairs), uploaded


def _refused(site: AppState, request: Request, answers: Answers) -> Response | None:
    """What a form without the token of this run is told."""
    if hmac.compare_digest(answers.one("token").encode(), site.token.encode()):
        return None
    words = _(
        "This form is from an earlier start of the program. Nothing was changed: go back, "
        "reload the page and send it again."
    )
    return screen(site, request, "stopped.html", 403, title=_("Not taken"), problems=(words,), fix="")


async def _guarded(site: AppState, request: Request, work: Callable[[], Response]) -> Response:
    try:
        if problem := request.scope.get(UNREADABLE):
            raise problem
        return await run_in_threadpool(work)
    except GenplanError as error:
        wrong_case = isinstance(error, CaseError)
        title = _("The case has errors") if wrong_case else _("That did not work")
        fix = "/check" if wrong_case and request.url.path != "/check" else ""
        # files and lines of them are for the owner's eyes
        hidden = site.reachable is not None and not isinstance(error, UsageError)
        sentences = (said(ON_THE_COMPUTER),) if hidden else sentences_of(error, site.folder)
        return screen(
            site, request, "stopped.html", status_of(error), title=title, problems=sentences, fix=fix
        )
    except HTTPException:
        raise
    except OSError as error:
        words = _(
            "A file could not be read or written: {why}. Nothing was changed.",
            why=reason_of(error),
        )
        return screen(
            site, request, "stopped.html", 500, title=_("That did not work"), problems=(words,), fix=""
        )
    except Exception as error:
        words = _("This is a fault of the program, not of your files ({kind}).", kind=type(error).__name__)
        return screen(site, request, "stopped.html", 500, title=_("A fault"), problems=(words,), fix="")


def status_of(error: GenplanError) -> int:
    return next((s for kind, s in STATUS.items() if isinstance(error, kind)), 500)


def sentences_of(
    error: GenplanError, folder: Path, fields: Mapping[str, str] | None = None
) -> tuple[str, ...]:
    """What is wrong; a cell of what was typed just now is called by the words of its field in `fields`."""
    if not isinstance(error, CaseError):
        return (str(error),)
    words = fields or {}
    placed = told(folder, error.findings)
    return tuple(
        f"{said(words[f.key])}: {f.words}" if f.key in words and not f.line else sentence
        for f, sentence in zip(error.findings, placed, strict=True)
    )
