"""The forecast as values: what pages, tables and the terminal draw from. A week is its index in `Forecast.weeks`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from genplan.case import Combination, Week, Wish
from genplan.coverage.wishes_not_possible import WishNotPossible
from genplan.forecast.rates import Rate
from genplan.forecast.sittings_that_fall_through import SittingsSoFar
from genplan.plan import Note
from genplan.rules.limits import Limit

BEFORE = -1
"""In the place of a week's index: before the first of them."""
EARLY, MIDDLE, LATE = 0.1, 0.5, 0.9
"""The shares of courses by which a date is judged, and half of them."""
IN_RANGE = 0.8
"""The share of courses that a range is to hold, as nearly as whole weeks can."""


class Verdict(StrEnum):
    """Whether a date will hold, by the courses in which it does: `YES` from 9 of 10, `NO` under 1 of 10. `OVER`: it
    lies before now. `EARLIER`: it lies before the weeks looked at, and what people were told of until then does not
    hold it; planning those days anew may."""

    YES = "yes"
    AT_RISK = "at risk"
    NO = "no"
    OVER = "over"
    EARLIER = "earlier"


class BottleneckKind(StrEnum):
    """What kind of thing holds a target up."""

    NOTHING = "nothing"
    PROBES_OF_A_SKILL = "probes of a skill"
    HOURS = "hours"
    ADULT = "adult"
    PLACE = "place"
    MATERIAL_SET = "material set"
    LEARNER = "learner's limits"
    BRIEFING = "briefing"
    TEACHING = "teaching"
    NOBODY_TEACHES = "nobody teaches"
    OTHERS_FIRST = "others first"
    RETESTS = "retests"
    NEW_WAIT = "new probes wait"
    OUT_OF_REACH = "out of reach"
    NOT_PLANNED = "not planned"
    TOO_YOUNG = "too young"
    WISH_NOT_POSSIBLE = "wish not possible"


@dataclass(frozen=True)
class Values:
    """So many values of a dimension of a target."""

    count: int
    dimension: str


@dataclass(frozen=True, kw_only=True)
class HeldUp:
    """The one thing that holds a target up most.

    - `by`: what kind of thing
    - `weeks`, `of`: it stood in the way in so many of the weeks in which what comes last was still to be run; or 0, 0
    - `held_in`: which weeks these were
    - `limit`: what stood in the way of its probes, where `by` does not say it all
    - `needed`: of a limit by the week, the probes that are to be run
    - `at_least`: what is open after the weeks looked at may take more
    - `others`, `probes`: of a limit of the learner, so many of all probes of these weeks are of other skills; of a date
      only those count that are due or have a date, and of a limit of the skill `others` are those of it that the date
      does not ask for
    - `waiting`: combinations that wait for teaching, or of `NOBODY_TEACHES` those that nobody may teach
    - `lacking`: values that the criterion still asks for
    - `asked`: values that it asks for together, and that are not met; of `TOO_YOUNG` the sets
    - `in_reach`: how many of them the case leaves possible
    - `adults`: whose briefing would bring them into reach
    - `not_possible`: of `WISH_NOT_POSSIBLE` why, and from which day it is possible
    - `dated`: it is a date that does not hold, and only the days up to it were looked at"""

    by: BottleneckKind
    weeks: int = 0
    of: int = 0
    limit: Limit | None = None
    needed: int = 0
    at_least: bool = False
    others: int = 0
    probes: int = 0
    waiting: tuple[Combination, ...] = ()
    lacking: tuple[Values, ...] = ()
    asked: tuple[tuple[tuple[str, str], ...], ...] = ()
    in_reach: int = 0
    adults: tuple[str, ...] = ()
    dated: bool = False
    held_in: tuple[Week, ...] = ()
    not_possible: WishNotPossible | None = None


@dataclass(frozen=True)
class Range:
    """From the week `first` to the week `last`, both in it, lie `share` of the courses; None: after the weeks looked
    at, which is a time of its own."""

    first: int | None
    last: int | None
    share: float


@dataclass(frozen=True)
class Milestone:
    """When something is reached. `done`: it is already, by what was run. `line` is the week if every probe is met;
    `BEFORE`: what people were told of until then will do, if it is met; None: not in the weeks looked at. `shares`
    says for each week in what share of the simulated courses it is reached by its end."""

    done: bool
    line: int | None
    shares: tuple[float, ...]

    def reached_in(self, share: float) -> int | None:
        """The first week by whose end this share of the courses is there; None: not in the weeks looked at."""
        if self.line == BEFORE:
            return BEFORE
        return next((i for i, s in enumerate(self.shares) if s >= share - 1e-9), None)

    @property
    def range(self) -> Range:
        """The weeks in a row in which the share of the courses is nearest to 8 of 10. From the week by which 1 of 10
        is there to that by which 9 of 10 are lie 19 of 20, where weeks are as coarse as here. Of two that are as near
        the one that holds more, then the shorter, then the one that leaves out as much before as behind."""
        if self.line == BEFORE:
            return Range(BEFORE, BEFORE, 1.0)
        by = (0.0, *self.shares, 1.0)
        later = len(self.shares)
        found = min(
            (
                abs(share - IN_RANGE) - 1e-9 * share,
                last - first,
                abs(by[first] + by[last + 1] - 1),
                first,
                last,
            )
            for first in range(later + 1)
            for last in range(first, later + 1)
            for share in [by[last + 1] - by[first]]
        )
        first, last = found[-2:]
        share = by[last + 1] - by[first]
        return Range(first if first < later else None, last if last < later else None, share)

    @property
    def within(self) -> float:
        """The share of the courses that are there within the weeks looked at."""
        return 1.0 if self.done else self.shares[-1]


