"""Why not, and what would help: asked of a process of its own and drawn here. Nothing of it changes the case.

What draws it comes late: it knows the planner.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.language import _
from genplan.report.names_and_words import Names, clean, day_words, long_date
from genplan.web import job_status, params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.long_jobs import Search, looking
from genplan.web.plain_findings import said_in_page
from genplan.web.templating import redirect, screen

PLACE = "/why"


@dataclass(frozen=True)
class About:
    """Whom or what is asked about: one learner, one target, or (both empty) everybody."""

    learner: str = ""
    target: str = ""

    @property
    def word(self) -> str:
        """As the form's choice holds it."""
        if self.target:
            return f"target.{self.target}"
        return f"learner.{self.learner}" if self.learner else ""


def show(site: AppState, request: Request) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    search = site.finished(PLACE)
    view: workflow.WhyView | None = search.task.found() if search else None
    found = _found(view, site.folder) if view else None
    last = _last(search) if search else None
    chosen, week = _linked(opened, request) or last or (About(), Week.of(opened.now.date()).next())
    return screen(
        site,
        request,
        "why-screen.html",
        title=_("Why not, and what would help"),
        here="/plan",
        learners=_choices(opened.case),
        chosen=chosen.word,
        weeks=params.weeks_ahead(opened, week),
        week=week,
        same=(chosen, week) == last,
        found=found,
        outdated=search is not None and site.is_outdated(search),
        **job_status.shown(site, PLACE),
    )


def start(site: AppState, request: Request, answers: Answers) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    week = params.week(answers.one("week"))
    workflow.refuse_past(week, opened.now)
    about = _asked_about(opened.case, answers.one("about"))
    out = site.room_for("why") / "found"
    words = {"learner": about.learner or None, "target": about.target or None}
    site.begin(looking("why", site.folder.resolve(), week, site.now, out, words, _("the reasons"), PLACE))
    return redirect(site, PLACE)


def _asked_about(case: Case, word: str) -> About:
    kind, _dot, id_ = word.partition(".")
    if not word:
        return About()
    if kind == "learner" and id_ in case.learners:
        return About(learner=id_)
    if kind == "target" and id_ in case.targets:
        return About(case.targets[id_].learner, id_)
    raise UsageError(
        _("Whom is it about? That learner or target is not in the case any more. Nothing was started.")
    )


def _last(search: Search) -> tuple[About, Week]:
    """What was asked for last."""
    learner, target, week = (str(search.task.asked[name] or "") for name in ("learner", "target", "week"))
    return About(learner, target), params.week(week)


def _linked(opened: workflow.Opened, request: Request) -> tuple[About, Week] | None:
    """What a link asks for; a learner or target that the case does not have counts as nobody named."""
    case, link = opened.case, request.query_params
    if not {"learner", "target", "week"} & set(link):
        return None
    week = params.week(link["week"]) if "week" in link else Week.of(opened.now.date()).next()
    target, learner = case.targets.get(link.get("target", "")), link.get("learner", "")
    if target is not None:
        return About(target.learner, target.id), week
    return About(learner if learner in case.learners and len(case.learners) > 1 else ""), week


def _choices(case: Case) -> list[tuple[str, str, list[tuple[str, str]]]]:
    """Each learner's word in the form (empty if there is no other learner), name, and targets that are planned."""
    names = Names(case)
    return [
        (
            About(i).word if len(case.learners) > 1 else "",
            names.learner(i),
            [(About(i, t.id).word, names.target(t.id)) for t in case.planned if t.learner == i],
        )
        for i in case.learners
    ]


def _found(view: workflow.WhyView, folder: Path) -> dict[str, Any]:
    from genplan.report.help_lines import anyway_sentence, helps, tried_sentence
    from genplan.report.reasons import causes, reason_groups, reason_read, what_read
    from genplan.report.why_lines import CAUSES_AT_MOST, HELPS_AT_MOST, LEARNERS_AT_MOST
    from genplan.text.failed_again import failed_again_text
    from genplan.text.held_back import things_held_back
    from genplan.text.nothing_possible import nothing_possible

    case, names, plan, why = view.case, Names(view.case), view.plan, view.why
    found = helps(names, why.gains)
    best, other_ways = found[:HELPS_AT_MOST], [way for one in found[:HELPS_AT_MOST] for way in one.others]
    return {
        "span": _(
            "The week from {first} to {last} ({week}), as of {today}",
            first=day_words(plan.week.monday),
            last=long_date(plan.week.sunday),
            week=plan.week,
            today=long_date(plan.now.date()),
        ),
        "week": plan.week,
        "target": names.target(view.target) if view.target is not None else "",
        "one_by_one": [
            (what_read(case, item), reason_read(case, item.limit))
            for item in why.left_out
            if item.target == view.target
        ],
        "learners": [(names.learner(i), reason_groups(names, why.left_out, i)) for i in view.learners],
        "unasked": why.unasked,
        "several": len(view.learners) > 1,
        "causes": [
            c.sentence(LEARNERS_AT_MOST)
            for c in (causes(names, why.left_out) if len(view.learners) > 1 else ())[:CAUSES_AT_MOST]
        ],
        "again": [clean(failed_again_text(case, one, plan.week.monday)) for one in view.again],
        "impossible": [*map(clean, nothing_possible(case, view.learners, plan.week.monday, view.target))],
        "held": [*map(clean, things_held_back(case, view.learners, plan.week.monday, view.target))],
        "anyway": anyway_sentence(names, why.gains.anyway, f"'{_('Search further')}'"),
        "gains": [one.best for one in best],
        "more_gains": [*(s for one in found[HELPS_AT_MOST:] for s in (one.best, *one.others)), *other_ways],
        "tried": tried_sentence(why.gains),
        "warnings": said_in_page(view.findings, case, folder),
        "empty": not any(t.learner in view.learners for t in case.planned),
    }
