"""Which combinations are possible at all, and the rule that stands against each of the others."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from itertools import product

from genplan.case import Case, Combination, Learner, MaterialSet, Target
from genplan.case.safety import NEVER_PLANNED, SMALL_PARTS_MONTHS, allergens_met
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET


class Rule(StrEnum):
    """Strongest first: what keeps a child safe, then what the case rules out, then what could be changed by a word."""

    ALLERGEN = "allergen"
    HAZARD = "hazard"
    SMALL_PART = "small part"
    MINIMUM_AGE = "minimum age"
    NEVER = "never"
    ADULT_AND_LEARNER = "adult and learner"
    ADULT_AND_LOCATION = "adult and location"
    LOCATION_AND_LEARNER = "location and learner"
    SET_AND_LOCATION = "set and location"
    BRIEFING = "briefing"
    NOT_VARIED = "not varied"

    @property
    def is_of_safety(self) -> bool:
        """It keeps the child from the thing, wherever and with whomever."""
        return self in (Rule.ALLERGEN, Rule.HAZARD, Rule.SMALL_PART, Rule.MINIMUM_AGE)


@dataclass(frozen=True)
class Obstacle:
    """Why a combination of a target is not possible: the rule, and the values of the combination that it is about, as
    pairs of dimension and id. `found` are the allergens or the hazards of the set; `by_name`: only its name says so."""

    rule: Rule
    target: str
    values: tuple[tuple[str, str], ...]
    found: tuple[str, ...] = ()
    by_name: bool = False


Check = Callable[[Case, Target, Combination, date], Obstacle | None]


def _about(
    rule: Rule, target: Target, combination: Combination, dimensions: Iterable[str], found: Iterable[str] = ()
) -> Obstacle:
    values = tuple((name, target.value(combination, name)) for name in dimensions)
    return Obstacle(rule, target.id, values, tuple(found))


def _adult_works_with_learner(
    case: Case, target: Target, combination: Combination, on: date
) -> Obstacle | None:
    if case.adults[target.value(combination, ADULT)].works_with(target.learner):
        return None
    return _about(Rule.ADULT_AND_LEARNER, target, combination, [ADULT])


def _adult_goes_to_location(
    case: Case, target: Target, combination: Combination, on: date
) -> Obstacle | None:
    if case.adults[target.value(combination, ADULT)].goes_to(target.value(combination, LOCATION)):
        return None
    return _about(Rule.ADULT_AND_LOCATION, target, combination, [ADULT, LOCATION])


def _location_takes_learner(
    case: Case, target: Target, combination: Combination, on: date
) -> Obstacle | None:
    if case.locations[target.value(combination, LOCATION)].takes(target.learner):
        return None
    return _about(Rule.LOCATION_AND_LEARNER, target, combination, [LOCATION])


def _adult_is_briefed(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    if case.adults[target.value(combination, ADULT)].is_briefed_on(target.id):
        return None
    return _about(Rule.BRIEFING, target, combination, [ADULT])


def _set_may_be_there(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    kept_at = case.material_sets[target.value(combination, MATERIAL_SET)].kept_at
    if kept_at is None or target.value(combination, LOCATION) in kept_at:
        return None
    return _about(Rule.SET_AND_LOCATION, target, combination, [MATERIAL_SET, LOCATION])


@dataclass(frozen=True)
class KeptAway:
    """Why a thing is kept from a child: the rule, and the allergens or hazards `found`. `by_name`: only what it is
    called says so, and it holds until somebody has looked."""

    rule: Rule
    found: tuple[str, ...] = ()
    by_name: bool = False


def kept_away(learner: Learner, thing: MaterialSet, on: date) -> KeptAway | None:
    """The strongest reason to keep the child from the thing on the day `on`, wherever and with whomever."""
    if met := allergens_met(learner.allergens, thing.holds):
        return KeptAway(Rule.ALLERGEN, met)
    if barred := thing.hazards & NEVER_PLANNED:
        return KeptAway(Rule.HAZARD, tuple(sorted(barred)))
    if barred := thing.hazards_by_name & NEVER_PLANNED:
        return KeptAway(Rule.HAZARD, tuple(sorted(barred)), by_name=True)
    months = None if learner.born is None else learner.born.age_months(on)
    if is_kept_from_small_parts(learner, on):
        if thing.may_be_small_part:
            return KeptAway(Rule.SMALL_PART)
        if thing.is_small_by_name:
            return KeptAway(Rule.SMALL_PART, by_name=True)
    if months is not None and months < thing.min_age_months:
        return KeptAway(Rule.MINIMUM_AGE)
    return None


def is_kept_from_small_parts(learner: Learner, on: date) -> bool:
    """The child puts things into the mouth, or is known to be too young for what could be swallowed."""
    young = learner.born is not None and learner.born.age_months(on) < SMALL_PARTS_MONTHS
    return learner.mouths or young


def _is_safe(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    thing = case.material_sets[target.value(combination, MATERIAL_SET)]
    why = kept_away(case.learners[target.learner], thing, on)
    if why is None:
        return None
    return replace(_about(why.rule, target, combination, [MATERIAL_SET], why.found), by_name=why.by_name)


def age_that_settles(case: Case, target: Target | None = None) -> int:
    """The months of age from which on no check here asks for a learner's age; of one target, whose things are few."""
    things = case.material_sets if target is None else target.values_of(MATERIAL_SET)
    return max((SMALL_PARTS_MONTHS, *(case.material_sets[id_].min_age_months for id_ in things)))


