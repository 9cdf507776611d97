"""The forecast put together: the line, the courses of each learner, and what they say of each target."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from datetime import date, datetime

from genplan.case import Case, Target, Week
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.evidence.log import Log
from genplan.evidence.standing import Status
from genplan.forecast.courses import CoursesJob, Drawn, TargetCourses, TargetStart, WishStart, run_courses
from genplan.forecast.held_up import Holding
from genplan.forecast.line import Line, WeekFacts, straight_line
from genplan.forecast.rates import Rate, rate_of
from genplan.forecast.values import (
    EARLY,
    LATE,
    Assumptions,
    Forecast,
    Milestone,
    TargetForecast,
    Verdict,
    WishForecast,
)
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.needs import wished_tuples

COURSES = 300
"""With so many, the share of courses that a range holds is off by five in a hundred at most, nearly always."""

KEPT_SHARE, KEPT_SECONDS = 0.2, 60.0
"""What the line leaves of the budget for the courses."""

Progress = Callable[[str], None]


def forecast(
    case: Case,
    log: Log,
    weeks: Sequence[Week],
    now: datetime,
    facts: Mapping[Week, WeekFacts],
    executor: Executor,
    progress: Progress,
    teaching_weeks: int,
    seed: int,
    courses: int = COURSES,
    told_before: bool = False,
    rates: Mapping[str, Drawn] | None = None,
    budget: Budget = ENDLESS,
) -> Forecast:
    """What is ahead for each mastered target in these weeks, which follow each other.

    `log` holds what counts as run before them. `rates` (target id -> rate) take the place of what the log says of how
    often probes are met. Raises SolverError and AuditError."""
    line_budget = budget.keeping(KEPT_SHARE, KEPT_SECONDS)
    line = straight_line(case, log, weeks, now, facts, executor, progress, teaching_weeks, line_budget)
    known = {t.id: rate_of(case, t, log) for t in case.mastered}
    learners = sorted({t.learner for t in case.mastered})
    jobs = [
        CoursesJob(
            learner,
            tuple(_start(line.before[t.id]) for t in case.mastered if t.learner == learner),
            {**known, **(rates or {})},
            line.weeks,
            teaching_weeks,
            courses,
            seed,
        )
        for learner in learners
    ]
    found: dict[str, TargetCourses] = {}
    running = [executor.submit(run_courses, job, budget) for job in jobs]
    for number, own in enumerate(running, 1):
        found |= own.result()
        progress(f"{courses} courses for {number} of {len(learners)} learners")
    targets = tuple(_target(case, t, line, known[t.id], found[t.id]) for t in case.mastered)
    run = min((len(own.rates) for own in found.values()), default=courses)
    taken = Assumptions(teaching_weeks, run, seed, told_before)
    return Forecast(now, tuple(weeks), targets, taken, line.repeatable and run == courses)


def _start(count: Tally) -> TargetStart:
    criterion = criterion_of(count)
    reachable = criterion.is_set and not criterion.out_of_reach
    return TargetStart(
        count.target,
        count.open,
        frozenset(c for c, s in count.standings.items() if s.status is Status.MET),
        {p.dimension: p.wanted for p in criterion.parts} if reachable else {},
        _wishes(count),
    )


def _wishes(count: Tally) -> tuple[WishStart, ...]:
    probed = count.possible - (count.taught - count.tested)
    return tuple(
        WishStart(
            wish.by,
            wished_tuples(count.target, wish.pattern, count.open),
            wished_tuples(count.target, wish.pattern, probed),
        )
        for wish in count.target.first
        if wish.by is not None
    )


def _target(case: Case, target: Target, line: Line, rate: Rate, courses: TargetCourses) -> TargetForecast:
    holding = Holding(case, line, target)
    criterion = criterion_of(line.before[target.id])
    out_of_reach = bool(criterion.out_of_reach) and not criterion.is_met
    number = len(line.weeks)
    generalised = _milestone(holding.generalised_in, courses.generalised, number)
    drawn = sorted(courses.rates)
    return TargetForecast(
        target.learner,
        target.id,
        rate,
        (drawn[int(EARLY * len(drawn))], drawn[min(int(LATE * len(drawn)), len(drawn) - 1)]),
        _milestone(holding.covered_in, courses.covered, number),
        generalised if criterion.is_set and not out_of_reach else None,
        out_of_reach,
        _wish_forecasts(holding, courses),
        holding.target_held_up(),
    )


def _milestone(line: int | None, reached: Sequence[int | None], weeks: int) -> Milestone:
    shares = tuple(sum(r is not None and r <= i for r in reached) / len(reached) for i in range(weeks))
    return Milestone(line == -1, line, shares)


def _wish_forecasts(holding: Holding, courses: TargetCourses) -> tuple[WishForecast, ...]:
    line, target = holding.line, holding.target
    last = line.weeks[-1].week.sunday
    dated = [w for w in target.first if w.by is not None]
    found = []
    for n, (wish, start) in enumerate(zip(dated, _wishes(line.before[target.id]), strict=True)):
        done = not start.open
        tried, met = (sum(c[n] for c in of) / len(of) for of in (courses.tried, courses.met))
        one = WishForecast(
            wish, start.by, done, _shown_on(line, target, start.open), tried, met, start.by > last, None
        )
        if one.verdict is not Verdict.YES:
            held_up = holding.wish_held_up(start.open, start.by)
            one = WishForecast(wish, start.by, done, one.line, tried, met, one.beyond, held_up)
        found.append(one)
    return tuple(found)


def _shown_on(line: Line, target: Target, wanted: frozenset[Tuple]) -> date | None:
    """The day of the line on which the last of these tuples is shown; None: not in its weeks, or there are none."""
    left = set(wanted)
    for week in line.weeks:
        for seat in sorted(week.seats, key=lambda s: s.start):
            for probe in seat.probes:
                if probe.target == target.id and left:
                    left.difference_update(tuples_of(target, probe.combination))
                    if not left:
                        return week.week.days[seat.day]
    return None
