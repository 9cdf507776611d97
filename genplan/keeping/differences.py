"""What a new plan changes in what people were told: plain values, one for each sitting that is not as it was."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
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


TOLD_AFTERWARDS = timedelta(days=7)
"""So long after its time it is told that something was called off or moved before; our choice, no source."""

OF_CAUTIONS = (Change.CAUTIONS, Change.ALL_CLEAR)
"""The sitting itself is as it was."""


@dataclass(frozen=True)
class Difference:
    """`before` is None for an added sitting, `after` for a dropped one. A moved one may hold other probes too; where
    only more or less is to be looked out for, both are alike. `gone` is what people were told to look out for in it and
    need not any more, `more` what they were not told yet. `first` is how one that moved more than once was told at
    first, for whoever did not hear of it since. `past`: it is over, and who went by what was told was there for
    nothing; `instead` is what the learner had then with another adult."""

    change: Change
    before: Sitting | None
    after: Sitting | None
    gone: tuple[CautionTold, ...] = ()
    more: tuple[CautionTold, ...] = ()
    first: Sitting | None = None
    past: bool = False
    instead: Sitting | None = None

    @property
    def sitting(self) -> Sitting:
        """The one to order by: as it is now, or as it was."""
        sitting = self.after or self.before
        assert sitting is not None
        return sitting

    @property
    def first_moment(self) -> datetime:
        """The earlier of when it was to be and when it is: from then on somebody goes by the one or the other."""
        return min(s.start for s in (self.before, self.after) if s is not None)

    def first_moment_of(self, adult: str) -> datetime:
        """The same for one adult of it, who may be there in one of the two alone."""
        return min(s.start for s in (self.before, self.after) if s is not None and adult in s.adults)

    @property
    def adults(self) -> tuple[str, ...]:
        """Whom it concerns: who is there, and who was to be. Of what is past who was to be."""
        told = [a for s in self._told if s is not None for a in s.adults]
        return tuple(dict.fromkeys(told))

    @property
    def is_of_learner(self) -> bool:
        """Whether it concerns the learner's family: it does not where the child met another adult at the same place and
        time, and that is past."""
        return self.instead is None or self.before is None or self.instead.location != self.before.location

    @property
    def _told(self) -> tuple[Sitting | None, ...]:
        return (self.before,) if self.past else (self.before, self.after)


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
    """How what is so now, planned or not, differs from what people were told, as far as somebody may go by it, or has
    gone: what was called off or moved before it began is told after that, too (`past`). What has begun where people
    were told that it is differs no more. Of `sittings` those are a part that have begun."""
    for d in _in_order(before, sittings, now, wishes, case, is_so=True):
        if d.sitting.start >= now:
            yield d
        elif d.before and d.before.start > now - TOLD_AFTERWARDS:
            yield _as_past(d, d.before, sittings)


def _as_past(difference: Difference, before: Sitting, sittings: Sequence[Sitting]) -> Difference:
    then = (s for s in sittings if (s.learner, s.start) == (before.learner, before.start))
    instead = next(then, None) if difference.after is None else None
    return replace(difference, gone=(), more=(), past=True, instead=instead)


def _in_order(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    wishes: Sequence[PlannersWish],
    case: Case | None,
    *,
    is_so: bool,
) -> tuple[Difference, ...]:
    partner = pairs(before, sittings, now, wished(before, sittings, wishes), is_so=is_so)
    found = _differences(before, sittings, now, partner, case, is_so)
    return tuple(sorted(found, key=lambda d: (d.sitting.start, d.sitting.id, d.change)))


def _is_elsewhere(before: Sitting, after: Sitting) -> bool:
    """Of one whose told time has come: that it is not there and then was told before that."""
    return (before.location, before.start) != (after.location, after.start)


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
        if told.sitting.start < now and not (is_so and _is_elsewhere(told.sitting, s)):
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
        if not told.cancelled and told.event not in seen and (is_so or told.sitting.start >= now):
            yield Difference(Change.DROPPED, told.sitting, None)
