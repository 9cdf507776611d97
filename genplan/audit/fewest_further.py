"""The fewest probes that would finish what a plan leaves open, found by trying: exactly, or not at all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from functools import lru_cache
from itertools import chain

from genplan.audit.choices_left import left_of
from genplan.audit.context import AuditContext
from genplan.audit.history import Shown
from genplan.audit.shown_tuples import fresh_in_plan
from genplan.case import Combination

TRIED_AT_MOST = 20_000
"""Partial answers looked at for one target: well under a second."""


def fewest_further(matter: AuditContext) -> int | None:
    """Over all targets; None where one has too much open for all to be tried."""
    total = 0
    for target in matter.case.mastered:
        left, shown = left_of(matter, target), fresh_in_plan(matter, target)
        fewest = fewest_that_show({c: shows - shown for c, shows in (*left.new.items(), *left.later.items())})
        if fewest is None:
            return None
        total += fewest
    return total


def fewest_that_show(columns: Mapping[Combination, frozenset[Shown]]) -> int | None:
    """The fewest combinations that together show all that these show; None where there is too much to try."""
    shows = list({shown for shown in columns.values() if shown})
    everything = frozenset[Shown]().union(*shows)
    tries = [TRIED_AT_MOST]
    for size in range(_needed(everything), len(everything) + 1):
        found = _is_shown_by(size, everything, shows, tries)
        if tries[0] <= 0:
            return None
        if found:
            return size
    return None


def _is_shown_by(most: int, left: frozenset[Shown], shows: list[frozenset[Shown]], tries: list[int]) -> bool:
    """Whether so many of these show all that is left. What fewest of them show has to be shown by one of those."""
    if not left:
        return True
    tries[0] -= 1
    if tries[0] <= 0 or _needed(left) > most:
        return False
    of_it = [some & left for some in shows]
    often = Counter(chain.from_iterable(of_it))
    rarest = min(left, key=lambda shown: (often[shown], shown))
    able = sorted((s for s in of_it if rarest in s), key=lambda s: (-len(s), sorted(s)))
    return any(_is_shown_by(most - 1, left - some, of_it, tries) for some in able)


def _needed(left: frozenset[Shown]) -> int:
    """A probe shows one of each set of dimensions, so it takes as many as there are open of one set."""
    return max(Counter(_dimensions(shown) for shown in left).values(), default=0)


@lru_cache(maxsize=4000)
def _dimensions(shown: Shown) -> tuple[int, ...]:
    return tuple(at for at, _ in shown)
