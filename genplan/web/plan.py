"""Planning a week: starting the search, watching it, looking at what it found, keeping it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.keeping.differences import Difference, differences
from genplan.keeping.store import read_kept, sitting_from
from genplan.plan import LeftOut, ProbeKind, Sitting
from genplan.report.changes import changes_summary
from genplan.report.reasons import reason_groups
from genplan.report.text import counted
from genplan.report.wording import Names, day_words, long_date
from genplan.web import asked, sitting_cards
from genplan.web.draw import go, screen
from genplan.web.files import listed
from genplan.web.handling import Answers
from genplan.web.searching import Search
from genplan.web.site import Site, case_digest


def show(site: Site, request: Request) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    named = request.path_params.get("week")
    week = asked.week(named) if named else Week.of(opened.now.date()).next()
    search = site.search if site.search is not None and site.search.week == week else None
    state = search.state if search else ""
    draft = site.draft(week)
    return screen(
        site,
        request,
        "plan-screen.html",
        title=f"Plan week {week.number}",
        week=week,
        first=day_words(week.monday),
        last=long_date(week.sunday),
        earlier=asked.before(week),
        later=week.next(),
        over=week.sunday < opened.now.date(),
        state=state,
        lines=search.lines if search else (),
        busy_with=_other(site, week),
        refresh=state == "running",
        found=_found(site, opened, week, draft) if draft else None,
    )


def start(site: Site, request: Request, answers: Answers) -> Response:
    week = asked.week(request.path_params["week"])
    opened = workflow.open_case(site.folder, site.now)
    workflow.refuse_past(week, opened.now)
    site.begin(week)
    return go(site, f"/plan/{week}")


def stop(site: Site, request: Request, answers: Answers) -> Response:
    site.stop()
    return go(site, f"/plan/{request.path_params['week']}", "The search was stopped. Nothing was written.")


def state(site: Site, request: Request) -> Response:
    """For the page's script: whether the search still runs and what it said last."""
    week = asked.week(request.path_params["week"])
    search = site.search if site.search is not None and site.search.week == week else None
    return JSONResponse(
        {"state": search.state if search else "", "lines": list(search.lines) if search else []}
    )


def keep(site: Site, request: Request, answers: Answers) -> Response:
    """Keeps the plan that was looked at, and no other: a plan found since then is looked at first."""
    week = asked.week(request.path_params["week"])
    draft = site.draft(week)
    if draft is None or draft.out.parent.name != answers.one("plan"):
        raise UsageError(
            "This plan is not the latest any more: it was kept, or another was made since. Nothing was kept."
        )
    kept = workflow.keep(site.folder, week, draft.out, site.now, lambda sentence: None)
    site.drop(week)
    news = (
        "kept for the first time"
        if kept.first
        else f"kept; {counted(len(kept.differences), 'change')} to tell"
    )
    return go(site, f"/week/{week}", f"Week {week} is {news}. Its calendars are at the foot of this page.")


def _other(site: Site, week: Week) -> Week | None:
    """The week that another search is busy with."""
    other = site.search
    return other.week if other and other.week != week and other.state == "running" else None


def _found(site: Site, opened: workflow.Opened, week: Week, draft: Search) -> dict[str, Any]:
    case = opened.case
    document = json.loads((draft.out / "plan.json").read_bytes())
    sittings = tuple(s for s in _sittings(document, case) if s is not None)
    kept = read_kept(site.folder, week, case)
    changed = differences(kept.told, sittings, opened.now) if kept else ()
    left = [LeftOut(**{**item, "kind": ProbeKind(item["kind"])}) for item in document["left_out"]]
    names = Names(case)
    return {
        "word": draft.out.parent.name,
        "outdated": draft.case_digest != case_digest(site.folder),
        "days": sitting_cards.days(case, opened.log, sittings, opened.now.date()),
        "amount": f"{counted(len(sittings), 'sitting')} with "
        f"{counted(sitting_cards.counted_probes(sittings), 'probe')}",
        "kept": kept is not None,
        "changes": _people(case, changed),
        "left_out": [
            (names.learner(i), groups) for i in case.learners if (groups := reason_groups(names, left, i))
        ],
        "notes": document["notes"],
        "files": listed(draft.out, case),
    }


def _sittings(document: Any, case: Case) -> Sequence[Sitting | None]:
    """What of the plan the case still knows; a plan made before something was taken out is marked outdated."""
    found: list[Sitting | None] = []
    for item in document["sittings"]:
        try:
            sitting = sitting_from(item, case)
        except (KeyError, ValueError):
            continue
        known = (
            sitting.learner in case.learners
            and all(a in case.adults for a in sitting.adults)
            and sitting.location in case.locations
            and all(p.target in case.targets for p in sitting.probes)
        )
        found.append(sitting if known else None)
    return found


def _people(case: Case, changed: Sequence[Difference]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Who has to be told something, and what."""
    if not changed:
        return ()
    parts = changes_summary(case, changed).strip().split("\n\n")
    return tuple((p.split("\n")[0], tuple(line.strip(" -") for line in p.split("\n")[1:])) for p in parts)
