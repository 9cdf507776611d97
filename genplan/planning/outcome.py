"""What the solver gives back, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from genplan.case import Combination
from genplan.plan import TAUGHT, Objective, ObjectiveName, StageStatus
from genplan.planning.answers.plain_values import MEASURED
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What a search found for the learners of a problem, and what is proven of it.

    - `seats`: the best sittings found
    - `objectives`: value, bound and status of each stage, in the order of the search
    - `learners`: for whom
    - `seconds`, `work`: stage -> how long it took, and the solver's deterministic work; empty where it was found before
    - `cpu`: CPU seconds of all of it, the model and its cuts among them
    - `variables`, `constraints`: the size of the model
    - `repeatable`: False if the clock, not the work limit, ended a stage
    - `day_most`, `alone`: the problem's
    - `shortest_way`: this week shows less than it could, so that fewer probes are needed in all"""

    seats: tuple[PlacedSitting, ...]
    objectives: tuple[Objective, ...]
    learners: tuple[str, ...] = ()
    seconds: Mapping[str, float] = field(default_factory=dict, metadata={MEASURED: True})
    work: Mapping[str, float] = field(default_factory=dict, metadata={MEASURED: True})
    cpu: float = field(default=0.0, metadata={MEASURED: True})
    variables: int = 0
    constraints: int = 0
    repeatable: bool = True
    day_most: Mapping[tuple[str, int], int] = field(default_factory=dict)
    alone: Mapping[str, int] = field(default_factory=dict)
    shortest_way: bool = False

    def objective(self, name: ObjectiveName) -> Objective | None:
        return next((o for o in self.objectives if o.name == name), None)

    @property
    def further(self) -> Mapping[str, float]:
        """The probes that later weeks need, if it looked for those of one learner."""
        found = self.objective(ObjectiveName.FURTHER_PROBES)
        counted = found and found.status is not StageStatus.NOT_REACHED and len(self.learners) == 1
        return {self.learners[0]: found.value} if found and counted else {}

    @property
    def shows_the_most(self) -> bool:
        """Whether no more can be shown or taught in the week: proven of the new tuples, of the teachings and of all
        that comes before them."""
        wanted = (ObjectiveName.NEW_TUPLES, *TAUGHT)
        last = max((i for i, o in enumerate(self.objectives) if o.name in wanted), default=-1)
        upto = self.objectives[: last + 1]
        return bool(upto) and all(o.status is StageStatus.OPTIMAL for o in upto)

    def bound(self, name: ObjectiveName) -> float:
        """What is proven of an objective; 0 for one that was not asked for."""
        objective = self.objective(name)
        return objective.bound if objective else 0.0


@dataclass(frozen=True)
class Design:
    """`combinations` show all that was open; no fewer than `at_least` can."""

    combinations: tuple[Combination, ...]
    at_least: int
