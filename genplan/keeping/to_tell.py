"""What of a week is otherwise than people may still know it. Nobody writes down whether a change was sent, so whoever
missed what was told when the week was kept before is told what is otherwise for them, too, until it is past."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from genplan.case import Case
from genplan.case.wishes_of_planners import PlannersWish
from genplan.keeping.differences import Change, Difference, still_to_tell
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
    """`tellings` in order of time; `sittings` are what is so now, what has begun among them."""
    *earlier, last = [_by_sitting(telling, sittings, now, wishes, case) for telling in tellings] or [{}]
    first: dict[tuple[str, str], Difference] = {}
    for found in earlier:
        first = found | first
    again = [d for key, found in first.items() if (d := _again(found, last.get(key)))]
    last = {key: _with_first(d, first.get(key)) for key, d in last.items()}
    off = {meeting(d.before) for d in last.values() if d.before and not d.after}
    return ToTell(_in_order(last.values()), _in_order(_but_for(off, again)))


def _but_for(off: Collection[tuple[object, ...]], again: Iterable[Difference]) -> Iterator[Difference]:
    """Of a meeting that is called off people hear once, whatever else was to be held in its place."""
    for d in again:
        if d.before is None or meeting(d.before) not in off:
            yield d
        elif d.after and not d.past:
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
        for d in still_to_tell(telling.told, sittings, now, wishes, case)
    }


def _moved_twice(earlier: Difference, last: Difference) -> bool:
    return earlier.change is last.change is Change.MOVED and not _from_the_same(earlier, last)


def _with_first(last: Difference, earlier: Difference | None) -> Difference:
    """One line holds all of a sitting that moved more than once: else it reads like two."""
    if earlier is None or earlier.before is None or last.before is None or not _moved_twice(earlier, last):
        return last
    same = content(earlier.before).when_and_where == content(last.before).when_and_where
    return last if same else replace(last, first=earlier.before)


def _again(earlier: Difference, last: Difference | None) -> Difference | None:
    """What whoever missed that is to be told beside the last change: nothing of what that says."""
    if last is None:
        return earlier
    if _from_the_same(earlier, last):
        return None
    if earlier.before is None or last.before is None or not _moved_twice(earlier, last):
        return earlier
    now, old, before = earlier.sitting, content(earlier.before), content(last.before)
    if (old.probes, old.second_adult) == (before.probes, before.second_adult):
        return None
    # what is otherwise in it, and not a second time that it moved
    there = replace(earlier.before, start=now.start, end=now.end, location=now.location)
    if content(there) == content(now):
        return None
    change = Change.CONTENT if old.probes != content(now).probes else Change.BESIDE
    return replace(earlier, change=change, before=there)


def _from_the_same(one: Difference, other: Difference) -> bool:
    if one.before is None or other.before is None:
        return one.before is other.before
    return content(one.before) == content(other.before)


def _in_order(found: Iterable[Difference]) -> tuple[Difference, ...]:
    return tuple(sorted(found, key=lambda d: (d.sitting.start, d.sitting.id, d.change)))
