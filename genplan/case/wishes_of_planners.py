"""What whoever plans the weeks wishes of one: people have the last word over what the program would choose."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from genplan.case.sitting_ids import SittingId
from genplan.case.week import Week


class WishKind(StrEnum):
    """What is wished, by its word in `changes.yaml`. Where not all can be kept the order decides between as many."""

    HOLD = "hold"
    MOVE = "move"
    ADD = "add"
    NOT = "not"
    APART = "apart"
    RATHER = "rather"


@dataclass(frozen=True, kw_only=True)
class PlannersWish:
    """One wish; moments are naive and local. What says nothing is empty.

    kind      what is wished
    sitting   the id of the sitting that it is about: hold, not, move
    at        when that sitting was to begin, as it was told: its id may be another one's once the week is told anew
    start     of `move` the new start, of `add` the start; of `rather` and `apart` the first moment of the stretch
    end       the end of that stretch, exclusive
    learner   whose sitting: add, rather
    adult     who runs it: add, rather; of `move` another one
    location  where: add; of `move` another one
    target    what is probed: add
    values    of `add` the values of further dimensions, by name
    two       the sittings, or targets, that are to be apart
    note      why
    number    which of the changes it is, from 1
    """

    kind: WishKind
    sitting: str = ""
    at: datetime | None = None
    start: datetime | None = None
    end: datetime | None = None
    learner: str = ""
    adult: str = ""
    location: str = ""
    target: str = ""
    values: tuple[tuple[str, str], ...] = ()
    two: tuple[str, ...] = ()
    note: str = ""
    number: int = field(default=0, compare=False)

    @property
    def order(self) -> tuple[object, ...]:
        """The same whatever the order of the lines."""
        moments = tuple(x.isoformat() if x else "" for x in (self.start, self.end, self.at))
        place = list(WishKind).index(self.kind)
        people = self.learner, self.adult, self.location, self.target
        return place, moments, self.sitting, people, self.values, self.two, self.note

    @property
    def sittings(self) -> tuple[SittingId, ...]:
        """The ids of sittings that it names."""
        return tuple(s for text in (self.sitting, *self.two) if (s := sitting_id(text)))

    def holds_in(self, week: Week) -> bool:
        """Whether it is a wish for the week: that of the sittings it names, or of its dates."""
        if named := self.sittings:
            return all(s.week == week for s in named)
        return self.start is None or self._days_touch(week)

    def _days_touch(self, week: Week) -> bool:
        assert self.start is not None
        if self.end is None:
            return Week.of(self.start.date()) == week
        return self.start.date() <= week.sunday and self.end > datetime.combine(
            week.monday, datetime.min.time()
        )

    def covers(self, day: date) -> bool:
        """Whether a day touches its stretch; without one every day does."""
        if self.start is None or self.end is None:
            return True
        midnight = datetime.combine(day, datetime.min.time())
        return self.start.date() <= day and midnight < self.end


@dataclass(frozen=True, order=True)
class Thing:
    """One of two things that are to be apart: what is of a target, or the sittings of a learner with an adult."""

    target: str = ""
    adult: str = ""
    learner: str = ""


@dataclass(frozen=True, order=True)
class Apart:
    """Two things that are not to be on one of these days of the week (0 is Monday); twice the same: it is on a day once
    at the most."""

    one: Thing
    other: Thing
    days: tuple[int, ...]


@dataclass(frozen=True, order=True)
class Rather:
    """A sitting of the learner with the adult is wanted in `[start, end)`, in minutes of the week."""

    learner: str
    adult: str
    start: int
    end: int


def sitting_id(text: str) -> SittingId | None:
    """The id of a sitting, or None for another text."""
    try:
        return SittingId.parse(text)
    except ValueError:
        return None


def in_order(wishes: Iterable[PlannersWish]) -> tuple[PlannersWish, ...]:
    """Each once."""
    return tuple(sorted(dict.fromkeys(wishes), key=lambda w: w.order))
