"""What is asked before a place is taken that no rule forbids: whether one may meet at the home of an adult who is away
or ill, and whether a child who was ill that day is well again."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from genplan.case import Case
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


def asking_first(week: ToldWeek, asked: ToldSitting) -> Asking:
    """What to ask of each place for the sitting."""
    from genplan.planning.alternatives import AskFirst

    case = week.case
    whose, ill = homes(case), set(_days_ill(week, asked.sitting.learner))
    lacking = set(_lacking(asked))

    def away(adult: str, seat: PlacedSitting) -> bool:
        of_day = week.week.days[seat.day]
        if adult in lacking and of_day == asked.sitting.start.date():
            return True
        return any(
            week.week.minute_of(x.start) < seat.end and week.week.minute_of(x.end) > seat.start
            for x in case.adults[adult].away
        )

    def asking(seat: PlacedSitting) -> AskFirst:
        there = (a for a in whose.get(seat.location, ()) if a not in seat.adults and away(a, seat))
        return AskFirst(next(there, ""), week.week.days[seat.day] in ill)

    return asking


def _lacking(asked: ToldSitting) -> Iterator[str]:
    """Which adults the sitting cannot have."""
    from genplan.planning.still_held import OF_ADULTS

    yield from (a.id for a in (*asked.against, *asked.because) if a.kind in OF_ADULTS)


def _days_ill(week: ToldWeek, learner: str) -> Iterator[date]:
    """Days on which something was not run because the child was ill."""
    from genplan.evidence.sittings_written import child_was_ill

    for row in week.opened.log.results:
        if week.case.targets[row.target].learner == learner and child_was_ill(row):
            yield row.date
