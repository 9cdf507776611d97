"""How far second observers are there, and what stands against the others."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Unwatched(StrEnum):
    """Why fewer probes have an observer than the policy asks for."""

    STOPPED = "stopped"
    NO_SITTING = "no sitting ahead"
    ALL_OBSERVED = "all ahead observed"
    NO_SECOND_ADULT = "no second adult"
    HINDERED = "hindered"
    AS_TOLD = "as told"


class Hindrance(StrEnum):
    """What stands against an adult who would observe."""

    LEARNER = "does not work with the learner"
    LOCATION = "does not go to the location"
    NEVER = "never there"
    BRIEFING = "not briefed"
    HOURS = "not free"
    ELSEWHERE = "in another sitting"
    USED_UP = "amounts used up"
    COMPANION = "companion"
    TEACHER = "teacher"


@dataclass(frozen=True)
class Hindered:
    """Who cannot observe, and why: `subject` is the id of the learner, location or target that it is about."""

    adult: str
    by: Hindrance
    subject: str = ""


@dataclass(frozen=True, kw_only=True)
class ObservedShare:
    """How far a second observer is there for one learner.

    - `learner`: by id
    - `probes`: run in the weeks before, or planned
    - `observed`: how many of them have an observer
    - `new`: how many of these by this plan
    - `wanted`: how many the policy asks for
    - `unwatched`: why it is fewer, if it is
    - `without`: sittings ahead that have none
    - `hindered`: who is kept from observing, and from how many of them"""

    learner: str
    probes: int
    observed: int
    new: int
    wanted: int
    unwatched: Unwatched | None = None
    without: int = 0
    hindered: tuple[tuple[Hindered, int], ...] = ()
