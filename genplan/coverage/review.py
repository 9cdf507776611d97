"""What happened with one learner's targets over a span of days, and what is owed at its end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from genplan.case import Case, Combination, Target, Wish
from genplan.coverage.asked import Asked, asked_of
from genplan.coverage.briefing import BriefingWanted, briefings_wanted
from genplan.coverage.criterion import Criterion, criterion_from, criterion_of
from genplan.coverage.curve import Point, curve_of, day_before
from genplan.coverage.dates_ahead import DateAhead, dates_ahead, wished_open
from genplan.coverage.matrix import MatrixRow, matrix
from genplan.coverage.tally import Tally, tally
from genplan.evidence.agreement import Agreement, agreement
from genplan.evidence.baseline import late_baselines
from genplan.evidence.breaks import Breaks, where_it_breaks
from genplan.evidence.effective_rows import log_until
from genplan.evidence.history import Entry, history
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.maintenance import MaintenanceCheck, maintenance_checks
from genplan.evidence.mastery import CriterionMet, Lapse, criterion_met, lapses
from genplan.evidence.phases import Course, course_of
from genplan.evidence.procedure import ProcedureKept, procedure_kept
from genplan.evidence.sittings_written import Counts, sittings_of_adults, sittings_written
from genplan.evidence.standing import Status, standings
from genplan.evidence.where_taught import TaughtAndOthers, taught_and_others


class Happened(StrEnum):
    """What a row of the span did. `BROKE`: a probe undid what had been met; `LATE_BASELINE`: a baseline probe of
    what had been taught or tested."""

    MET = "met"
    NOT_MET = "not met"
    BROKE = "no longer met"
    MAINTAINED = "maintained"
    LAPSED = "lapsed"
    TAUGHT = "taught"
    NOT_RUN = "not run"
    CORRECTED = "corrected"
    BASELINE = "baseline"
    LATE_BASELINE = "late baseline"


@dataclass(frozen=True)
class Event:
    target: str
    what: Happened
    entry: Entry


@dataclass(frozen=True)
class TargetReview:
    """One target at the end of the span. `before` is its criterion on the day before the span; `retests` and
    `waiting` are combinations that were not met: taught since, and not taught since. `criterion_met` is of mastery, not
    of generalisation; `teaching` is what probes say where it was taught and elsewhere. `course` is everything that was
    run up to the end of the span, `dates` are those of wishes that are still open, `asked` is what is waited for."""

    target: Target
    events: tuple[Event, ...]
    points: tuple[Point, ...]
    tally: Tally
    matrix: tuple[MatrixRow, ...]
    before: Criterion
    criterion: Criterion
    maintenance: tuple[MaintenanceCheck, ...]
    agreement: Agreement
    retests: tuple[Combination, ...]
    waiting: tuple[Combination, ...]
    wishes: tuple[tuple[Wish, int], ...]
    briefings: tuple[BriefingWanted, ...]
    criterion_met: CriterionMet | None
    lapses: tuple[Lapse, ...]
    teaching: TaughtAndOthers
    course: Course
    dates: tuple[DateAhead, ...]
    asked: tuple[Asked, ...]

    def events_of(self, *kinds: Happened) -> tuple[Event, ...]:
        return tuple(e for e in self.events if e.what in kinds)

    @property
    def newly_tried(self) -> int:
        """Tuples probed for the first time in the span."""
        return self.points[-1].tested - self.points[0].tested


@dataclass(frozen=True)
class Review:
    """`agreement` and `procedure` are of the span, `breaks` of all probes up to its end; so is `sittings`, adult -> how
    many with the learner are written down and how many of them were not run."""

    learner: str
    first: date
    last: date
    targets: tuple[TargetReview, ...]
    agreement: Agreement
    breaks: Breaks
    procedure: tuple[ProcedureKept, ...] = ()
    sittings: Counts = field(default_factory=dict)


def review(case: Case, learner: str, log: Log, first: date, last: date) -> Review:
    """Every target of the learner, in teaching and paused ones too; rows after `last` are not looked at."""
    targets = case.targets_of(learner)
    own = Log.of(r for t in targets for r in log.all_of_target(t.id))
    known, before = log_until(own, last), log_until(own, day_before(first))
    in_span = [r for t in targets for r in known.of_target(t.id) if r.date >= first]
    return Review(
        learner,
        first,
        last,
        tuple(review_of(case, t, known, before, first, last) for t in targets),
        agreement(in_span),
        where_it_breaks(targets, known),
        procedure_kept(in_span),
        sittings_of_adults(sittings_written(case, known)),
    )


def review_of(case: Case, target: Target, known: Log, before: Log, first: date, last: date) -> TargetReview:
    """One target; `known` holds no row after `last`, `before` none that is not before `first`."""
    count = tally(case, target, known, last)
    in_span = [r for r in known.of_target(target.id) if r.date >= first]
    standing = count.standings.items()
    checks = maintenance_checks(target, known, last, case.policy)
    briefings = briefings_wanted(case, target, known, last)
    mastery, lapsed = criterion_met(target, known), lapses(target, known, count.standings)
    dates = dates_ahead(case, count, last)
    seen = (*lapsed, *((mastery,) if mastery else ()))
    return TargetReview(
        target,
        tuple(_events(target, known, first)),
        curve_of(target, count.possible, known, first, last),
        count,
        matrix(case, count, last),
        criterion_from(target, standings(target, before), count.possible_combinations),
        criterion_of(count),
        checks,
        agreement(in_span),
        tuple(sorted(c for c, s in standing if s.retest_due)),
        tuple(sorted(c for c, s in standing if s.waits_for_teaching)),
        tuple((w, n) for w in target.first if (n := len(wished_open(count, w)))),
        briefings,
        mastery,
        lapsed,
        taught_and_others((target,), known),
        course_of(target, known),
        dates,
        asked_of(case, count, seen, checks, briefings, dates, last),
    )


def _events(target: Target, known: Log, first: date) -> Iterable[Event]:
    late = late_baselines(target, known.of_target(target.id))
    for entry in history(target, known):
        if entry.result.date >= first:
            yield Event(target.id, _what(entry, entry.result.line in late), entry)


def _what(entry: Entry, is_late: bool) -> Happened:
    kind, met = entry.result.kind, entry.after.status is Status.MET
    if entry.corrected_by:
        return Happened.CORRECTED
    if kind is ResultKind.NOT_RUN:
        return Happened.NOT_RUN
    if kind is ResultKind.TEACHING:
        return Happened.TAUGHT
    if kind is ResultKind.BASELINE:
        return Happened.LATE_BASELINE if is_late else Happened.BASELINE
    if kind is ResultKind.MAINTENANCE:
        return Happened.MAINTAINED if met else Happened.LAPSED
    if met:
        return Happened.MET
    return Happened.BROKE if entry.undoes else Happened.NOT_MET
