"""Why a combination is not possible, and what it waits for, in English, without a full stop. A room by itself: what is
found in results.csv says it too."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from genplan.case import Case, Target
from genplan.case.possible import Obstacle, Rule
from genplan.case.safety import SMALL_PARTS_MONTHS
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET

HAZARDS: Mapping[str, str] = {
    "small-ball": "a small ball: choking hazard, not for a child under three",
    "magnet": "a magnet that a child can get at",
    "button-cell": "a button cell that a child can get at",
    "balloon": "a balloon: uninflated or burst it can choke; an adult keeps it in hand",
    "cord": "a cord: an adult watches that it goes round no neck",
    "heat": "something hot: an adult stays within reach",
    "water": "water: an adult stays within arm's reach",
    "sharp": "something sharp: an adult hands it out and takes it back",
}


def obstacle_text(case: Case, against: Obstacle) -> str:
    return _TEXTS[against.rule](_Said(case, against))


@dataclass(frozen=True)
class _Said:
    """An obstacle with what its sentence is made of."""

    case: Case
    against: Obstacle

    @property
    def target(self) -> Target:
        return self.case.targets[self.against.target]

    @property
    def child(self) -> str:
        return self.case.learners[self.target.learner].alias

    def called(self, dimension: str) -> str:
        return self.case.called(dimension, dict(self.against.values)[dimension])

    @property
    def person(self) -> str:
        return self.called(ADULT)

    @property
    def place(self) -> str:
        return self.called(LOCATION)

    @property
    def set(self) -> str:
        return f"'{self.called(MATERIAL_SET)}'"

    @property
    def months(self) -> int:
        return self.case.material_sets[dict(self.against.values)[MATERIAL_SET]].min_age_months


def _not_varied(s: _Said) -> str:
    dimension, value = s.against.values[0]
    return f"'{s.target.id}' does not vary {dimension.replace('_', ' ')} '{value}'"


_TEXTS: Mapping[Rule, Callable[[_Said], str]] = {
    Rule.ALLERGEN: lambda s: f"{s.set} holds {', '.join(s.against.found)}, which {s.child} must not meet",
    Rule.HAZARD: lambda s: f"{s.set} holds {HAZARDS[s.against.found[0]]}",
    Rule.SMALL_PART: lambda s: (
        f"{s.set} is or may be a small part, and {s.child} is under {SMALL_PARTS_MONTHS} months"
    ),
    Rule.MINIMUM_AGE: lambda s: f"{s.set} is for {s.months} months and over",
    Rule.NEVER: lambda s: f"the case says never: {', '.join(s.called(name) for name, _ in s.against.values)}",
    Rule.ADULT_AND_LEARNER: lambda s: f"{s.person} does not work with {s.child}",
    Rule.ADULT_AND_LOCATION: lambda s: f"{s.person} does not go to {s.place}",
    Rule.LOCATION_AND_LEARNER: lambda s: f"{s.place} does not take {s.child}",
    Rule.SET_AND_LOCATION: lambda s: f"{s.set} is not kept at {s.place}",
    Rule.BRIEFING: lambda s: f"{s.person} is not briefed on '{s.target.name}' yet",
    Rule.NOT_VARIED: _not_varied,
}
