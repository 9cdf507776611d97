"""A design found without a search: it shows everything, in seldom many more probes than the smallest."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heapify, heapreplace

from genplan.case import Combination
from genplan.coverage.tuples import Tuple


def greedy_design(columns: Sequence[tuple[Combination, Sequence[Tuple]]]) -> frozenset[int]:
    """Indices of columns that show everything, the one that shows most first: a start for the search. What a column
    shows only gets less, so one is counted anew when it would be the next."""
    shown = [set(shows) for _, shows in columns]
    left: set[Tuple] = set().union(*shown)
    most = [(-len(shows), i) for i, shows in enumerate(shown)]
    heapify(most)
    picks: list[int] = []
    while left:
        before, best = most[0]
        now = -len(left & shown[best])
        if now != before:
            heapreplace(most, (now, best))
            continue
        picks.append(best)
        left -= shown[best]
    return frozenset(picks)
