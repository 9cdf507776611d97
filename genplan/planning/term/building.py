"""What the solver is given to plan a term, made of the facts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from genplan.case import Combination
from genplan.coverage.tuples import Tuple
from genplan.planning.needs import TargetNeed
from genplan.planning.term.capacities import capacities_in
from genplan.planning.term.checks import Check
from genplan.planning.term.meetings import Numbered, Trio, WeekOfTerm, by_trio, week_of_term
from genplan.planning.term.problem import Capacity, Column, Meeting, TermProblem, Wanted
from genplan.planning.term.wanted import (
    TermFacts,
    combinations_from,
    probes_taken,
    undominated,
    wanted_tuples,
)


def problem_of(
    facts: TermFacts, wanted: tuple[Wanted, ...], checks: tuple[Check, ...] = ()
) -> tuple[TermProblem, tuple[WeekOfTerm, ...]]:
    """What the solver is given, and the weeks that it was made of; with `checks` what is due comes first in them."""
    tuples, needs = wanted_tuples(wanted), {n.id: n for n in facts.ground.needs}
    stay = {c for some in facts.told.values() for _, c, _ in some}
    serving = {
        t: undominated(combinations_from(facts, needs[t], want), stay) for t, want in sorted(tuples.items())
    }
    last = last_week(wanted)
    when: dict[str, list[tuple[Combination, range]]] = {
        t: [(c, range(week, last + 1)) for c, _, week in some] for t, some in serving.items()
    }
    for check in checks:
        when.setdefault(check.target, []).extend(check.weeks_of_options())
    weeks = tuple(week_of_term(facts, i, wanted, when) for i in range(last + 1))
    meetings = tuple(m for week in weeks for m in week.meetings())
    shown = {(t, c): shows for t, some in serving.items() for c, shows, _ in some}
    at = by_trio(enumerate(meetings))
    new = _as_told(facts, wanted, tuple(_columns(facts, weeks, at, shown)), meetings)
    columns = (*new, *_answering(facts, weeks, at, checks))
    capacities = tuple(_capacities(facts, weeks, meetings, columns, [needs[t] for t in sorted(when)]))
    work = facts.case.policy.solver.work_per_stage
    problem = TermProblem(
        weeks=last + 1,
        wanted=wanted,
        columns=columns,
        meetings=meetings,
        capacities=capacities,
        work=work,
        checks=len(checks),
    )
    return problem.without_slack(), weeks


def last_week(wanted: Iterable[Wanted]) -> int:
    return max(w.week for w in wanted)


def _columns(
    facts: TermFacts,
    weeks: Sequence[WeekOfTerm],
    meetings: Mapping[Trio, Numbered],
    shown: Mapping[tuple[str, Combination], tuple[Tuple, ...]],
) -> Iterator[Column]:
    """Of new probes that dates ask for."""
    for (target, combination), shows in shown.items():
        column = _column(
            weeks,
            target,
            combination,
            partial(facts.days_told, target=target, combination=combination),
            meetings,
        )
        if column.meetings:
            yield replace(column, shows=shows)


def _as_told(
    facts: TermFacts, wanted: Iterable[Wanted], columns: tuple[Column, ...], meetings: Sequence[Meeting]
) -> Iterator[Column]:
    """What a week that stays as it is shows in time for all dates that ask for it needs no other probe, in whatever
    week: so other columns, and the same ones in other weeks, do not count as showing it."""
    asking = tuple(wanted)
    shown = {
        (column.target, t)
        for column in columns
        for at in column.meetings
        if (m := meetings[at]).week in facts.told
        for t in column.shows
        if all(w.is_in_time(m.week, m.last) for w in asking if w.target == column.target and t in w.tuples)
    }
    for column in columns:
        as_told = tuple(at for at in column.meetings if meetings[at].week in facts.told)
        others = tuple(at for at in column.meetings if meetings[at].week not in facts.told)
        left = tuple(t for t in column.shows if (column.target, t) not in shown)
        if as_told:
            yield replace(column, meetings=as_told)
        if others and left:
            yield replace(column, meetings=others, shows=left)


def _answering(
    facts: TermFacts, weeks: Sequence[WeekOfTerm], meetings: Mapping[Trio, Numbered], checks: Iterable[Check]
) -> Iterator[Column]:
    """Of probes that are due."""
    for number, check in enumerate(checks):
        for combination, soonest in check.options:
            days = partial(_days_of_check, facts, check, combination, soonest)
            column = _column(weeks, check.target, combination, days, meetings)
            if column.meetings:
                yield replace(column, check=number)


def _days_of_check(
    facts: TermFacts, check: Check, combination: Combination, soonest: int, week: int
) -> set[int]:
    """One option stands for all with its adult, place and set."""
    return facts.days_told(week, check.target, combination, 3).intersection(check.days_of(soonest, week))


def _column(
    weeks: Sequence[WeekOfTerm],
    target: str,
    combination: Combination,
    days_of: Callable[[int], Collection[int]],
    meetings: Mapping[Trio, Numbered],
) -> Column:
    """In the meetings in which there are hours for it on one of the days."""
    skill = weeks[0].case.targets[target]
    there = (
        n
        for n, m in meetings.get((skill.learner, combination[0], combination[1]), ())
        if any(
            m.first <= day <= m.last and day in days_of(m.week)
            for day in weeks[m.week].hours_for.get((target, combination), ())
        )
    )
    return Column(
        target=target,
        combination=combination,
        material_set=combination[2],
        minutes=skill.minutes,
        shows=(),
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
