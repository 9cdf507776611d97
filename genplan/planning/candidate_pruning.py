"""Fewer choices for the solver where a target has too many.

Eleven two-valued dimensions have 2048 combinations, each with every hour of the week: too many to look at. Kept are the
probes of a smallest design, and for each adult and location a few that show the most. The others are left out for this
week only. No bound is claimed from a search that did not look at them: then all but that of what is due are counted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from genplan.case import Combination
from genplan.case.targets import ADULT, LOCATION
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.search_settings import SETTINGS


def pruned(need: TargetNeed, design: Sequence[Combination]) -> TargetNeed:
    """The need itself up to `prune_above` new choices; with more, one whose new choices are a well-chosen part."""
    new = need.of_kind(ProbeKind.NEW)
    if len(new) <= SETTINGS.prune_above:
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
        kept.update(c.combination for c in _most_telling(choices, SETTINGS.kept_a_meeting))
    return need.with_new_among(kept)


def _most_telling(choices: Sequence[Choice], most: int) -> list[Choice]:
    """So many choices, picked one by one: always the one that shows the most tuples that no earlier one shows."""
    picked: list[Choice] = []
    shown: set[Tuple] = set()
    for _ in range(min(most, len(choices))):
        best = max(choices, key=lambda c: (len(set(c.shows) - shown), c.combination))
        if best in picked:
            break
        picked.append(best)
        shown.update(best.shows)
    return picked
