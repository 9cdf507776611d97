"""The plan of a term, from the facts to plain values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from genplan.case.windows import merge
from genplan.plan import StageStatus
from genplan.plan.term import Promise, Term, TermCheck, TermDate, TermLoad, TermProbe, Whose
from genplan.planning.jobs import Workers
from genplan.planning.term.hanging import what_it_hangs_on
from genplan.planning.term.meetings import WeekOfTerm
from genplan.planning.term.no_ways import without_a_way
from genplan.planning.term.problem import TermAnswer, TermProblem
from genplan.planning.term.searches import Searched, searched
from genplan.planning.term.shortages import shortages_of, used_in
from genplan.planning.term.wanted import TermFacts, dates_of
from genplan.rules.amounts import ADULT_AMOUNTS, Span, Unit
from genplan.rules.placed_sittings import of_adult


def term_of(facts: TermFacts, workers: Workers) -> Term:
    """The plan of the weeks. Nothing is searched where no date lies in them."""
    dates, told = dates_of(facts), tuple(facts.weeks[n] for n in sorted(facts.told))
    if not dates.wanted:
        status = StageStatus.OPTIMAL
        return Term(
            weeks=facts.weeks,
            dates=(),
            probes=(),
            bound=0,
            status=status,
            over=dates.over,
            later=dates.later,
            tried=dates.tried,
            not_possible=dates.not_possible,
            still_taught=dates.still_taught,
            told=told,
        )
    found = searched(facts, dates.wanted, workers)
    problem, answer = found.problem, found.answer
    proven = StageStatus.OPTIMAL if found.kept == found.bound else StageStatus.BEST_SO_FAR
    return Term(
        weeks=facts.weeks,
        dates=tuple(_dates(facts, found)),
        probes=tuple(_probes(problem, answer)),
        bound=found.bound,
        bound_beside_due=found.bound_beside_due,
        status=proven if found.repeatable or found.kept == found.bound else StageStatus.STOPPED,
        checks=tuple(_checks(found)),
        loads=tuple(_loads(facts, problem, answer, found.weeks)),
        over=dates.over,
        later=dates.later,
        tried=dates.tried,
        not_possible=dates.not_possible,
        still_taught=dates.still_taught,
        repeatable=found.repeatable,
        told=told,
    )


def _probes(problem: TermProblem, answer: TermAnswer) -> list[TermProbe]:
    """Those of dates."""
    found = [_probe(problem, *way) for way in answer.probes if problem.columns[way[0]].check is None]
    return sorted(found, key=lambda p: (p.week, p.first, p.learner, p.target, p.combination))


def _probe(problem: TermProblem, number: int, at: int) -> TermProbe:
    column, m = problem.columns[number], problem.meetings[at]
    return TermProbe(
        learner=m.learner,
        target=column.target,
        combination=column.combination,
        shows=frozenset(column.shows),
        week=m.week,
        first=m.first,
        last=m.last,
    )


def _checks(found: Searched) -> Iterator[TermCheck]:
    """What is due, each with its place in the term if it has one."""
    problem = found.problem
    answering = {problem.columns[way[0]].check: way for way in found.answer.probes}
    for number, check in enumerate(found.checks):
        way = answering.get(number)
        yield TermCheck(
            learner=check.learner,
            target=check.target,
            kind=check.kind,
            due=check.due,
            probe=_probe(problem, *way) if way else None,
        )


def _dates(facts: TermFacts, found: Searched) -> Iterator[TermDate]:
    problem, answer = found.problem, found.answer
    held, used = set(answer.probes), used_in(problem, answer)
    for wanted, promise in zip(problem.wanted, found.promises, strict=True):
        ways = {t: problem.ways(wanted, t) for t in wanted.tuples}
        missing = sorted(t for t in wanted.tuples if held.isdisjoint(ways[t]))
        wish = facts.case.targets[wanted.target].first[wanted.place]
        assert wish.by is not None
        yield TermDate(
            learner=wanted.learner,
            target=wanted.target,
            place=wanted.place,
            by=wish.by,
            tuples=wanted.tuples,
            promise=promise,
            shown=wanted.tuples - frozenset(missing),
            short=()
            if promise is Promise.KEPT
            else shortages_of(problem, used, (way for t in missing for way in ways[t])),
            no_way=without_a_way(facts, wanted, (t for t in missing if not ways[t])),
            hangs_on=what_it_hangs_on(
                facts,
                wanted.target,
                (
                    problem.columns[n].combination
                    for n, _ in held & {w for some in ways.values() for w in some}
                ),
            ),
        )


def _loads(
    facts: TermFacts, problem: TermProblem, answer: TermAnswer, weeks: Sequence[WeekOfTerm]
) -> Iterator[TermLoad]:
    """Of everybody who can meet a child with a date, the children themselves left out."""
    used: dict[tuple[Whose, str, int], int] = defaultdict(int)
    sittings: dict[tuple[Whose, str, int], int] = defaultdict(int)
    for at, count in answer.sittings.items():
        m = problem.meetings[at]
        for key in _shared(m.adult, m.location):
            used[*key, m.week] += count * weeks[m.week].case.policy.settle_minutes
            sittings[*key, m.week] += count
    for number, at in answer.probes:
        m = problem.meetings[at]
        for key in _shared(m.adult, m.location):
            used[*key, m.week] += problem.columns[number].minutes
    for whose, name in sorted({k for m in problem.meetings for k in _shared(m.adult, m.location)}):
        load = TermLoad(
            whose=whose,
            name=name,
            used=tuple(used[whose, name, w.index] for w in weeks),
            free=tuple(_minutes(week, whose, name) for week in weeks),
        )
        if whose is Whose.ADULT:
            held = tuple(sittings[whose, name, w.index] for w in weeks)
            load = _within_limits(load, held, [_left_of_week(facts, w, name) for w in weeks])
        yield load


def _within_limits(load: TermLoad, sittings: tuple[int, ...], left: Sequence[Mapping[Unit, int]]) -> TermLoad:
    """The load of an adult with what the limits of each week leave."""
    free = tuple(min(f, one.get(Unit.MINUTES, f)) for f, one in zip(load.free, left, strict=True))
    most = tuple(one[Unit.SITTINGS] for one in left if Unit.SITTINGS in one)
    return replace(load, free=free, sittings=sittings if most else (), most_sittings=most)


def _left_of_week(facts: TermFacts, week: WeekOfTerm, adult: str) -> Mapping[Unit, int]:
    """What the limits of an adult's week leave beside the sittings that stay as they are."""
    limits, hers = week.case.adults[adult].limits, of_adult(facts.seats_in(week.index), adult)
    return {
        a.unit: max(0, most - sum(map(a.of, hers)))
        for a in ADULT_AMOUNTS
        if a.span is Span.WEEK and (most := a.most(limits)) is not None
    }


def _shared(adult: str, location: str) -> tuple[tuple[Whose, str], ...]:
    return (Whose.ADULT, adult), (Whose.LOCATION, location)


def _minutes(week: WeekOfTerm, whose: Whose, name: str) -> int:
    place = 1 if whose is Whose.ADULT else 2
    openings = (
        o
        for trio, days in week.days.items()
        if trio[place] == name
        for d in days.values()
        for o in d.openings
    )
    at_once = 1 if whose is Whose.ADULT else week.case.locations[name].capacity
    return at_once * sum(w.length for w in merge(openings))
