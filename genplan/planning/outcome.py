"""What the solver gives back, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from genplan.plan import Objective
from genplan.planning.commitments import Seat


@dataclass(frozen=True)
class Outcome:
    """The best seats found for the learners of a problem, and what is proven of them. `seconds` is by stage;
    `repeatable` is False if the clock, not the work limit, ended one. `day_most` and `alone` are the problem's."""

    seats: tuple[Seat, ...]
    objectives: tuple[Objective, ...]
    seconds: Mapping[str, float]
    variables: int = 0
    constraints: int = 0
    repeatable: bool = True
    day_most: Mapping[tuple[str, int], int] = field(default_factory=dict)
    alone: Mapping[str, float] = field(default_factory=dict)

    def objective(self, name: str) -> Objective | None:
        return next((o for o in self.objectives if o.name == name), None)

    def bound(self, name: str) -> float:
        """What is proven of an objective; 0 for one that was not asked for."""
        objective = self.objective(name)
        return objective.bound if objective else 0.0
