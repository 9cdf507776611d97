"""The variables of a week: slots in which a sitting may be held, the probes in them, the tuples these show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from ortools.sat.python import cp_model

from genplan.case.week import MINUTES_PER_DAY
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice
from genplan.planning.openings import Opening
from genplan.planning.problem import Problem
from genplan.planning.solver.meetings import meeting_in, most_copies
from genplan.planning.solver.search import Model
from genplan.planning.solver.slots import Bool, Interval, Linear, Slot, Whole, slot_in, total
from genplan.planning.teaching_due import TeachingDue
from genplan.rules.placed_sittings import PlacedSitting, of_learners

Thing = TypeVar("Thing")
Key = TypeVar("Key")


@dataclass(frozen=True, kw_only=True)
class Presence:
    """An adult in a slot, running it or beside.

    - `adult`: who
    - `slot`: the sitting
    - `present`: whether the adult is there
    - `minutes`: how long, 0 if not
    - `interval`: when, if the adult is there"""

    adult: str
    slot: Slot
    present: Bool
    minutes: Linear
    interval: Interval

    @property
    def learner(self) -> str:
        return self.slot.learner

    @property
    def location(self) -> str:
        return self.slot.location

    @property
    def day(self) -> int:
        return self.slot.day

    @property
    def opening(self) -> Opening:
        return self.slot.opening

    @property
    def name(self) -> str:
        return self.slot.name

    @property
    def start(self) -> cp_model.LinearExpr:
        return self.slot.start

    @property
    def end(self) -> Whole:
        return self.slot.end


@dataclass(frozen=True, kw_only=True)
class Variables:
    """Everything the rules and objectives speak of.

    - `model`: the solver's
    - `problem`: what it is a model of
    - `slots`: sittings that may be held
    - `covered`: target and tuple -> 1 only if a planned probe shows it
    - `cut`: some weeks that keep all rules are not among those that the variables can say"""

    model: cp_model.CpModel
    problem: Problem
    slots: tuple[Slot, ...]
    covered: Mapping[tuple[str, Tuple], Bool]
    cut: bool = False

    @cached_property
    def by_target(self) -> Mapping[str, Sequence[tuple[Slot, Choice, Bool]]]:
        """Of each target where and how it may be run, in the order of the slots."""
        everything = ((slot, c, var) for slot in self.slots for c, var in slot.probes.items())
        return defaultdict(tuple, grouped(everything, lambda thing: thing[1].target))

    @cached_property
    def taken_on(self) -> Mapping[tuple[str, int], Sequence[PlacedSitting]]:
        """The seats that stay as they are by learner and day."""
        return grouped(self.problem.taken, learners_day)

    def probes_of(self, target: str, kind: ProbeKind) -> list[Bool]:
        """Every variable of a probe of the target of that kind, in the order of the slots."""
        return [var for _, choice, var in self.by_target[target] if choice.kind is kind]

    @cached_property
    def stays(self) -> Mapping[PlacedSitting, list[tuple[Slot, Bool]]]:
        """For each sitting that people were told of the slots that may hold it, each with whether it does, with nothing
        otherwise; none where it is lost."""
        slots = grouped(self.slots, lambda s: (s.learner, s.adult, s.location, s.day))
        return {
            seat: [
                (slot, var)
                for slot in slots.get((seat.learner, seat.adult, seat.location, seat.day), ())
                if seat not in self.problem.lost
                and (var := _is_just(self.model, self.problem, slot, seat)) is not None
            ]
            for seat in of_learners(self.problem.told, self.problem.learners)
        }

    @cached_property
    def taught(self) -> tuple[tuple[TeachingDue, Whole], ...]:
        """What is owed in teaching and has a place, each with how often it is held. Counted in variables of their own,
        since the search weighs an objective by what its variables could come to."""
        found = []
        for need in self.problem.needs:
            for number, due in enumerate(need.teachings):
                if held := teachings_of(self, need.id, due):
                    count = self.model.new_int_var(0, due.times, f"{need.id} teachings {number}")
                    self.model.add(count == total(held))
                    found.append((due, count))
        return tuple(found)

    @cached_property
    def presences(self) -> tuple[Presence, ...]:
        """Everybody's presences, in the order of the slots."""
        found = []
        for slot in self.slots:
            found.append(
                Presence(
                    adult=slot.adult,
                    slot=slot,
                    present=slot.present,
                    minutes=slot.minutes,
                    interval=slot.interval,
                )
            )
            found += [
                Presence(adult=c.adult, slot=slot, present=c.present, minutes=c.minutes, interval=c.interval)
                for c in slot.companions
            ]
        return tuple(found)


