"""What is possible of a target on whatever day, and the things that only the place that they stay in stands against."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.possible import is_ruled_out, is_to_be_had, may_be_there, possible_combinations
from genplan.case.safety import NEVER_PLANNED, allergens_met
from genplan.case.targets import LOCATION, MATERIAL_SET, Pattern
from genplan.language import _, or_list


def possible_at_any_age(case: Case, target: Target, combination: Combination) -> bool:
    """What holds whatever the day is, and whatever the child puts into the mouth or a thing is called."""
    adult, location, material_set = combination[:3]
    there = may_be_there(case, target, adult, location) and _may_be_used(case, target, location, material_set)
    return there and not is_ruled_out(target, combination)


def adults_to_brief(case: Case, target: Target, pattern: Pattern) -> list[str]:
    """The adults with whom what holds the pattern would be possible, if they were briefed on the target."""
    adults = {
        i: replace(a, briefed_on=None) for i, a in case.adults.items() if not a.is_briefed_on(target.id)
    }
    if not adults:
        return []
    as_if = replace(case, adults={**case.adults, **adults})
    possible = {c[0] for c in possible_combinations(as_if, target, date.max) if target.matches(c, pattern)}
    return sorted(possible & adults.keys())


def _may_be_used(case: Case, target: Target, location_id: str, set_id: str) -> bool:
    return is_to_be_had(case, location_id, set_id) and _is_safe(case, target, set_id)


def _is_safe(case: Case, target: Target, set_id: str) -> bool:
    material_set, learner = case.material_sets[set_id], case.learners[target.learner]
    safe = material_set.hazards.isdisjoint(NEVER_PLANNED)
    return safe and not allergens_met(learner.allergens, material_set.holds)


def why_things_stay(case: Case, target: Target) -> list[str]:
    """Of a target of which nothing is possible a clause for each set that only where it is kept stands against."""
    adults, locations, sets = (dimension.values for dimension in target.dimensions[:3])
    safe = {
        id_ for id_ in sets if case.material_sets[id_].kept_at is not None and _is_safe(case, target, id_)
    }
    would_be = {
        c[2]
        for c in target.combinations()
        if c[2] in safe and may_be_there(case, target, *c[:2]) and not is_ruled_out(target, c)
    }
    clauses = []
    for id_ in (s for s in sets if s in would_be):
        kept_at = sorted(case.material_sets[id_].kept_at or ())
        tried = [p for p in kept_at if p in locations]
        thing = case.called(MATERIAL_SET, id_)
        places = or_list([f"'{case.called(LOCATION, p)}'" for p in kept_at])
        if not tried:
            clause = _(
                "'{thing}' stays in {places}, where this skill is not tried", thing=thing, places=places
            )
        elif not any(case.adults[a].goes_to(p) for a in adults for p in tried):
            clause = _(
                "'{thing}' stays in {places}, where no adult of this skill goes", thing=thing, places=places
            )
        else:
            clause = _(
                "'{thing}' stays in {places}, where nothing of this skill is possible",
                thing=thing,
                places=places,
            )
        clauses.append(clause)
    return clauses
