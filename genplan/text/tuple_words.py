"""What the tuples of a target, or of several, are called: pairs, triples, combinations; and one combination by the
names of its values."""

from __future__ import annotations

from collections.abc import Iterable

from genplan.case import Case, Combination, Target


def tuple_word(target: Target) -> str:
    """What one tuple of the target is called."""
    if target.strength == len(target.dimensions):
        return "combination"
    return {1: "single value", 2: "pair", 3: "triple"}.get(target.strength, f"{target.strength}-way group")


def common_word(targets: Iterable[Target]) -> str:
    """What one tuple is called if all these targets call it the same; else a combination, as anything tried is one."""
    words = {tuple_word(t) for t in targets}
    return words.pop() if len(words) == 1 else "combination"


def combination_words(case: Case, target: Target, combination: Combination, between: str = ", ") -> str:
    """All values by name, in the order of the dimensions."""
    values = zip(target.dimension_names, combination, strict=True)
    return between.join(case.called(*value) for value in values)
