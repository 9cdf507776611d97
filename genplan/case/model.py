"""The whole case."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from zoneinfo import ZoneInfo

from genplan.case.people import Adult, Learner
from genplan.case.places import Location, Travel
from genplan.case.policy import Policy
from genplan.case.safety import MaterialSet
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, Target, TargetState
from genplan.case.wishes_of_planners import Apart, PlannersWish
from genplan.language import LANGUAGES, Words


@dataclass(frozen=True, kw_only=True)
class Case:
    """Everything a user wrote, valid and with defaults filled in; each mapping is sorted by id: the order of lines in
    a file decides nothing.

    timezone  all times of the case are of this zone
    learners  by id, like all that follow
    travel    minutes from place to place
    policy    how to plan
    wishes    what whoever plans the weeks wishes of them
    case_id   what tells the case from every other in calendars; empty: it has none yet
    language  of what is written for people: pages, messages, calendars, sheets
    words     in which it is said
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
    case_id: str = ""
    language: str = LANGUAGES[0]
    words: Words = Words.TRADE
    apart: tuple[Apart, ...] = ()

    @property
    def mastered(self) -> tuple[Target, ...]:
        """The targets that may be probed, by id."""
        return tuple(t for t in self.targets.values() if t.state is TargetState.MASTERED)

    @property
    def planned(self) -> tuple[Target, ...]:
        """The targets of which a plan may hold something, by id: those that may be probed, and where the policy plans
        teaching or baseline probes those that are still taught."""
        return tuple(
            t
            for t in self.targets.values()
            if t.state is TargetState.MASTERED
            or (
                t.state is TargetState.TEACHING
                and (self.policy.baseline_per_target or (self.policy.plan_teaching and t.teaching_per_week))
            )
        )

    def targets_of(self, learner: str) -> tuple[Target, ...]:
        return tuple(t for t in self.targets.values() if t.learner == learner)

    def called(self, dimension: str, value: str) -> str:
        """What a value of a dimension is called: the name of a person, place or set, with the id where another has the
        same name, or an extra value itself."""
        if (names := self._names.get(dimension)) is None:
            return value
        return names[value]

    @cached_property
    def _names(self) -> Mapping[str, Mapping[str, str]]:
        """Base dimension -> value -> what it is called."""
        sections: Mapping[str, Mapping[str, Adult | Location | MaterialSet]] = {
            ADULT: self.adults,
            LOCATION: self.locations,
            MATERIAL_SET: self.material_sets,
        }
        times = {d: Counter(one.name for one in named.values()) for d, named in sections.items()}
        return {
            d: {i: f"{one.name} ({i})" if times[d][one.name] > 1 else one.name for i, one in named.items()}
            for d, named in sections.items()
        }

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
