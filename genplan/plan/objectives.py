"""What a week is planned for, in its order, and what is known of each objective of a plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class StageStatus(StrEnum):
    """What is known of a stage's value. `BEST_SO_FAR` ran out of work, `STOPPED` was ended by a person or the clock;
    `NOT_REACHED` was never started."""

    OPTIMAL = "optimal"
    BEST_SO_FAR = "best so far"
    STOPPED = "stopped"
    NOT_REACHED = "not reached"


class ObjectiveName(StrEnum):
    """What a week is planned for, in the lexicographic order: a later one only chooses among the plans that are best
    for all before it. `in_order` says where the order differs. Not every search has every one."""

    ASKED = "asked"
    RATHER = "rather"
    DUE = "due"
    DATED = "dated"
    WISHED = "wished"
    SHARES = "shares"
    NEW_TUPLES = "new tuples"
    WORTH = "worth"
    TEACHING = "teaching"
    WAITED = "waited"
    CHANGES = "changes"
    PEOPLE = "people told"
    OTHERWISE = "otherwise"
    TOLD = "told"
    FURTHER_PROBES = "further probes"
    FELL_THROUGH = "fell through"
    SITTINGS = "sittings"
    PROBES = "probes"
    CATCH_UP = "catch up"
    LOADS = "loads"
    SPREAD = "spread"
    WAITING = "waiting"
    EARLY = "early"
    LEFT_TO_OTHERS = "left to others"


def in_order(
    names: Iterable[ObjectiveName], *, told_first: bool, teaching_first: bool = False
) -> tuple[ObjectiveName, ...]:
    """These names in the lexicographic order. `told_first`: what people were told comes before all that is not due, as
    in a week that has begun; teachings come before new tuples or after them."""
    order = list(ObjectiveName)
    if teaching_first:
        order = [name for name in order if name not in TAUGHT]
        before = order.index(ObjectiveName.WISHED)
        order[before:before] = TAUGHT
    if told_first:
        order = [name for name in order if name not in AS_TOLD]
        after = order.index(ObjectiveName.DATED) + 1
        order[after:after] = AS_TOLD
    return tuple(sorted(names, key=order.index))


TAUGHT = (ObjectiveName.TEACHING, ObjectiveName.WAITED)
"""What of the owed teachings the week holds: as many as can be, and of these what has waited longest."""
AS_TOLD = (ObjectiveName.PEOPLE, ObjectiveName.OTHERWISE, ObjectiveName.TOLD)
"""How little people have to be told anew."""
COVERAGE = (
    ObjectiveName.DUE,
    ObjectiveName.DATED,
    ObjectiveName.WISHED,
    ObjectiveName.SHARES,
    ObjectiveName.NEW_TUPLES,
    *TAUGHT,
)
"""What the week is best used for."""
COMFORT = (
    ObjectiveName.CHANGES,
    ObjectiveName.FURTHER_PROBES,
    ObjectiveName.FELL_THROUGH,
    ObjectiveName.SITTINGS,
    ObjectiveName.PROBES,
    ObjectiveName.CATCH_UP,
    ObjectiveName.LOADS,
    ObjectiveName.SPREAD,
    ObjectiveName.WAITING,
    ObjectiveName.EARLY,
)
"""How well it can be lived with."""
FEWEST = (ObjectiveName.PEOPLE, ObjectiveName.OTHERWISE, *COMFORT)
"""Of these less is better, of all others more."""
WHOLE_WEEK = (
    ObjectiveName.PEOPLE,
    ObjectiveName.OTHERWISE,
    ObjectiveName.FURTHER_PROBES,
    ObjectiveName.LOADS,
)
"""What counts all sittings of the week; all others count what is planned beside those that stay as they are."""


@dataclass(frozen=True, kw_only=True)
class Objective:
    """One stage of the lexicographic search.

    - `name`: what is counted
    - `sense`: 'most' or 'fewest'
    - `value`: what this plan has
    - `bound`: proven: no plan of this week that is as good in the stages before does better; endless where nothing is
    - `status`: what is known of the value"""

    name: ObjectiveName
    sense: str
    value: float
    bound: float
    status: StageStatus

    @property
    def shortfall(self) -> float:
        """By how much a better plan can beat this one at most, as a share of the larger of value and bound; 0 is
        proven best, and no number where nothing is proven."""
        larger = max(abs(self.value), abs(self.bound))
        return abs(self.value - self.bound) / larger if larger else 0.0
