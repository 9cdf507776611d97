"""What each wish of whoever plans the weeks asks for: a sitting, that one is not there, or two things apart."""

from __future__ import annotations

from dataclasses import dataclass

from genplan.case.windows import Windows
from genplan.case.wishes_of_planners import Apart, PlannersWish
from genplan.plan import Unkept
from genplan.planning.sittings_by_hand import Moved, Place
from genplan.rules.limits import Limit
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class Gone:
    """A sitting of a learner with an adult that is not to be. In these hours nothing of the two is planned; what
    somebody decided may be there, but not in the very place of the sitting, unless both move. `start` and `location`
    are that place, as far as it is known."""

    whom: tuple[str, str]
    hours: Windows
    start: int | None
    location: str

    def is_place_of(self, seat: PlacedSitting) -> bool:
        same = (seat.learner, seat.adult, seat.start) == (*self.whom, self.start)
        return same and self.location in ("", seat.location)


@dataclass(frozen=True)
class Claim:
    """What a wish asks for. `why` is what stands against it whatever else is planned.

    - `seat`: a sitting; of `add` with its one probe
    - `moved`: a sitting that holds as much as fits
    - `gone`: what is not to be
    - `told`: the id of the sitting that is held"""

    wish: PlannersWish
    seat: PlacedSitting | None = None
    moved: Moved | None = None
    gone: Gone | None = None
    apart: Apart | None = None
    told: str = ""
    why: Unkept | None = None
    limits: tuple[Limit, ...] = ()

    @property
    def place(self) -> Place | None:
        if s := self.seat:
            return s.learner, s.adult, s.location, s.start
        return self.moved.place if self.moved else None
