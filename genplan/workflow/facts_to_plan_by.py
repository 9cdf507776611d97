"""What a week is planned from beside the case: results, busy times, and what people were told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from genplan.case import Absence, Case, Week
from genplan.findings import Finding
from genplan.workflow.days_ill import kept_free
from genplan.workflow.opened_case import Opened, kept_ahead, known_busy
from genplan.workflow.told_sittings import ToldSitting, as_it_stands, context_of_told

if TYPE_CHECKING:
    from genplan.evidence.log import Log
    from genplan.keeping.told import KeptWeek
    from genplan.plan import Note, Sitting, ToldLately
    from genplan.plan.term import Term


TERM_WEEKS = 12
"""Of the term that a week follows, where the policy asks for that."""


@dataclass(frozen=True)
class ToldBefore:
    """What people were told of between now and a week: `sittings` can still be held, and count as met; `not_counted`
    tells of the others."""

    sittings: tuple[Sitting, ...]
    not_counted: tuple[Note, ...]


@dataclass(frozen=True)
class FactsToPlanBy:
    """What a week is planned from beside the case: `case` is as it is in the week, `log` holds what was told for the
    days before, and can still be held, as if met, `kept` are the sittings that people were told of, `lately` what they
    were told of the weeks before, as far as fairness looks back. `term` is the one that the week follows, where it was
    made before."""

    case: Case
    log: Log
    busy: Mapping[str, tuple[Absence, ...]]
    kept_week: KeptWeek | None
    kept: tuple[Sitting, ...]
    told_before: ToldBefore
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

    opened = kept_free(opened)
    case = in_week(opened.case, week)
    told_till_then = told_before(opened, week, planned)
    log = optimistic_log(opened.log, told_till_then.sittings)
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


def told_before(opened: Opened, week: Week, planned: PlannedWeeks) -> ToldBefore:
    """What people were told of from now on until the week begins, but for the weeks in `planned`. Of each week what was
    told of the weeks before it counts as met, as when that week itself is looked at."""
    from genplan.evidence.log import Log
    from genplan.keeping.optimistic_log import optimistic_log
    from genplan.keeping.store import read_kept

    # rows of a week that the same run has planned come later than all that is looked at here
    run = Log.of(r for r in opened.log.results if not r.planned)
    found: list[Sitting] = []
    not_counted: list[Note] = []
    for earlier in kept_ahead(opened.folder, opened.now):
        if earlier < week and earlier not in planned:
            kept = read_kept(opened.folder, earlier, opened.case)
            if kept and any(s.start >= opened.now for s in kept.sittings):
                stands = _still_told(opened, earlier, kept, optimistic_log(run, found))
                found += [s for s in (one.still_ahead for one in stands) if s]
                not_counted += _notes(earlier, stands, run)
    return ToldBefore(tuple(found), tuple(not_counted))


def _still_told(opened: Opened, week: Week, kept: KeptWeek, log: Log) -> tuple[ToldSitting, ...]:
    from genplan.case.dated_facts import in_week
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import unknown_ids

    busy, _about = known_busy(opened.loaded, in_week(opened.case, week), week)
    sittings = to_plan_from(kept, opened.case, log, opened.now)
    context = context_of_told(opened, week, log, busy, sittings)
    ahead = [s for s in kept.sittings if s.start >= opened.now]
    return as_it_stands(context, ahead, dict(unknown_ids(kept, opened.case)), opened.case.wishes)


def _notes(week: Week, stands: Sequence[ToldSitting], log: Log) -> Iterator[Note]:
    """How many of them cannot be held any more, and of how many a part. What is written down already counts as that."""
    from genplan.plan import Note, NoteKind
    from genplan.workflow.notes_of_plan import left_unwritten

    sittings = [one.sitting for one in stands]
    whole = part = 0
    for one in stands:
        left = one.still_ahead
        lost = set(left_unwritten(one.sitting, log, sittings)) - set(left.probes if left else ())
        whole += bool(lost) and left is None
        part += bool(lost) and left is not None
    for kind, count in ((NoteKind.TOLD_NOT_HELD, whole), (NoteKind.TOLD_HELD_IN_PART, part)):
        if count:
            yield Note(kind=kind, weeks=(week,), of=count)
