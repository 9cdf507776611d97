"""What the tuples of a target, or of several, are called: pairs, triples, combinations; and one combination by the
names of its values."""

from __future__ import annotations

from collections.abc import Iterable

from genplan.case import Case, Combination, Target
from genplan.language import N_, _, and_list, ngettext, or_list, said


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
    return _("{n} new {tuple}", n=n, tuple=one) if n == 1 else _("{n} new {tuples}", n=n, tuples=several)


def _size(target: Target) -> int:
    """0 for a whole combination."""
    return 0 if target.strength == len(target.dimensions) else target.strength


_ONE = {0: N_("combination"), 1: N_("single value"), 2: N_("pair"), 3: N_("triple")}
_SEVERAL = {0: N_("combinations"), 1: N_("single values"), 2: N_("pairs"), 3: N_("triples")}


def _english(size: int) -> str:
    """By which they are put in order, the same in every language."""
    return _ONE.get(size, f"{size}-way group")


def _one(size: int) -> str:
    return said(_ONE[size]) if size in _ONE else _("{size}-way group", size=size)


def _several(size: int) -> str:
    return said(_SEVERAL[size]) if size in _SEVERAL else _("{size}-way groups", size=size)


def combination_words(case: Case, target: Target, combination: Combination, between: str = ", ") -> str:
    """All values by name, in the order of the dimensions."""
    values = zip(target.dimension_names, combination, strict=True)
    return between.join(case.called(*value) for value in values)
