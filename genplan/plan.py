"""The plan of a week as plain values: what the solver's answer becomes, and all that the report draws from.

Every text and number a page shows is here; output code only arranges it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from math import ceil

from genplan.case import Case, Combination, Target, Week
from genplan.case.people import Reason
from genplan.case.second_adults import Beside as Beside
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.rules.limits import Limit
from genplan.rules.placed_sittings import PlacedProbe

DECIDING = (WishKind.HOLD, WishKind.MOVE, WishKind.ADD)
"""The wishes that settle a sitting."""


class ProbeKind(StrEnum):
    NEW = "new"
    RETEST = "retest"
    MAINTENANCE = "maintenance"
    TEACHING = "teaching"
    BASELINE = "baseline"

    @property
    def is_probe(self) -> bool:
        return self is not ProbeKind.TEACHING

    @property
    def is_test(self) -> bool:
        """Whether it says something of what was taught: a baseline probe shows nothing and is kept apart."""
        return self.is_probe and self is not ProbeKind.BASELINE

    @property
    def is_due(self) -> bool:
        """Whether it counts for what is due."""
        return self in (ProbeKind.RETEST, ProbeKind.MAINTENANCE, ProbeKind.BASELINE)


def minutes_of(target: Target, kind: str) -> int:
    """How long a probe, or a teaching, of the target takes."""
    return target.teaching_minutes if kind == ProbeKind.TEACHING else target.minutes


def sitting_minutes(case: Case, probes: Iterable[Probe | PlacedProbe]) -> int:
    """How long a sitting with these takes."""
    return case.policy.settle_minutes + sum(minutes_of(case.targets[p.target], p.kind) for p in probes)


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
    CHANGES = "changes"
    PEOPLE = "people told"
    OTHERWISE = "otherwise"
    TOLD = "told"
    FURTHER_PROBES = "further probes"
    SITTINGS = "sittings"
    PROBES = "probes"
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
        order.remove(ObjectiveName.TEACHING)
        order.insert(order.index(ObjectiveName.WISHED), ObjectiveName.TEACHING)
    if told_first:
        order = [name for name in order if name not in AS_TOLD]
        after = order.index(ObjectiveName.DATED) + 1
        order[after:after] = AS_TOLD
    return tuple(sorted(names, key=order.index))


AS_TOLD = (ObjectiveName.PEOPLE, ObjectiveName.OTHERWISE, ObjectiveName.TOLD)
"""How little people have to be told anew."""
COVERAGE = (
    ObjectiveName.DUE,
    ObjectiveName.DATED,
    ObjectiveName.WISHED,
    ObjectiveName.SHARES,
    ObjectiveName.NEW_TUPLES,
    ObjectiveName.TEACHING,
)
"""What the week is best used for."""
COMFORT = (
    ObjectiveName.CHANGES,
    ObjectiveName.FURTHER_PROBES,
    ObjectiveName.SITTINGS,
    ObjectiveName.PROBES,
    ObjectiveName.LOADS,
    ObjectiveName.SPREAD,
    ObjectiveName.WAITING,
    ObjectiveName.EARLY,
)
"""How well it can be lived with."""
FEWEST = (ObjectiveName.PEOPLE, ObjectiveName.OTHERWISE, *COMFORT)
"""Of these less is better, of all others more."""


@dataclass(frozen=True, kw_only=True)
class Probe:
    """A probe in a sitting, or a teaching.

    - `target`, `combination`: what is probed, or taught
    - `kind`: new, retest, maintenance, teaching or baseline
    - `trials`: how many trials it has
    - `new_tuples`: how many tuples it is the first to show in this plan, in the order of time
    - `instead_of`: of what is taught though it was never probed the failures for which it is"""

    target: str
    combination: Combination
    kind: ProbeKind
    trials: int
    new_tuples: int
    instead_of: tuple[Combination, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Sitting:
    """A sitting of one learner with one adult at one place.

    - `id`: the same in every plan of the week for what people would call the same sitting
    - `learner`, `adult`, `location`: whose and where, by id
    - `start`, `end`: aware local times
    - `probes`: what is run in it, in order
    - `begun`: it was kept and has started, so it stays as it is
    - `beside`: the second adult, who is there from start to end; empty if there is none
    - `beside_as`: what the second adult is there for"""

    id: str
    learner: str
    adult: str
    location: str
    start: datetime
    end: datetime
    probes: tuple[Probe, ...]
    begun: bool = False
    beside: str = ""
    beside_as: Beside = Beside.NOBODY

    @property
    def adults(self) -> tuple[str, ...]:
        """Who is there: the adult who runs the probes, and the one beside."""
        return (self.adult, self.beside) if self.beside else (self.adult,)

    @property
    def observer(self) -> str:
        return self.beside if self.beside_as is Beside.OBSERVER else ""


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


@dataclass(frozen=True, kw_only=True)
class TargetCoverage:
    """Numbers of tuples of one target.

    - `learner`, `target`: whose, by id
    - `possible`: in all
    - `shown_before`, `tested_before`, `met_before`: before this week
    - `new`: shown for the first time by this plan
    - `open`: left after it
    - `fewest_further`: the smallest number of probes known to finish what is left
    - `fewest_proven`: the proven lower bound of that
    - `met_untaught_before`: of `met_before`, met in a combination in which nothing was taught"""

    learner: str
    target: str
    possible: int
    shown_before: int
    tested_before: int
    met_before: int
    new: int
    open: int
    fewest_further: int
    fewest_proven: int
    met_untaught_before: int = 0


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """Something that was owed and is not in the plan.

    - `learner`, `target`: whose, by id
    - `kind`: new, retest, maintenance, teaching or baseline
    - `values`: the tuple or combination, as pairs of dimension and id
    - `limit`: one true reason
    - `tuples`: how many open tuples it stands for
    - `due`: the date of a maintenance probe
    - `teachings`: how many of them, or of the baseline probes, are missing
    - `instead_of`: of what was to be taught though it was never probed the failures for which it was"""

    learner: str
    target: str
    kind: ProbeKind
    values: tuple[tuple[str, str], ...]
    limit: Limit
    tuples: int = 0
    due: date | None = None
    teachings: int = 0
    instead_of: tuple[Combination, ...] = ()

    @property
    def rule(self) -> str:
        """The short name of the reason."""
        return self.limit.rule


class NoteKind(StrEnum):
    """What a remark on the week as a whole says, in the order in which they are told."""

    LAPSED_WHERE_TAUGHT = "lapsed where taught"
    INTERRUPTED = "interrupted"
    WEEK_BEGUN = "week begun"
    NO_FREE_HOURS = "no free hours"
    MAINTENANCE_GAVE_WAY = "maintenance gave way"
    NOT_PROBED = "not probed"
    CRITERION_MET = "criterion met"
    TAUGHT_IN_PLACE = "taught in place of another"
    CLOSED = "closed"
    TOLD_AS_MET = "told counted as met"
    PLANNED_AS_MET = "planned counted as met"
    UNWRITTEN_AS_MET = "unwritten counted as met"


@dataclass(frozen=True, kw_only=True)
class Note:
    """A remark that no single left-out thing tells.

    - `kind`: what it says
    - `learner`, `target`, `location`: whom or what it is about, by id
    - `days`: those on which the location is closed (0 is Monday), or the date that gave way and the one after it
    - `why`: the reason of that
    - `weeks`: those whose probes are counted as met
    - `seen`: the lapse, or since when the criterion of mastery is met
    - `combination`, `instead_of`: what is to be taught though it was never probed, and the failures for which it is"""

    kind: NoteKind
    learner: str = ""
    target: str = ""
    location: str = ""
    days: tuple[int, ...] = ()
    why: Reason | None = None
    weeks: tuple[Week, ...] = ()
    seen: CriterionMet | Lapse | None = None
    combination: Combination = ()
    instead_of: tuple[Combination, ...] = ()


class Unwatched(StrEnum):
    """Why fewer probes have an observer than the policy asks for."""

    STOPPED = "stopped"
    NO_SITTING = "no sitting ahead"
    ALL_OBSERVED = "all ahead observed"
    NO_SECOND_ADULT = "no second adult"
    HINDERED = "hindered"
    AS_TOLD = "as told"


class Hindrance(StrEnum):
    """What stands against an adult who would observe."""

    LEARNER = "does not work with the learner"
    LOCATION = "does not go to the location"
    NEVER = "never there"
    BRIEFING = "not briefed"
    HOURS = "not free"
    ELSEWHERE = "in another sitting"
    USED_UP = "amounts used up"
    COMPANION = "companion"
    TEACHER = "teacher"


@dataclass(frozen=True)
class Hindered:
    """Who cannot observe, and why: `subject` is the id of the learner, location or target that it is about."""

    adult: str
    by: Hindrance
    subject: str = ""


@dataclass(frozen=True, kw_only=True)
class ObservedShare:
    """How far a second observer is there for one learner.

    - `learner`: by id
    - `probes`: run in the weeks before, or planned
    - `observed`: how many of them have an observer
    - `new`: how many of these by this plan
    - `wanted`: how many the policy asks for
    - `unwatched`: why it is fewer, if it is
    - `without`: sittings ahead that have none
    - `hindered`: who is kept from observing, and from how many of them"""

    learner: str
    probes: int
    observed: int
    new: int
    wanted: int
    unwatched: Unwatched | None = None
    without: int = 0
    hindered: tuple[tuple[Hindered, int], ...] = ()


class Unkept(StrEnum):
    """Why a wish is not kept."""

    UNKNOWN = "no such sitting"
    BEGUN = "begun"
    RULES = "rules"
    WISHES = "other wishes"
    NOT_FOUND = "not found"


@dataclass(frozen=True, kw_only=True)
class WishAnswer:
    """What became of a wish for the week.

    - `wish`: which
    - `kept`: whether the plan keeps it
    - `sitting`: the id of the sitting of the plan by which it is kept; empty where none is
    - `why`: why it is not
    - `limits`: the rules that stand in the way
    - `against`: the kept wishes beside each of which it cannot be kept
    - `nearest`: a hint at the sitting that may be meant, where there is none of the id
    - `proven`: no week that keeps all that are kept keeps this one too, and none keeps more"""

    wish: PlannersWish
    kept: bool
    sitting: str = ""
    why: Unkept | None = None
    limits: tuple[Limit, ...] = ()
    against: tuple[PlannersWish, ...] = ()
    nearest: str = ""
    proven: bool = True


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The plan of a week.

    - `week`, `now`: which week, and the aware local moment of planning
    - `sittings`: in order of time, begun ones among them
    - `objectives`: the stages of the search, in their order
    - `coverage`: numbers of each target
    - `matrix`: how each possible combination stands
    - `left_out`: what was owed and is not planned
    - `notes`: remarks on the week as a whole
    - `repeatable`: False if the clock or a person, not the work limit, ended a stage
    - `observed`: a row for each learner with probes, where the policy asks for observers
    - `alone`: learner -> the most new tuples proven possible without the others, of which shares are shares; or empty
    - `wishes`: what became of each wish of whoever plans the weeks, in their order
    - `people_told`: `("adult" or "learner", id)` of everybody who has to be told something against what they were told;
      None: nobody was told of the week
    - `last_chances`: wishes, as target and place in its list, that have their last chance in this week"""

    week: Week
    now: datetime
    sittings: tuple[Sitting, ...]
    objectives: tuple[Objective, ...]
    coverage: tuple[TargetCoverage, ...]
    matrix: tuple[MatrixRow, ...]
    left_out: tuple[LeftOut, ...]
    notes: tuple[Note, ...] = ()
    repeatable: bool = True
    observed: tuple[ObservedShare, ...] = ()
    alone: Mapping[str, float] = field(default_factory=dict)
    last_chances: frozenset[tuple[str, int]] = frozenset()
    wishes: tuple[WishAnswer, ...] = ()
    people_told: tuple[tuple[str, str], ...] | None = None

    @property
    def decided(self) -> frozenset[str]:
        """The ids of sittings that are as somebody wished them: nothing else was searched for in their place."""
        return frozenset(w.sitting for w in self.wishes if w.sitting and w.wish.kind in DECIDING)

    @property
    def interrupted(self) -> bool:
        """Whether a person ended the search: the best week found by then."""
        return any(n.kind is NoteKind.INTERRUPTED for n in self.notes)

    @classmethod
    def of_sittings(cls, week: Week, now: datetime, sittings: tuple[Sitting, ...]) -> Plan:
        """Sittings alone, as people were told them: nothing was searched or counted."""
        return cls(week=week, now=now, sittings=sittings, objectives=(), coverage=(), matrix=(), left_out=())

    def sittings_on(self, day: date) -> tuple[Sitting, ...]:
        return tuple(s for s in self.sittings if s.start.date() == day)

    def planned(self) -> dict[tuple[str, Combination], tuple[Sitting, ...]]:
        """Where each combination of a target is seated that is still to be run, in order of time; a teaching may be
        more than once: a probe of a sitting that has
        begun is not, once a row of its day or of a later one was written down. A teaching is not once its sitting has
        begun: a row of it need not change what is known."""
        known = {(r.target, r.combination): r.standing.last_date for r in self.matrix}
        seats: dict[tuple[str, Combination], tuple[Sitting, ...]] = {}
        for s in sorted(self.sittings, key=lambda s: s.start):
            for key, kind in ((((p.target, p.combination)), p.kind) for p in s.probes):
                last = known.get(key)
                if not (s.begun and (not kind.is_probe or (last and last >= s.start.date()))):
                    seats[key] = (*seats.get(key, ()), s)
        return seats

    def weeks_at_this_pace(self, cover: TargetCoverage) -> int | None:
        """In how many further weeks the fewest further probes of a target are run, if each week holds as many new ones
        of it as this: 0 where nothing is open, None where this week holds none."""
        held = sum(
            p.target == cover.target and p.kind is ProbeKind.NEW for s in self.sittings for p in s.probes
        )
        if not cover.fewest_further:
            return 0
        return ceil(cover.fewest_further / held) if held else None


@dataclass(frozen=True)
class RunReport:
    """How the run went: the one thing that may differ between two runs. Seconds, model sizes and versions; of each step
    its searches and moves; of the answers that the plan needed how many were `kept` from earlier runs, and how many
    `searched` for."""

    seconds: dict[str, float]
    sizes: dict[str, int]
    versions: dict[str, str]
    steps: tuple[dict[str, object], ...] = ()
    answers: dict[str, int] = field(default_factory=dict)


def ids_of(sittings: Iterable[Sitting]) -> str:
    """Their ids as tables have them in one cell."""
    return "; ".join(s.id for s in sittings)
