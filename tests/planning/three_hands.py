"""Whether a small week holds every rule, by each of the three hands that write them: plain, solver, auditor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from monday_cases import NINE
from ortools.sat.python import cp_model
from planning_cases import WEEK, ZONE

from genplan.audit.matter import Matter
from genplan.audit.more import RULES as CHECKS
from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.plan import Beside, Plan
from genplan.planning.assemble import sittings_of
from genplan.planning.needs import TargetNeed, need_of
from genplan.planning.openings import hours
from genplan.planning.problem import problem_for
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.variables import Slot, Variables, build_variables
from genplan.rules.limits import Kind
from genplan.rules.placed import Seat, SeatedProbe
from genplan.rules.together import everything_between

DAY = 24 * 60
NOTHING_RUN = Log()


def seat(
    learner: str,
    adult: str,
    location: str,
    start: int,
    *probes: str,
    day: int = 0,
    by: str = "",
    settle: int = 5,
) -> Seat:
    """From so many minutes after nine; each probe is a skill and its set, such as 'b set-b'. `by`: a companion."""
    held = tuple(SeatedProbe(t, (adult, location, m), "new") for t, m in map(str.split, probes))
    begin = day * DAY + NINE + start
    found = Seat(learner, adult, location, begin, begin + settle + 5 * len(held), held)
    return replace(found, beside=by, beside_as=Beside.COMPANION) if by else found


@dataclass(frozen=True)
class SmallWeek:
    """Seats of a week of a case; `acquainted` as the planner takes it."""

    case: Case
    seats: tuple[Seat, ...]
    week: Week = WEEK
    acquainted: Mapping[str, frozenset[str]] | None = None

    @property
    def now(self) -> datetime:
        monday = datetime.combine(self.week.monday, datetime.min.time(), ZONE)
        return monday - timedelta(hours=12)

    @property
    def needs(self) -> tuple[TargetNeed, ...]:
        on = self.now.date()
        return tuple(need_of(self.case, t, NOTHING_RUN, self.week, on) for t in self.case.mastered)


def by_plain_rules(it: SmallWeek) -> set[Kind]:
    """The kinds of what stands between the seats."""
    return {
        limit.kind
        for s in it.seats
        for limit in everything_between(it.case, s, [o for o in it.seats if o is not s])
    }


def by_solver(it: SmallWeek) -> bool:
    """Whether the solver's model has the week."""
    free = hours(it.case, it.week, it.now, {}, it.acquainted)
    v = build_variables(problem_for(it.case, it.week, free, tuple(it.case.learners), it.needs, ()))
    for rule in RULES:
        rule(v)
    _fix(v, it.seats)
    status = cp_model.CpSolver().solve(v.model)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
    return status != cp_model.INFEASIBLE


def _fix(v: Variables, seats: Sequence[Seat]) -> None:
    """Each seat is held in one slot of its opening, and no slot holds anything else."""
    there = {(i, j): v.model.new_bool_var("") for i in range(len(seats)) for j in range(len(v.slots))}
    for i, own in enumerate(seats):
        v.model.add_exactly_one(there[i, j] for j in range(len(v.slots)))
        for j, slot in enumerate(v.slots):
            _put(v, own, slot, there[i, j])
    for j, slot in enumerate(v.slots):
        v.model.add(slot.held == sum(there[i, j] for i in range(len(seats))))
        for choice, var in slot.probes.items():
            holding = [
                there[i, j]
                for i, own in enumerate(seats)
                if any((p.target, p.combination) == (choice.target, choice.combination) for p in own.probes)
            ]
            v.model.add(var == sum(holding))


def _put(v: Variables, own: Seat, slot: Slot, there: cp_model.IntVar) -> None:
    choices = {(c.target, c.combination) for c in slot.probes}
    same = (slot.learner, slot.adult, slot.location) == (own.learner, own.adult, own.location)
    if not same or not all((p.target, p.combination) in choices for p in own.probes):
        v.model.add(there == 0)
        return
    v.model.add(slot.start == own.start).only_enforce_if(there)
    v.model.add(slot.end == own.end).only_enforce_if(there)
    if own.beside:
        beside = [c.held for c in slot.companions if c.adult == own.beside]
        v.model.add(sum(beside) == 1).only_enforce_if(there)


def by_auditor(it: SmallWeek) -> set[str]:
    """The names of the checks that complain."""
    sittings = sittings_of(it.case, it.week, it.needs, it.seats, ())
    matter = Matter(
        it.case,
        NOTHING_RUN,
        Plan(week=it.week, now=it.now, sittings=sittings, objectives=(), coverage=(), matrix=(), left_out=()),
        {},
        (),
    )
    return set(_complaining(matter))


def _complaining(matter: Matter) -> Iterator[str]:
    for check in CHECKS:
        if any(True for _ in check(matter)):
            yield check.__name__
