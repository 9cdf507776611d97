"""What it would cost to keep two things apart, before it is wished: the kept weeks are planned again without the wish
and with it, in a process of its own. Nothing is written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Week
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.errors import UsageError
from genplan.language import _
from genplan.language.sentences import capital
from genplan.web import job_status, kept_week, params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.long_jobs import looking
from genplan.web.templating import redirect, screen
from genplan.web.wishes import two_apart
from genplan.workflow.wishing import in_words

PLACE = "/price"


def show(site: AppState, request: Request) -> Response:
    """Raises HTTPException (404) where nothing was asked."""
    finished = site.finished(PLACE)
    asked = site.at(PLACE) or finished
    if asked is None:
        raise HTTPException(404)
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    wish, search = _apart(asked.task.asked), asked if asked is finished else None
    return screen(
        site,
        request,
        "price-screen.html",
        title=_("What would it cost?"),
        here="/plan",
        week=params.week(str(asked.task.asked["week"])),
        words=capital(in_words(opened.case, wish)),
        one=wish.two[0],
        other=wish.two[1],
        lines=_lines(search.task.found()) if search else None,
        outdated=search is not None and site.is_outdated(search),
        **job_status.shown(site, PLACE),
    )


def start(site: AppState, request: Request, answers: Answers) -> Response:
    """Two that cannot be wished apart are chosen anew, above the week."""
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    week: Week = params.week_of(request, opened)
    try:
        one, other = sorted(two_apart(answers))
        words = {"one": one, "other": other}
        # what cannot be wished has no price: refused here as it is there
        workflow.try_wish(site.folder, _apart(words), site.now)
    except UsageError as error:
        return kept_week.shown(site, request, answers, (str(error),), 422)
    out = site.room_for("price") / "found"
    folder = site.folder.resolve()
    site.begin(looking("price", folder, week, site.now, out, words, _("the price of a wish"), PLACE))
    return redirect(site, PLACE)


def _apart(words: Mapping[str, Any]) -> PlannersWish:
    return PlannersWish(kind=WishKind.APART, two=(words["one"], words["other"]))


def _lines(found: Any) -> tuple[str, ...]:
    priced: tuple[workflow.PricedWeek, ...] = found
    return tuple(line for one in priced for line in one.lines())
