"""Which combinations are possible at all, and the rule that stands against each of the others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.safety import NEVER_PLANNED, SMALL_PARTS_MONTHS, avoided_allergens
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET


@dataclass(frozen=True)
class Obstacle:
    """Why a combination is not possible: the rule's short name and the sentence that a person is told."""

    rule: str
    sentence: str


Check = Callable[[Case, Target, Combination, date], str | None]


def _adult_works_with_learner(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    adult = case.adults[target.value(combination, ADULT)]
    learner = case.learners[target.learner]
    return None if adult.works_with(learner.id) else f"{adult.name} does not work with {learner.alias}"


def _adult_goes_to_location(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    adult = case.adults[target.value(combination, ADULT)]
    location = case.locations[target.value(combination, LOCATION)]
    return None if adult.goes_to(location.id) else f"{adult.name} does not go to {location.name}"


def _location_takes_learner(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    location = case.locations[target.value(combination, LOCATION)]
    learner = case.learners[target.learner]
    return None if location.takes(learner.id) else f"{location.name} does not take {learner.alias}"


def _adult_is_briefed(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    adult = case.adults[target.value(combination, ADULT)]
    return None if adult.is_briefed_on(target.id) else f"{adult.name} is not briefed on '{target.name}' yet"


def _set_may_be_there(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    material_set = case.material_sets[target.value(combination, MATERIAL_SET)]
    location = case.locations[target.value(combination, LOCATION)]
    if material_set.kept_at is None or location.id in material_set.kept_at:
        return None
    return f"'{material_set.name}' is not kept at {location.name}"


def _no_allergen(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    material_set = case.material_sets[target.value(combination, MATERIAL_SET)]
    learner = case.learners[target.learner]
    met = sorted(avoided_allergens(learner.allergens) & material_set.allergens)
    return (
        f"'{material_set.name}' holds {', '.join(met)}, which {learner.alias} must not meet" if met else None
    )


def _no_barred_hazard(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    material_set = case.material_sets[target.value(combination, MATERIAL_SET)]
    barred = sorted(material_set.hazards & NEVER_PLANNED.keys())
    return f"'{material_set.name}' holds {NEVER_PLANNED[barred[0]]}" if barred else None


def _no_small_part(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    material_set = case.material_sets[target.value(combination, MATERIAL_SET)]
    learner = case.learners[target.learner]
    young = learner.born is not None and learner.born.age_months(on) < SMALL_PARTS_MONTHS
    if not (young and material_set.may_be_small_part):
        return None
    return f"'{material_set.name}' is or may be a small part, and {learner.alias} is under {SMALL_PARTS_MONTHS} months"


def _old_enough(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    material_set = case.material_sets[target.value(combination, MATERIAL_SET)]
    learner = case.learners[target.learner]
    if learner.born is None or learner.born.age_months(on) >= material_set.min_age_months:
        return None
    return f"'{material_set.name}' is for {material_set.min_age_months} months and over"


def _not_ruled_out(case: Case, target: Target, combination: Combination, on: date) -> str | None:
    for pattern in target.never:
        if target.matches(combination, pattern):
            named = ", ".join(case.called(name, value) for name, value in pattern.items())
            return f"the case says never: {named}"
    return None


CHECKS: tuple[tuple[str, Check], ...] = (
    ("allergen", _no_allergen),
    ("hazard", _no_barred_hazard),
    ("small part", _no_small_part),
    ("minimum age", _old_enough),
    ("never", _not_ruled_out),
    ("adult and learner", _adult_works_with_learner),
    ("adult and location", _adult_goes_to_location),
    ("location and learner", _location_takes_learner),
    ("set and location", _set_may_be_there),
    ("briefing", _adult_is_briefed),
)
"""Strongest first: what keeps a child safe, then what the case rules out, then what could be changed by a word."""


def obstacle(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    """The strongest rule against this combination on the day `on` (which decides ages), or None: it is possible."""
    for rule, check in CHECKS:
        sentence = check(case, target, combination, on)
        if sentence:
            return Obstacle(rule, sentence)
    return None


def possible_combinations(case: Case, target: Target, on: date) -> tuple[Combination, ...]:
    """All combinations of the target without an obstacle, in the order of its values."""
    return tuple(c for c in target.combinations() if obstacle(case, target, c, on) is None)