def _not_ruled_out(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    for pattern in target.never:
        if target.matches(combination, pattern):
            return _about(Rule.NEVER, target, combination, pattern)
    return None


def _is_varied(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    for dimension, value in zip(target.dimensions, combination, strict=True):
        if value not in dimension.values:
            return _about(Rule.NOT_VARIED, target, combination, [dimension.name])
    return None


SAFETY: tuple[Check, ...] = (_is_safe,)
AFTER_SAFETY: tuple[Check, ...] = (
    _not_ruled_out,
    _adult_works_with_learner,
    _adult_goes_to_location,
    _location_takes_learner,
    _set_may_be_there,
    _adult_is_briefed,
)
CHECKS = (*SAFETY, *AFTER_SAFETY)
"""The rules in their order, but for values that the target does not vary."""


def obstacle(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    """The strongest rule against a combination of the target's values on the day `on` (which decides ages), or None: it
    is possible."""
    return _first_of(CHECKS, case, target, combination, on)


def obstacle_to_any(case: Case, target: Target, combination: Combination, on: date) -> Obstacle | None:
    """The same of a combination that was run, whose values the target may not vary: what keeps a child safe is said
    before that."""
    return _first_of((*SAFETY, _is_varied, *AFTER_SAFETY), case, target, combination, on)


def kept_from(case: Case, target: Target, material_set: str, on: date) -> Obstacle | None:
    """What keeps the target's learner from a set, wherever and with whomever."""
    alike = tuple(material_set if name == MATERIAL_SET else "" for name in target.dimension_names)
    return _first_of(SAFETY, case, target, alike, on)


def things_kept_away(case: Case, target: Target, on: date) -> dict[str, Obstacle]:
    """Of the sets that the target varies those from which its learner is kept, each with what keeps it."""
    things = target.values_of(MATERIAL_SET)
    return {thing: why for thing in things if (why := kept_from(case, target, thing, on))}


def _first_of(
    checks: Iterable[Check], case: Case, target: Target, combination: Combination, on: date
) -> Obstacle | None:
    return next((found for check in checks if (found := check(case, target, combination, on))), None)


def possible_combinations(case: Case, target: Target, on: date) -> tuple[Combination, ...]:
    """All combinations of the target without an obstacle, in the order of its values."""
    return tuple(possible_with(case, target, _safe_things(case, target, on)))


def is_any_possible(case: Case, target: Target, on: date) -> bool:
    return any(True for _ in possible_with(case, target, _safe_things(case, target, on)))


def _safe_things(case: Case, target: Target, on: date) -> list[str]:
    learner, things = case.learners[target.learner], target.dimensions[2].values
    return [thing for thing in things if kept_away(learner, case.material_sets[thing], on) is None]


def possible_with(case: Case, target: Target, things: Sequence[str]) -> Iterator[Combination]:
    """Those with one of these things against which nothing but the child's safety stands, in the order of the target's
    values. All rules but `never` look at one value or at two, so they are asked once for each of these."""
    learner, (adults, locations) = target.learner, (d.values for d in target.dimensions[:2])
    others = tuple(product(*(d.values for d in target.extra_dimensions)))
    places = [p for p in locations if case.locations[p].takes(learner)]
    there = {p: [thing for thing in things if is_to_be_had(case, p, thing)] for p in places}
    for id_ in adults:
        adult = case.adults[id_]
        if adult.works_with(learner) and adult.is_briefed_on(target.id):
            for place in filter(adult.goes_to, places):
                found = ((id_, place, thing, *more) for thing, more in product(there[place], others))
                yield from (c for c in found if not is_ruled_out(target, c)) if target.never else found


def may_be_there(case: Case, target: Target, adult_id: str, location_id: str) -> bool:
    """Whether no rule stands against the two, in a fraction of what it takes to say which: asked very often."""
    adult, learner = case.adults[adult_id], target.learner
    together = adult.works_with(learner) and adult.is_briefed_on(target.id)
    return together and adult.goes_to(location_id) and case.locations[location_id].takes(learner)


def is_to_be_had(case: Case, location_id: str, set_id: str) -> bool:
    """The same of a set at a place, whoever's it is."""
    kept_at = case.material_sets[set_id].kept_at
    return kept_at is None or location_id in kept_at


def is_ruled_out(target: Target, combination: Combination) -> bool:
    """Whether `never` names it."""
    return any(target.matches(combination, pattern) for pattern in target.never)