@dataclass(frozen=True, kw_only=True)
class WishForecast:
    """A `first` wish with a date. `tried` is the share of the courses in which all that it asks for was probed by the
    date, `met` that in which all of it is met too. `line` is the day on which the last of it is probed if every probe
    is met; None: not in the weeks looked at. `beyond`: the date lies after these weeks, so the shares are those at
    their end. `earlier`: it lies before them, so no course says anything of it: `tried` is 1 or 0 by what people were
    told of, `met` nothing. `by_told`: what people were told of until then will do, if it is met, so `met` says nothing
    of the courses either. `over`: the date lies before now, so that it is held up by nothing ahead. `held_up` is None
    for a wish that holds, and where no week looked at lies before its date. `teaching_weeks`: some was not met and
    waits for teaching, which is taken to take so many weeks, and so cannot come again before the date; 0: no such
    thing."""

    wish: Wish
    by: date
    done: bool
    line: date | None
    tried: float
    met: float
    beyond: bool
    held_up: HeldUp | None
    over: bool = False
    earlier: bool = False
    by_told: bool = False
    teaching_weeks: int = 0

    @property
    def is_possible(self) -> bool:
        """Whether anything of it can be probed in the weeks looked at and before its date."""
        return self.held_up is None or self.held_up.by is not BottleneckKind.WISH_NOT_POSSIBLE

    @property
    def verdict(self) -> Verdict:
        if self.over:
            return Verdict.OVER
        if not self.is_possible:
            return Verdict.NO
        if self.done or self.tried >= LATE:
            return Verdict.YES
        if self.earlier:
            return Verdict.EARLIER
        return Verdict.AT_RISK if self.tried >= EARLY else Verdict.NO


@dataclass(frozen=True, kw_only=True)
class TargetForecast:
    """What is ahead of one target.

    - `learner`, `target`: by id
    - `rate`: what is known of how often its probes are met
    - `drawn`: the range of mean rates in 8 of 10 courses
    - `coverage`: when all is shown
    - `generalised`: when the criterion is met; None where there is none, or it is out of reach
    - `out_of_reach`: the criterion asks for more than is possible
    - `wishes`: those with a date
    - `coverage_held_up`: what holds up most that all is shown
    - `criterion_held_up`: the same of the criterion; None where there is none
    - `not_met`: the combinations of which the latest probe was not met, whatever was reached before"""

    learner: str
    target: str
    rate: Rate
    drawn: tuple[float, float]
    coverage: Milestone
    generalised: Milestone | None
    out_of_reach: bool
    wishes: tuple[WishForecast, ...]
    coverage_held_up: HeldUp
    criterion_held_up: HeldUp | None = None
    not_met: tuple[Combination, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Assumptions:
    """What the forecast takes for granted.

    - `teaching_weeks`: what was not met takes so many whole weeks to teach, where no teaching is planned
    - `teaching_planned`: teaching is planned in these weeks, and takes its room in them
    - `sittings`: how many were not run until now, by which sittings fall through; None: all are held
    - `courses`: how many were simulated
    - `seed`: of the draws
    - `told_before`: people were told of sittings before the first week, which are counted as met
    - `not_counted`: of others, which can no longer be held
    - `unwritten`: so are probes of the first week that have begun and of which nobody wrote anything down"""

    teaching_weeks: int
    courses: int
    seed: int
    told_before: bool
    not_counted: tuple[Note, ...] = ()
    unwritten: bool = False
    teaching_planned: bool = False
    sittings: SittingsSoFar | None = None


@dataclass(frozen=True, kw_only=True)
class Forecast:
    """What is ahead.

    - `now`: the moment it was made
    - `weeks`: all weeks looked at, the first planned one first
    - `targets`: each mastered target
    - `assumptions`: what it takes for granted
    - `still_taught`: target and place of each wish with a date of a skill that is still being taught: nothing of it can
      be told yet
    - `repeatable`: False if the clock ended a search"""

    now: datetime
    weeks: tuple[Week, ...]
    targets: tuple[TargetForecast, ...]
    assumptions: Assumptions
    still_taught: tuple[tuple[str, int], ...] = ()
    repeatable: bool = True

    def week(self, index: int) -> Week:
        """The week of an index, `BEFORE` among them."""
        return Week.of(self.weeks[0].monday - timedelta(days=1)) if index == BEFORE else self.weeks[index]
