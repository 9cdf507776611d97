"""How long it will still take: the forecast of a case folder."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import CaseError
from genplan.findings import Finding
from genplan.workflow.days_ill import kept_free
from genplan.workflow.facts_to_plan_by import NONE_PLANNED, facts_of, told_before, told_lately
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import Opened, Progress, busy_of, errors_of, open_case, wanted_week
from genplan.workflow.planning import budget_of
from genplan.workflow.solving import solvers
from genplan.workflow.term_ahead import term_to_follow
from genplan.workflow.watching import Watch

if TYPE_CHECKING:
    from genplan.forecast import Forecast
    from genplan.forecast.baseline import WeekFacts

WEEKS = 12
TEACHING_WEEKS = 2
"""Weeks within which what was not met is taken to be taught, if nobody says otherwise: a choice, no source."""
SEED = 1


@dataclass(frozen=True)
class ForecastView:
    """The forecast of a case, or of one of its learners, and the warnings on the way."""

    case: Case
    forecast: Forecast
    findings: tuple[Finding, ...]
    about_week: tuple[Finding, ...] = ()


def forecast(
    folder: Path,
    week: Week | None,
    now: datetime | None,
    weeks: int,
    progress: Progress,
    teaching_weeks: int = TEACHING_WEEKS,
    learner: str | None = None,
    seed: int = SEED,
) -> ForecastView:
    """What is ahead in so many weeks from `week` on (the one after now if left out). All learners are planned together;
    `learner` only picks whom to tell of. Writes nothing. Raises as `plan` does."""
    from genplan.forecast import forecast as look_ahead

    opened = kept_free(open_case(folder, now))
    budget = budget_of(opened)
    if learner is not None:
        learner = known_id(opened.case, "learners", learner)
    first = wanted_week(week, opened.now)
    ahead = first.run(weeks)
    told = told_before(opened, first, NONE_PLANNED)
    facts, about_busy = _facts(opened, ahead)
    watch = Watch(progress)
    with solvers(watch) as executor:
        if opened.case.policy.follow_term:
            term = term_to_follow(opened, facts_of(opened, first), first, executor, watch, budget)
            facts[first] = replace(facts[first], term=term)
        found = look_ahead(
            opened.case,
            opened.log,
            ahead,
            opened.now,
            facts,
            executor,
            watch,
            teaching_weeks,
            seed,
            told=told.sittings,
            not_counted=told.not_counted,
            budget=budget,
        )
    if learner is not None:
        found = replace(
            found,
            targets=tuple(t for t in found.targets if t.learner == learner),
            still_taught=tuple(
                (t, n) for t, n in found.still_taught if opened.case.targets[t].learner == learner
            ),
        )
    return ForecastView(opened.case, found, (*opened.findings, *about_busy), about_busy)


def _facts(opened: Opened, weeks: list[Week]) -> tuple[dict[Week, WeekFacts], tuple[Finding, ...]]:
    """Busy times and kept sittings of each week; each finding once."""
    from genplan.forecast.baseline import WeekFacts
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import read_kept
    from genplan.planning.wishes import last_week_asked

    facts, findings = {}, dict[Finding, None]()
    for week in weeks:
        busy, about_busy = busy_of(opened.loaded, opened.case, week, last_week_asked(opened.case, week))
        findings |= dict.fromkeys(about_busy)
        kept = read_kept(opened.folder, week, opened.case)
        sittings = to_plan_from(kept, opened.case, opened.log, opened.now) if kept else ()
        facts[week] = WeekFacts(busy, sittings, told_lately(opened, week) if week == weeks[0] else ())
    if errors := errors_of(tuple(findings)):
        raise CaseError(errors)
    return facts, tuple(findings)
