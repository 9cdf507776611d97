"""Remarks on a week as a whole, as values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from genplan.case import Case, Week
from genplan.plan import Note, NoteKind, Sitting
from genplan.planning.figures import in_time
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Hours
from genplan.rules.placed_sittings import PlacedSitting


def notes_on(
    case: Case,
    week: Week,
    now: datetime,
    free: Hours,
    needs: Sequence[TargetNeed],
    sittings: Sequence[Sitting],
    ahead: Sequence[PlacedSitting],
) -> tuple[Note, ...]:
    """Remarks on the week as a whole that no single left-out thing tells; `ahead` are the seats of the search."""
    notes: list[Note] = []
    if week.monday <= now.date():
        notes.append(Note(kind=NoteKind.WEEK_BEGUN))
    for learner in case.learners.values():
        if any(n.target.learner == learner.id for n in needs) and not free.learners[learner.id]:
            notes.append(Note(kind=NoteKind.NO_FREE_HOURS, learner=learner.id))
    for need in needs:
        due = need.maintenance
        if due and due.instead_of and due.instead_of >= week.monday:
            days = (due.instead_of.weekday(), due.due.weekday())
            notes.append(Note(kind=NoteKind.MAINTENANCE_GAVE_WAY, target=need.id, days=days))
        for taught, failed in need.in_place:
            kind = NoteKind.TAUGHT_IN_PLACE
            notes.append(Note(kind=kind, target=need.id, combination=taught, instead_of=failed))
    notes += _fell_through(week, needs, sittings)
    notes += _caught_up(needs, ahead)
    for target in case.targets.values():
        if target.state.value != "mastered":
            notes.append(Note(kind=NoteKind.NOT_PROBED, target=target.id))
    return tuple(notes)


def _fell_through(week: Week, needs: Iterable[TargetNeed], sittings: Sequence[Sitting]) -> Iterator[Note]:
    """What was planned before and not run, the longest ago first, each with the days on which it comes again."""
    fell = sorted((on, n.id, c) for n in needs for c, on in n.fell_through)
    for on, target, combination in fell:
        held = [
            s
            for s in sittings
            if not s.begun and (target, combination) in {(p.target, p.combination) for p in s.probes}
        ]
        days = tuple(sorted({(s.start.date() - week.monday).days for s in held}))
        yield Note(kind=NoteKind.FELL_THROUGH, target=target, combination=combination, on=on, days=days)


def _caught_up(needs: Iterable[TargetNeed], ahead: Sequence[PlacedSitting]) -> Iterator[Note]:
    for need in needs:
        if need.catch_up:
            early = in_time(need, ahead, dict(need.catch_up))
            yield Note(kind=NoteKind.CATCH_UP, target=need.id, early=early, of=len(need.catch_up))
