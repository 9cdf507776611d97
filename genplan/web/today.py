"""The screen that the page opens on: today."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Week
from genplan.keeping.heard import cautions_to_tell, to_be_sent_the_week, to_put_away
from genplan.keeping.store import kept_weeks, read_kept
from genplan.keeping.told import KeptWeek
from genplan.language import _
from genplan.web import alternatives
from genplan.web.app_state import AppState
from genplan.web.kept_week import offer_a_case
from genplan.web.shelf import known_sittings
from genplan.web.templating import screen
from genplan.web.today_values import Facts, Fallen, ToTell
from genplan.web.todays_work import today_of
from genplan.web.wishes import not_planned
from genplan.workflow.reading import progress_of
from genplan.workflow.telling import people_to_tell
from genplan.workflow.week_as_told import ToldWeek

SCREEN = "today-screen.html"
OPEN_AT_MOST = 3
"""With more children each is folded, and opened by its link."""


def show(site: AppState, request: Request) -> Response:
    if not site.sees_case():
        return offer_a_case(site, request)
    facts = facts_of(site)
    today = today_of(facts)
    return screen(
        site,
        request,
        SCREEN if site.reachable is None else "today-on-phone.html",
        title=_("Today"),
        today=today,
        several=len(today.children) > 1,
        many=len(today.children) > OPEN_AT_MOST,
    )


def facts_of(site: AppState) -> Facts:
    opened = workflow.open_case(site.folder, site.now)
    present = Week.of(opened.now.date())
    since = Week.of(workflow.asked_since(opened.now.date()))
    weeks = frozenset(kept_weeks(site.folder))
    kept = [_kept(site, opened, w) for w in sorted(weeks) if since <= w <= present.next()]
    views = [
        view
        for w in sorted(weeks)
        if w >= present and (view := alternatives.as_it_stands(opened, w)[0]) is not None
    ]
    sittings = tuple(s for one in kept for s in known_sittings(opened.case, one.sittings))
    for view in views:
        sittings = view.as_held(sittings)
    return Facts(
        opened.case,
        opened.log,
        opened.now,
        sittings,
        tuple(f for view in views if view.week <= present.next() for f in _fallen(view)),
        progress_of(opened).reviews,
        tuple(one for view in views if (one := _to_tell(view)).people),
        _first_to_tell(views) if len(weeks) == 1 else None,
        tuple(
            (week, words)
            for week in (present, present.next())
            for words in not_planned(
                opened, week, [s for one in kept if one.week == week for s in one.sittings]
            )
        ),
        weeks,
        frozenset(w for w in (present, present.next()) if site.draft(w) is not None),
    )


def _kept(site: AppState, opened: workflow.Opened, week: Week) -> KeptWeek:
    """Nothing of one that was taken away meanwhile."""
    return read_kept(site.folder, week, opened.case) or KeptWeek(week, opened.now)


def _to_tell(view: ToldWeek) -> ToTell:
    week, case = view.told, view.opened.case
    of_cautions = cautions_to_tell(week, view.now, case) or to_put_away(week, view.now, case)
    return ToTell(view.week, len(people_to_tell(view)), bool(of_cautions))


def _first_to_tell(views: Sequence[ToldWeek]) -> ToTell | None:
    found = [ToTell(view.week, len(to_be_sent_the_week(view.told, view.now))) for view in views]
    return next((one for one in found if one.people), None)


def _fallen(told: ToldWeek) -> tuple[Fallen, ...]:
    marks = [(s, alternatives.mark(told.case, s)) for s in told.otherwise]
    return tuple(
        Fallen(
            s.sitting,
            mark.words,
            mark.why,
            not (s.is_for_its_things or s.was_left_out),
            s.left is not None,
            s.was_left_out,
        )
        for s, mark in marks
    )
