"""Who may sit beside the adult who runs a sitting's probes, as far as the case alone decides."""

from __future__ import annotations

from enum import StrEnum

from genplan.case.model import Case
from genplan.case.targets import ADULT, LOCATION, Combination, Target


class Beside(StrEnum):
    """What the second adult of a sitting is there for: an observer counts too, a companion knows the learner, a
    teacher may teach what the adult of the sitting may not."""

    NOBODY = ""
    OBSERVER = "observer"
    COMPANION = "companion"
    TEACHER = "teacher"

    @property
    def is_needed(self) -> bool:
        """Whether the sitting cannot be held without: an observer comes only where that costs nothing."""
        return self in (Beside.COMPANION, Beside.TEACHER)


def may_be_there(case: Case, adult: str, learner: str, location: str) -> bool:
    """Whether the adult works with the learner and goes to the location."""
    person = case.adults[adult]
    return person.works_with(learner) and person.goes_to(location)


def is_ruled_out(target: Target, combination: Combination, adult: str) -> bool:
    """Whether a `never` that names the adult would hold if that adult were the one of the combination: who must not
    run a probe there must not sit beside it either."""
    at = target.dimension_names.index(ADULT)
    instead = (*combination[:at], adult, *combination[at + 1 :])
    return any(ADULT in pattern and target.matches(instead, pattern) for pattern in target.never)


def teachers_beside(case: Case, target: Target, combination: Combination) -> tuple[str, ...]:
    """Who may teach the target and may sit beside the adult of the combination, by id. What hours leave of it is not
    asked here."""
    location = target.value(combination, LOCATION)
    return tuple(
        adult
        for adult, person in sorted(case.adults.items())
        if adult != target.value(combination, ADULT)
        and person.may_teach(target.id)
        and may_be_there(case, adult, target.learner, location)
        and not is_ruled_out(target, combination, adult)
    )


def can_be_taught(case: Case, target: Target, combination: Combination) -> bool:
    """Whether a possible combination may be taught: it is not held out, and its adult or somebody beside may teach."""
    if target.is_held_out(combination):
        return False
    alone = case.adults[target.value(combination, ADULT)].may_teach(target.id)
    return alone or bool(teachers_beside(case, target, combination))
