"""What a new plan changes in what people were told: plain values, one for each sitting that is not as it was."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from genplan.case import Case
from genplan.case.wishes_of_planners import PlannersWish
from genplan.keeping.banned import bans_lifted
from genplan.keeping.cautions_told import cautions_gone, new_cautions
from genplan.keeping.revision import wished
from genplan.keeping.same_sittings import content, pairs
from genplan.keeping.told import CautionTold, Told
from genplan.plan import Sitting


class Change(StrEnum):
    ADDED = "added"
    MOVED = "moved"
    CONTENT = "other probes"
    BESIDE = "another beside"
    CAUTIONS = "more to look out for"
    ALL_CLEAR = "less to look out for"
    DROPPED = "dropped"
    PUT_AWAY = "to be put away"
    """What was there, whatever became of the sitting: the things are in `more`."""


OF_CAUTIONS = (Change.CAUTIONS, Change.ALL_CLEAR)
"""The sitting itself is as it was."""


@dataclass(frozen=True)
class Difference:
    """`before` is None for an added sitting, `after` for a dropped one. A moved one may hold other probes too; where
    only more or less is to be looked out for, both are alike. `gone` is what people were told to look out for in it and
    need not any more, `more` what they were not told yet. `first` is how one that moved more than once was told at
    first, for whoever did not hear of it since."""

    change: Change
    before: Sitting | None
    after: Sitting | None
    gone: tuple[CautionTold, ...] = ()
    more: tuple[CautionTold, ...] = ()
    first: Sitting | None = None

    @property
    def sitting(self) -> Sitting:
        """The one to order by: as it is now, or as it was."""
        sitting = self.after or self.before
        assert sitting is not None
        return sitting

    @property
    def adults(self) -> tuple[str, ...]:
        """Whom it concerns: who is there, and who was to be."""
        told = [a for s in (self.before, self.after) if s is not None for a in s.adults]
        return tuple(dict.fromkeys(told))


def _kind(before: Sitting, after: Sitting) -> Change:
    """The most that changes: when or where, else the probes, else the second adult."""
    old, new = content(before), content(after)
    if old.when_and_where != new.when_and_where:
        return Change.MOVED
    return Change.CONTENT if old.probes != new.probes else Change.BESIDE


def differences(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish] = (),
    case: Case | None = None,
) -> tuple[Difference, ...]:
    """How a plan differs from what people were told, in order of time. What had begun by `now` never does. A sitting
    that moved as `wishes` of whoever plans say is told as moved. With the `case` cautions are looked at, too."""
    return _in_order(before, sittings, now, wishes, case, is_so=False)


def still_to_tell(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish] = (),
    case: Case | None = None,
) -> Iterator[Difference]:
    """How what is so now, planned or not, differs from what people were told, as far as somebody may still go by it.
    What has begun where people were told that it is differs no more; what began elsewhere does."""
    return (d for d in _in_order(before, sittings, now, wishes, case, is_so=True) if _may_be_gone_by(d, now))


def _in_order(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish],
    case: Case | None,
    *,
    is_so: bool,
) -> tuple[Difference, ...]:
    partner = pairs(before, sittings, now, wished(before, sittings, wishes))
    found = _differences(before, sittings, now, partner, case, is_so)
    return tuple(sorted(found, key=lambda d: (d.sitting.start, d.sitting.id, d.change)))


def _may_be_gone_by(difference: Difference, now: datetime) -> bool:
    """Of a sitting that is to come, or that somebody who is not told of its other time would wait for."""
    before, after = difference.before, difference.after
    if before and after and _was_moved(before, after, now):
        return True
    return any(s is not None and s.start >= now for s in (before, after))


def _was_moved(before: Sitting, after: Sitting, now: datetime) -> bool:
    """Before it began, and one of its two times is not over."""
    elsewhere = (before.location, before.start) != (after.location, after.start)
    return elsewhere and (after.start >= now or before.end > now)


def _differences(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    partner: Mapping[str, Told],
    case: Case | None,
    is_so: bool,
) -> Iterator[Difference]:
    for s in sittings:
        told = partner.get(s.id)
        lifted = bans_lifted(case, before, told, s) if case else ()
        if told is None:
            yield Difference(Change.ADDED, None, s, lifted)
            continue
        if told.sitting.start < now and not (is_so and _was_moved(told.sitting, s, now)):
            continue
        gone, more = (cautions_gone(case, told, s), new_cautions(case, told, s)) if case else ((), ())
        gone = (*lifted, *(c for c in gone if c not in lifted))
        if content(told.sitting) != content(s):
            yield Difference(_kind(told.sitting, s), told.sitting, s, gone, more)
        elif more:
            yield Difference(Change.CAUTIONS, told.sitting, s, gone, more)
        elif gone:
            yield Difference(Change.ALL_CLEAR, told.sitting, s, gone)
    seen = {t.event for t in partner.values()}
    for told in before:
        if not told.cancelled and told.event not in seen and told.sitting.start >= now:
            yield Difference(Change.DROPPED, told.sitting, None)
