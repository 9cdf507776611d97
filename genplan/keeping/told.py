"""A week as people were told of it, as frozen values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import NamedTuple

from genplan.case import Week
from genplan.plan import Sitting


@dataclass(frozen=True)
class Withdrawn:
    """Who or what was told and is not asked for any more: in the calendar of the location or adult `id` the sitting is
    cancelled until the moment `until`."""

    id: str
    start: datetime
    end: datetime
    until: datetime
    sequence: int
    changed: datetime


@dataclass(frozen=True)
class HandedOut:
    """How an event stood when calendars were given it last, where that is otherwise than it was told: its two
    sequences, and `says`, by which the same content is known again."""

    sequence: int
    use_sequence: int
    says: str


class CautionTold(NamedTuple):
    """What was said to look out for: its kind, the set that it is about, allergens or hazards, its minimum age; 0
    where there is none, or an earlier version of the program did not write it down."""

    kind: str
    material_set: str
    found: tuple[str, ...]
    months: int = 0


@dataclass(frozen=True)
class Told:
    """One sitting as it was last told.

    `event` names its event in calendars and stays when the sitting moves. `sequence` and `changed` are the
    event's SEQUENCE and LAST-MODIFIED; `use_sequence` and `use_changed` those of the location's own event, which
    a change of content leaves alone. `until` is the latest end it was ever told with: so long a calendar may hold
    it. `settled`: it was told for sure; else it is a proposal. `left` are the locations that it was moved away from,
    `released` the second adults who were to be there. `handed_out` is what calendars were given
    since, if that was something else: what is told next goes beyond it. `cautions` were told with it; None: that is not
    known. `banned` are things, of this sitting as it ever was told, that people were told to put away. All moments are
    aware."""

    sitting: Sitting
    event: str
    sequence: int
    changed: datetime
    use_sequence: int
    use_changed: datetime
    until: datetime
    settled: bool
    cancelled: bool = False
    left: tuple[Withdrawn, ...] = ()
    released: tuple[Withdrawn, ...] = ()
    handed_out: HandedOut | None = None
    cautions: tuple[CautionTold, ...] | None = None
    banned: tuple[CautionTold, ...] = ()


@dataclass(frozen=True)
class Telling:
    """What people were told of a week at the moment `kept`."""

    kept: datetime
    told: tuple[Told, ...]


class Person(NamedTuple):
    """Who is told: an `adult`, or a `learner`'s family."""

    kind: str
    id: str


@dataclass(frozen=True)
class Heard:
    """Somebody says that the person was told all there was to tell; `telling` holds that person's sittings alone, as
    they were in force then."""

    person: Person
    telling: Telling


@dataclass(frozen=True)
class KeptWeek:
    """`kept` is when the week was last kept with a change; `told` holds cancelled sittings too. `earlier` is what was
    told before that, first things first: whether the changes since then were sent is known of those who `heard`."""

    week: Week
    kept: datetime
    told: tuple[Told, ...] = field(default_factory=tuple)
    earlier: tuple[Telling, ...] = ()
    heard: tuple[Heard, ...] = ()

    @property
    def last_heard(self) -> dict[Person, Telling]:
        """What each person was told last, of those of whom that is known."""
        return {one.person: one.telling for one in self.heard}

    @property
    def tellings(self) -> tuple[Telling, ...]:
        """All of them, the last one too."""
        last = tuple(replace(t, handed_out=None) for t in self.told)
        return (*self.earlier, Telling(self.kept, last))

    @property
    def sittings(self) -> tuple[Sitting, ...]:
        """What people hold to be planned, in order of time."""
        return tuple(t.sitting for t in self.told if not t.cancelled)

    def called_off(self, sitting: str) -> Told | None:
        """The sitting of this id, where people were told that it is not held."""
        return next((t for t in self.told if t.cancelled and t.sitting.id == sitting), None)


def still_expected(told: Iterable[Told], now: datetime) -> Iterator[Told]:
    """What calendars are given at a moment: without what was called off and no calendar can expect any more."""
    for one in told:
        if not one.cancelled or one.until > now:
            left, released = (tuple(x for x in off if x.until > now) for off in (one.left, one.released))
            yield replace(one, left=left, released=released)
