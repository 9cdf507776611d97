"""What the tuples of a target, or of several, are called: pairs, triples, combinations; and one combination by the
names of its values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from genplan.case import Case, Combination, Target


def tuple_word(target: Target) -> str:
    """What one tuple of the target is called."""
    if target.strength == len(target.dimensions):
        return "combination"
    return {1: "single value", 2: "pair", 3: "triple"}.get(target.strength, f"{target.strength}-way group")


def common_words(targets: Iterable[Target]) -> tuple[str, str]:
    """What one tuple of any of these targets is called, and what several are: `pair`, `pairs`, or where the targets
    count otherwise `pair or single value`, `pairs and single values`. A combination holds several of them."""
    words = sorted({tuple_word(t) for t in targets}) or ["combination"]
    return _joined(words, "or"), _joined([f"{word}s" for word in words], "and")


def _joined(words: Sequence[str], by: str) -> str:
    *most, last = words
    return f"{', '.join(most)} {by} {last}" if most else last


def combination_words(case: Case, target: Target, combination: Combination, between: str = ", ") -> str:
    """All values by name, in the order of the dimensions."""
    values = zip(target.dimension_names, combination, strict=True)
    return between.join(case.called(*value) for value in values)
