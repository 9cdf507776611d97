"""What of a week is otherwise than people may still know it. Nobody writes down whether a change was sent, so whoever
missed what was told when the week was kept before is told what is otherwise for them, too, until it is past."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from genplan.case import Case
from genplan.case.wishes_of_planners import PlannersWish
from genplan.keeping.differences import Change, Difference, differences, is_ahead
from genplan.keeping.same_sittings import content, meeting
from genplan.keeping.told import Telling
from genplan.plan import Sitting


@dataclass(frozen=True)
class ToTell:
    """`new` is otherwise than people were told last; `again` for whoever did not hear that: otherwise than they were
    told first of all that is not so any more, where that is another change. Both are as it stands now."""

    new: tuple[Difference, ...]
    again: tuple[Difference, ...]


def to_tell(
    tellings: Sequence[Telling],
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish] = (),
    case: Case | None = None,
) -> ToTell:
    """`tellings` in order of time; `sittings` are what is so now. What is past needs no telling."""
    *earlier, last = [_by_sitting(telling, sittings, now, wishes, case) for telling in tellings] or [{}]
    first: dict[tuple[str, str], Difference] = {}
    for found in earlier:
        first = found | first
    again = [d for key, d in first.items() if key not in last or not _from_the_same(d, last[key])]
    off = {meeting(d.before) for d in last.values() if d.before and not d.after}
    return ToTell(_in_order(last.values()), _in_order(_but_for(off, again)))


def _but_for(off: Collection[tuple[object, ...]], again: Iterable[Difference]) -> Iterator[Difference]:
    """Of a meeting that is called off people hear once, whatever else was to be held in its place."""
    for d in again:
        if d.before is None or meeting(d.before) not in off:
            yield d
        elif d.after:
            yield Difference(Change.ADDED, None, d.after)


def _by_sitting(
    telling: Telling,
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish],
    case: Case | None,
) -> dict[tuple[str, str], Difference]:
    """What is ahead, by what it is called in each telling."""
    events = {t.sitting: t.event for t in telling.told}
    return {
        ("as", d.after.id) if d.after else ("gone", events[d.sitting]): d
        for d in differences(telling.told, sittings, now, wishes, case, is_so=True)
        if is_ahead(d, now)
    }


def _from_the_same(one: Difference, other: Difference) -> bool:
    if one.before is None or other.before is None:
        return one.before is other.before
    return content(one.before) == content(other.before)


def _in_order(found: Iterable[Difference]) -> tuple[Difference, ...]:
    return tuple(sorted(found, key=lambda d: (d.sitting.start, d.sitting.id, d.change)))
