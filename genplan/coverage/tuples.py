"""Tuples: values of t dimensions that must have been seen together in one probe."""

from __future__ import annotations

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
    columns = [
        (itemgetter(*at) if len(at) > 1 else itemgetter(slice(at[0], at[0] + 1)), _Named(target, at))
        for at in combinations(range(len(target.dimensions)), target.strength)
    ]

    def all_of(shown: Iterable[Combination]) -> frozenset[Tuple]:
        some = tuple(shown)
        return frozenset(named[values] for of, named in columns for values in set(map(of, some)))

    return all_of


class _Named(dict[tuple[str, ...], Tuple]):
    """Values of some dimensions with the names of these."""

    def __init__(self, target: Target, at: Iterable[int]) -> None:
        self._names = [target.dimension_names[n] for n in at]

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
