"""What the tuples of a target, or of several, are called: pairs, triples, combinations; and one combination by the
names of its values."""

from __future__ import annotations

from collections.abc import Iterable

from genplan.case import Case, Combination, Target
from genplan.language import _, and_list, ngettext, or_list


def tuple_word(target: Target) -> str:
    """What one tuple of the target is called."""
    return _one(_size(target))


def tuple_words(target: Target) -> str:
    """What several are."""
    return _several(_size(target))


def counted_tuples(target: Target, n: int) -> str:
    """`1 pair`, `12 pairs`."""
    match _size(target):
        case 0:
            return ngettext("{n} combination", "{n} combinations", n)
        case 1:
            return ngettext("{n} single value", "{n} single values", n)
        case 2:
            return ngettext("{n} pair", "{n} pairs", n)
        case 3:
            return ngettext("{n} triple", "{n} triples", n)
        case size:
            return ngettext("{n} {size}-way group", "{n} {size}-way groups", n, size=size)


def common_words(targets: Iterable[Target]) -> tuple[str, str]:
    """What one tuple of any of these targets is called, and what several are: `pair`, `pairs`, or where the targets
    count otherwise `pair or single value`, `pairs and single values`. A combination holds several of them."""
    sizes = sorted({_size(t) for t in targets} or {0}, key=_english)
    # plain words call them all alike
    ones, several = dict.fromkeys(map(_one, sizes)), dict.fromkeys(map(_several, sizes))
    return or_list([*ones]), and_list([*several])


def new_tuples_text(n: int, one: str, several: str) -> str:
    """`1 new pair`, `12 new pairs`, of what `common_words` gives."""
    return _("{n} new {tuples}", n=n, tuples=one if n == 1 else several)


def _size(target: Target) -> int:
    """0 for a whole combination."""
    return 0 if target.strength == len(target.dimensions) else target.strength


def _english(size: int) -> str:
    """By which they are put in order, the same in every language."""
    return {0: "combination", 1: "single value", 2: "pair", 3: "triple"}.get(size, f"{size}-way group")


def _one(size: int) -> str:
    words = {0: _("combination"), 1: _("single value"), 2: _("pair"), 3: _("triple")}
    return words.get(size) or _("{size}-way group", size=size)


def _several(size: int) -> str:
    words = {0: _("combinations"), 1: _("single values"), 2: _("pairs"), 3: _("triples")}
    return words.get(size) or _("{size}-way groups", size=size)


def combination_words(case: Case, target: Target, combination: Combination, between: str = ", ") -> str:
    """All values by name, in the order of the dimensions."""
    values = zip(target.dimension_names, combination, strict=True)
    return between.join(case.called(*value) for value in values)
