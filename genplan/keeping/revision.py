"""From what was told and a new plan to what is told now: which events stay, change, are cancelled or are new.

The sequence rises by the rules of RFC 5546, 2.1.4, and for a change of content too: a proposal is one above what
was told, and once kept two, since its status changes again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from genplan.case.wishes_of_planners import PlannersWish
from genplan.keeping.handed_out import beyond_handed_out
from genplan.keeping.same_sittings import content, pairs, same_people
from genplan.keeping.told import KeptWeek, Told, Withdrawn
from genplan.keeping.wished_moves import moves
from genplan.plan import Sitting

UNTOLD = -1
"""The sequence before the first telling, so that a first proposal has 0 and a first kept event 1."""
SETTLED = 2
"""By so much the sequence rises with what is kept."""


OF_CASE = "/"
"""Between a case's id and the rest of an event's name. The events of a case without an id have none."""


def bare_name(event: str) -> str:
    """An event's name without that of its case."""
    return event.rpartition(OF_CASE)[2]


def revise(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    settled: bool,
    case_id: str = "",
    wishes: Sequence[PlannersWish] = (),
) -> tuple[Told, ...]:
    """What is told once `sittings` take the place of what was told before, in order of time.

    What is unchanged stays as it was told, what had begun by `now` stays whatever the plan says; a dropped sitting is
    cancelled, and what was cancelled is never forgotten: it is what became of the week, and a later sitting of its id
    goes on from its sequence. A new event is named after the case too, if that has an id; one that was told keeps its
    name, whatever follows from it. `wishes` are of whoever plans: a sitting that moved as they say is the one that it
    was. No event that calendars were given otherwise since falls below that."""
    step = SETTLED if settled else 1
    return beyond_handed_out(
        before, lambda then: _revised(then, sittings, now, settled, step, case_id, wishes), step
    )


def _revised(
    before: Sequence[Told],
    sittings: Sequence[Sitting],
    now: datetime,
    settled: bool,
    step: int,
    case_id: str,
    wishes: Sequence[PlannersWish],
) -> tuple[Told, ...]:
    moved = wished(before, sittings, wishes)
    partner = pairs(before, sittings, now, moved)
    told = [
        _again(partner[s.id], _with_way(partner[s.id].sitting, s, moved), now, settled, step)
        if s.id in partner
        else _first(before, s, now, settled, step, case_id)
        for s in _as_begun(sittings, partner, now)
    ]
    events = {t.event for t in told}
    told += [_gone(t, now, step) for t in before if t.event not in events]
    return tuple(sorted(told, key=lambda t: (t.sitting.start, t.sitting.learner, t.sitting.adult, t.event)))


def with_called_off(week: KeptWeek, left: Mapping[Sitting, Sitting | None]) -> tuple[Told, ...]:
    """What is told with some of the week's sittings called off (None), or less of them left, as keeping that would tell
    it: it was not kept, so the moment is that of the last telling and the same case gives the same bytes. Once it is
    kept, the moment is later."""

    def telling(before: Sequence[Told]) -> tuple[Told, ...]:
        return tuple(
            one if one.cancelled or one.sitting not in left else _as_left(one, left[one.sitting], week.kept)
            for one in before
        )

    return beyond_handed_out(week.told, telling, SETTLED)


def _as_left(told: Told, left: Sitting | None, now: datetime) -> Told:
    return _called_off(told, now, SETTLED) if left is None else _again(told, left, now, True, SETTLED)


def wished(
    before: Iterable[Told], sittings: Sequence[Sitting], wishes: Sequence[PlannersWish]
) -> set[tuple[str, str]]:
    """The ids before and after of the sittings that moved as somebody wished."""
    return moves(wishes, [t.sitting for t in before if not t.cancelled], sittings)


def _with_way(told: Sitting, sitting: Sitting, ways: Collection[tuple[str, str]]) -> Sitting:
    """With where it was before it moved as somebody wished, now or some time before: two that change places are known
    apart by that alone."""
    moved = (told.id, sitting.id) in ways
    return replace(sitting, moved_from=(told.id, told.start) if moved else told.moved_from)


def _as_begun(sittings: Sequence[Sitting], partner: dict[str, Told], now: datetime) -> Iterator[Sitting]:
    """The plan's sittings; of those that had begun, what was told stands."""
    for s in sittings:
        told = partner.get(s.id)
        yield told.sitting if told and told.sitting.start < now else s


def _again(told: Told, sitting: Sitting, now: datetime, settled: bool, step: int) -> Told:
    if content(told.sitting) == content(sitting):
        return replace(told, sitting=sitting)
    old = told.sitting
    moved = (old.location, old.start, old.end) != (sitting.location, sitting.start, sitting.end)
    return _changed(told, sitting, now, settled, step, moved)


def _changed(told: Told, sitting: Sitting, now: datetime, settled: bool, step: int, moved: bool) -> Told:
    old = told.sitting
    left = [x for x in told.left if x.id != sitting.location]
    if old.location != sitting.location:
        left.append(Withdrawn(old.location, old.start, old.end, told.until, told.use_sequence + step, now))
    released = [x for x in told.released if x.id != sitting.beside]
    if old.beside and old.beside != sitting.beside:
        released.append(Withdrawn(old.beside, old.start, old.end, told.until, told.sequence + step, now))
    # back at a location that it had left, the event there goes on from where its cancelling stood
    use = max([told.use_sequence, *(x.sequence for x in told.left if x.id == sitting.location)])
    return Told(
        sitting,
        told.event,
        told.sequence + step,
        now,
        use + step if moved else told.use_sequence,
        now if moved else told.use_changed,
        max(told.until, sitting.end),
        settled,
        left=tuple(left),
        released=tuple(released),
    )


def _first(
    before: Sequence[Told], sitting: Sitting, now: datetime, settled: bool, step: int, case_id: str
) -> Told:
    """A new event, or one that was cancelled and takes place after all."""
    cancelled = (t for t in before if t.cancelled and t.sitting.id == sitting.id)
    revived = next((t for t in cancelled if same_people(t.sitting, sitting)), None)
    if revived is not None:
        return _changed(revived, sitting, now, settled, step, moved=True)
    names = {bare_name(t.event) for t in before}
    event = next(n for n in _names(sitting.id) if n not in names)
    event = f"{case_id}{OF_CASE}{event}" if case_id else event
    first = UNTOLD + step
    return Told(sitting, event, first, now, first, now, sitting.end, settled)


def _names(id_: str) -> Iterator[str]:
    yield id_
    number = 2
    while True:
        yield f"{id_}-{number}"
        number += 1


def _gone(told: Told, now: datetime, step: int) -> Told:
    return told if told.cancelled or told.sitting.start < now else _called_off(told, now, step)


def _called_off(told: Told, now: datetime, step: int) -> Told:
    return replace(
        told,
        sequence=told.sequence + step,
        changed=now,
        use_sequence=told.use_sequence + step,
        use_changed=now,
        cancelled=True,
    )
