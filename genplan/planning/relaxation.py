"""A small change that people could make to a week, as a value, and the case with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeVar

from genplan.case import Case
from genplan.case.people import Adult, Learner
from genplan.case.windows import Window
from genplan.coverage.briefing import briefed
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Hours

Person = TypeVar("Person", Adult, Learner)


class RelaxationKind(StrEnum):
    """What a change eases. Those of hours come first, then limits, copies, briefings, as they are tried."""

    ADULT_HOURS = "hours of an adult"
    LEARNER_HOURS = "hours of a learner"
    LOCATION_HOURS = "hours of a location"
    TARGET_WEEK = "probes of a target per week"
    TARGET_DAY = "probes of a target per day"
    TEACHINGS_WEEK = "teachings of a target per week"
    TEACHINGS_DAY = "teachings of a target per day"
    LEARNER_LIMIT = "limit of a learner"
    ADULT_LIMIT = "limit of an adult"
    CAPACITY = "capacity of a location"
    COPIES = "copies of a set"
    BRIEFING = "briefing of an adult"
    TEACHES = "a target that an adult teaches"


@dataclass(frozen=True)
class Easing:
    """A change as a value.

    - `kind`: what is eased
    - `subject`: the id of whom or what it is about; empty for all
    - `figure`: what a limit would be then
    - `key`: the name of that limit, of a person
    - `target`: what an adult is briefed on, or teaches"""

    kind: RelaxationKind
    subject: str = ""
    figure: int = 0
    key: str = ""
    target: str = ""

    @property
    def order(self) -> tuple[int, str, str, str]:
        """The order among changes that bring the same."""
        return list(RelaxationKind).index(self.kind), self.subject, self.key, self.target


@dataclass(frozen=True, kw_only=True)
class Relaxation:
    """One change, and the week with it.

    - `easing`: the change
    - `piece`: minutes of the week, half-open, if it is about one stretch; None: it is about every day
    - `case`, `free`: the case and everybody's hours with it
    - `learners`: whom it could help
    - `needs`: those of targets whose choices it changes"""

    easing: Easing
    piece: Window | None
    case: Case
    free: Hours
    learners: tuple[str, ...]
    needs: tuple[TargetNeed, ...] = ()


@dataclass(frozen=True)
class RelaxationGroup:
    """Changes of one kind to one person, place or thing; `together` is all of them at once. What does not help
    together helps in no part."""

    parts: tuple[Relaxation, ...]
    together: Relaxation


def eased(case: Case, easing: Easing) -> Case:
    """The case with a change that is not one of hours."""
    match easing.kind:
        case RelaxationKind.TARGET_WEEK:
            return replace(case, policy=replace(case.policy, probes_per_target_per_week=easing.figure))
        case RelaxationKind.TARGET_DAY:
            return replace(case, policy=replace(case.policy, probes_per_target_per_day=easing.figure))
        case RelaxationKind.TEACHINGS_WEEK:
            return replace(case, policy=replace(case.policy, teachings_per_target_per_week=easing.figure))
        case RelaxationKind.TEACHINGS_DAY:
            return replace(case, policy=replace(case.policy, teachings_per_target_per_day=easing.figure))
        case RelaxationKind.LEARNER_LIMIT:
            return replace(case, learners=_higher(case.learners, easing))
        case RelaxationKind.ADULT_LIMIT:
            return replace(case, adults=_higher(case.adults, easing))
        case RelaxationKind.CAPACITY:
            place = replace(case.locations[easing.subject], capacity=easing.figure)
            return replace(case, locations={**case.locations, place.id: place})
        case RelaxationKind.COPIES:
            copied = replace(case.material_sets[easing.subject], copies=easing.figure)
            return replace(case, material_sets={**case.material_sets, copied.id: copied})
        case RelaxationKind.BRIEFING:
            return briefed(case, easing.subject, easing.target)
        case RelaxationKind.TEACHES:
            adult = case.adults[easing.subject]
            # who may teach more is briefed on no more, so what may be taught by default is written out
            taught = adult.briefed_on or frozenset() if adult.teaches is None else adult.teaches
            more = replace(adult, teaches=taught | {easing.target})
            return replace(case, adults={**case.adults, adult.id: more})
        case _:
            return case


def _higher(people: Mapping[str, Person], easing: Easing) -> dict[str, Person]:
    one = people[easing.subject]
    limits = replace(one.limits, **{easing.key: easing.figure})
    return {**people, one.id: replace(one, limits=limits)}
