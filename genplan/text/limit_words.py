"""The pieces of a sentence on a limit: whom and what it is about by name, when, how long, how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from genplan.case import Case
from genplan.case.possible import obstacle_to_any
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, TargetState
from genplan.case.week import DAYS
from genplan.rules.limits import Limit
from genplan.text.absences import reason_text
from genplan.text.obstacles import obstacle_text
from genplan.text.target_names import target_named
from genplan.text.tuple_words import common_words


@dataclass(frozen=True)
class WhichWeek:
    """How the week is called that a limit stood in: `within` it, and what is `of` it."""

    within: str
    of: str


THIS_WEEK = WhichWeek("this week", "of this week")
THAT_WEEK = WhichWeek("that week", "of the week")
THOSE_WEEKS = WhichWeek("in those weeks", "of the week")
UNTIL_THEN = WhichWeek("until then", "of the week")

_LOSSES = {
    "due": ("due probe", "due probes"),
    "dated": (
        "wished combination whose last chance this week is",
        "wished combinations whose last chance this week is",
    ),
    "teaching": ("teaching", "teachings"),
    "unlocked": ("last teaching before a retest", "last teachings before a retest"),
    "wished": ("wished combination", "wished combinations"),
}


@dataclass(frozen=True)
class Said:
    """A limit with the pieces of its sentence."""

    case: Case
    limit: Limit
    week: WhichWeek
    day: Callable[[date], str]

    @property
    def child(self) -> str:
        return self.case.learners[self.limit.learner].alias

    @property
    def person(self) -> str:
        return self.case.called(ADULT, self.limit.adult)

    @property
    def place(self) -> str:
        return self.case.called(LOCATION, self.limit.location)

    @property
    def set(self) -> str:
        return f"'{self.case.called(MATERIAL_SET, self.limit.material_set)}'"

    @property
    def value(self) -> str:
        dimension, value = self.limit.value or ("", "")
        return self.case.called(dimension, value)

    @property
    def figure(self) -> int:
        return self.limit.figure

    @property
    def probes(self) -> str:
        return f"{self.figure} probe" + ("" if self.figure == 1 else "s")

    @property
    def teachings(self) -> str:
        return f"{self.figure} teaching" + ("" if self.figure == 1 else "s")

    @property
    def since(self) -> str:
        return f" on {self.day(self.limit.on)}" if self.limit.on else ""

    @property
    def when(self) -> str:
        begun = self.limit.begun and self.week is not UNTIL_THEN
        return f"in what is left {self.week.of}" if begun else self.week.within

    @property
    def takes(self) -> str:
        return f"for the {self.figure} minutes it takes"

    @property
    def enough(self) -> str:
        """What has to be said where there are some minutes, but too few."""
        return f" {self.takes}" if self.limit.some else ""

    @property
    def shut(self) -> str:
        return f" ({', '.join(map(reason_text, self.limit.shut))})" if self.limit.shut else ""

    @property
    def other_days(self) -> str:
        days = " and ".join(DAYS[d] for d in self.limit.days)
        return f" (on {days} it could be, but the policy plans no checks then)" if days else ""

    @property
    def apart(self) -> str:
        one, other = self._thing(*self.limit.value[:3]), self._thing(*self.limit.value[3:])
        if one == other:
            return f"{one} is wished once a day at the most, and would be twice"
        return f"{one} and {other} are wished apart, and would be on one day"

    def _thing(self, target: str, adult: str, learner: str) -> str:
        if target:
            return target_named(self.case, target)
        return f"a sitting of {self.case.learners[learner].alias} with {self.case.called(ADULT, adult)}"

    @property
    def impossible(self) -> str:
        """Why a combination is never to be probed, or is not now."""
        target, combination = self.case.targets[self.limit.value[0]], self.limit.value[1:]
        if target.state is not TargetState.MASTERED:
            return f"{target_named(self.case, target.id)} is not probed: its state is {target.state}"
        against = obstacle_to_any(self.case, target, combination, self.limit.on or date.min)
        return obstacle_text(self.case, against) if against else "that is not possible"

    @property
    def it(self) -> str:
        """What is left out, or as much of it as there can be."""
        return "some of it" if self.limit.some else "it"

    @property
    def lost(self) -> str:
        single, several = common_words(self.case.mastered)
        one, many = _LOSSES.get(self.limit.goal, (f"new {single}", f"new {several}"))
        return f"{self.figure} {one if self.figure == 1 else many}"
