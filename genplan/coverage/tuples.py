"""Tuples: values of t dimensions that must have been seen together in one probe."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from genplan.case import Combination, Pattern, Target

Tuple = tuple[tuple[str, str], ...]
"""(dimension, value) pairs of t dimensions, in the order of the target's dimensions."""


def tuples_of(target: Target, combination: Combination) -> tuple[Tuple, ...]:
    """The tuples of strength t that one combination shows: exactly one for each set of t dimensions."""
    return tuple(combinations(zip(target.dimension_names, combination, strict=True), target.strength))


def tuples_of_all(target: Target, shown: Iterable[Combination]) -> frozenset[Tuple]:
    """The tuples that any of these combinations shows. The values are looked at before they get their names: thousands
    of combinations show some dozens of tuples."""
    values = tuple(zip(*shown, strict=True)) or ((),) * len(target.dimensions)
    columns = combinations(zip(target.dimension_names, values, strict=True), target.strength)
    return frozenset(
        tuple(zip((name for name, _ in some), together, strict=True))
        for some in columns
        for together in set(zip(*(column for _, column in some), strict=True))
    )


def tuples_of_pattern(target: Target, pattern: Pattern) -> tuple[Tuple, ...]:
    """The tuples among the dimensions that a pattern gives; none if it gives fewer than t."""
    given = [(name, pattern[name]) for name in target.dimension_names if name in pattern]
    return tuple(combinations(given, target.strength))


def tuples_named_as_taught(target: Target) -> frozenset[Tuple]:
    return frozenset(t for pattern in target.taught for t in tuples_of_pattern(target, pattern))


def dimensions_of(tuple_: Tuple) -> tuple[str, ...]:
    """The set of dimensions that a tuple speaks of."""
    return tuple(name for name, _ in tuple_)
