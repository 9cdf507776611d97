"""The straight line: week after week planned by the planner itself, each as if every probe before it were met.

The first week is the one that `plan` makes. Later ones are planned for what they show alone (`planning.coverage_week`);
the auditor checks their sittings all the same.
What waits for teaching is taught as planned; where the policy plans no teaching it is taken to need
`teaching_weeks` whole weeks of that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from genplan.audit import audit, unsound_sittings
from genplan.case import Case, Combination, Week
from genplan.case.dated_facts import in_week
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import intersect, merge
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally, tally
from genplan.errors import AuditError
from genplan.evidence.familiarity import familiar_adults
from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.optimistic_log import optimistic_log
from genplan.language import _
from genplan.plan import Plan, Sitting, ToldLately
from genplan.plan.term import Term
from genplan.planning.assemble import seat_of, sittings_of
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.coverage_week import coverage_week
from genplan.planning.jobs import Workers
from genplan.planning.openings import Busy, Hours, hours
from genplan.planning.planner import plan_week
from genplan.planning.progress import InWeek, Said, Say
from genplan.planning.week_context import recorded_beside, taught_beside, week_context_of
from genplan.rules.placed_sittings import PlacedSitting

Waiting = tuple[str, Combination]


@dataclass(frozen=True)
class WeekFacts:
    """What is known of a week beside the case: busy times, the sittings that people were told of, what they were told
    of the weeks before, as far as fairness looks back, and the term that it follows."""

    busy: Busy = field(default_factory=dict)
    kept: tuple[Sitting, ...] = ()
    lately: tuple[ToldLately, ...] = ()
    term: Term | None = None


@dataclass(frozen=True, kw_only=True)
class BaselineWeek:
    """One week of the line. A week after all is finished has no seats.

    - `week`, `case`: the week, and the case as it is in it
    - `log`: what it was planned from
    - `free`: everybody's hours before it was planned
    - `seats`: its sittings
    - `after`: target -> how it stands after the week
    - `on`: the day whose ages count
    - `busy`: adult -> busy times read from calendars
    - `days`: so many of its days are looked at, from Monday on
    - `begun`: those of its sittings that have begun"""

    week: Week
    case: Case
    log: Log
    free: Hours
    seats: tuple[PlacedSitting, ...]
    after: Mapping[str, Tally]
    on: date
    busy: Busy
    days: int = 7
    begun: tuple[PlacedSitting, ...] = ()

    def free_on_all_days(self, now: datetime) -> Hours:
        """The hours if the policy used every day that is looked at."""
        days = replace(self.case.policy, days=tuple(range(7)))
        case = replace(self.case, policy=days)
        free = hours(case, self.week, now, self.busy, familiar_adults(case, self.log))
        free = replace(free, recorded=self.free.recorded, recorded_teachings=self.free.recorded_teachings)
        return _first_days(free, self.days)

    def until(self, day: date) -> BaselineWeek:
        """With the hours and sittings up to the end of a day; `after` stays that of the whole week."""
        days = min(7, (day - self.week.monday).days + 1)
        seats = tuple(s for s in self.seats if s.day < days)
        return replace(self, free=_first_days(self.free, days), seats=seats, days=days)


def _first_days(free: Hours, days: int) -> Hours:
    there = merge([(0, days * MINUTES_PER_DAY)])
    return replace(free, learners={i: intersect(w, there) for i, w in free.learners.items()})


@dataclass(frozen=True, kw_only=True)
class Baseline:
    """The weeks ahead if every probe is met.

    - `now`: the moment of planning
    - `before`: target -> how it stands at the start
    - `waiting`: combinations that wait for teaching then
    - `weeks`: in their order
    - `repeatable`: False if the clock ended a search"""

    now: datetime
    before: Mapping[str, Tally]
    waiting: tuple[Waiting, ...]
    weeks: tuple[BaselineWeek, ...]
    repeatable: bool

    def until(self, day: date) -> Baseline:
        """The line up to the end of a day, its last week only as far."""
        return replace(self, weeks=tuple(w.until(day) for w in self.weeks if w.week.monday <= day))


def baseline_projection(
    case: Case,
    log: Log,
    weeks: Sequence[Week],
    now: datetime,
    facts: Mapping[Week, WeekFacts],
    executor: Executor,
    progress: Say,
    teaching_weeks: int,
    budget: Budget = ENDLESS,
) -> Baseline:
    """Plans the weeks in their order until all that is asked for is shown and met, or the weeks are used up. Raises
    SolverError and AuditError."""
    before = _tallies(case, log, now.date())
    waiting = tuple(
        (i, c) for i, t in before.items() for c in t.possible_combinations if t.standing(c).waits_for_teaching
    )
    found: list[BaselineWeek] = []
    repeatable, after = True, before
    for index, week in enumerate(weeks):
        known = facts.get(week, WeekFacts())
        if index == teaching_weeks and not case.policy.plan_teaching:
            log = _taught(case, log, waiting, week)
        sittings: tuple[Sitting, ...] = ()
        begun_from = log
        on = week.monday if index else now.date()
        after = _tallies(case, log, on) if index else after
        if not _all_finished(after):
            progress(
                _(
                    "planning {week}, week {number} of at most {weeks}",
                    week=week,
                    number=index + 1,
                    weeks=len(weeks),
                )
            )
            workers = Workers(executor, _of_week(progress, week), budget.of_one_of(len(weeks) - index))
            planned = _ahead if index else _first
            sittings, same = planned(case, log, week, now, known, workers)
            repeatable = repeatable and same
            log = optimistic_log(log, sittings)
            after = _tallies(case, log, on)
        found.append(_line_week(case, begun_from, week, now, known, sittings, after, on))
    return Baseline(
        now=now,
        before=before,
        waiting=waiting,
        weeks=tuple(found),
        repeatable=repeatable,
    )


def _of_week(progress: Say, week: Week) -> Say:
    def told(said: Said) -> None:
        progress(InWeek(week, said))

    return told


Planned = tuple[tuple[Sitting, ...], bool]
"""The sittings of a week, and whether they are the same on every run."""


def _first(case: Case, log: Log, week: Week, now: datetime, known: WeekFacts, workers: Workers) -> Planned:
    """As people will be told it."""
    executor, progress, budget = workers.executor, workers.progress, workers.budget
    plan = plan_week(
        case,
        log,
        week,
        now,
        known.busy,
        known.kept,
        executor,
        progress,
        budget,
        term=known.term,
        lately=known.lately,
    ).plan
    # of a search cut short a later stage may better an earlier one's value; the line makes no use of these values
    unvalued = replace(plan, objectives=())
    _sound(audit(in_week(case, week), log, unvalued, known.busy, known.kept, known.lately))
    return plan.sittings, plan.repeatable


def _ahead(case: Case, log: Log, week: Week, now: datetime, known: WeekFacts, workers: Workers) -> Planned:
    # as on its Monday: a child grows into things while the weeks go by
    now = week.moment(0, case.timezone)
    ground = week_context_of(case, log, week, now, known.busy, known.kept, fewest_told=False)
    seats, repeatable = coverage_week(ground.caseload, workers)
    begun = tuple(replace(s, begun=True) for s in ground.begun)
    sittings = sittings_of(ground.case, week, ground.needs, seats, begun, ground.decided.seats)
    plan = Plan.of_sittings(week, now, sittings)
    _sound(unsound_sittings(ground.case, log, plan, known.busy, known.kept))
    return sittings, repeatable


def _sound(complaints: tuple[str, ...]) -> None:
    if complaints:
        raise AuditError(complaints)


def _line_week(
    case: Case,
    log: Log,
    week: Week,
    now: datetime,
    known: WeekFacts,
    sittings: Sequence[Sitting],
    after: Mapping[str, Tally],
    on: date,
) -> BaselineWeek:
    dated = in_week(case, week)
    free = hours(dated, week, now, known.busy, familiar_adults(dated, log))
    begun = [seat_of(dated, week, s) for s in sittings if s.begun]
    free = replace(
        free,
        recorded=recorded_beside(dated, log, week, begun),
        recorded_teachings=taught_beside(dated, log, week, begun),
    )
    seats = tuple(sorted(seat_of(dated, week, s) for s in sittings))
    return BaselineWeek(
        week=week,
        case=dated,
        log=log,
        free=free,
        seats=seats,
        after=after,
        on=on,
        busy=known.busy,
        begun=tuple(begun),
    )


def _tallies(case: Case, log: Log, on: date) -> dict[str, Tally]:
    return {t.id: tally(case, t, log, on) for t in case.mastered}


def _all_finished(after: Mapping[str, Tally]) -> bool:
    return all(not t.open and is_settled(t) and not _comes_again(t) for t in after.values())


def _comes_again(count: Tally) -> bool:
    """Whether a possible combination is to be probed again."""
    return any(count.standing(c).comes_again for c in count.possible_combinations)


def is_settled(count: Tally) -> bool:
    """Whether the criterion is met, or there is none, or no further probe can meet it."""
    criterion = criterion_of(count)
    return not criterion.is_set or criterion.is_met or criterion.is_out_of_reach


def _taught(case: Case, log: Log, waiting: Sequence[Waiting], week: Week) -> Log:
    """The log with the rows of teaching that each combination waits for, dated the day before the week; all trials are
    correct, so that they count whatever the mark."""
    line = max((r.line for r in log.results), default=1)
    day = week.monday - timedelta(days=1)
    owed = [
        (case.targets[target], combination)
        for target, combination in waiting
        for _ in range(case.targets[target].teachings_before_retest)
    ]
    rows = [
        Result(
            line=line + n,
            date=day,
            time=None,
            target=target.id,
            kind=ResultKind.TEACHING,
            combination=combination,
            trials=target.trials,
            correct=target.trials,
        )
        for n, (target, combination) in enumerate(owed, 1)
    ]
    return Log.of((*log.results, *rows)) if rows else log
