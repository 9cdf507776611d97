"""The forecast put together: the line, the courses of each learner, and what they say of each target."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from genplan.case import Case, Combination, Target, Week
from genplan.case.targets import Teach
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally, tally
from genplan.coverage.tuples import Tuple, tuples_of, wished_tuples
from genplan.coverage.wishes_not_possible import wished_on, wishes_not_possible
from genplan.evidence.log import Log, Result
from genplan.evidence.standing import Status
from genplan.evidence.where_taught import is_named_as_taught
from genplan.forecast.baseline import Baseline, WeekFacts, baseline_projection
from genplan.forecast.bottleneck import BottleneckAnalysis
from genplan.forecast.dates_held_up import wish_held_up
from genplan.forecast.rates import Rate, rate_of
from genplan.forecast.simulation import (
    Drawn,
    SimulationJob,
    TargetRuns,
    TargetStart,
    WishStart,
    dice_of,
    run_simulation,
)
from genplan.forecast.sittings_that_fall_through import sittings_so_far
from genplan.forecast.values import (
    BEFORE,
    EARLY,
    LATE,
    Assumptions,
    BottleneckKind,
    Forecast,
    HeldUp,
    Milestone,
    TargetForecast,
    Verdict,
    WishForecast,
)
from genplan.keeping.optimistic_log import optimistic_log
from genplan.language import _
from genplan.plan import Note, Sitting
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.progress import Say
from genplan.planning.term.wanted import still_taught

COURSES = 300
"""With so many, the share of courses that a range holds is off by five in a hundred at most, nearly always."""

KEPT_SHARE, KEPT_SECONDS = 0.2, 60.0
"""What the line leaves of the budget for the courses."""


def forecast(
    case: Case,
    log: Log,
    weeks: Sequence[Week],
    now: datetime,
    facts: Mapping[Week, WeekFacts],
    executor: Executor,
    progress: Say,
    teaching_weeks: int,
    seed: int,
    courses: int = COURSES,
    told: Sequence[Sitting] = (),
    not_counted: tuple[Note, ...] = (),
    rates: Mapping[str, Drawn] | None = None,
    budget: Budget = ENDLESS,
) -> Forecast:
    """What is ahead for each mastered target in these weeks, which follow each other.

    `log` holds what was run. `told` are sittings ahead of the weeks that people were told of: the weeks are planned as
    if they were met, but of how often probes are met they say nothing. `not_counted` is said of others, which can no
    longer be held. `rates` (target id -> rate) take the place of what the log says of how often they are met. Raises
    SolverError and AuditError."""
    expected, line_budget = optimistic_log(log, told), budget.keeping(KEPT_SHARE, KEPT_SECONDS)
    line = baseline_projection(
        case, expected, weeks, now, facts, executor, progress, teaching_weeks, line_budget
    )
    known = {t.id: rate_of(case, t, log) for t in case.mastered}
    sittings = sittings_so_far(case, log)
    learners = sorted({t.learner for t in case.mastered})
    jobs = [
        SimulationJob(
            learner=learner,
            starts=tuple(
                _start(case, expected, line.before[t.id], now.date())
                for t in case.mastered
                if t.learner == learner
            ),
            rates={**known, **(rates or {})},
            weeks=line.weeks,
            teaching_weeks=teaching_weeks,
            courses=courses,
            dice=dice_of(learner, seed),
            sittings=sittings,
        )
        for learner in learners
    ]
    found: dict[str, TargetRuns] = {}
    running = [executor.submit(run_simulation, job, budget) for job in jobs]
    for number, own in enumerate(running, 1):
        found |= own.result()
        progress(
            _(
                "{courses} courses for {number} of {learners} learners",
                courses=courses,
                number=number,
                learners=len(learners),
            )
        )
    before = Before(log, tuple(told), now.date())
    targets = tuple(
        _target(case, t, line, known[t.id], found[t.id], before, teaching_weeks) for t in case.mastered
    )
    begun = [s for s in facts.get(weeks[0], WeekFacts()).kept if s.start < now]
    unwritten = any(
        not log.speaks_of(p.target, p.combination, s.start.date())
        for s in begun
        for p in s.probes
        if p.kind.is_probe
    )
    run = min((len(own.rates) for own in found.values()), default=courses)
    taken = Assumptions(
        teaching_weeks=teaching_weeks,
        courses=run,
        seed=seed,
        told_before=bool(told),
        not_counted=not_counted,
        unwritten=unwritten,
        teaching_planned=case.policy.plan_teaching,
        sittings=sittings,
    )
    return Forecast(
        now=now,
        weeks=tuple(weeks),
        targets=targets,
        assumptions=taken,
        still_taught=tuple(still_taught(case)),
        repeatable=line.repeatable and run == courses,
    )


@dataclass(frozen=True)
class Before:
    """What is known before the first week: `log` of what was run, `told` of what is to be run until then."""

    log: Log
    told: tuple[Sitting, ...]
    today: date

    def tally(self, case: Case, target: Target) -> Tally:
        """How the target stands by what was run alone."""
        return tally(case, target, self.log, self.today)

    def days(self, target: Target) -> Iterator[tuple[date, Combination]]:
        """Each probe of the target that is to be run until then, in order of time."""
        for sitting in sorted(self.told, key=lambda s: s.start):
            for probe in sitting.probes:
                if probe.target == target.id and probe.kind.is_test:
                    yield sitting.start.date(), probe.combination


def _start(case: Case, log: Log, count: Tally, on: date) -> TargetStart:
    criterion = criterion_of(count)
    reachable = criterion.is_set and not criterion.is_out_of_reach
    target = count.target
    everything = {*count.possible_combinations, *count.standings}
    taught = (c for c in everything if count.standing(c).taught or is_named_as_taught(target, c))
    return TargetStart(
        target=count.target,
        open=count.open,
        met=frozenset(c for c, s in count.standings.items() if s.status is Status.MET),
        wanted={p.dimension: p.wanted for p in criterion.parts} if reachable else {},
        asked=tuple(a.values for a in criterion.asked) if reachable else (),
        taught=frozenset(taught) if target.generalised_untaught else frozenset(),
        wishes=_wishes(case, count, on),
        fewest=_fewest(case, log, count),
    )


def _fewest(case: Case, log: Log, count: Tally) -> tuple[Tally, tuple[Result, ...]] | None:
    """Nothing where failures are taught themselves. Of rows what nobody counts by is left out."""
    if count.target.teach is not Teach.FEWEST or not case.policy.plan_teaching:
        return None
    rows = (replace(r, note="", observer="", observer_correct=None) for r in log.of_target(count.target.id))
    return count, tuple(rows)


def _wishes(case: Case, count: Tally, on: date) -> tuple[WishStart, ...]:
    """Of what the child grows into before the date what is possible then."""
    probed = count.possible - (count.taught - count.tested)
    grown_into = {
        n.place: wished_on(case, count.target, n.wish, n.possible_from)
        for n in wishes_not_possible(case, count, on)
        if n.possible_from is not None and n.in_time
    }
    return tuple(
        WishStart(
            wish.by,
            grown_into.get(place, wished_tuples(count.target, wish.pattern, count.open)),
            grown_into.get(place, wished_tuples(count.target, wish.pattern, probed)),
        )
        for place, wish in enumerate(count.target.first)
        if wish.by is not None
    )


def _target(
    case: Case, target: Target, line: Baseline, rate: Rate, courses: TargetRuns, before: Before, weeks: int
) -> TargetForecast:
    holding = BottleneckAnalysis(case, line, target)
    criterion = criterion_of(line.before[target.id])
    out_of_reach = criterion.is_out_of_reach and not criterion.is_met
    number = len(line.weeks)
    today = before.tally(case, target)
    generalised = _milestone(holding.generalised_in, courses.generalised, number, criterion_of(today).is_met)
    drawn = sorted(courses.rates)
    return TargetForecast(
        learner=target.learner,
        target=target.id,
        rate=rate,
        drawn=(drawn[int(EARLY * len(drawn))], drawn[min(int(LATE * len(drawn)), len(drawn) - 1)]),
        coverage=_milestone(holding.covered_in, courses.covered, number, not today.open),
        generalised=generalised if criterion.is_set and not out_of_reach else None,
        out_of_reach=out_of_reach,
        wishes=_wish_forecasts(holding, courses, before, today, 0 if case.policy.plan_teaching else weeks),
        coverage_held_up=holding.coverage_held_up,
        criterion_held_up=holding.criterion_held_up(generalised.line is not None and generalised.within < 1),
        not_met=tuple(sorted(c for c, s in today.standings.items() if s.status is Status.NOT_MET)),
    )


def _milestone(line: int | None, reached: Sequence[int | None], weeks: int, today: bool) -> Milestone:
    shares = tuple(sum(r is not None and r <= i for r in reached) / len(reached) for i in range(weeks))
    return Milestone(line == BEFORE and today, line, shares)


def _wish_forecasts(
    holding: BottleneckAnalysis, courses: TargetRuns, before: Before, today: Tally, teaching_weeks: int
) -> tuple[WishForecast, ...]:
    line, target = holding.line, holding.target
    first, last = line.weeks[0].week.monday, line.weeks[-1].week.sunday
    dated = [w for w in target.first if w.by is not None]
    places = [place for place, w in enumerate(target.first) if w.by is not None]
    case, on = holding.case, before.today
    starts = zip(_wishes(case, line.before[target.id], on), _wishes(case, today, on), strict=True)
    never = {
        n.place: n
        for n in wishes_not_possible(case, today, on)
        if not n.in_time or n.possible_from is None or n.possible_from > last
    }
    found = []
    for n, (wish, (start, now)) in enumerate(zip(dated, starts, strict=True)):
        tried, met = (sum(c[n] for c in of) / len(of) for of in (courses.tried, courses.met))
        told_on = _last_day(target, now.open - start.open, before.days(target))
        if told_on is not None and told_on > start.by:
            tried = met = 0.0
        shown = _shown_on(line, target, start.open) if start.open else told_on
        one = WishForecast(
            wish=wish,
            by=start.by,
            done=not now.open,
            line=shown,
            tried=tried,
            met=met,
            beyond=start.by > last,
            held_up=None,
            over=start.by < before.today,
            earlier=start.by < first,
            by_told=start.all <= line.before[target.id].met and not now.all <= today.met,
            teaching_weeks=teaching_weeks if _waits_too_long(line, target, start, teaching_weeks) else 0,
        )
        if (place := places[n]) in never:
            held_up = HeldUp(by=BottleneckKind.WISH_NOT_POSSIBLE, not_possible=never[place], dated=True)
            one = replace(one, done=False, line=None, tried=0.0, met=0.0, by_told=False, held_up=held_up)
        elif one.verdict in (Verdict.AT_RISK, Verdict.NO):
            one = replace(one, held_up=wish_held_up(holding, start.open, start.by))
        found.append(one)
    return tuple(found)


def _waits_too_long(line: Baseline, target: Target, start: WishStart, teaching_weeks: int) -> bool:
    """Whether something that it asks for was not met, and is taken to be taught only when its date is over."""
    taught_on = line.weeks[0].week.monday + timedelta(days=7 * teaching_weeks - 1)
    asked = start.all - line.before[target.id].met
    return taught_on + timedelta(days=max(1, target.retest_after_days)) > start.by and any(
        i == target.id and not asked.isdisjoint(tuples_of(target, c)) for i, c in line.waiting
    )


def _shown_on(line: Baseline, target: Target, wanted: frozenset[Tuple]) -> date | None:
    """The day of the line on which the last of these tuples is shown; None: not in its weeks, or there are none."""
    seated = (
        (week.week.days[seat.day], probe.combination)
        for week in line.weeks
        for seat in sorted(week.seats, key=lambda s: s.start)
        for probe in seat.real_probes
        if probe.target == target.id
    )
    return _last_day(target, wanted, seated)


def _last_day(
    target: Target, wanted: frozenset[Tuple], probes: Iterable[tuple[date, Combination]]
) -> date | None:
    """The day of the probe that shows the last of these tuples; None: they do not, or there are none."""
    left = set(wanted)
    for day, combination in probes:
        if left:
            left.difference_update(tuples_of(target, combination))
            if not left:
                return day
    return None
