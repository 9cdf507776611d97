"""Seats and the solver's values: known seats as hints, the answer as seats, and a model in which the probes stay."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from ortools.sat.python import cp_model

from genplan.case.week import MINUTES_PER_DAY
from genplan.plan import Beside
from genplan.planning.needs import Choice
from genplan.planning.solver.search import Found
from genplan.planning.solver.variables import Bool, Companion, Variables, grouped
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def begin_with(v: Variables, start: Sequence[PlacedSitting]) -> None:
    """Starts the first search from known seats."""
    seated = _slots_of(v, start)
    for slot in v.slots:
        seat = seated.get(id(slot))
        probes = {(p.target, p.combination, p.is_probe) for p in seat.probes} if seat else set()
        v.model.add_hint(slot.present, seat is not None)
        for choice, var in slot.probes.items():
            v.model.add_hint(var, (choice.target, choice.combination, choice.kind.is_probe) in probes)
        if seat:
            v.model.add_hint(
                slot.step, (seat.start % MINUTES_PER_DAY) // v.problem.case.policy.start_every_minutes
            )
            v.model.add_hint(slot.end, seat.end)
        for companion in slot.companions:
            sits = seat is not None and _sits(companion, seat)
            v.model.add_hint(companion.present, sits)
            v.model.add_hint(companion.minutes, seat.minutes if seat and sits else 0)
    shown = {
        (c.target, t) for s in v.slots for c in s.probes for t in c.shows if _is_seated(seated.get(id(s)), c)
    }
    for key, var in v.covered.items():
        v.model.add_hint(var, key in shown)


def _sits(companion: Companion, seat: PlacedSitting) -> bool:
    company = companion.company
    return company.adult == seat.beside and company.start <= seat.start and seat.end <= company.end


def _is_seated(seat: PlacedSitting | None, choice: Choice) -> bool:
    return seat is not None and any(
        (p.target, p.combination) == (choice.target, choice.combination) for p in seat.probes
    )


def _slots_of(v: Variables, start: Sequence[PlacedSitting]) -> dict[int, PlacedSitting]:
    """For each seat the first free slot of the same people and place whose opening holds it."""
    found: dict[int, PlacedSitting] = {}
    slots = grouped(v.slots, lambda s: (s.learner, s.adult, s.location))
    for seat in sorted(start):
        for slot in slots.get((seat.learner, seat.adult, seat.location), []):
            if id(slot) not in found and slot.opening.start <= seat.start and seat.end <= slot.opening.end:
                found[id(slot)] = seat
                break
    return found


def holds(v: Variables, start: Sequence[PlacedSitting]) -> bool:
    """Whether the variables can say all of these seats."""
    seated = _slots_of(v, start)
    held = {
        (seat, PlacedProbe(choice.target, choice.combination, choice.kind))
        for slot in v.slots
        if (seat := seated.get(id(slot)))
        for choice in slot.probes
    }
    return all((s, p) in held for s in start for p in s.probes)


def read_seats(v: Variables, found: Found) -> tuple[PlacedSitting, ...]:
    """The one place where the solver's values become plain ones."""
    solver, seats = found.solver, []
    for slot in v.slots:
        if solver.value(slot.present):
            probes = tuple(
                sorted(
                    PlacedProbe(c.target, c.combination, c.kind)
                    for c, p in slot.probes.items()
                    if solver.value(p)
                )
            )
            start, end = solver.value(slot.start), solver.value(slot.end)
            beside = [c.adult for c in slot.companions if solver.value(c.present)]
            there_as = Beside.COMPANION if slot.opening in v.problem.companions else Beside.TEACHER
            company = (beside[0], there_as) if beside else ("", Beside.NOBODY)
            seats.append(PlacedSitting(slot.learner, slot.adult, slot.location, start, end, probes, *company))
    return tuple(sorted(seats))


def with_probes_as_found(v: Variables, found: Found) -> cp_model.CpModel:
    """A copy of the model in which each probe that was found is run, and no other: when and in which sitting is open.
    It is so small that the best of it is found in a moment."""
    model = v.model.clone()
    by_probe: dict[Choice, list[Bool]] = defaultdict(list)
    for slot in v.slots:
        for choice, var in slot.probes.items():
            by_probe[choice].append(var)
    for variables in by_probe.values():
        run = sum(found.solver.value(var) for var in variables)
        model.add(sum(variables) == run)
    return model
