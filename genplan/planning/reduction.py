"""A problem with only what decides its answer: what another process has to be told, and what a question is asked of.

Two problems that differ only in what no rule, objective or bound of these learners reads are then the same problem, so
that a change for one child leaves the questions about all others as they were. `DROPPED` names each field of a case
that is left out, and why it decides nothing; `tests/planning/test_reduction.py` holds both: the fields, and that a
search finds the same.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Set
from dataclasses import MISSING, fields, replace
from functools import cache
from typing import Any, TypeVar

from genplan.case import (
    Absence,
    Adult,
    Case,
    Learner,
    Location,
    MaterialSet,
    Policy,
    SolverLimits,
    Target,
    Travel,
    Wish,
)
from genplan.case.targets import MATERIAL_SET
from genplan.case.wishes_of_planners import Apart
from genplan.coverage.tally import Tally
from genplan.evidence.standing import Standing
from genplan.plan import WeeksBefore
from genplan.planning.needs import TargetNeed
from genplan.planning.problem import Problem
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_learners
from genplan.rules.wishes import is_of

Key = TypeVar("Key")
Value = TypeVar("Value")

DROPPED: Mapping[type, Mapping[str, str]] = {
    Learner: {
        "name": "for readers",
        "alias": "for readers",
        "free": "in the openings",
        "born": "in the choices",
        "mouths": "in the choices",
        "away": "in the openings",
        "allergens": "in the choices",
    },
    Adult: {
        "name": "for readers",
        "free": "in the openings and companions",
        "role": "for readers",
        "learners": "in the openings and companions",
        "locations": "in the openings and companions",
        "away": "in the openings and companions",
        "busy": "in the openings and companions",
        "emails": "in the openings and companions",
        "tentative_busy": "in the openings and companions",
        "busy_margin_minutes": "in the openings and companions",
        "utc_series": "in the openings and companions",
        "briefed_on": "in the choices",
        "teaches": "in the choices",
        "extra": "in the openings and companions",
    },
    Location: {
        "name": "for readers",
        "open": "in the openings",
        "closed": "in the openings",
        "learners": "in the openings",
        "holidays": "in the openings",
        "address": "in the openings",
    },
    MaterialSet: {
        "name": "for readers",
        "kept_at": "in the choices",
        "small_parts": "in the choices",
        "dimensions_mm": "in the choices",
        "min_age_months": "in the choices",
        "allergens": "in the choices",
        "hazards": "in the choices",
        "bring": "for readers",
        "maybe_by_name": "for readers",
    },
    Target: {
        "name": "for readers",
        "correct_when": "for readers",
        "instruction": "for readers",
        "spoken": "for readers",
        "state": "in the needs",
        "mastered_on": "in the needs",
        "criterion": "for readers",
        "taught": "in the needs",
        "trials": "of a probe that is run",
        "pass_mark": "in the needs",
        "first": "in the wishes of the needs",
        "generalised_when": "no part of a week",
        "generalised_with": "no part of a week",
        "generalised_untaught": "no part of a week",
        "maintenance_days": "in the needs",
        "how_taught": "for readers",
        "steps": "for readers",
        "hold_out": "in the choices",
        "teach": "in the needs",
        "teachings_before_retest": "in the needs",
        "retest_after_days": "in the choices",
        "teaching_per_week": "in the needs",
        "taught_when": "in the needs",
        "criterion_days": "for readers",
    },
    Policy: {
        "name": "for readers",
        "days": "in the openings",
        "cover": "in the targets",
        "trials": "in the targets",
        "pass_mark": "in the targets",
        "minutes": "in the targets",
        "generalised_when": "in the targets",
        "generalised_untaught": "in the targets",
        "maintenance_days": "in the targets",
        "maintenance_tolerance_days": "in the needs",
        "maintenance_after_lapse_days": "in the needs",
        "plan_teaching": "in the needs",
        "baseline_per_target": "in the needs",
        "teach": "in the targets",
        "teaching_minutes": "in the targets",
        "teachings_before_retest": "in the targets",
        "retest_after_days": "in the targets",
        "teaching_per_week": "in the targets",
        "taught_when": "in the targets",
        "criterion_days": "in the targets",
        "new_wait_where_it_breaks": "in the choices",
        "new_wait_after_lapse": "in the choices",
        "follow_term": "in the turns of the needs",
        "alarm_minutes": "in calendars",
        "observed_share": "observers are no part of a search",
        "accompany_new_adults": "in the companions",
        "fair_over_weeks": "in what the weeks before gave",
    },
    SolverLimits: {"seconds": "the budget's"},
    Tally: {
        "possible_combinations": "in the choices",
    },
    Standing: {
        "tested": "in the choices",
        "retest_due": "in the choices",
        "last_date": "for readers",
        "correct": "for readers",
        "trials": "for readers",
        "teachings": "in the needs",
        "retest_from": "in the choices",
        "suspects": "in the choices",
        "partly_from": "in the choices",
        "uncounted": "for readers",
    },
    Absence: {"kind": "for readers", "note": "for readers", "place": "in the openings and companions"},
    Wish: {"pattern": "in the tuples of the wish", "by": "in the day until which it counts"},
}
"""Fields that a reduced problem has as nothing, each with where it decides: before, or not at all."""

_NOTHING: Mapping[tuple[type, str], Any] = {
    (Tally, "possible_combinations"): (),
    (Wish, "pattern"): {},
}
"""What stands in the place of a dropped field that has no default; of a text that is nothing."""


def reduced(problem: Problem) -> Problem:
    """The same problem for `run_solve`: it finds the same seats, values and bounds. Openings are settled in it, so no
    more seats may be put beside it."""
    adults = {o.adult for o in problem.openings}
    for beside in (problem.companions, problem.teachers):
        adults |= {c.adult for o in problem.openings for c in beside.get(o, ())}
    places = {o.location for o in problem.openings}
    rooms = {(o.location, o.day) for o in problem.openings}
    sets = {n.target.value(c.combination, MATERIAL_SET) for n in problem.needs for c in n.choices}
    near = (s for s in problem.taken if (s.location, s.day) in rooms or _matters(s, problem, adults, sets))
    taken = tuple(_of_use(s, problem, sets) for s in near)
    targets = {n.id: _bare(n.target) for n in problem.needs}
    case = _case(problem.case, problem, adults, places | {s.location for s in taken}, sets, targets)
    return replace(
        problem,
        case=case,
        needs=tuple(_need(n, targets[n.id]) for n in problem.needs),
        taken=taken,
        recorded=_only(problem.recorded, targets),
        recorded_teachings=_only(problem.recorded_teachings, targets),
        alone=_alone(problem),
        # an objective is refused where there is nothing for it, so something stays of what is somebody else's
        told=of_learners(problem.told, problem.learners) or problem.told[:1],
        lost=of_learners(problem.lost, problem.learners),
        prices=_some(problem.prices, _rooms(adults, places)),
        detours=_only(problem.detours, places),
        tolls=_some(problem.tolls, _rooms(adults, places)),
        others=tuple(replace(s, probes=()) for s in problem.others if s.adult in adults),
        travelling=problem.travelling & adults,
        can_give=_only(problem.can_give, adults),
        observing=_only(problem.observing, adults),
        before=_before(problem, adults),
        rather=tuple(r for r in problem.rather if r.learner in problem.learners) or problem.rather[:1],
    )


def _matters(seat: PlacedSitting, problem: Problem, adults: Set[str], sets: Set[str]) -> bool:
    """Whether a seat shares a learner, an adult or a set with what may be planned, wherever it is."""
    return (
        seat.learner in problem.learners
        or not adults.isdisjoint(seat.adults)
        or not seat.material_sets.isdisjoint(sets)
        or _is_wished_apart(seat, problem)
    )


def _is_wished_apart(seat: PlacedSitting, problem: Problem) -> bool:
    return any(is_of(thing, seat) for a in problem.case.apart for thing in (a.one, a.other))


def _of_use(seat: PlacedSitting, problem: Problem, sets: Set[str]) -> PlacedSitting:
    """A seat of somebody else: when, with which adults, where if that may matter, and which of the sets it holds. Of
    its probes only the number counts."""
    if seat.learner in problem.learners or _is_wished_apart(seat, problem):
        return seat
    probes = tuple(
        sorted(
            PlacedProbe("", ("", "", p.combination[2] if p.combination[2] in sets else ""), "")
            for p in seat.probes
        )
    )
    return replace(seat, probes=probes)


def _case(
    case: Case,
    problem: Problem,
    adults: Collection[str],
    places: Collection[str],
    sets: Collection[str],
    targets: Mapping[str, Target],
) -> Case:
    learners = {*problem.learners, *(t.learner for t in targets.values())}
    solver = replace(case.policy.solver, seconds=SolverLimits.seconds)
    return Case(
        timezone=case.timezone,
        learners={i: _bare(x) for i, x in case.learners.items() if i in learners},
        adults={i: _bare(x) for i, x in case.adults.items() if i in adults},
        locations={i: _bare(x) for i, x in case.locations.items() if i in places},
        material_sets={i: _set(x) for i, x in case.material_sets.items() if i in sets},
        targets={i: targets[i] for i in case.targets if i in targets},
        travel=Travel(
            case.travel.otherwise, {pair: m for pair, m in case.travel.routes.items() if pair <= set(places)}
        ),
        policy=replace(_bare(case.policy), solver=solver),
        apart=tuple(a for a in case.apart if _concerns(a, learners, targets)),
    )


def _concerns(apart: Apart, learners: Collection[str], targets: Collection[str]) -> bool:
    return any(t.target in targets or t.learner in learners for t in (apart.one, apart.other))


def _need(need: TargetNeed, target: Target) -> TargetNeed:
    standings = {c: _bare(s) for c, s in need.tally.standings.items()}
    wishes = tuple(replace(w, wish=_bare(w.wish)) for w in need.wishes)
    tally = replace(_bare(need.tally), target=target, standings=standings)
    return replace(need, target=target, tally=tally, wishes=wishes)


def _set(one: MaterialSet) -> MaterialSet:
    return replace(_bare(one), missing=tuple(map(_bare, one.missing)))


def _bare(value: Value) -> Value:
    """The value without the fields that decide nothing."""
    kind: Any = type(value)
    return replace(value, **_nothing_of(kind))  # type: ignore[type-var]


@cache
def _nothing_of(kind: Any) -> Mapping[str, Any]:
    """What stands in the place of each field that decides nothing."""
    defaults = {f.name: f for f in fields(kind)}
    return {name: _NOTHING.get((kind, name), _default(defaults[name])) for name in DROPPED[kind]}


def _default(field: Any) -> Any:
    if field.default_factory is not MISSING:
        return field.default_factory()
    return "" if field.default is MISSING else field.default


def _alone(problem: Problem) -> Mapping[str, int]:
    """Those of the learners, as long as it stays whether there is anything to share."""
    own = _only(problem.alone, problem.learners)
    return own if any(most > 0 for most in own.values()) or not problem.has_shares else problem.alone


def _before(problem: Problem, adults: Collection[str]) -> WeeksBefore:
    """What these adults and learners had; over how many weeks decides nothing more."""
    before = problem.before
    return WeeksBefore(0, _only(before.minutes, adults), _only(before.tuples, problem.learners))


def _rooms(adults: Collection[str], places: Collection[str]) -> set[tuple[str, str]]:
    return {("adult", a) for a in adults} | {("location", p) for p in places}


def _only(whole: Mapping[Key, Value], wanted: Collection[Key]) -> Mapping[Key, Value]:
    return {key: value for key, value in whole.items() if key in wanted}


def _some(whole: Mapping[Key, Value], wanted: Collection[Key]) -> Mapping[Key, Value]:
    """The wanted ones; of those that are not the first, if there is no other."""
    return _only(whole, wanted) or dict(list(whole.items())[:1])
