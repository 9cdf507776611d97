"""Rules of people's own words: what stays as they were told, and what they wish apart."""

from __future__ import annotations

from genplan.case.wishes_of_planners import Thing
from genplan.planning.solver.slots import Bool
from genplan.planning.solver.variables import Variables
from genplan.rules.wishes import is_of


def held_sittings_stay(v: Variables) -> None:
    """What stays as people were told: an opening of its own holds just that."""
    for slot in v.slots:
        seat = v.problem.held.get(slot.opening)
        if seat is not None:
            company = [c.present for c in slot.companions if c.adult == seat.beside]
            for var in (slot.present, *slot.probes.values(), *(company if seat.beside_as.is_needed else ())):
                v.model.add(var == 1)


def things_apart_keep_apart(v: Variables) -> None:
    """Two things that are wished apart are not on one day; the same one twice is there once at the most."""
    for apart in v.problem.case.apart:
        for day in apart.days:
            ones, others = (_there_on(v, thing, day) for thing in (apart.one, apart.other))
            held, hers = (
                sum(is_of(thing, s) for s in v.problem.taken if s.day == day)
                for thing in (apart.one, apart.other)
            )
            if apart.one == apart.other:
                v.model.add(sum(ones) <= max(0, 1 - held))
                continue
            if ones and hers:
                v.model.add(sum(ones) == 0)
            if others and held:
                v.model.add(sum(others) == 0)
            if ones and others:
                first = v.model.new_bool_var(f"{apart.one} and not {apart.other} on day {day}")
                for var in ones:
                    v.model.add_implication(var, first)
                for var in others:
                    v.model.add_implication(var, ~first)


def _there_on(v: Variables, thing: Thing, day: int) -> list[Bool]:
    """What says that a thing is there on a day."""
    slots = [s for s in v.slots if s.day == day]
    if thing.target:
        return [p for s in slots for c, p in s.probes.items() if c.target == thing.target]
    return [s.present for s in slots if (s.adult, s.learner) == (thing.adult, thing.learner)]
