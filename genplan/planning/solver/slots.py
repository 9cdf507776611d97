"""Slots: the sittings that a week may hold, with who may sit beside, as variables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from genplan.case.second_adults import is_ruled_out
from genplan.case.week import MINUTES_PER_DAY
from genplan.planning.companions import CompanionWindow
from genplan.planning.needs import Choice
from genplan.planning.openings import Opening
from genplan.planning.problem import Problem
from genplan.planning.solver.meetings import Meeting, minutes_of

Bool = cp_model.IntVar
"""A variable of the values 0 and 1."""
Whole = cp_model.IntVar
"""A variable of whole numbers."""
Linear = cp_model.LinearExpr | int
Interval = cp_model.IntervalVar


def total(things: Iterable[Linear]) -> Linear:
    """Their sum, added up by the solver's library at once: Python's own makes an expression for each step."""
    several = list(things)
    return cp_model.LinearExpr.sum(several) if several else 0


@dataclass(frozen=True)
class Companion:
    """One who may sit beside a slot's adult. `present` says whether that adult does; `minutes` are then the
    sitting's."""

    company: CompanionWindow
    present: Bool
    minutes: Whole
    interval: Interval

    @property
    def adult(self) -> str:
        return self.company.adult


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A sitting that may be held in an opening.

    - `opening`: where it lies
    - `index`: 0 for the first of several in the same opening
    - `name`: in the model
    - `present`: whether it is held
    - `step`: its start, as a step of the day's grid
    - `first_step`: the soonest such step
    - `starts`: the first and the last minute of the week at which it can begin
    - `start`, `end`: minutes of the week
    - `interval`: from start to end, if it is held
    - `minutes`: how long it is, 0 if it is not held
    - `run`: the minutes of its probes and teachings alone
    - `probes`: choice -> whether it is run here
    - `companions`: who may sit beside, as a companion or a teacher; empty where nobody needs to"""

    opening: Opening
    index: int
    name: str
    present: Bool
    step: Whole
    first_step: int
    starts: tuple[int, int]
    start: cp_model.LinearExpr
    end: Whole
    interval: Interval
    minutes: Linear
    run: Linear
    probes: Mapping[Choice, Bool]
    companions: tuple[Companion, ...] = ()

    @property
    def learner(self) -> str:
        return self.opening.learner

    @property
    def adult(self) -> str:
        return self.opening.adult

    @property
    def location(self) -> str:
        return self.opening.location

    @property
    def day(self) -> int:
        return self.opening.day


def slot_in(model: cp_model.CpModel, problem: Problem, meeting: Meeting, copy: int) -> Slot:
    opening, choices, steps = meeting.opening, meeting.choices, meeting.steps
    policy, limits = problem.case.policy, problem.case.learners[opening.learner].limits
    name = f"{opening.learner} {opening.adult} {opening.location} {opening.start} #{copy}"
    held = model.new_bool_var(f"{name} held")
    step = model.new_int_var(steps.start, steps.stop - 1, f"{name} step")
    model.add(step == steps.start).only_enforce_if(held.negated())
    grid, midnight = policy.start_every_minutes, opening.day * MINUTES_PER_DAY
    start = step * grid + midnight
    end = model.new_int_var(opening.start, opening.end, f"{name} end")
    probes = {c: model.new_bool_var(f"{name} {c.kind} {c.target} {' '.join(c.combination)}") for c in choices}
    longest = min(opening.end - opening.start, limits.sitting_minutes or MINUTES_PER_DAY)
    size = model.new_int_var(0, longest, f"{name} minutes")
    run = total(minutes_of(problem, c) * p for c, p in probes.items())
    minutes = policy.settle_minutes * held + run
    model.add(size == minutes)
    interval = model.new_optional_interval_var(start, size, end, held, f"{name} interval")
    slot = Slot(
        opening=opening,
        index=copy,
        name=name,
        present=held,
        step=step,
        first_step=steps.start,
        starts=(midnight + steps.start * grid, midnight + (steps.stop - 1) * grid),
        start=start,
        end=end,
        interval=interval,
        minutes=minutes,
        run=run,
        probes=probes,
    )
    companions = tuple(_companion(model, problem, slot, size, c) for c in problem.beside_in(opening))
    if opening in problem.companions:
        model.add(total(c.present for c in companions) == held)
    _teachers_for(model, slot, companions, needless=opening not in problem.companions)
    return replace(slot, companions=companions)


def _teachers_for(
    model: cp_model.CpModel, slot: Slot, companions: Sequence[Companion], *, needless: bool
) -> None:
    """Whoever sits beside may teach what the slot's adult may not; `needless`: there is nobody without such a
    teaching."""
    for choice, var in slot.probes.items():
        if choice.beside:
            model.add_bool_or([var.negated(), *(c.present for c in companions if c.adult in choice.beside)])
    if companions and needless:
        model.add_at_most_one(c.present for c in companions)
        wanted = [var for choice, var in slot.probes.items() if choice.beside]
        for companion in companions:
            model.add_bool_or([companion.present.negated(), *wanted])


def _companion(
    model: cp_model.CpModel, problem: Problem, slot: Slot, size: Whole, company: CompanionWindow
) -> Companion:
    """One who may sit beside: there for the whole sitting, and with no probe that rules that adult out."""
    name = f"{slot.name} beside {company.adult} {company.start}"
    held = model.new_bool_var(f"{name} held")
    model.add(slot.start >= company.start).only_enforce_if(held)
    model.add(slot.end <= company.end).only_enforce_if(held)
    longest = slot.opening.end - slot.opening.start
    minutes = model.new_int_var(0, longest, f"{name} minutes")
    model.add(minutes >= size - longest * (1 - held))
    model.add(minutes <= size)
    model.add(minutes <= longest * held)
    for choice, var in slot.probes.items():
        if is_ruled_out(problem.case.targets[choice.target], choice.combination, company.adult):
            model.add_bool_or([held.negated(), var.negated()])
    interval = model.new_optional_interval_var(slot.start, minutes, slot.end, held, f"{name} interval")
    return Companion(company, held, minutes, interval)
