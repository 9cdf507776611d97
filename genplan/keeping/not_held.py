"""What people were told and what was not held, with the reason that is written down and whose absence it was.

The reason is that of the rows 'not run', else an absence that the case has for that time. It says what happened and
rates nobody.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, time
from enum import StrEnum

from genplan.case import Absence, Case, Week
from genplan.case.wishes_of_planners import WishKind
from genplan.evidence.log import Log
from genplan.evidence.sittings_written import (
    Counts,
    WrittenSitting,
    is_adults_reason,
    sittings_of_adults,
    sittings_written,
)
from genplan.keeping.lately import Became, PastSitting
from genplan.keeping.wished_moves import moved_from
from genplan.plan import Sitting


class Whose(StrEnum):
    """Whose absence it was; `NOBODYS`: nothing says."""

    LEARNER = "learner"
    ADULT = "adult"
    LOCATION = "location"
    MATERIAL_SET = "material_set"
    NOBODYS = ""


@dataclass(frozen=True, kw_only=True)
class NotHeld:
    """One sitting.

    - `became`: not run, or cancelled
    - `at`: when it was to begin, as far as that is known
    - `told`: as people were told of it; None: they were not
    - `reason`: what the row says, in its writer's words; may be empty
    - `whose`, `id`: whose absence it was
    - `called_off`: somebody wished that it is not to be
    - `released`: the second adult, where it was cancelled for that one alone; `adult` runs it without"""

    day: date
    at: time | None
    learner: str
    adult: str
    became: Became
    told: Sitting | None
    reason: str = ""
    whose: Whose = Whose.NOBODYS
    id: str = ""
    called_off: bool = False
    released: str = ""


def not_held(
    case: Case, log: Log, past: Iterable[PastSitting], weeks: Collection[Week]
) -> tuple[tuple[NotHeld, ...], Counts]:
    """Of these weeks in order of time: each sitting of which rows say that it was not run, counted as `progress` counts
    them, and each that was cancelled, be it for its second adult alone. And the counts of what is written down of each
    adult."""
    past = list(past)
    told = {row.line: p.told for p in past for row in p.rows}
    written = [w for w in sittings_written(case, log) if Week.of(w.day) in weeks]
    found = [
        *(_not_run(case, w, told.get(w.rows[0].line)) for w in written if w.count.not_run),
        *(
            _cancelled(case, p, p.told)
            for p in past
            if p.told and p.became is Became.CANCELLED and not p.rows
        ),
    ]
    ordered = sorted(found, key=lambda n: (n.day, n.at or time(), n.learner, n.adult, n.released))
    return tuple(ordered), sittings_of_adults(written)


def _not_run(case: Case, written: WrittenSitting, told: Sitting | None) -> NotHeld:
    notes = list(dict.fromkeys(r.note for r in written.rows if r.note))
    one = NotHeld(
        day=written.day,
        at=written.time or (told.start.time() if told else None),
        learner=written.learner,
        adult=written.adult,
        became=Became.NOT_RUN,
        told=told,
        reason="; ".join(notes),
    )
    if written.childs:
        return replace(one, whose=Whose.LEARNER, id=written.learner)
    if any(map(is_adults_reason, notes)):
        return replace(one, whose=Whose.ADULT, id=written.adult)
    return _with_absence(case, one)


def _cancelled(case: Case, past: PastSitting, told: Sitting) -> NotHeld:
    one = NotHeld(
        day=told.start.date(),
        at=told.start.time(),
        learner=told.learner,
        adult=told.adult,
        became=Became.CANCELLED,
        told=told,
        released=told.beside if past.is_released else "",
    )
    off = (w for w in case.wishes if w.kind is WishKind.NOT and moved_from(w, [told]) is not None)
    if not one.released and (wish := next(off, None)) is not None:
        return replace(one, called_off=True, reason=wish.note)
    return _with_absence(case, one)


def _with_absence(case: Case, one: NotHeld) -> NotHeld:
    """With the first absence that the case has for the time of what people were told."""
    if one.told is None:
        return one
    start, end = (m.replace(tzinfo=None) for m in (one.told.start, one.told.end))
    for whose, id_, absences in _absences(case, one.told):
        if one.released and id_ != one.released:
            continue  # it does without that adult alone
        if any(a.start < end and start < a.end for a in absences):
            return replace(one, whose=whose, id=id_)
    return one


def _absences(case: Case, told: Sitting) -> Iterator[tuple[Whose, str, tuple[Absence, ...]]]:
    if told.learner in case.learners:
        yield Whose.LEARNER, told.learner, case.learners[told.learner].away
    for adult in told.adults:
        if adult in case.adults:
            yield Whose.ADULT, adult, case.adults[adult].away
    if told.location in case.locations:
        yield Whose.LOCATION, told.location, case.locations[told.location].closed
    for used in dict.fromkeys(p.combination[2] for p in told.probes if len(p.combination) > 2):
        if used in case.material_sets:
            yield Whose.MATERIAL_SET, used, case.material_sets[used].missing
