"""Who may teach what, and where it can be taught, as far as the case alone decides: worked out once more."""

from __future__ import annotations

from genplan.audit.possible import fits
from genplan.case import Adult, Case, Combination, Target


def is_held_out(target: Target, combination: Combination) -> bool:
    return any(fits(target, combination, pattern) for pattern in target.hold_out)


def may_teach(adult: Adult, target: Target) -> bool:
    allowed = adult.briefed_on if adult.teaches is None else adult.teaches
    return allowed is None or target.id in allowed


def can_be_taught(case: Case, target: Target, combination: Combination) -> bool:
    """Whether the adult of a possible combination, or somebody who could sit beside, may teach; what is held out is
    never taught."""
    if is_held_out(target, combination):
        return False
    return may_teach(case.adults[combination[0]], target) or bool(teachers_beside(case, target, combination))


def teachers_beside(case: Case, target: Target, combination: Combination) -> list[str]:
    runs, location = combination[:2]
    return [
        adult.id
        for adult in case.adults.values()
        if adult.id != runs
        and may_teach(adult, target)
        and (adult.learners is None or target.learner in adult.learners)
        and (adult.locations is None or location in adult.locations)
        and not is_kept_away(target, combination, adult.id)
    ]


def is_kept_away(target: Target, combination: Combination, adult: str) -> bool:
    """Whether the adult is never to be there, beside as little as in charge."""
    with_it = (adult, *combination[1:])
    return any("adult" in pattern and fits(target, with_it, pattern) for pattern in target.never)
