"""The pieces of a sentence on a limit: whom and what it is about by name, when, how long, how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from genplan.case import Case
from genplan.case.possible import obstacle_to_any
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, TargetState
from genplan.language import N_, _, ngettext
from genplan.language.dates import day_name
from genplan.language.marked import Marked
from genplan.rules.limits import Limit
from genplan.text.absences import reason_text
from genplan.text.matrix_rows import uncounted_text
from genplan.text.obstacles import obstacle_text
from genplan.text.target_names import state_word, target_named
from genplan.text.tuple_words import common_words, new_tuples_text


@dataclass(frozen=True)
class WhichWeek:
    """How the week is called that a limit stood in: `within` it, and what is `of` it. `to_its_end`: all that is left of
    it is meant, and not only the days up to a date."""

    within: Marked = Marked()
    of: Marked = Marked()
    to_its_end: bool = True


THIS_WEEK = WhichWeek(N_("this week"), N_("of this week"))
THAT_WEEK = WhichWeek(N_("that week"), N_("of the week"))
THOSE_WEEKS = WhichWeek(N_("in those weeks"), N_("of the week"))
UNTIL_THEN = WhichWeek(N_("until then"), N_("of the week"), to_its_end=False)
THAT_WEEK_UNTIL_THEN = WhichWeek(
    N_("on the days until the date in that week"), N_("of the week"), to_its_end=False
)
THOSE_WEEKS_UNTIL_THEN = WhichWeek(
    N_("on the days until the date in those weeks"), N_("of the week"), to_its_end=False
)


@dataclass(frozen=True)
class Said:
    """A limit with the pieces of its sentence."""

    case: Case
    limit: Limit
    week: WhichWeek
    day: Callable[[date], str]
    target: str = ""

    @property
    def skill(self) -> str:
        """By its name, where nothing else says which it is."""
        return target_named(self.case, self.target) if self.target in self.case.targets else _("the target")

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
        return ngettext("{n} probe", "{n} probes", self.figure)

    @property
    def teachings(self) -> str:
        return ngettext("{n} teaching", "{n} teachings", self.figure)

    @property
    def since(self) -> str:
        return _(" on {on}", on=self.day(self.limit.on)) if self.limit.on else ""

    @property
    def uncounted(self) -> str:
        """Why the latest teaching does not count; empty where all teachings do."""
        on, counts = self.limit.uncounted, self.limit.counts
        return uncounted_text(self.day(on), *counts) if on else ""

    @property
    def within(self) -> str:
        return self.week.within

    @property
    def on(self) -> str:
        return self.day(self.limit.on) if self.limit.on else ""

    @property
    def weekday(self) -> str:
        return day_name(self.figure)

    @property
    def when(self) -> str:
        if self.limit.until:
            return _("up to {day}", day=self.day(self.limit.until))
        begun = self.limit.begun and self.week.to_its_end
        return _("in what is left {of_week}", of_week=self.week.of) if begun else self.within

    @property
    def takes(self) -> str:
        return ngettext("for the {n} minutes it takes", "for the {n} minutes it takes", self.figure)

    @property
    def enough(self) -> str:
        """What has to be said where there are some minutes, but too few."""
        return f" {self.takes}" if self.limit.some else ""

    @property
    def shut(self) -> str:
        return f" ({', '.join(map(reason_text, self.limit.shut))})" if self.limit.shut else ""

    @property
    def other_days(self) -> str:
        days = _(" and ").join(day_name(d) for d in self.limit.days)
        return _(" (on {days} it could be, but the policy plans no checks then)", days=days) if days else ""

    @property
    def apart(self) -> str:
        one, other = self._thing(*self.limit.value[:3]), self._thing(*self.limit.value[3:])
        if one == other:
            return _("{first} is wished once a day at the most, and would be twice", first=one)
        return _("{first} and {other} are wished apart, and would be on one day", first=one, other=other)

    def _thing(self, target: str, adult: str, learner: str) -> str:
        if target:
            return target_named(self.case, target)
        return _(
            "a sitting of {alias} with {adult}",
            alias=self.case.learners[learner].alias,
            adult=self.case.called(ADULT, adult),
        )

    @property
    def impossible(self) -> str:
        """Why a combination is never to be probed, or is not now."""
        target, combination = self.case.targets[self.limit.value[0]], self.limit.value[1:]
        if target.state is not TargetState.MASTERED:
            return _(
                "{target} is not probed: its state is {state}",
                target=target_named(self.case, target.id),
                state=state_word(target.state),
            )
        against = obstacle_to_any(self.case, target, combination, self.limit.on or date.min)
        return obstacle_text(self.case, against) if against else _("that is not possible")

    @property
    def it(self) -> str:
        """What is left out, or as much of it as there can be."""
        return _("some of it") if self.limit.some else _("it")

    @property
    def weeks(self) -> str:
        return ngettext("{n} week", "{n} weeks", self.figure)

    @property
    def lost(self) -> str:
        n = self.figure
        match self.limit.goal:
            case "due":
                return ngettext("{n} due probe", "{n} due probes", n)
            case "dated":
                return ngettext(
                    "{n} wished combination whose last chance this week is",
                    "{n} wished combinations whose last chance this week is",
                    n,
                )
            case "teaching":
                return ngettext("{n} teaching", "{n} teachings", n)
            case "unlocked":
                return ngettext("{n} last teaching before a retest", "{n} last teachings before a retest", n)
            case "wished":
                return ngettext("{n} wished combination", "{n} wished combinations", n)
        single, several = common_words(self.case.mastered)
        return new_tuples_text(n, single, several)
