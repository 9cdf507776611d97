"""Objectives of how much of a week stays as people were told, and of sittings that somebody would rather have."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from genplan.case import Combination
from genplan.case.week import MINUTES_PER_DAY
from genplan.planning.solver.slots import Bool, Linear, Slot
from genplan.planning.solver.variables import Variables, any_of, grouped
from genplan.rules.placed_sittings import Person, PlacedSitting, of_learners, people_in


def as_told(v: Variables) -> Linear | None:
    """Of what people were told: each sitting that stays at its time, be it in another place, counts 2, each probe and
    each second adult who is needed and stays in it 1, and 2 more if nothing in it is otherwise: then nobody has to be
    told."""
    terms: list[Linear] = []
    slots = grouped(v.slots, lambda s: (s.learner, s.adult, s.day))
    for seat in of_learners(v.problem.told, v.problem.learners):
        told = {(p.target, p.combination, p.is_probe) for p in seat.probes}
        beside: list[Bool] = []
        kept: dict[tuple[str, Combination, bool], list[Bool]] = defaultdict(list)
        for slot in slots.get((seat.learner, seat.adult, seat.day), []):
            in_time = _in_time(v, slot, seat)
            if in_time is not None:
                terms.append(2 * in_time)
            if slot.location != seat.location:
                continue
            each = [((c.target, c.combination, c.kind.is_probe), var) for c, var in slot.probes.items()]
            stay = [var for what, var in each if what in told]
            others = [var for what, var in each if what not in told]
            for what, var in each:
                if what in told:
                    kept[what].append(var)
            if seat.beside_as.is_needed:
                company = [c.present for c in slot.companions if c.adult == seat.beside]
                stay += company
                beside += company
            if in_time is not None and len(stay) == len(told) + seat.beside_as.is_needed:
                whole = _all_of(v, f"{slot.name} whole as told", (in_time, *stay), others)
                terms.append(2 * whole)
        for (target, _, is_probe), several in kept.items():
            # a combination may be taught twice on a day, and stays once
            once = is_probe or len(several) == 1
            terms += several if once else [any_of(v, f"{target} taught {seat.start} as told", several)]
        if beside:
            terms.append(any_of(v, f"{seat.learner} {seat.start} beside {seat.beside} as told", beside))
    return sum(terms) if terms else None


def _in_time(v: Variables, slot: Slot, seat: PlacedSitting) -> Bool | None:
    """A boolean that may be true only if the slot begins when the sitting was to; None if it cannot."""
    if not slot.opening.start <= seat.start < slot.opening.end:
        return None
    in_time = v.model.new_bool_var(f"{slot.name} at {seat.start} as told")
    v.model.add_implication(in_time, slot.present)
    begins = slot.step * v.problem.case.policy.start_every_minutes
    v.model.add(begins == seat.start % MINUTES_PER_DAY).only_enforce_if(in_time)
    return in_time


def people_told(v: Variables) -> Linear | None:
    """Everybody of a sitting that is not as they were told, or that they were not told of; and who has to be told
    something in any case."""
    was_told = v.problem.told or v.problem.held_as_told
    told = dict.fromkeys(sorted(v.problem.told_anyway), 1) if was_told else {}
    variables: dict[Person, Bool] = {}

    def has_to_be_told(person: Person) -> Bool:
        if person not in variables:
            variables[person] = v.model.new_bool_var(f"{' '.join(person)} is told")
        return variables[person]

    stays = v.stays
    for seat, as_it_was in stays.items():
        for person in sorted(people_in(seat) - told.keys()):
            v.model.add_bool_or([has_to_be_told(person), *(var for _, var in as_it_was)])
    of_slot: dict[int, list[Bool]] = defaultdict(list)
    for slot, var in (each for as_it_was in stays.values() for each in as_it_was):
        of_slot[id(slot)].append(var)
    for there in v.presences:
        for person in sorted({("adult", there.adult), ("learner", there.learner)} - told.keys()):
            as_told = of_slot[id(there.slot)]
            v.model.add_bool_or([~there.present, has_to_be_told(person), *as_told])
    return len(told) + sum(variables.values()) if told or variables else None


def sittings_otherwise(v: Variables) -> Linear | None:
    """Sittings that people were told of and that are not held just so."""
    terms = [1 - sum(var for _, var in as_it_was) for as_it_was in v.stays.values()]
    return sum(terms) if terms else None


def _all_of(v: Variables, name: str, wanted: Iterable[Bool], unwanted: Iterable[Bool]) -> Bool:
    """A boolean that may be true only if all wanted ones are and no unwanted one is."""
    whole = v.model.new_bool_var(name)
    for var in wanted:
        v.model.add_implication(whole, var)
    for var in unwanted:
        v.model.add_implication(whole, ~var)
    return whole


def rather_held(v: Variables) -> Linear | None:
    """Sittings with an adult in a stretch that somebody would rather have: each that is held counts 1."""
    terms = []
    for number, rather in enumerate(r for r in v.problem.rather if r.learner in v.problem.learners):
        within: list[Bool] = []
        for slot in v.slots:
            if (slot.learner, slot.adult) != (rather.learner, rather.adult):
                continue
            if slot.opening.end <= rather.start or rather.end <= slot.opening.start:
                continue
            inside = v.model.new_bool_var(f"{slot.name} rather {number}")
            v.model.add_implication(inside, slot.present)
            v.model.add(slot.start >= rather.start).only_enforce_if(inside)
            v.model.add(slot.end <= rather.end).only_enforce_if(inside)
            within.append(inside)
        if within:
            terms.append(any_of(v, f"rather {number}", within))
    return sum(terms) if terms else None
