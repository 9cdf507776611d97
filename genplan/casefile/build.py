"""Records without errors -> Case, with every default filled in and every mapping sorted by id."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from genplan.case import (
    Adult,
    AdultLimits,
    Case,
    Dimension,
    Learner,
    LearnerLimits,
    Location,
    MaterialSet,
    Policy,
    Target,
    TargetState,
    Travel,
    WeeklyHours,
    Wish,
)
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.casefile.changes import with_changes

Record = Mapping[str, Any]


def build_case(top: Record, policy: Policy) -> Case:
    """`top` holds checked records by section."""
    learners = {i: learner(i, r) for i, r in sorted(top["learners"].items())}
    adults = {i: adult(i, r) for i, r in sorted(top["adults"].items())}
    locations = {i: location(i, r) for i, r in sorted(top["locations"].items())}
    material_sets = {i: material_set(i, r) for i, r in sorted(top["material_sets"].items())}
    without = Case(top["timezone"], learners, adults, locations, material_sets, {}, travel(top), policy)
    targets = {i: target(i, r, without) for i, r in sorted(top["targets"].items())}
    case = Case(without.timezone, learners, adults, locations, material_sets, targets, without.travel, policy)
    return with_changes(case, top.get("changes", ()))


def _ids(record: Record, key: str) -> frozenset[str] | None:
    """None is all."""
    listed = record.get(key)
    return None if listed is None else frozenset(listed)


def learner(id_: str, record: Record) -> Learner:
    name = record.get("name", id_)
    return Learner(
        id=id_,
        name=name,
        alias=record.get("alias", f"{name[0]}."),
        free=record.get("free", WeeklyHours.never()),
        born=record.get("born"),
        away=record.get("away", ()),
        limits=LearnerLimits(**record.get("limits", {})),
        allergens=frozenset(record.get("allergens", ())),
        needs=record.get("needs", 1.0),
    )


def adult(id_: str, record: Record) -> Adult:
    return Adult(
        id=id_,
        name=record.get("name", id_),
        free=record.get("free", WeeklyHours.never()),
        role=record.get("role", ""),
        learners=_ids(record, "learners"),
        locations=_ids(record, "locations"),
        away=record.get("away", ()),
        busy=record.get("busy"),
        limits=AdultLimits(**record.get("limits", {})),
        briefed_on=_ids(record, "briefed_on"),
    )


def location(id_: str, record: Record) -> Location:
    return Location(
        id=id_,
        name=record.get("name", id_),
        open=record.get("open", WeeklyHours.always()),
        capacity=record.get("capacity", 1),
        closed=tuple(sorted((*record.get("closed", ()), *record.get("terms", ())))),
        learners=_ids(record, "learners"),
        holidays=record.get("holidays"),
    )


def material_set(id_: str, record: Record) -> MaterialSet:
    return MaterialSet(
        id=id_,
        name=record.get("name", id_),
        copies=record.get("copies", 1),
        kept_at=_ids(record, "kept_at"),
        small_parts=record.get("small_parts"),
        dimensions_mm=record.get("dimensions_mm"),
        min_age_months=record.get("min_age_months", 0),
        allergens=frozenset(record.get("allergens", ())),
        hazards=frozenset(record.get("hazards", ())),
    )


def travel(top: Record) -> Travel:
    record = top.get("travel_minutes", {})
    routes = {frozenset(r["between"]): r["minutes"] for r in record.get("routes", ())}
    return Travel(record.get("otherwise", 0), dict(sorted(routes.items(), key=lambda pair: sorted(pair[0]))))


def target(id_: str, record: Record, case: Case) -> Target:
    """`case` without targets: what the values of a dimension default to."""
    policy = case.policy
    return Target(
        id=id_,
        learner=record["learner"],
        name=record.get("name", id_),
        dimensions=_dimensions(id_, record, case),
        correct_when=record.get("correct_when", ""),
        instruction=record.get("instruction", ""),
        state=TargetState(record.get("state", TargetState.MASTERED)),
        mastered_on=record.get("mastered_on"),
        criterion=record.get("criterion"),
        taught=tuple(record.get("taught", ())),
        cover=record.get("cover", policy.cover),
        trials=record.get("trials", policy.trials),
        pass_mark=record.get("pass_mark", policy.pass_mark),
        minutes=record.get("minutes", policy.minutes),
        never=tuple(record.get("never", ())),
        first=tuple(Wish(pattern, by) for pattern, by in record.get("first", ())),
        generalised_when=record.get("generalised_when", _counts_from(policy, record)),
        maintenance_days=record.get("maintenance_days", policy.maintenance_days),
    )


def _counts_from(policy: Policy, record: Record) -> Mapping[str, int]:
    """The policy's counts, without dimensions that this target does not have."""
    dimensions = {ADULT, LOCATION, MATERIAL_SET, *record.get("also_vary", {})}
    return {d: n for d, n in policy.generalised_when.items() if d in dimensions}


def _dimensions(id_: str, record: Record, case: Case) -> tuple[Dimension, ...]:
    """Given values in the user's order. By default: the adults who work with the learner and are briefed on
    the target, the locations that take the learner, and the sets that travel or are kept at one of the
    locations. A set that is barred for the child's safety stays listed, so that the matrix says why it is not
    used."""
    learner = record["learner"]
    adults = record.get("adults") or [
        a.id for a in case.adults.values() if a.works_with(learner) and a.is_briefed_on(id_)
    ]
    locations = record.get("locations") or [p.id for p in case.locations.values() if p.takes(learner)]
    sets = record.get("material_sets") or [
        m.id for m in case.material_sets.values() if m.kept_at is None or not m.kept_at.isdisjoint(locations)
    ]
    extra = [Dimension(name, tuple(values)) for name, values in record.get("also_vary", {}).items()]
    base = ((ADULT, adults), (LOCATION, locations), (MATERIAL_SET, sets))
    return (*(Dimension(name, tuple(values)) for name, values in base), *extra)
