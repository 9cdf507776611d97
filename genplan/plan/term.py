"""The plan of a term as plain values: in which weeks dated wishes have their probes, and which dates hold.

A week is its index in `Term.weeks`. A wish is named by its target and its place in the target's `first`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from genplan.case import Combination, Week
from genplan.coverage.tuples import Tuple
from genplan.coverage.wishes_not_possible import WishNotPossible
from genplan.plan.objectives import StageStatus
from genplan.plan.sittings import ProbeKind
from genplan.rules.limits import Limit


class Promise(StrEnum):
    """What the term has of a date. `KEPT`: every probe that its wish still needs lies in time. `GIVES_WAY`: counted
    alone, as if nothing else were wanted, there is room for it, beside what is due too. `GIVES_WAY_TO_DUE`: alone there
    is, but none was found beside what is due. `CANNOT`: not even alone, which is proven. `UNKNOWN`: it is not kept, and
    the search ended before any of these was known."""

    KEPT = "kept"
    GIVES_WAY = "gives way"
    GIVES_WAY_TO_DUE = "gives way to what is due"
    CANNOT = "cannot"
    UNKNOWN = "unknown"


class Whose(StrEnum):
    """Whose capacity it is. A `PAIR` is an adult at a location, a `MEETING` a learner with an adult at a location."""

    LEARNER = "learner"
    TARGET = "target"
    ADULT = "adult"
    LOCATION = "location"
    MATERIAL_SET = "material set"
    PAIR = "adult at a location"
    MEETING = "learner with an adult at a location"


class Unit(StrEnum):
    """What a capacity counts."""

    MINUTES = "minutes"
    SITTINGS = "sittings"
    PROBES = "probes"


class NoWay(StrEnum):
    """Why nothing can show a tuple before a date, whatever else is planned: one probe takes longer than a sitting of
    the child may; it waits for teaching or a retest, and there is no time for it after that; the adult is new to the
    child, and there is nobody to sit beside; somebody wished no sitting of the two in the hours that there are; child,
    adult, place and things are never there together long enough; it could be in a week that people were told of, and is
    not."""

    TOO_LONG = "too long"
    WAITS = "waits"
    NO_COMPANION = "no companion"
    NOT_WISHED = "not wished"
    NO_HOURS = "no hours together"
    TOLD = "not in a week as told"


@dataclass(frozen=True, kw_only=True)
class TermProbe:
    """One probe of the term: in `week`, from its day `first` to its day `last` (0 is Monday, both in it). `shows` is
    what dates of its target ask for and it would show."""

    learner: str
    target: str
    combination: Combination
    shows: frozenset[Tuple]
    week: int
    first: int = 0
    last: int = 6


@dataclass(frozen=True, kw_only=True)
class TermCheck:
    """One probe that is due in the weeks by what is known today: a maintenance probe from its date on, a retest, a
    baseline probe. It comes before dates. `probe`: its place in the term; None: no room was found for it before the
    last date, or before it gives way to the next."""

    learner: str
    target: str
    kind: ProbeKind
    due: date
    probe: TermProbe | None


@dataclass(frozen=True, kw_only=True)
class Shortage:
    """What of a missed date's ways is used up: so many of the `weeks` up to the date have no room left there for one
    more probe of it, beside what the term has in them. `names` are the ids of whose it is, `unit` is what is too
    few: there may be minutes left where no further sitting is allowed."""

    whose: Whose
    unit: Unit
    names: tuple[str, ...]
    weeks: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class HangsOn:
    """What new probes of a date wait for, which the term takes to come about: `limit` says why they wait. Of a lapse
    `lapsed` is what was taught and is not met any more; `to_teach`: some of it waits for teaching first."""

    limit: Limit
    lapsed: tuple[Combination, ...] = ()
    to_teach: bool = False


@dataclass(frozen=True, kw_only=True)
class TermDate:
    """One dated wish in the term.

    - `learner`, `target`, `place`: whose, and its place in the list `first` of the target
    - `by`: the date
    - `tuples`: what it asks for and nobody has probed yet
    - `promise`: whether the term keeps it
    - `shown`: of the tuples those that the term shows in time
    - `short`: of a date that is not kept what stands in the way
    - `no_way`: tuples that nothing can show before the date, whatever else is planned, each with the reason
    - `hangs_on`: what probes of it in the term wait for, each once"""

    learner: str
    target: str
    place: int
    by: date
    tuples: frozenset[Tuple]
    promise: Promise
    shown: frozenset[Tuple]
    short: tuple[Shortage, ...] = ()
    no_way: Mapping[Tuple, NoWay] = field(default_factory=dict)
    hangs_on: tuple[HangsOn, ...] = ()

    @property
    def is_kept(self) -> bool:
        return self.promise is Promise.KEPT

    @property
    def is_sure(self) -> bool:
        """Whether it is kept and hangs on nothing of which nobody knows yet."""
        return self.is_kept and not self.hangs_on


@dataclass(frozen=True, kw_only=True)
class TriedDate:
    """A date in the weeks of which something was tried and not met.

    - `learner`, `target`, `place`: whose, and its place in the list `first` of the target
    - `by`: the date
    - `to_teach`: how many combinations wait for teaching before they are probed again
    - `retests`: how many are to be probed again, and `retest_from`: the first day on which one may be
    - `held_back`: how many are of a thing from which the learner is kept, and neither taught nor probed"""

    learner: str
    target: str
    place: int
    by: date
    to_teach: int
    retests: int
    retest_from: date | None
    held_back: int = 0


@dataclass(frozen=True, kw_only=True)
class TermLoad:
    """Minutes of an adult or a location in each week: `used` by the probes of the term and the settling in before them,
    of `free`, in which some child could meet them for a date or for what is due; of an adult no more than the limit of
    the week leaves. `sittings` are those of the term, of the `most_sittings` that the limit of the week leaves the
    adult; empty where there is no such limit."""

    whose: Whose
    name: str
    used: tuple[int, ...]
    free: tuple[int, ...]
    sittings: tuple[int, ...] = ()
    most_sittings: tuple[int, ...] = ()

    @property
    def shares(self) -> tuple[float, ...]:
        """Of each week, of what there is in minutes or in sittings: the larger share."""
        minutes = [_share(u, f) for u, f in zip(self.used, self.free, strict=True)]
        counts = [_share(u, m) for u, m in zip(self.sittings, self.most_sittings, strict=True)]
        return tuple(map(max, minutes, counts)) if counts else tuple(minutes)

    @property
    def fullest(self) -> float:
        """The largest share of a week."""
        return max(self.shares, default=0.0)


def _share(used: int, of: int) -> float:
    return used / of if of else 0.0


@dataclass(frozen=True, kw_only=True)
class Term:
    """The plan of a term.

    - `weeks`: in a row
    - `dates`: the dated wishes whose date lies in them and of which something is open, by learner, target and place
    - `probes`: the probes that they need
    - `bound`: proven: no plan of these weeks keeps more of the dates, whatever it holds of what is due
    - `bound_beside_due`: proven: no plan does that holds each of `checks` in the week of its place
    - `status`: what is known of how many are kept, of all plans
    - `checks`: what is due up to the week of the last date
    - `loads`: of adults and locations
    - `over`: wishes whose date lies before the first of the weeks, or before now, and of which something is open
    - `later`: the same of those whose date lies after the last: nothing is said of them
    - `tried`: wishes whose date lies in the weeks, and of which something was tried and not met
    - `not_possible`: the same of which nothing is possible as of now; some may be once the child is older
    - `still_taught`: target and place of each wish with a date of a skill that is still being taught: nothing of it can
      be counted yet
    - `repeatable`: False if the clock ended the search
    - `told`: those of the weeks that people were told of and that stay as they are; what is proven is proven of plans
      with these"""

    weeks: tuple[Week, ...]
    dates: tuple[TermDate, ...]
    probes: tuple[TermProbe, ...]
    bound: int
    status: StageStatus
    bound_beside_due: int = 0
    checks: tuple[TermCheck, ...] = ()
    loads: tuple[TermLoad, ...] = ()
    over: tuple[tuple[str, int], ...] = ()
    later: tuple[tuple[str, int], ...] = ()
    tried: tuple[TriedDate, ...] = ()
    not_possible: tuple[WishNotPossible, ...] = ()
    still_taught: tuple[tuple[str, int], ...] = ()
    repeatable: bool = True
    told: tuple[Week, ...] = ()

    @property
    def kept(self) -> int:
        return sum(d.is_kept for d in self.dates)

    def serving(self, found: TermDate) -> tuple[TermProbe, ...]:
        """The probes that show something of a date in time."""
        return tuple(
            p
            for p in self.probes
            if p.target == found.target and p.shows & found.tuples and self.last_day(p) <= found.by
        )

    def last_day(self, probe: TermProbe) -> date:
        """The last day on which the probe is in its stretch."""
        return self.weeks[probe.week].days[probe.last]
