"""What is asked before a place is taken that no rule forbids: whether one may meet at the home of an adult who is away
or ill. On a day on which the child is written down as ill none is offered."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING

from genplan.workflow.days_ill import days_ill

if TYPE_CHECKING:
    from genplan.case import Case, Week
    from genplan.planning.alternatives import AskFirst, Asking
    from genplan.rules.placed_sittings import PlacedSitting
    from genplan.workflow.told_sittings import ToldSitting
    from genplan.workflow.week_as_told import ToldWeek

ENDINGS = r"(?:['’]?s|['’])?"
"""Of a name that says whose something is: Gran's house, Omas Haus, Hans' Zimmer."""


def homes(case: Case) -> dict[str, tuple[str, ...]]:
    """By location the adults whose home it may be. A case does not say whose home a place is, so the names are all
    that there is to go by: `Gran's house` holds `Gran`."""
    return {
        place.id: tuple(a.id for a in case.adults.values() if _is_called_after(place.name, a.name))
        for place in case.locations.values()
    }


def _is_called_after(place: str, adult: str) -> bool:
    own = re.escape(adult.strip())
    return bool(own) and re.search(rf"(?<!\w){own}{ENDINGS}(?!\w)", place, re.IGNORECASE) is not None


IsAway = Callable[[str, "PlacedSitting"], bool]


def is_away(case: Case, week: Week) -> IsAway:
    """Whether an adult is away, as the case says, in some part of a sitting."""

    def away(adult: str, seat: PlacedSitting) -> bool:
        return any(
            week.minute_of(x.start) < seat.end and week.minute_of(x.end) > seat.start
            for x in case.adults[adult].away
        )

    return away


def home_of_who_is_away(whose: Mapping[str, tuple[str, ...]], away: IsAway, seat: PlacedSitting) -> str:
    """The adult who is away from the home where a sitting is to be; empty where there is none, and where somebody
    whose home it is as well runs the sitting or sits beside."""
    own = whose.get(seat.location, ())
    if not set(own).isdisjoint(seat.adults):
        return ""
    return next((a for a in own if away(a, seat)), "")


def asking_first(week: ToldWeek, asked: ToldSitting) -> Asking:
    """What to ask of each place for the sitting; no place is offered while the child is ill."""
    from genplan.planning.alternatives import AskFirst

    whose, ill = homes(week.case), days_ill(week.opened).get(asked.sitting.learner, ())
    lacking, said_away = set(_lacking(asked)), is_away(week.case, week.week)

    def away(adult: str, seat: PlacedSitting) -> bool:
        of_day = week.week.days[seat.day]
        return (adult in lacking and of_day == asked.sitting.start.date()) or said_away(adult, seat)

    def asking(seat: PlacedSitting) -> AskFirst | None:
        if week.week.days[seat.day] in ill:
            return None
        return AskFirst(home_of_who_is_away(whose, away, seat))

    return asking


def _lacking(asked: ToldSitting) -> Iterator[str]:
    """Which adults the sitting cannot have."""
    from genplan.planning.still_held import OF_ADULTS

    yield from (a.id for a in (*asked.against, *asked.because) if a.kind in OF_ADULTS)
