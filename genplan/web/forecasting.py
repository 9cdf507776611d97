"""How long it will still take: the forecast, made in a process of its own and drawn here.

What draws it comes late: it knows the forecast, which knows the planner.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.case.week import MOST_WEEKS
from genplan.errors import UsageError
from genplan.language import N_, _, ngettext, said
from genplan.report.names_and_words import Names, day_words, long_date
from genplan.report.plain_characters import in_order
from genplan.report.tables import csv_bytes
from genplan.web import job_status, params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.files_listed import TYPES
from genplan.web.long_jobs import Search, looking
from genplan.web.plain_findings import said_in_page
from genplan.web.plan_files import attached
from genplan.web.templating import redirect, screen
from genplan.workflow import forecasting

PLACE = "/forecast"
MOST_TAUGHT_WITHIN = 26
TEACHING, DRAW = N_("Weeks of teaching"), N_("Number of the draw")
"""The form's own labels, by which what is taken for granted speaks of them, too."""


def show(site: AppState, request: Request) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    search = site.finished(PLACE)
    view: workflow.ForecastView | None = search.task.found() if search else None
    chosen = _chosen(opened, search, request.query_params.get("week", ""))
    return screen(
        site,
        request,
        "forecast-screen.html",
        title=_("How long will it take?"),
        here="/plan",
        learners=[(i, Names(opened.case).learner(i)) for i in in_order(opened.case.learners)],
        first_weeks=params.weeks_ahead(opened, params.week(str(chosen["week"]))),
        chosen=chosen,
        most_weeks=MOST_WEEKS,
        labels=(said(TEACHING), said(DRAW)),
        found=_found(view, site.folder) if view else None,
        outdated=search is not None and site.is_outdated(search),
        **job_status.shown(site, PLACE),
    )


def start(site: AppState, request: Request, answers: Answers) -> Response:
    weeks = params.weeks_to_look_at(answers.one("weeks"))
    within = params.count(answers.one("taught_within"), _("the weeks of teaching"))
    if within is None or within > MOST_TAUGHT_WITHIN:
        raise UsageError(
            _(
                "Within how many weeks is it taught? 0 to {most}. Nothing was started.",
                most=MOST_TAUGHT_WITHIN,
            )
        )
    first = params.week(answers.one("first"))
    seed = params.count(answers.one("seed"), _("the draw"))
    opened = workflow.open_case(site.folder, site.now)
    workflow.refuse_past(first, opened.now)
    learner = answers.one("learner")
    if learner and learner not in opened.case.learners:
        raise UsageError(_("That learner is not in the case any more. Nothing was started."))
    out = site.room_for("forecast") / "found"
    words = {
        "weeks": weeks,
        "taught_within": within,
        "learner": learner or None,
        "seed": forecasting.SEED if seed is None else seed,
    }
    site.begin(
        looking("forecast", site.folder.resolve(), first, site.now, out, words, _("the forecast"), PLACE)
    )
    return redirect(site, PLACE)


def _chosen(opened: workflow.Opened, search: Search | None, linked: str) -> Mapping[str, object]:
    """What the form holds: the week of the link, what was asked for last, else what the command line takes."""
    from_link = {"week": linked} if linked else {}
    if search is not None:
        return {**search.task.asked, **from_link}
    return {
        "weeks": forecasting.WEEKS,
        "taught_within": forecasting.TEACHING_WEEKS,
        "week": str(Week.of(opened.now.date()).next()),
        "learner": None,
        "seed": forecasting.SEED,
        **from_link,
    }


def table(site: AppState, request: Request) -> Response:
    """The table that 'genplan forecast --csv' writes."""
    search = site.finished(PLACE)
    if search is None:
        raise HTTPException(404)
    from genplan.report.forecast_table import forecast_table

    view: workflow.ForecastView = search.task.found()
    return attached(csv_bytes(forecast_table(view.case, view.forecast)), "forecast.csv", TYPES[".csv"])


def _found(view: workflow.ForecastView, folder: Path) -> dict[str, Any]:
    from genplan.report.forecast_assumptions import assumption_sentences
    from genplan.report.forecast_lines import DATES, as_told
    from genplan.report.forecast_words import Settings, verdict_words, wish_sentence

    settings = Settings(_("“{label}”", label=said(TEACHING)), _("“{label}”", label=said(DRAW)))
    case, forecast, names = view.case, view.forecast, Names(view.case)
    first, last = forecast.weeks[0], forecast.weeks[-1]
    return {
        "span": ngettext(
            "{n} week, {day} ({first}) to {end} ({last}), as of {today}",
            "{n} weeks, {day} ({first}) to {end} ({last}), as of {today}",
            len(forecast.weeks),
            day=day_words(first.monday),
            first=first,
            end=long_date(last.sunday),
            last=last,
            today=long_date(forecast.now.date()),
        ),
        "dates": [
            (verdict_words(w), wish_sentence(names, case.targets[t.target], w, settings))
            for t in as_told(forecast.targets)
            for w in t.wishes
        ],
        "dates_mean": said(DATES),
        "learners": [_learner(case, view, i) for i in in_order(case.learners) if _own(view, i)],
        "assumptions": tuple(assumption_sentences(case, forecast, settings)),
        "warnings": said_in_page(view.findings, case, folder),
    }


def _own(view: workflow.ForecastView, learner: str) -> list[Any]:
    from genplan.report.forecast_lines import as_told

    return [t for t in as_told(view.forecast.targets) if t.learner == learner]


def _learner(case: Case, view: workflow.ForecastView, learner: str) -> dict[str, Any]:
    from genplan.report.forecast_strip import strips
    from genplan.report.forecast_words import target_sentences

    names = Names(case)
    return {
        "name": names.learner(learner),
        "targets": [
            {
                "name": names.target(t.target),
                "strips": tuple(strips(names, view.forecast, t)),
                "sentences": tuple(target_sentences(case, view.forecast, t)),
            }
            for t in _own(view, learner)
        ],
    }
