"""What could be won back of sittings that fell through, each by the best other place for it beside all that stays.

One after the other in order of time, each beside those before it; so all of them together are a week that can be held,
and what it shows is what can be won back at the least: planning the rest of the week anew may find more.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from genplan.planning.alternatives import COUNTED, Alternative, Asking, alternatives
from genplan.planning.figures import coverage_counts
from genplan.planning.week_context import WeekContext
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class Repairs:
    """For each sitting that fell through the best place for it, or None; what all of them win back, by objective."""

    places: tuple[Alternative | None, ...]
    won_back: Mapping[str, int]


def repairs(
    context: WeekContext,
    staying: Sequence[PlacedSitting],
    fallen: Sequence[tuple[PlacedSitting, Asking]],
) -> Repairs:
    """`staying` are the sittings ahead that can still be held, `fallen` those that cannot, as people were told, each
    with what is asked of a place for it."""
    held, places = list(staying), []
    for old, asking in fallen:
        found = alternatives(context, held, old, same_place_too=True, most=1, asking=asking)
        places.append(found[0] if found else None)
        held += [a.seat for a in found]
    return Repairs(tuple(places), shown_more(context, held, staying))


def shown_more(
    context: WeekContext, seats: Sequence[PlacedSitting], than: Sequence[PlacedSitting]
) -> dict[str, int]:
    """What a week shows more than another, by objective; less than 0: it shows less."""
    more, less = (coverage_counts(context.needs, s) for s in (seats, than))
    return {name: more[name] - less[name] for name in COUNTED}