def _is_just(model: cp_model.CpModel, problem: Problem, slot: Slot, seat: PlacedSitting) -> Bool | None:
    """A boolean that may be true only if the slot holds this sitting with nothing otherwise; None: it cannot."""
    wanted = {(p.target, p.combination, p.kind) for p in seat.probes}
    inside = {c: var for c, var in slot.probes.items() if (c.target, c.combination, str(c.kind)) in wanted}
    beside = [
        c.present
        for c in slot.companions
        if seat.beside_as.is_needed and c.adult == seat.beside
        if c.company.start <= seat.start and seat.end <= c.company.end
    ]
    in_time = slot.opening.start <= seat.start and seat.end <= slot.opening.end
    if not in_time or len(inside) < len(wanted) or seat.beside_as.is_needed > len(beside):
        return None
    just = model.new_bool_var(f"{slot.name} just as told at {seat.start}")
    grid = problem.case.policy.start_every_minutes
    model.add(slot.step * grid == seat.start % MINUTES_PER_DAY).only_enforce_if(just)
    company = () if seat.beside_as.is_needed else tuple(c.present for c in slot.companions)
    for var in (slot.present, *inside.values(), *beside):
        model.add_implication(just, var)
    for var in (*(var for c, var in slot.probes.items() if c not in inside), *company):
        model.add_implication(just, ~var)
    return just


def grouped(things: Iterable[Thing], key: Callable[[Thing], Key]) -> dict[Key, list[Thing]]:
    """Things by their key, each group in the order of the things."""
    groups: dict[Key, list[Thing]] = defaultdict(list)
    for thing in things:
        groups[key(thing)].append(thing)
    return groups


def learners_day(thing: Slot | Presence | PlacedSitting) -> tuple[str, int]:
    """The learner and the day of a sitting."""
    return thing.learner, thing.day


def build_variables(problem: Problem) -> Variables:
    """A model with all variables and the equations that define them, without any rule."""
    model = Model()
    meetings = [m for o in problem.openings if (m := meeting_in(problem, o)) is not None]
    most = most_copies(meetings)
    slots = tuple(slot_in(model, problem, m, copy) for m in meetings for copy in range(min(m.sittings, most)))
    covered = {}
    for need in problem.needs:
        for tuple_ in sorted(need.open):
            covered[need.id, tuple_] = model.new_bool_var(f"{need.id} shows {_words(tuple_)}")
    return Variables(
        model=model,
        problem=problem,
        slots=slots,
        covered=covered,
        cut=any(m.sittings > most for m in meetings),
    )


def any_of(v: Variables, name: str, several: Sequence[Bool]) -> Bool:
    """A boolean that may be true only if one of these is."""
    one = v.model.new_bool_var(name)
    v.model.add(one <= total(several))
    return one


def teachings_of(v: Variables, target: str, due: TeachingDue) -> list[Bool]:
    """The variables of the teachings that pay what is due, in the order of the slots."""
    return [
        var
        for _, choice, var in v.by_target[target]
        if not choice.kind.is_probe and choice.combination in due.combinations
    ]


def _words(tuple_: Tuple) -> str:
    return " ".join(value for _, value in tuple_)
