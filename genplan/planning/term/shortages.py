"""What is used up where a date is not kept: of each way to its missing tuples what has no room for one probe more."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from genplan.plan.term import Shortage, Unit, Whose
from genplan.planning.term.problem import Capacity, TermAnswer, TermProblem

Key = tuple[Whose, tuple[str, ...], Unit]
SHOWN_AT_MOST = 3
"""What stands in most of the ways; with more nobody reads which it is."""


def shortages_of(
    problem: TermProblem, used: Sequence[int], ways: Iterable[tuple[int, int]]
) -> tuple[Shortage, ...]:
    """What stands in most of the ways first, each with the weeks in which it does; `used` is what is taken of each
    capacity."""
    times: Counter[Key] = Counter()
    weeks: dict[Key, set[int]] = defaultdict(set)
    for number, at in sorted(set(ways)):
        full = {
            (c.whose, c.names, _unit(c))
            for i in problem.drawn_on[at]
            if _is_full(problem, c := problem.capacities[i], used[i], number)
        }
        for key in full:
            times[key] += 1
            weeks[key].add(problem.meetings[at].week)
    first = sorted(times, key=lambda k: (-times[k], list(Whose).index(k[0]), *k[1:]))
    return tuple(
        Shortage(whose=w, names=names, unit=unit, weeks=tuple(sorted(weeks[w, names, unit])))
        for w, names, unit in first[:SHOWN_AT_MOST]
    )


def _unit(capacity: Capacity) -> Unit:
    if capacity.minute:
        return Unit.MINUTES
    return Unit.PROBES if capacity.probe else Unit.SITTINGS


def used_in(problem: TermProblem, answer: TermAnswer) -> Sequence[int]:
    """What the answer takes of each capacity."""
    by_meeting: Mapping[int, list[int]] = defaultdict(list)
    for number, at in answer.probes:
        by_meeting[at].append(number)
    return [
        sum(
            c.sitting * answer.sittings.get(at, 0)
            + sum(c.of_probe(problem.columns[n]) for n in by_meeting[at])
            for at in c.meetings
        )
        for c in problem.capacities
    ]


def _is_full(problem: TermProblem, capacity: Capacity, taken: int, number: int) -> bool:
    """Whether one more probe, in a sitting of its own, would be too much."""
    return taken + capacity.sitting + capacity.of_probe(problem.columns[number]) > capacity.most
