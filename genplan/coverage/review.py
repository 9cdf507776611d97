"""What happened with one learner's targets over a span of days, and what is owed at its end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property

from genplan.case import Case, Combination, Target, TargetState, Wish
from genplan.case.possible import Obstacle
from genplan.casefile.at_any_age import adults_to_brief
from genplan.coverage.asked import Asked, asked_of, held_back
from genplan.coverage.briefing import BriefingWanted, briefings_wanted
from genplan.coverage.criterion import Criterion, criterion_from, criterion_of, possible_some_day
from genplan.coverage.curve import Point, curve_of, day_before
from genplan.coverage.dates_ahead import DateAhead, dates_ahead
from genplan.coverage.held_back_tuples import HeldBackTuples, held_back_tuples
from genplan.coverage.matrix import MatrixRow, matrix
from genplan.coverage.tally import Tally, tally
from genplan.coverage.tuples import wished_tuples
from genplan.coverage.unplanned import Unplanned, unplanned
from genplan.coverage.wishes_not_possible import WishNotPossible, wishes_not_possible
from genplan.coverage.wishes_tried import WishTried, wishes_tried
from genplan.evidence.agreement import Agreement, agreement
from genplan.evidence.baseline import late_baselines
from genplan.evidence.breaks import Breaks, where_it_breaks
from genplan.evidence.effective_rows import log_until
from genplan.evidence.failed_again import FailedAgain, failed_again
from genplan.evidence.history import Entry, history
from genplan.evidence.log import Log, Result, ResultKind
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
class _Span:
    """What is looked at. `known` holds no row after `last`, `before` none that is not before `first`."""

    case: Case
    known: Log
    before: Log
    first: date
    last: date

    def rows_of(self, target: Target) -> list[Result]:
        """Of the span itself."""
        return [r for r in self.known.of_target(target.id) if r.date >= self.first]


@dataclass(frozen=True)
class TargetReview:
    """One target at the end of the span. Each answer is looked for when it is first asked for, since nobody asks for
    all: what a terminal prints needs a third of what a page draws."""

    target: Target
    span: _Span

    @cached_property
    def tally(self) -> Tally:
        return tally(self.span.case, self.target, self.span.known, self.span.last)

    @cached_property
    def events(self) -> tuple[Event, ...]:
        return tuple(_events(self.target, self.span.known, self.span.first))

    def events_of(self, *kinds: Happened) -> tuple[Event, ...]:
        return tuple(e for e in self.events if e.what in kinds)

    @cached_property
    def points(self) -> tuple[Point, ...]:
        span = self.span
        return curve_of(self.target, self.tally.possible, span.known, span.first, span.last)

    @property
    def newly_tried(self) -> int:
        """Tuples probed for the first time in the span."""
        return self.points[-1].tested - self.points[0].tested

    @cached_property
    def matrix(self) -> tuple[MatrixRow, ...]:
        return matrix(self.span.case, self.tally, self.span.last)

    @cached_property
    def criterion(self) -> Criterion:
        return criterion_of(self.tally)

    @cached_property
    def unplanned(self) -> tuple[Unplanned, ...]:
        """What the criterion lacks and no plan will probe."""
        return unplanned(self.span.case, self.tally, self.span.known, self.span.last)

    @cached_property
    def before(self) -> Criterion:
        """The same on the day before the span."""
        known = standings(self.target, self.span.before)
        return criterion_from(self.target, known, possible_some_day(self.tally))

    @cached_property
    def maintenance(self) -> tuple[MaintenanceCheck, ...]:
        span = self.span
        return maintenance_checks(self.target, span.known, span.last, span.case.policy)

    @cached_property
    def agreement(self) -> Agreement:
        return agreement(self.span.rows_of(self.target))

    @cached_property
    def retests(self) -> tuple[Combination, ...]:
        """Not met, and taught since."""
        return tuple(sorted(c for c, s in self.tally.standings.items() if s.retest_due))

    @cached_property
    def waiting(self) -> tuple[Combination, ...]:
        """Not met, and too little teaching since that counts."""
        return tuple(sorted(c for c, s in self.tally.standings.items() if s.waits_for_teaching))

    @cached_property
    def held_back(self) -> Mapping[Combination, Obstacle]:
        """What is owed and held back on the last day."""
        return held_back(self.span.case, self.tally, self.span.last)

    @cached_property
    def held_back_tuples(self) -> HeldBackTuples:
        """What the tally does not count for that, whatever is owed."""
        return held_back_tuples(self.span.case, self.tally, self.span.last)

    @cached_property
    def wishes(self) -> tuple[tuple[Wish, int], ...]:
        found = ((w, wished_tuples(self.target, w.pattern, self.tally.open)) for w in self.target.first)
        return tuple((wish, len(left)) for wish, left in found if left)

    @cached_property
    def wishes_unbriefed(self) -> tuple[tuple[Wish, Sequence[str]], ...]:
        """Nothing that holds them is possible; each with the adults of whom one would have to be briefed."""
        target, possible = self.target, self.tally.possible_combinations
        missing = [w for w in target.first if not any(target.matches(c, w.pattern) for c in possible)]
        found = ((w, adults_to_brief(self.span.case, target, w.pattern)) for w in missing)
        return tuple((wish, adults) for wish, adults in found if adults)

    @cached_property
    def wishes_tried(self) -> tuple[WishTried, ...]:
        return tuple(wishes_tried(self.tally, self.span.known))

    @cached_property
    def wishes_not_possible(self) -> tuple[WishNotPossible, ...]:
        """Without those for which a briefing is all that is missing."""
        briefed = [w for w, _ in self.wishes_unbriefed]
        found = wishes_not_possible(self.span.case, self.tally, self.span.last)
        return tuple(n for n in found if n.wish not in briefed)

    @cached_property
    def briefings(self) -> tuple[BriefingWanted, ...]:
        return briefings_wanted(self.span.case, self.target, self.span.known, self.span.last, self.tally)

    @cached_property
    def criterion_met(self) -> CriterionMet | None:
        """Of mastery, not of generalisation."""
        return criterion_met(self.target, self.span.known)

    @cached_property
    def lapses(self) -> tuple[Lapse, ...]:
        return lapses(self.target, self.span.known, self.tally.standings)

    @cached_property
    def again(self) -> tuple[FailedAgain, ...]:
        """Taught, and not met again. Of a target that is not mastered nobody asks."""
        if self.target.state is not TargetState.MASTERED:
            return ()
        return tuple(one for _, one in sorted(failed_again(self.target, self.span.known).items()))

    @cached_property
    def seen(self) -> tuple[Lapse | CriterionMet, ...]:
        """Of mastery, a lapse first; without those that `again` tells more of."""
        again = {one.combination for one in self.again}
        return tuple(s for s in self._seen if isinstance(s, CriterionMet) or s.combination not in again)

    @property
    def _seen(self) -> tuple[Lapse | CriterionMet, ...]:
        return (*self.lapses, *((self.criterion_met,) if self.criterion_met else ()))

    @cached_property
    def teaching(self) -> TaughtAndOthers:
        """What probes say where it was taught and elsewhere."""
        return taught_and_others((self.target,), self.span.known)

    @cached_property
    def course(self) -> Course:
        """All that was run up to the end of the span."""
        return course_of(self.target, self.span.known)

    @cached_property
    def dates(self) -> tuple[DateAhead, ...]:
        """Of wishes that are still open."""
        return dates_ahead(self.span.case, self.tally, self.span.last)

    @cached_property
    def asked(self) -> tuple[Asked, ...]:
        """What is waited for."""
        return asked_of(
            self.span.case,
            self.tally,
            self._seen,
            self.again,
            self.maintenance,
            self.briefings,
            self.dates,
            self.span.last,
        )


@dataclass(frozen=True)
class Review:
    """All targets of a learner; what is said of all of them is looked for when it is asked for."""

    learner: str
    span: _Span
    targets: tuple[TargetReview, ...]

    @property
    def first(self) -> date:
        return self.span.first

    @property
    def last(self) -> date:
        return self.span.last

    @cached_property
    def agreement(self) -> Agreement:
        """Of the span, as `procedure`."""
        return agreement(self._in_span)

    @cached_property
    def procedure(self) -> tuple[ProcedureKept, ...]:
        return procedure_kept(self._in_span)

    @cached_property
    def breaks(self) -> Breaks:
        """Of all probes up to the end of the span."""
        return where_it_breaks([found.target for found in self.targets], self.span.known)

    @cached_property
    def sittings(self) -> Counts:
        """Adult -> how many with the learner are written down, and how many of them were not run; up to the end."""
        return sittings_of_adults(sittings_written(self.span.case, self.span.known))

    @cached_property
    def _in_span(self) -> list[Result]:
        return [row for found in self.targets for row in self.span.rows_of(found.target)]


def review(case: Case, learner: str, log: Log, first: date, last: date) -> Review:
    """Every target of the learner, in teaching and paused ones too; rows after `last` are not looked at."""
    targets = case.targets_of(learner)
    own = log.of_targets(t.id for t in targets)
    span = _Span(case, log_until(own, last), log_until(own, day_before(first)), first, last)
    return Review(learner, span, tuple(TargetReview(t, span) for t in targets))


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
