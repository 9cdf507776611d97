"""Seats and the solver's values: known seats as hints, the answer as seats, and a model in which the probes stay."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from ortools.sat.python import cp_model

from genplan.case.week import MINUTES_PER_DAY
from genplan.plan import Beside
from genplan.planning.figures import new_tuples
from genplan.planning.greedy_design import greedy_design
from genplan.planning.needs import Choice
from genplan.planning.solver.search import Found, hint_also
from genplan.planning.solver.slots import Bool, Companion
from genplan.planning.solver.variables import Variables, grouped
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def begin_with(v: Variables, start: Sequence[PlacedSitting]) -> None:
    """Starts the first search from known seats."""
    seated = _slots_of(v, start)
    values: dict[int, int] = {}
    for slot in v.slots:
        seat = seated.get(id(slot))
        probes = {(p.target, p.combination, p.is_probe) for p in seat.probes} if seat else set()
        values[slot.present.index] = seat is not None
        for choice, var in slot.probes.items():
            values[var.index] = (choice.target, choice.combination, choice.kind.is_probe) in probes
        if seat:
            step = (seat.start % MINUTES_PER_DAY) // v.problem.case.policy.start_every_minutes
            values |= {slot.step.index: step, slot.end.index: seat.end}
        for companion in slot.companions:
            sits = seat is not None and _sits(companion, seat)
            values[companion.present.index] = sits
            values[companion.minutes.index] = seat.minutes if seat and sits else 0
    hint_also(v.model, values)


def hint_shown(v: Variables, seats: Sequence[PlacedSitting], further: Sequence[int]) -> None:
    """Hints what the seats show, and, where the numbers of the `further` probes' variables are given, a design for the
    rest: found one probe at a time, it is near the smallest."""
    values: dict[int, int] = {}
    later: list[bool] = []
    for need in v.problem.needs:
        shown = new_tuples(need, seats)
        values |= {v.covered[need.id, t].index: t in shown for t in sorted(need.open)}
        columns = need.columns(need.open - shown)
        design = {columns[i][0] for i in greedy_design(columns)} if further else set()
        later += [c.combination in design for c in need.new_sooner_or_later]
    if further:
        values |= dict(zip(further, later, strict=True))
    hint_also(v.model, values)


def _sits(companion: Companion, seat: PlacedSitting) -> bool:
    company = companion.company
    return company.adult == seat.beside and company.start <= seat.start and seat.end <= company.end


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
