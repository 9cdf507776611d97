"""What of combinations only failed, whether teaching answered it elsewhere, and the fewest to teach: by trying."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from genplan.case import Combination

Suspect = frozenset[tuple[int, str]]
"""(position of the dimension, value) of the values that only failed together; often a single one."""

TRIED_AT_MOST = 20_000
"""Sets of combinations looked at for one target: well under a second."""


def holds(combination: Combination, suspect: Suspect) -> bool:
    return all(at < len(combination) and combination[at] == value for at, value in suspect)


def suspects_of(combination: Combination, met: Iterable[Combination]) -> frozenset[Suspect]:
    """Values of a failed combination that nothing met holds; where all are held, pairs of them, and so on."""
    met = list(met)
    for size in range(1, len(combination) + 1):
        some = (frozenset(few) for few in combinations(enumerate(combination), size))
        found = frozenset(s for s in some if not any(holds(c, s) for c in met))
        if found:
            return found
    return frozenset()


@dataclass(frozen=True)
class Fewest:
    """The size of the smallest set that holds all that can be held: of combinations that did not fail as few as can be,
    then of all; and the first of such sets. None where there was too much to try."""

    held: frozenset[Suspect]
    others: int | None
    in_all: int | None
    first: tuple[Combination, ...] | None = None


def fewest_that_hold(
    suspects: frozenset[Suspect],
    failed: frozenset[Combination],
    others: frozenset[Combination],
    always: frozenset[Combination] = frozenset(),
    in_order: Sequence[Combination] = (),
) -> Fewest:
    """`failed` are those that failed and may be taught, `others` whatever else may be; `always` are taught anyway.
    Of sets of that size the first has the first of `in_order`, then the next that it can have, and so on."""
    can = frozenset(s for s in suspects if any(holds(c, s) for c in failed | others | always))
    left = frozenset(s for s in can if not any(holds(c, s) for c in always))
    tries = [TRIED_AT_MOST]
    own = _of_use(failed - always, left)
    beside = _of_use(others - always, frozenset(s for s in left if not any(holds(c, s) for c in own)))
    few = _smallest(beside, lambda some: _hold_all((*own, *some), left), tries)
    if few is None:
        return Fewest(can, None, None)
    first = _smallest(
        tuple(sorted((*own, *beside), key=(*in_order, *own, *beside).index)),
        lambda some: len([c for c in some if c in others]) == len(few) and _hold_all(some, left),
        tries,
    )
    return Fewest(can, len(few), None if first is None else len(first) + len(always), first)


def _of_use(some: Iterable[Combination], left: frozenset[Suspect]) -> tuple[Combination, ...]:
    return tuple(sorted(c for c in some if any(holds(c, s) for s in left)))


def _hold_all(some: Sequence[Combination], left: frozenset[Suspect]) -> bool:
    return all(any(holds(c, s) for c in some) for s in left)


def _smallest(
    some: Sequence[Combination], is_enough: Callable[[tuple[Combination, ...]], bool], tries: list[int]
) -> tuple[Combination, ...] | None:
    for size in range(len(some) + 1):
        for few in combinations(some, size):
            tries[0] -= 1
            if tries[0] < 0:
                return None
            if is_enough(few):
                return few
    return None
