"""The plan of a term, from the facts to plain values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from genplan.case.windows import merge
from genplan.coverage.tuples import Tuple
from genplan.plan import StageStatus
from genplan.plan.term import Promise, Term, TermDate, TermLoad, TermProbe, Whose
from genplan.planning.jobs import Workers, run_term
from genplan.planning.needs import TargetNeed
from genplan.planning.term.capacities import capacities_in
from genplan.planning.term.meetings import WeekOfTerm, week_of_term
from genplan.planning.term.problem import Capacity, Column, Meeting, TermAnswer, TermProblem, Wanted
from genplan.planning.term.shortages import shortages_of, used_in
from genplan.planning.term.wanted import (
    TermFacts,
    combinations_from,
    dates_of,
    probes_taken,
    undominated,
    wanted_tuples,
)


def term_of(facts: TermFacts, workers: Workers) -> Term:
    """The plan of the weeks. Nothing is searched where no date lies in them."""
    dates = dates_of(facts)
    if not dates.wanted:
        status = StageStatus.OPTIMAL
        return Term(
            weeks=facts.weeks, dates=(), probes=(), bound=0, status=status, over=dates.over, later=dates.later
        )
    problem, weeks = problem_of(facts, dates.wanted)
    answer = workers.answer(run_term, problem)
    proven = StageStatus.OPTIMAL if answer.proven else StageStatus.BEST_SO_FAR
    return Term(
        weeks=facts.weeks,
        dates=tuple(_dates(facts, problem, answer)),
        probes=tuple(_probes(problem, answer)),
        bound=answer.bound,
        status=proven if answer.repeatable or answer.proven else StageStatus.STOPPED,
        loads=tuple(_loads(problem, answer, weeks)),
        over=dates.over,
        later=dates.later,
        repeatable=answer.repeatable,
    )


def problem_of(facts: TermFacts, wanted: tuple[Wanted, ...]) -> tuple[TermProblem, tuple[WeekOfTerm, ...]]:
    """What the solver is given, and the weeks that it was made of."""
    tuples, needs = wanted_tuples(wanted), {n.id: n for n in facts.ground.needs}
    serving = {t: undominated(combinations_from(facts, needs[t], want)) for t, want in sorted(tuples.items())}
    soonest = {t: [(c, week) for c, _, week in some] for t, some in serving.items()}
    last = max(w.week for w in wanted)
    weeks = tuple(week_of_term(facts, i, wanted, soonest) for i in range(last + 1))
    meetings = tuple(m for week in weeks for m in week.meetings())
    shown = {(t, c): shows for t, some in serving.items() for c, shows, _ in some}
    columns = tuple(_columns(weeks, meetings, shown))
    capacities = tuple(_capacities(facts, weeks, meetings, columns, [needs[t] for t in sorted(tuples)]))
    work = facts.case.policy.solver.work_per_stage
    problem = TermProblem(
        weeks=last + 1, wanted=wanted, columns=columns, meetings=meetings, capacities=capacities, work=work
    )
    return problem.without_slack(), weeks


def _columns(
    weeks: Sequence[WeekOfTerm],
    meetings: Sequence[Meeting],
    shown: Mapping[tuple[str, tuple[str, ...]], tuple[Tuple, ...]],
) -> Iterator[Column]:
    at: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for number, m in enumerate(meetings):
        at[m.learner, m.adult, m.location].append(number)
    for (target, combination), shows in shown.items():
        skill = weeks[0].case.targets[target]
        there = [
            n
            for n in at[skill.learner, combination[0], combination[1]]
            if any(
                meetings[n].first <= day <= meetings[n].last
                for day in weeks[meetings[n].week].hours_for.get((target, combination), ())
            )
        ]
        if there:
            yield Column(
                target=target,
                combination=combination,
                material_set=combination[2],
                minutes=skill.minutes,
                shows=shows,
                meetings=tuple(there),
            )


def _capacities(
    facts: TermFacts,
    weeks: Sequence[WeekOfTerm],
    meetings: Sequence[Meeting],
    columns: Sequence[Column],
    needs: Iterable[TargetNeed],
) -> Iterator[Capacity]:
    taken = {n.id: probes_taken(n, facts) for n in needs}
    for week in weeks:
        here = [(n, m) for n, m in enumerate(meetings) if m.week == week.index]
        run = taken if week.index == 0 else {}
        yield from capacities_in(week, here, columns, facts.seats_in(week.index), run)


def _probes(problem: TermProblem, answer: TermAnswer) -> list[TermProbe]:
    found = []
    for number, at in answer.probes:
        column, m = problem.columns[number], problem.meetings[at]
        found.append(
            TermProbe(
                learner=m.learner,
                target=column.target,
                combination=column.combination,
                shows=frozenset(column.shows),
                week=m.week,
                first=m.first,
                last=m.last,
            )
        )
    return sorted(found, key=lambda p: (p.week, p.first, p.learner, p.target, p.combination))


def _dates(facts: TermFacts, problem: TermProblem, answer: TermAnswer) -> Iterator[TermDate]:
    held, used = set(answer.probes), used_in(problem, answer)
    for wanted, kept, alone in zip(problem.wanted, answer.kept, answer.alone, strict=True):
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
            promise=_promise(kept, alone),
            shown=wanted.tuples - frozenset(missing),
            short=() if kept else shortages_of(problem, used, (way for t in missing for way in ways[t])),
            no_way=tuple(t for t in missing if not ways[t]),
        )


def _promise(kept: bool, alone: bool | None) -> Promise:
    if kept:
        return Promise.KEPT
    return {True: Promise.GIVES_WAY, False: Promise.CANNOT, None: Promise.UNKNOWN}[alone]


def _loads(problem: TermProblem, answer: TermAnswer, weeks: Sequence[WeekOfTerm]) -> Iterator[TermLoad]:
    """Of everybody who can meet a child with a date, the children themselves left out."""
    used: dict[tuple[Whose, str, int], int] = defaultdict(int)
    for at, count in answer.sittings.items():
        m = problem.meetings[at]
        for key in _shared(m.adult, m.location):
            used[*key, m.week] += count * weeks[m.week].case.policy.settle_minutes
    for number, at in answer.probes:
        m = problem.meetings[at]
        for key in _shared(m.adult, m.location):
            used[*key, m.week] += problem.columns[number].minutes
    for whose, name in sorted({k for m in problem.meetings for k in _shared(m.adult, m.location)}):
        free = tuple(_minutes(week, whose, name) for week in weeks)
        yield TermLoad(
            whose=whose, name=name, used=tuple(used[whose, name, w.index] for w in weeks), free=free
        )


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
