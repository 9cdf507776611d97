"""What became of the sittings of some weeks: those that people were told of, and those of which rows alone tell.

A row belongs to the told sitting of its day, learner and adult that holds it, or else to the first of them; where
nobody was told of one, the rows of one time are a sitting (`evidence/sittings_written.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from genplan.case import Case, Week
from genplan.case.targets import ADULT
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.sittings_written import sittings_written
from genplan.keeping.told import KeptWeek, Told, Withdrawn
from genplan.plan import ProbeKind, Sitting, ToldLately, minutes_of


class Became(StrEnum):
    """`HELD`: a row says that something was run in it. `NOT_RUN`: rows tell of it, and none says that. `CANCELLED`:
    people were told that it is not held. `UNWRITTEN`: it has begun and no row tells of it. `AHEAD`: it has not."""

    HELD = "held"
    NOT_RUN = "not run"
    CANCELLED = "cancelled"
    UNWRITTEN = "unwritten"
    AHEAD = "ahead"

    @property
    def fell_through(self) -> bool:
        return self in (Became.NOT_RUN, Became.CANCELLED)


@dataclass(frozen=True, kw_only=True)
class PastSitting:
    """One sitting. `adults` are all who are there, the one who runs it first; `told` is None where nobody was told of
    it: then its minutes are those that its rows take."""

    day: date
    learner: str
    adults: tuple[str, ...]
    minutes: int
    became: Became
    told: Sitting | None = None
    rows: tuple[Result, ...] = ()
    is_released: bool = False
    """Only the second adult of `told` is meant: that one was told, and later that the sitting does without. It may have
    been held, and is a sitting of its own."""


Meeting = tuple[date, str, str]
"""A day, a learner and the adult who runs the sitting."""


def told_in(kept: Iterable[KeptWeek]) -> tuple[ToldLately, ...]:
    """All that people were told of these weeks."""
    return tuple(ToldLately(one.sitting, one.cancelled) for week in kept for one in week.told)


def released_lately(kept: Iterable[KeptWeek]) -> tuple[PastSitting, ...]:
    """What second adults were told of and are not asked for any more, each as it was told to that adult, in order."""
    found = [_released(one, away) for week in kept for one in week.told for away in one.released]
    return tuple(sorted(found, key=lambda p: (p.day, p.learner, p.adults, p.minutes)))


def _released(one: Told, away: Withdrawn) -> PastSitting:
    """At the place where it was to be then: the first of those that it was moved away from since, or the last."""
    left = sorted((x for x in one.left if x.changed >= away.changed), key=lambda x: x.changed)
    told = replace(
        one.sitting,
        start=away.start,
        end=away.end,
        location=left[0].id if left else one.sitting.location,
        beside=away.id,
    )
    return PastSitting(
        day=told.start.date(),
        learner=told.learner,
        adults=(away.id,),
        minutes=told.minutes,
        became=Became.CANCELLED,
        told=told,
        is_released=True,
    )


def sittings_lately(
    case: Case, log: Log, lately: Iterable[ToldLately], weeks: Collection[Week], now: datetime
) -> tuple[PastSitting, ...]:
    """Of these weeks, in order of day; `lately` is what people were told, of other weeks too."""
    told: dict[Meeting, list[ToldLately]] = defaultdict(list)
    for one in lately:
        if Week.of(one.sitting.start.date()) in weeks:
            told[_meeting(one.sitting)].append(one)
    rows = _rows_by_meeting(case, log, weeks)
    found = [
        *(past for key, some in told.items() for past in _told(some, rows.get(key, ()), now)),
        *_untold(case, log, weeks, told.keys()),
    ]
    return tuple(sorted(found, key=lambda p: (p.day, p.learner, p.adults, p.told.id if p.told else "")))


def _meeting(sitting: Sitting) -> Meeting:
    return sitting.start.date(), sitting.learner, sitting.adult


def _rows_by_meeting(case: Case, log: Log, weeks: Collection[Week]) -> dict[Meeting, list[Result]]:
    found: dict[Meeting, list[Result]] = defaultdict(list)
    for target in case.targets.values():
        for row in log.of_target(target.id):
            if not row.planned and Week.of(row.date) in weeks:
                found[row.date, target.learner, target.value(row.combination, ADULT)].append(row)
    return found


def _told(some: Iterable[ToldLately], rows: Iterable[Result], now: datetime) -> Iterator[PastSitting]:
    """The told sittings of one meeting. Cancelled ones have rows only where no other is left."""
    ordered = sorted(some, key=lambda one: (one.cancelled, one.sitting.start, one.sitting.id))
    own: list[list[Result]] = [[] for _ in ordered]
    holds = [{(p.target, p.combination) for p in one.sitting.probes} for one in ordered]
    for row in rows:
        own[next((n for n, held in enumerate(holds) if (row.target, row.combination) in held), 0)].append(row)
    for one, of_it in zip(ordered, own, strict=True):
        sitting = one.sitting
        yield PastSitting(
            day=sitting.start.date(),
            learner=sitting.learner,
            adults=sitting.adults,
            minutes=sitting.minutes,
            became=_became(of_it, one.cancelled, ahead=sitting.start >= now),
            told=sitting,
            rows=tuple(of_it),
        )


def _became(rows: Collection[Result], cancelled: bool, *, ahead: bool) -> Became:
    if any(r.kind is not ResultKind.NOT_RUN for r in rows):
        return Became.HELD
    if cancelled:
        return Became.CANCELLED
    if rows:
        return Became.NOT_RUN
    return Became.AHEAD if ahead else Became.UNWRITTEN


def _untold(
    case: Case, log: Log, weeks: Collection[Week], told: Collection[Meeting]
) -> Iterator[PastSitting]:
    for one in sittings_written(case, log):
        if Week.of(one.day) in weeks and (one.day, one.learner, one.adult) not in told:
            yield PastSitting(
                day=one.day,
                learner=one.learner,
                adults=(one.adult,),
                minutes=minutes_of_rows(case, one.rows),
                became=Became.NOT_RUN if one.count.not_run else Became.HELD,
                rows=one.rows,
            )


def minutes_of_rows(case: Case, rows: Iterable[Result]) -> int:
    """How long a sitting with what these rows tell of takes: what was run, or else what was to be."""
    rows = list(rows)
    run = [r for r in rows if r.kind is not ResultKind.NOT_RUN] or rows
    return case.policy.settle_minutes + sum(minutes_of(case.targets[r.target], _kind(r)) for r in run)


def _kind(row: Result) -> ProbeKind:
    return ProbeKind.TEACHING if row.kind is ResultKind.TEACHING else ProbeKind.NEW
