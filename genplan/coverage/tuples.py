"""Tuples: values of t dimensions that must have been seen together in one probe."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from itertools import combinations
from operator import itemgetter

from genplan.case import Combination, Pattern, Target

Tuple = tuple[tuple[str, str], ...]
"""(dimension, value) pairs of t dimensions, in the order of the target's dimensions."""


def tuples_of(target: Target, combination: Combination) -> tuple[Tuple, ...]:
    """The tuples of strength t that one combination shows: exactly one for each set of t dimensions."""
    return tuple(combinations(zip(target.dimension_names, combination, strict=True), target.strength))


def tuples_of_all(target: Target, shown: Iterable[Combination]) -> frozenset[Tuple]:
    return tuples_shown_by(target)(shown)


def tuples_shown_by(target: Target) -> Callable[[Iterable[Combination]], frozenset[Tuple]]:
    """The same for one who asks several times. Values get their names once: thousands of combinations show some dozens
    of tuples."""
    columns = [(of, _Named(names)) for names, of in _columns(target)]

    def all_of(shown: Iterable[Combination]) -> frozenset[Tuple]:
        some, found = tuple(shown), set[Tuple]()
        for of, named in columns:
            found.update(map(named.__getitem__, set(map(of, some))))
        return frozenset(found)

    return all_of


def shows_more_than(target: Target, shown: Iterable[Tuple]) -> Callable[[Combination], bool]:
    """Whether a combination shows a tuple that is none of these."""
    known: dict[tuple[str, ...], set[tuple[str, ...]]] = defaultdict(set)
    for tuple_ in shown:
        known[dimensions_of(tuple_)].add(tuple(value for _, value in tuple_))
    columns = [(of, known[names]) for names, of in _columns(target)]

    def shows_more(combination: Combination) -> bool:
        for of, values in columns:  # noqa: SIM110 (asked very often: `any` takes twice as long)
            if of(combination) not in values:
                return True
        return False

    return shows_more


def _columns(target: Target) -> list[tuple[tuple[str, ...], Callable[[Combination], tuple[str, ...]]]]:
    """Each set of t dimensions, and what a combination holds of them."""
    names = target.dimension_names
    return [
        (
            tuple(names[n] for n in at),
            itemgetter(*at) if len(at) > 1 else itemgetter(slice(at[0], at[0] + 1)),
        )
        for at in combinations(range(len(names)), target.strength)
    ]


class _Named(dict[tuple[str, ...], Tuple]):
    """Values of some dimensions with the names of these."""

    def __init__(self, names: Iterable[str]) -> None:
        self._names = names

    def __missing__(self, values: tuple[str, ...]) -> Tuple:
        self[values] = named = tuple(zip(self._names, values, strict=True))
        return named


def tuples_of_pattern(target: Target, pattern: Pattern) -> tuple[Tuple, ...]:
    """The tuples among the dimensions that a pattern gives; none if it gives fewer than t."""
    given = [(name, pattern[name]) for name in target.dimension_names if name in pattern]
    return tuple(combinations(given, target.strength))


def tuples_named_as_taught(target: Target) -> frozenset[Tuple]:
    return frozenset(t for pattern in target.taught for t in tuples_of_pattern(target, pattern))


def dimensions_of(tuple_: Tuple) -> tuple[str, ...]:
    """The set of dimensions that a tuple speaks of."""
    return tuple(name for name, _ in tuple_)


def wished_tuples(target: Target, pattern: Pattern, tuples: Iterable[Tuple]) -> frozenset[Tuple]:
    """Those of the tuples that hold as much of the pattern as a tuple can: all of it where it names at most t values, t
    of its values where it names more."""
    wanted = set(pattern.items())
    enough = min(len(wanted), target.strength)
    return frozenset(t for t in tuples if len(wanted.intersection(t)) == enough)
