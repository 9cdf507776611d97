"""What of a week is otherwise than people may still know it. Nobody writes down whether a change was sent, so one that
was told when the week was kept before is told again until it is past, as it stands now: who missed it hears of it, and
nobody hears what is not so any more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from genplan.case.wishes_of_planners import PlannersWish
from genplan.keeping.differences import Difference, differences
from genplan.keeping.told import Telling
from genplan.plan import Sitting


@dataclass(frozen=True)
class ToTell:
    """`new` is otherwise than people were told last, `again` otherwise than they were told before that alone. Each is
    told against what was told first of all that is not so any more."""

    new: tuple[Difference, ...]
    again: tuple[Difference, ...]

    @property
    def all(self) -> tuple[Difference, ...]:
        return _in_order((*self.new, *self.again))


def to_tell(
    tellings: Sequence[Telling],
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish] = (),
) -> ToTell:
    """`tellings` in order of time; `sittings` are what is so now. What is past needs no telling."""
    found: dict[tuple[str, str], Difference] = {}
    last: set[tuple[str, str]] = set()
    for telling in tellings:
        events = {t.sitting: t.event for t in telling.told}
        last = set()
        for d in differences(telling.told, sittings, now, wishes):
            if any(s is not None and s.start >= now for s in (d.before, d.after)):
                key = ("as", d.after.id) if d.after else ("gone", events[d.sitting])
                found.setdefault(key, d)
                last.add(key)
    return ToTell(
        _in_order([d for key, d in found.items() if key in last]),
        _in_order([d for key, d in found.items() if key not in last]),
    )


def _in_order(found: Sequence[Difference]) -> tuple[Difference, ...]:
    return tuple(sorted(found, key=lambda d: (d.sitting.start, d.sitting.id, d.change)))
