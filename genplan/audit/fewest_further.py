"""The fewest probes that would finish what a plan leaves open, found by trying: exactly, or not at all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from genplan.audit.choices_left import left_of
from genplan.audit.context import AuditContext
from genplan.audit.history import Shown
from genplan.audit.shown_tuples import fresh_in_plan
from genplan.case import Combination

TRIED_AT_MOST = 2_000
"""Partial answers looked at for one target: a tenth of a second. Measured: of 347 targets of sixty children three have
too much open for it, and with ten times as many one still has."""


def fewest_further(matter: AuditContext) -> tuple[int, int]:
    """Over all targets, from the least to the most: of one that has too much open for all to be tried, what the plan
    tells as proven and as enough, which is looked at by itself (`figures.py`)."""
    least = most = 0
    rows = {row.target: row for row in matter.plan.coverage}
    for target in matter.case.mastered:
        left, shown = left_of(matter, target), fresh_in_plan(matter, target)
        fewest = fewest_that_show({c: shows - shown for c, shows in (*left.new.items(), *left.later.items())})
        row = rows.get(target.id)
        if fewest is not None:
            least, most = least + fewest, most + fewest
        elif row is not None:
            least, most = least + row.fewest_proven, most + row.fewest_further
    return least, most


def fewest_that_show(columns: Mapping[Combination, frozenset[Shown]]) -> int | None:
    """The fewest combinations that together show all that these show; None where there is too much to try. What they
    show are bits of a number, since thousands of such sets are cut with each other."""
    everything = sorted(frozenset[Shown]().union(*columns.values()))
    bit = {shown: 1 << at for at, shown in enumerate(everything)}
    of_dimensions = defaultdict[object, int](int)
    for shown in everything:
        of_dimensions[tuple(at for at, _ in shown)] |= bit[shown]
    shows = {sum(bit[one] for one in shown) for shown in columns.values()}
    kinds = list(of_dimensions.values())
    tries, whole = [TRIED_AT_MOST], (1 << len(everything)) - 1
    for size in range(_needed(whole, kinds), len(everything) + 1):
        found = _is_shown_by(size, whole, shows, kinds, tries)
        if tries[0] <= 0:
            return None
        if found:
            return size
    return None


def _is_shown_by(most: int, left: int, shows: set[int], kinds: Sequence[int], tries: list[int]) -> bool:
    """Whether so many of these show all that is left: not where the largest of them together are too few. What fewest
    of them show has to be shown by one of those."""
    if not left:
        return True
    tries[0] -= 1
    if tries[0] <= 0 or _needed(left, kinds) > most:
        return False
    of_it, able = {some & left for some in shows}, list[int]()
    if sum(sorted((some.bit_count() for some in of_it), reverse=True)[:most]) < left.bit_count():
        return False
    if most == 1:
        return True
    for one in _bits(left):
        those = [some for some in of_it if some & one]
        if not able or len(those) < len(able):
            able = those
            if len(able) == 1:
                break
    able.sort(key=lambda some: (-some.bit_count(), some))
    return any(_is_shown_by(most - 1, left & ~some, of_it, kinds, tries) for some in able)


def _bits(number: int) -> Iterator[int]:
    while number:
        yield number & -number
        number &= number - 1


def _needed(left: int, kinds: Iterable[int]) -> int:
    """A probe shows one of each set of dimensions, so it takes as many as there are open of one set."""
    return max(((left & kind).bit_count() for kind in kinds), default=0)
