"""Fewer choices where a target has too many: the probes of a smallest design, and the most telling of each meeting.

Eleven two-valued dimensions have 2048 combinations; with every hour of the week that is more than a solver needs to
look at. What is left out is not forbidden: it comes back next week, and no bound is claimed from what was looked at.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from genplan.case import Combination
from genplan.case.targets import ADULT, LOCATION
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice, TargetNeed

PRUNE_ABOVE = 600
KEPT_A_MEETING = 12
"""New combinations kept of one adult and location, beside those of the design."""


def pruned(need: TargetNeed, design: Sequence[Combination]) -> TargetNeed:
    """The need itself up to `PRUNE_ABOVE` new choices; with more, one whose new choices are a well-chosen part."""
    new = need.of_kind(ProbeKind.NEW)
    if len(new) <= PRUNE_ABOVE:
        return need
    kept = set(design)
    by_meeting: dict[tuple[str, str], list[Choice]] = defaultdict(list)
    for choice in new:
        meeting = (
            need.target.value(choice.combination, ADULT),
            need.target.value(choice.combination, LOCATION),
        )
        by_meeting[meeting].append(choice)
    for choices in by_meeting.values():
        kept.update(c.combination for c in _most_telling(choices, KEPT_A_MEETING))
    return need.with_new_among(kept)


def _most_telling(choices: Sequence[Choice], most: int) -> list[Choice]:
    """Choices one after the other, each that shows most of what those before it do not."""
    picked: list[Choice] = []
    shown: set[Tuple] = set()
    for _ in range(min(most, len(choices))):
        best = max(choices, key=lambda c: (len(set(c.shows) - shown), c.combination))
        if best in picked:
            break
        picked.append(best)
        shown.update(best.shows)
    return picked
