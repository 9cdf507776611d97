"""The whole case."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

from genplan.case.people import Adult, Learner
from genplan.case.places import Location, Travel
from genplan.case.policy import Policy
from genplan.case.safety import MaterialSet
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, Target, TargetState
from genplan.case.wishes_of_planners import Apart, PlannersWish


@dataclass(frozen=True, kw_only=True)
class Case:
    """Everything a user wrote, valid and with defaults filled in; each mapping is sorted by id: the order of lines in
    a file decides nothing.

    timezone  all times of the case are of this zone
    learners  by id, like all that follow
    travel    minutes from place to place
    policy    how to plan
    wishes    what whoever plans the weeks wishes of them
    apart     what is kept apart in the week that is planned: of these wishes those that can be kept
    """

    timezone: ZoneInfo
    learners: Mapping[str, Learner]
    adults: Mapping[str, Adult]
    locations: Mapping[str, Location]
    material_sets: Mapping[str, MaterialSet]
    targets: Mapping[str, Target]
    travel: Travel = field(default_factory=Travel)
    policy: Policy = field(default_factory=Policy)
    wishes: tuple[PlannersWish, ...] = ()
    apart: tuple[Apart, ...] = ()

    @property
    def mastered(self) -> tuple[Target, ...]:
        """The targets that may be probed, by id."""
        return tuple(t for t in self.targets.values() if t.state is TargetState.MASTERED)

    @property
    def planned(self) -> tuple[Target, ...]:
        """The targets of which a plan may hold something, by id: those that may be probed, and where the policy plans
        teaching those that are still taught so many times a week."""
        return tuple(
            t
            for t in self.targets.values()
            if t.state is TargetState.MASTERED
            or (self.policy.plan_teaching and t.state is TargetState.TEACHING and t.teaching_per_week)
        )

    def targets_of(self, learner: str) -> tuple[Target, ...]:
        return tuple(t for t in self.targets.values() if t.learner == learner)

    def called(self, dimension: str, value: str) -> str:
        """What a value of a dimension is called: the name of a person, place or set, with the id where another has the
        same name, or an extra value itself."""
        sections: Mapping[str, Mapping[str, Adult | Location | MaterialSet]] = {
            ADULT: self.adults,
            LOCATION: self.locations,
            MATERIAL_SET: self.material_sets,
        }
        if (named := sections.get(dimension)) is None:
            return value
        name = named[value].name
        namesakes = any(other.name == name for id_, other in named.items() if id_ != value)
        return f"{name} ({value})" if namesakes else name

    def with_aliases_told_apart(self) -> Case:
        """The case in which learners of one alias are numbered by id, such as 'A. 1' and 'A. 2'. Not by the id itself,
        which is often the name that the alias hides."""
        times = Counter(one.alias for one in self.learners.values())
        taken = set(times)
        learners = {}
        for id_, one in self.learners.items():
            alias, number = one.alias, 0
            while times[one.alias] > 1 and alias in taken:
                number += 1
                alias = f"{one.alias} {number}"
            taken.add(alias)
            learners[id_] = replace(one, alias=alias)
        return replace(self, learners=learners)
