"""The calendars of the kept weeks put on a CalDAV server. A password that is typed is used once and kept nowhere."""

from __future__ import annotations

import os
from importlib.util import find_spec

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.errors import UsageError
from genplan.language import _
from genplan.publishing.access import PASSWORD, URL, USER
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.rows_told import told
from genplan.web.templating import redirect, screen


def show(site: AppState, request: Request) -> Response:
    return _form(site, request, os.environ.get(URL, ""), os.environ.get(USER, ""))


def send(site: AppState, request: Request, answers: Answers) -> Response:
    """What was done for each calendar; a problem keeps what was typed, but for the password."""
    url, user = answers.one("url"), answers.one("user")
    try:
        done = workflow.publish(
            site.folder,
            url,
            user,
            site.now,
            lambda sentence: None,
            answers.as_typed("password") or None,
            put_back=answers.has("put_back"),
            withdraw=answers.has("withdraw"),
        )
    except UsageError as error:
        return _form(site, request, url, user, (str(error),))
    return redirect(site, "/publish", *done.lines, *told(site.folder, done.findings))


def _form(site: AppState, request: Request, url: str, user: str, problems: tuple[str, ...] = ()) -> Response:
    return screen(
        site,
        request,
        "publish-screen.html",
        422 if problems else 200,
        title=_("Calendars on a server"),
        here="/week",
        problems=problems,
        installed=find_spec("caldav") is not None,
        url=url,
        user=user,
        known=bool(os.environ.get(PASSWORD)),
    )
