"""What a week is planned from beside the case: results, busy times, and what people were told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from genplan.case import Absence, Case, Week
from genplan.findings import Finding
from genplan.workflow.opened_case import Opened, known_busy

if TYPE_CHECKING:
    from genplan.evidence.log import Log
    from genplan.keeping.told import KeptWeek
    from genplan.plan import Sitting, ToldLately
    from genplan.plan.term import Term


TERM_WEEKS = 12
"""Of the term that a week follows, where the policy asks for that."""


@dataclass(frozen=True)
class FactsToPlanBy:
    """What a week is planned from beside the case: `case` is as it is in the week, `log` holds what was told for the
    days before as if met, `kept` are the sittings that people were told of, `lately` what they were told of the weeks
    before, as far as fairness looks back. `term` is the one that the week follows, where it was made before."""

    case: Case
    log: Log
    busy: Mapping[str, tuple[Absence, ...]]
    kept_week: KeptWeek | None
    kept: tuple[Sitting, ...]
    told_before: tuple[Sitting, ...]
    findings: tuple[Finding, ...]
    lately: tuple[ToldLately, ...] = ()
    term: Term | None = None


PlannedWeeks = Mapping[Week, "KeptWeek"]
"""Weeks that the same run has planned, as people would be told of them."""
NONE_PLANNED: PlannedWeeks = MappingProxyType({})


def facts_of(
    opened: Opened, week: Week, planned: PlannedWeeks = NONE_PLANNED, until: Week | None = None
) -> FactsToPlanBy:
    """Reads what a week is planned from, busy times at least to the end of `until`. Raises CaseError for calendars and
    kept weeks that cannot be read."""
    from genplan.case.dated_facts import in_week
    from genplan.keeping.optimistic_log import optimistic_log
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import read_kept
    from genplan.planning.wishes import last_week_asked

    case = in_week(opened.case, week)
    told_till_then = told_before(opened, week, planned)
    log = optimistic_log(opened.log, told_till_then)
    last = max(until or week, last_week_asked(opened.case, week))
    if opened.case.policy.follow_term:
        last = max(last, week.run(TERM_WEEKS)[-1])
    busy, about_busy = known_busy(opened.loaded, case, week, last)
    kept_week = read_kept(opened.folder, week, case)
    kept = to_plan_from(kept_week, case, log, opened.now) if kept_week else ()
    lately = told_lately(opened, week, planned)
    return FactsToPlanBy(case, log, busy, kept_week, kept, told_till_then, about_busy, lately)


def told_lately(opened: Opened, week: Week, planned: PlannedWeeks = NONE_PLANNED) -> tuple[ToldLately, ...]:
    """What people were told of the weeks before this one that the policy's fairness looks back at."""
    from genplan.keeping.lately import told_in
    from genplan.keeping.store import read_kept
    from genplan.planning.looking_back import weeks_looked_at

    before = weeks_looked_at(week, opened.case.policy.fair_over_weeks)[:-1]
    found = (planned.get(w) or read_kept(opened.folder, w, opened.case) for w in before)
    return told_in(kept for kept in found if kept)


def told_before(opened: Opened, week: Week, planned: PlannedWeeks) -> tuple[Sitting, ...]:
    """The sittings that people were told of from now on until the week begins, but for the weeks in `planned`."""
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import kept_weeks, read_kept

    found: list[Sitting] = []
    for earlier in kept_weeks(opened.folder):
        if earlier < week and earlier.sunday >= opened.now.date() and earlier not in planned:
            kept = read_kept(opened.folder, earlier, opened.case)
            told = to_plan_from(kept, opened.case, opened.log, opened.now) if kept else ()
            found += [s for s in told if s.start >= opened.now]
    return tuple(found)
