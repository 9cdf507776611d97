"""Who may sit beside the adult who runs a sitting's probes, as far as the case alone decides."""

from __future__ import annotations

from enum import StrEnum

from genplan.case.model import Case
from genplan.case.targets import ADULT, Combination, Target


class Beside(StrEnum):
    """What the second adult of a sitting is there for: an observer counts too, a companion knows the learner, a
    teacher may teach what the adult of the sitting may not."""

    NOBODY = ""
    OBSERVER = "observer"
    COMPANION = "companion"
    TEACHER = "teacher"


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
