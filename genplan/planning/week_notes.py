"""Remarks on a week as a whole, as values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from genplan.case import Case, Combination, Week
from genplan.plan import LeftOut, Note, NoteKind, Sitting
from genplan.planning.figures import in_time
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Hours
from genplan.rules.limits import Limit
from genplan.rules.placed_sittings import PlacedSitting


def notes_on(
    case: Case,
    week: Week,
    now: datetime,
    free: Hours,
    needs: Sequence[TargetNeed],
    sittings: Sequence[Sitting],
    ahead: Sequence[PlacedSitting],
    omitted: Sequence[LeftOut],
) -> tuple[Note, ...]:
    """Remarks on the week as a whole that no single left-out thing tells; `ahead` are the seats of the search, and
    `omitted` is what the plan leaves out."""
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
    notes += _fell_through(week, needs, sittings, omitted)
    notes += _caught_up(needs, ahead)
    for target in case.targets.values():
        if target.state.value != "mastered":
            notes.append(Note(kind=NoteKind.NOT_PROBED, target=target.id))
    return tuple(notes)


def _fell_through(
    week: Week, needs: Sequence[TargetNeed], sittings: Sequence[Sitting], omitted: Sequence[LeftOut]
) -> Iterator[Note]:
    """What was planned before and not run, the longest ago first, each with the days on which it comes again, or why
    what it would show is left out."""
    fell = sorted((on, n.id, c) for n in needs for c, on in n.fell_through)
    by_target = {n.id: n for n in needs}
    omitted_of = defaultdict[str, list[LeftOut]](list)
    for item in omitted:
        omitted_of[item.target].append(item)
    for on, target, combination in fell:
        held = [
            s
            for s in sittings
            if not s.begun and (target, combination) in {(p.target, p.combination) for p in s.probes}
        ]
        days = tuple(sorted({(s.start.date() - week.monday).days for s in held}))
        why = None if days else _why_left_out(by_target[target], combination, omitted_of[target])
        kind = NoteKind.FELL_THROUGH
        yield Note(kind=kind, target=target, combination=combination, on=on, days=days, limit=why)
    for need in needs:
        why_held = {choice.combination: limit for choice, limit in need.held_back}
        for combination, on in need.fell_and_waits:
            kind, why = NoteKind.FELL_AND_WAITS, why_held[combination]
            yield Note(kind=kind, target=need.id, combination=combination, on=on, limit=why)


def _why_left_out(need: TargetNeed, combination: Combination, omitted: Iterable[LeftOut]) -> Limit | None:
    """The reason of the first thing left out of the target that the combination holds, of a kind that it may be run
    for; None: there is none. Of a maintenance or baseline probe that is left out any combination would hold it."""
    held = set(zip(need.target.dimension_names, combination, strict=True))
    kinds = {c.kind for c in need.choices if c.combination == combination}
    own = (x for x in omitted if x.kind in kinds and held.issuperset(x.values))
    return next((x.limit for x in own), None)


def _caught_up(needs: Iterable[TargetNeed], ahead: Sequence[PlacedSitting]) -> Iterator[Note]:
    for need in needs:
        if need.catch_up:
            early = in_time(need, ahead, dict(need.catch_up))
            yield Note(kind=NoteKind.CATCH_UP, target=need.id, early=early, of=len(need.catch_up))
