"""The days of a plan as pages and screens show them: sittings with their probes, and what to take care of in them."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from genplan.case.cautions import Caution, CautionKind, together
from genplan.case.safety import NEVER_PLANNED
from genplan.keeping.cautions_told import sitting_cautions
from genplan.language import _
from genplan.language.dates import day_and_month, day_name
from genplan.plan import Probe, Sitting
from genplan.report.names_and_words import Names, clean, hours, kind_words, measure_words
from genplan.text.cautions import allergy_caution, caution_text
from genplan.text.tuple_words import counted_tuples

OF_EACH_THING = (CautionKind.CONTENT_UNKNOWN, CautionKind.MOUTH, CautionKind.SMALL_PART)
CHOKING = frozenset({"balloon", *NEVER_PLANNED})
"""Hazards of which it is said beside each sitting, too: they may have been found only after the week was told."""


@dataclass(frozen=True)
class ProbeLine:
    target: str
    material_set: str
    extras: tuple[tuple[str, str], ...]
    kind: str
    measure: str


ProbeCard = Callable[[Names, Sitting, Probe], ProbeLine]


@dataclass(frozen=True)
class SittingCard:
    """`who` is the other person: on a learner's page the adult, on an adult's the learner. `beside` says who sits
    beside, and is empty if nobody does. `id` is the sitting's, `mind` what to keep from what is brought."""

    hours: str
    who: str
    learner: str
    adult: str
    place: str
    beside: str
    begun: bool
    probes: tuple[ProbeLine, ...]
    id: str
    mind: str


@dataclass(frozen=True)
class DayCard:
    weekday: str
    date: str
    today: bool
    sittings: tuple[SittingCard, ...]


def probe_line(names: Names, sitting: Sitting, probe: Probe) -> ProbeLine:
    target = names.case.targets[probe.target]
    adds = _("; adds {tuples}", tuples=counted_tuples(target, probe.new_tuples)) if probe.new_tuples else ""
    return ProbeLine(
        names.target(probe.target),
        "; ".join(names.things_of(probe)),
        names.extras(target, probe.combination),
        kind_words(probe.kind),
        f"{measure_words(target, probe)}{adds}",
    )


def day_cards(
    names: Names,
    sittings: Sequence[Sitting],
    who: Callable[[Sitting], str],
    probe_card: ProbeCard = probe_line,
    today: datetime.date | None = None,
) -> tuple[DayCard, ...]:
    """The days that hold a sitting, in order; `who` says what the other person is called."""
    return tuple(
        DayCard(
            day_name(day.weekday()),
            day_and_month(day),
            day == today,
            tuple(_sitting(names, s, who(s), probe_card) for s in sittings if s.start.date() == day),
        )
        for day in sorted({s.start.date() for s in sittings})
    )


def _sitting(names: Names, sitting: Sitting, who: str, probe_card: ProbeCard) -> SittingCard:
    return SittingCard(
        hours(sitting),
        who,
        names.learner(sitting.learner),
        names.adult(sitting.adult),
        names.location(sitting.location),
        names.beside(sitting),
        sitting.begun,
        tuple(probe_card(names, sitting, p) for p in sitting.probes),
        sitting.id,
        mind_what_is_brought(names, sitting),
    )


def mind_what_is_brought(names: Names, sitting: Sitting) -> str:
    """The child's allergens and that anything may go into the mouth, where anything is brought; whether what is brought
    holds them, where nobody said so; what is known to be a small part, a balloon, a magnet or a button cell, and of
    a child who is known to be too young for small parts what nobody said anything of; else nothing."""
    case, called = names.case, names.learner(sitting.learner)
    found = [
        c
        for c in sitting_cautions(case, sitting)
        if c.kind in OF_EACH_THING
        or (c.kind is CautionKind.NOTHING_SMALL and names.sets_of(sitting))
        or (c.kind is CautionKind.SIZE_UNKNOWN and not c.age_unknown)
        or (c.kind is CautionKind.HAZARD and not CHOKING.isdisjoint(c.found))
    ]
    allergens = allergy_caution(case, sitting.learner, called) if names.sets_of(sitting) else ""
    return clean(
        " ".join(filter(None, (allergens, *(caution_text(case, c, called) for c in together(found)))))
    )


def cautions_of(names: Names, sittings: Sequence[Sitting]) -> tuple[str, ...]:
    """Each caution of these sittings once, in the order in which they come up; one that holds at several locations
    names them all."""
    case = names.case
    places: dict[Caution, dict[str, None]] = {}
    for sitting in sittings:
        for found in sitting_cautions(case, sitting):
            at = {found.location: None} if found.location else {}
            places.setdefault(replace(found, location=""), {}).update(at)
    return tuple(caution_text(case, c, names.learner(c.learner), places.get(c, ())) for c in together(places))
