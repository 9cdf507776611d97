"""What is used up where a date is not kept: of each way to its missing tuples what has no room for one probe more."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping

from genplan.coverage.tuples import Tuple
from genplan.plan.term import Shortage, Whose
from genplan.planning.term.problem import Capacity, TermAnswer, TermProblem, Wanted

SHOWN_AT_MOST = 3
"""What stands in most of the ways; with more nobody reads which it is."""


def shortages_of(
    problem: TermProblem, answer: TermAnswer, wanted: Wanted, missing: Iterable[Tuple]
) -> tuple[Shortage, ...]:
    """What stands in most ways first, each with the weeks in which it does."""
    used, at_meeting = _used(problem, answer), _by_meeting(problem)
    ways = {way for t in missing for way in problem.ways(wanted, t)}
    times: Counter[tuple[Whose, tuple[str, ...]]] = Counter()
    weeks: dict[tuple[Whose, tuple[str, ...]], set[int]] = defaultdict(set)
    for number, at in sorted(ways):
        full = {
            (c.whose, c.names)
            for i in at_meeting[at]
            if _is_full(problem, c := problem.capacities[i], used[i], number)
        }
        for key in full:
            times[key] += 1
            weeks[key].add(problem.meetings[at].week)
    first = sorted(times, key=lambda k: (-times[k], list(Whose).index(k[0]), k[1]))
    return tuple(
        Shortage(whose=w, names=names, weeks=tuple(sorted(weeks[w, names])))
        for w, names in first[:SHOWN_AT_MOST]
    )


def _by_meeting(problem: TermProblem) -> Mapping[int, list[int]]:
    """The number of a meeting -> the numbers of the capacities that it draws from."""
    found: dict[int, list[int]] = defaultdict(list)
    for number, capacity in enumerate(problem.capacities):
        for at in capacity.meetings:
            found[at].append(number)
    return found


def _used(problem: TermProblem, answer: TermAnswer) -> list[int]:
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
