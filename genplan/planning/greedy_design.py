"""A design found without a search: it shows everything, in seldom many more probes than the smallest."""

from __future__ import annotations

from collections.abc import Sequence

from genplan.case import Combination
from genplan.coverage.tuples import Tuple


def greedy_design(columns: Sequence[tuple[Combination, Sequence[Tuple]]]) -> frozenset[int]:
    """Indices of columns that show everything, the one that shows most first: a start for the search."""
    shown = [set(shows) for _, shows in columns]
    left: set[Tuple] = set().union(*shown)
    picks: list[int] = []
    while left:
        best = max(range(len(shown)), key=lambda i: (len(left & shown[i]), -i))
        picks.append(best)
        left -= shown[best]
    return frozenset(picks)
