"""Things that people were told of and that the child is kept from by now: who may still have one at home is told to put
it away, and who was told that is told once it no longer holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from genplan.case import Case
from genplan.case.cautions import CautionKind
from genplan.case.possible import Rule, kept_away
from genplan.keeping.cautions_told import sets_of
from genplan.keeping.strange import is_known
from genplan.keeping.told import CautionTold, Told
from genplan.plan import Sitting

_KINDS: Mapping[Rule, CautionKind] = {
    Rule.ALLERGEN: CautionKind.ALLERGEN,
    Rule.HAZARD: CautionKind.HAZARD,
    Rule.SMALL_PART: CautionKind.SMALL_PART,
    Rule.MINIMUM_AGE: CautionKind.MINIMUM_AGE,
}


def things_of(case: Case, sitting: Sitting) -> frozenset[str]:
    """None of one that names what the case does not have."""
    return frozenset(sets_of(case, sitting)) if is_known(sitting, case) else frozenset()


def bans(case: Case, learner: str, things: Iterable[str], on: date) -> Iterator[CautionTold]:
    """What keeps the child from each of these, where something does."""
    child = case.learners.get(learner)
    for thing in sorted(things):
        if child and (why := kept_away(child, case.material_sets[thing], on)):
            yield CautionTold(_KINDS[why.rule].value, thing, why.found)


def with_bans(
    case: Case, told: Sequence[Told], now: datetime, last: Sequence[Told], ever: Sequence[Told], *, past: bool
) -> tuple[Told, ...]:
    """With what people are told to put away of what they `ever` were told of an event. What they were told so `last`
    stays until they are told that the thing is there again. `past`: what is over is told of, too."""
    known = {t.event: t.banned for t in last}
    things: dict[str, set[str]] = {}
    for t in (*ever, *told):
        things.setdefault(t.event, set()).update(things_of(case, t.sitting))

    def banned(t: Told) -> tuple[CautionTold, ...]:
        if t.sitting.start < now and not past:
            return known.get(t.event, ())
        found = tuple(bans(case, t.sitting.learner, things[t.event], now.date()))
        held = {c.material_set for c in found}
        there = frozenset() if t.cancelled or t.sitting.start < now else things_of(case, t.sitting)
        before = (c for c in known.get(t.event, ()) if c.material_set not in held | there)
        return tuple(sorted((*before, *found)))

    return tuple(replace(t, banned=banned(t)) for t in told)


def bans_lifted(
    case: Case, before: Sequence[Told], told: Told | None, sitting: Sitting
) -> tuple[CautionTold, ...]:
    """What the people of a sitting were told to put away for this child, and is there again in it."""
    there = things_of(case, sitting) - (things_of(case, told.sitting) if told else frozenset())
    still = {c.material_set for c in bans(case, sitting.learner, there, sitting.start.date())}
    found = {
        c.material_set: c
        for t in before
        if t.sitting.learner == sitting.learner and {*t.sitting.adults} & {*sitting.adults}
        for c in t.banned
        if c.material_set in there - still
    }
    return tuple(found[thing] for thing in sorted(found))
