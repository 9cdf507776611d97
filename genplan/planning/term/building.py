"""What the solver is given to plan a term, made of the facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
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
    serving = {t: undominated(combinations_from(facts, needs[t], want)) for t, want in sorted(tuples.items())}
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
    columns = (*_columns(weeks, at, shown), *_answering(weeks, at, checks))
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
    weeks: Sequence[WeekOfTerm],
    meetings: Mapping[Trio, Numbered],
    shown: Mapping[tuple[str, Combination], tuple[Tuple, ...]],
) -> Iterator[Column]:
    """Of new probes that dates ask for."""
    for (target, combination), shows in shown.items():
        column = _column(weeks, target, combination, lambda week: range(7), meetings)
        if column.meetings:
            yield replace(column, shows=shows)


def _answering(
    weeks: Sequence[WeekOfTerm], meetings: Mapping[Trio, Numbered], checks: Iterable[Check]
) -> Iterator[Column]:
    """Of probes that are due."""
    for number, check in enumerate(checks):
        for combination, soonest in check.options:
            column = _column(weeks, check.target, combination, partial(check.days_of, soonest), meetings)
            if column.meetings:
                yield replace(column, check=number)


def _column(
    weeks: Sequence[WeekOfTerm],
    target: str,
    combination: Combination,
    days_of: Callable[[int], range],
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
