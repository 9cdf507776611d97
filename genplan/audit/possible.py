"""Which combinations are possible at all, worked out once more."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache

from genplan.case import Birth, Case, Combination, Target


def is_possible(case: Case, target: Target, combination: Combination, today: date) -> bool:
    """Rule 6, and the cautions that decide: every one of them, one after the other."""
    learner = case.learners[target.learner]
    adult, location = case.adults[combination[0]], case.locations[combination[1]]
    set_ = case.material_sets[combination[2]]
    if adult.learners is not None and learner.id not in adult.learners:
        return False
    if adult.locations is not None and location.id not in adult.locations:
        return False
    if adult.briefed_on is not None and target.id not in adult.briefed_on:
        return False
    if location.learners is not None and learner.id not in location.learners:
        return False
    if set_.kept_at is not None and location.id not in set_.kept_at:
        return False
    held_by_it = (*set_.allergens, *set_.by_name)
    if any(is_kept_from(avoided, held) for avoided in learner.allergens for held in held_by_it):
        return False
    if any(held in ("magnet", "button-cell") for held in (*set_.hazards, *set_.hazards_by_name)):
        return False
    small = bool(set_.small_parts) or "small-ball" in set_.hazards
    if set_.dimensions_mm is not None:
        _, middle, largest = sorted(set_.dimensions_mm)
        small = small or (middle < 33 and largest < 67)
    elif set_.small_parts is None:
        small = small or set_.small_by_name
    if small and learner.mouths:
        return False
    if learner.born is not None:
        months = months_old(learner.born, today)
        if (small and months < 36) or months < set_.min_age_months:
            return False
    return not any(fits(target, combination, pattern) for pattern in target.never)


def is_kept_from(avoided: str, held: str) -> bool:
    """Whether a thing that holds the one is kept from who avoids the other. Nuts of which nobody said the kind may be
    peanuts and those of trees, and gluten may be that of wheat."""
    if {avoided, held} == {"gluten", "wheat"}:
        return True
    if avoided == "nuts":
        return held in ("nuts", "tree-nuts", "peanut")
    return avoided == held or (held == "nuts" and avoided in ("tree-nuts", "peanut"))


def fits(target: Target, combination: Combination, pattern: Mapping[str, str]) -> bool:
    """Whether a combination has every value that a pattern names."""
    values = dict(zip(target.dimension_names, combination, strict=False))
    return all(values.get(n) == v for n, v in pattern.items())


@cache
def months_old(born: Birth, today: date) -> int:
    """Counts the monthly birthdays that are not after today; without a day the month must be over."""
    day = born.day or 32
    year, month, months = born.year, born.month, -1
    while (year, month, day) <= (today.year, today.month, today.day):
        months += 1
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)
    return max(0, months)
