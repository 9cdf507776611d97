"""Which is better where a week has no room for both: teaching what failed first, or new tuples first?

    python -m tests.benchmarks.teaching_order                       # 400 children in each cell
    python -m tests.benchmarks.teaching_order --helps 0.5           # teaching helps what is alike, too
    python -m tests.benchmarks.teaching_order --week scraps         # every gap is filled, however little it shows
    python -m tests.benchmarks.teaching_order --week planner --children 12 --sittings 4 --rates 0.7

*The child* is invented. It has three skills, each with four adults, three places and three sets, all pairs wanted, one
combination taught before. Each combination has a rate of its own at which a probe of it is met: drawn from a beta
distribution whose mean is the cell's and which is as wide as four probes leave it (a guess, no source). What was taught
is met at 0.9 from then on, or at its own rate if that is higher. With `--helps 0.5` teaching also lifts what differs
from it in one value, by half of the way to 0.9. What really happens lies somewhere between: nobody knows.

*The week* has so many sittings of 20 minutes, each with one adult, who take turns; 5 minutes are for settling in, a
probe takes 5, a teaching 10. So a teaching takes the room of two probes. At most one probe of a skill a day and four a
week, one teaching of a skill a day and three a week. A week is planned when the one before is written down. Retests
come first in both orders, which have the same dice: where its rate is the same, the n-th probe of a combination is too.

*Its new probes* come from a smallest design, twelve a skill (`--week design`); or they fill every gap that is left,
even if they show one new pair (`scraps`). With the first both orders run the same probes, one before the other. With
`planner` the planner makes the weeks, with little work for its search (`teaching_order_planned.py`).

*Told* of each cell: the week in which all is through, which is every pair shown and nothing left that was not met; the
week in which every pair is shown; and that in which each skill was met with three adults, in two places and with three
sets, as the policy of a family has it. The interval of a median is that of its order statistics, of a mean difference
(child by child) the normal one, both 95 %.
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from math import sqrt
from random import Random
from statistics import fmean, stdev

from genplan.case import Combination, Dimension, Target
from genplan.coverage.tuples import Tuple, tuples_of, tuples_of_all
from genplan.plan import ProbeKind

SKILLS = ("asks", "dresses", "greets")
ADULTS, PLACES, SETS = ("aunt", "dad", "mum", "nan"), ("home", "library", "park"), ("blue", "green", "red")
SITTINGS, RATES = (2, 4, 8), (0.5, 0.7, 0.9)
MINUTES, PROBE_MINUTES, TEACHING_MINUTES = 15, 5, 10
PROBES_A_WEEK, TEACHINGS_A_WEEK = 4, 3
TAUGHT_RATE, LIKE_PROBES = 0.9, 4.0
MOST_WEEKS = 150


def skill(id_: str) -> Target:
    dimensions = (Dimension("adult", ADULTS), Dimension("location", PLACES), Dimension("material_set", SETS))
    return Target(id=id_, learner="wren", name=id_, dimensions=dimensions, taught=(TAUGHT,))


TAUGHT = {"adult": "mum", "location": "home", "material_set": "blue"}
FIRST_TAUGHT: Combination = ("mum", "home", "blue")
ANY = skill("any")
"""All skills vary the same things."""
COMBINATIONS = ANY.combinations()
SHOWS: Mapping[Combination, frozenset[Tuple]] = {c: frozenset(tuples_of(ANY, c)) for c in COMBINATIONS}
PAIRS = tuples_of_all(ANY, COMBINATIONS) - SHOWS[FIRST_TAUGHT]
DESIGN = tuple(
    (adult, place, SETS[(a + p + 1) % len(SETS)])
    for a, adult in enumerate(ADULTS)
    for p, place in enumerate(PLACES)
)
"""A Latin square: each adult meets each place and set, each place each set. It holds what was taught."""
GENERALISED = (3, 2, 3)
"""So many adults, places and sets, as `configs/family.yaml` asks for."""


@dataclass(frozen=True)
class Planned:
    """One thing of a week; `sitting` is its index among the week's sittings."""

    sitting: int
    skill: str
    combination: Combination
    kind: ProbeKind


@dataclass
class Record:
    """What is known of one skill. `owed` waits for teaching, `due` for its retest."""

    tested: set[Combination] = field(default_factory=set)
    owed: set[Combination] = field(default_factory=set)
    due: set[Combination] = field(default_factory=set)

    @property
    def is_generalised(self) -> bool:
        met = self.tested - self.owed - self.due
        return all(len({c[at] for c in met}) >= wanted for at, wanted in enumerate(GENERALISED))

    @property
    def open(self) -> frozenset[Tuple]:
        return PAIRS.difference(*(SHOWS[c] for c in self.tested))

    @property
    def is_through(self) -> bool:
        return not (self.open or self.owed or self.due)


Records = Mapping[str, Record]
Sittings = Sequence[tuple[int, str]]
"""The day and the adult of each."""
Way = Callable[[Records, Sittings, bool], Sequence[Planned]]
"""Records, sittings, teaching first -> what is planned."""


@dataclass(frozen=True)
class Child:
    """Chance, by one seed: rates, and dice for each probe."""

    seed: int
    rate: float
    helps: float

    def own_rate(self, skill: str, combination: Combination) -> float:
        return _own_rate(self.seed, self.rate, skill, combination)

    def is_met(self, skill: str, combination: Combination, taught: Sequence[Combination], time: int) -> bool:
        rate = self.own_rate(skill, combination)
        if combination in taught:
            rate = max(rate, TAUGHT_RATE)
        else:
            for one in taught:
                if sum(a != b for a, b in zip(one, combination, strict=True)) == 1:
                    rate = max(rate, rate + self.helps * (TAUGHT_RATE - rate))
        return _dice(self.seed, skill, combination, time) < rate


@cache
def _own_rate(seed: int, rate: float, skill: str, combination: Combination) -> float:
    draws = Random(f"rate {seed} {skill} {combination}")
    return draws.betavariate(LIKE_PROBES * rate, LIKE_PROBES * (1 - rate))


@cache
def _dice(seed: int, skill: str, combination: Combination, time: int) -> float:
    return Random(f"dice {seed} {skill} {combination} {time}").random()


@dataclass(frozen=True)
class Course:
    """The weeks, from 1, in which each was reached; `MOST_WEEKS` and one where it was not."""

    through: int
    shown: int
    generalised: int


def course(child: Child, sittings: int, teaching_first: bool, way: Way) -> Course:
    """Week after week until all is through."""
    records = {s: Record() for s in SKILLS}
    taught: dict[str, list[Combination]] = defaultdict(list)
    times: Counter[tuple[str, Combination]] = Counter()
    shown = generalised = MOST_WEEKS + 1
    for week in range(1, MOST_WEEKS + 1):
        for one in way(records, sittings_of(child, sittings, week), teaching_first):
            _write_down(child, one, records[one.skill], taught[one.skill], times)
        if not any(r.open for r in records.values()):
            shown = min(shown, week)
        if all(r.is_generalised for r in records.values()):
            generalised = min(generalised, week)
        if all(r.is_through for r in records.values()):
            return Course(week, shown, generalised)
    return Course(MOST_WEEKS + 1, shown, generalised)


def _write_down(
    child: Child,
    one: Planned,
    record: Record,
    taught: list[Combination],
    times: Counter[tuple[str, Combination]],
) -> None:
    combination = one.combination
    if one.kind is ProbeKind.TEACHING:
        taught.append(combination)
        record.owed.remove(combination)
        record.due.add(combination)
        return
    record.tested.add(combination)
    record.due.discard(combination)
    times[one.skill, combination] += 1
    if not child.is_met(one.skill, combination, taught, times[one.skill, combination]):
        record.owed.add(combination)


def sittings_of(child: Child, number: int, week: int) -> Sittings:
    """The adults take turns, in an order of each child's own; the days are spread over the week."""
    order = list(ADULTS)
    Random(f"turns {child.seed}").shuffle(order)
    return [(n * 7 // number, order[(week * number + n) % len(order)]) for n in range(number)]


class _Week:
    """A week that is filled thing by thing."""

    def __init__(self, sittings: Sittings) -> None:
        self.sittings, self.planned = sittings, list[Planned]()
        self._minutes, self._places = [MINUTES] * len(sittings), [""] * len(sittings)
        self._days: dict[tuple[str, bool], list[int]] = defaultdict(list)
        self._used: dict[str, set[Combination]] = defaultdict(set)

    def open_for(self, skill: str, kind: ProbeKind) -> Iterator[int]:
        """Sittings that still have room for such a thing. Not twice on a day, nor a probe on a day with a teaching."""
        minutes = PROBE_MINUTES if kind.is_probe else TEACHING_MINUTES
        most = PROBES_A_WEEK if kind.is_probe else TEACHINGS_A_WEEK
        if len(self._days[skill, kind.is_probe]) >= most:
            return
        busy = {*self._days[skill, True], *self._days[skill, False]}
        for index, (day, _) in enumerate(self.sittings):
            if self._minutes[index] >= minutes and day not in busy:
                yield index

    def holds(self, index: int, skill: str, combination: Combination) -> bool:
        adult, place, _ = combination
        there = self._places[index] in ("", place)
        return there and self.sittings[index][1] == adult and combination not in self._used[skill]

    def add(self, index: int, skill: str, combination: Combination, kind: ProbeKind) -> None:
        self.planned.append(Planned(index, skill, combination, kind))
        self._minutes[index] -= PROBE_MINUTES if kind.is_probe else TEACHING_MINUTES
        self._places[index] = combination[1]
        self._days[skill, kind.is_probe].append(self.sittings[index][0])
        self._used[skill].add(combination)


def week_from(combinations: Sequence[Combination]) -> Way:
    """Greedy weeks with new probes of these."""

    def planned(records: Records, sittings: Sittings, teaching_first: bool) -> Sequence[Planned]:
        """Retests, then in the order that is asked for: what is owed, each in the first sitting with room; new probes,
        each time the one that shows most."""
        held = _Week(sittings)
        _seat(held, ProbeKind.RETEST, {s: r.due for s, r in records.items()})
        owed = {s: r.owed for s, r in records.items()}
        if teaching_first:
            _seat(held, ProbeKind.TEACHING, owed)
        _seat_new(held, records, combinations)
        _seat(held, ProbeKind.TEACHING, owed)
        return held.planned

    return planned


WAYS = {"design": week_from(DESIGN), "scraps": week_from(COMBINATIONS)}


def _seat(held: _Week, kind: ProbeKind, wanted: Mapping[str, set[Combination]]) -> None:
    for skill, combinations in wanted.items():
        for combination in sorted(combinations):
            for index in held.open_for(skill, kind):
                if held.holds(index, skill, combination):
                    held.add(index, skill, combination, kind)
                    break


def _seat_new(held: _Week, records: Records, combinations: Sequence[Combination]) -> None:
    left = {s: set(r.open) for s, r in records.items()}
    while best := _shows_most(held, records, combinations, left):
        index, skill, combination = best
        held.add(index, skill, combination, ProbeKind.NEW)
        left[skill] -= SHOWS[combination]


def _shows_most(
    held: _Week, records: Records, combinations: Sequence[Combination], left: Mapping[str, set[Tuple]]
) -> tuple[int, str, Combination] | None:
    best, most = None, 0
    for skill, open_ in left.items():
        for index in held.open_for(skill, ProbeKind.NEW) if open_ else ():
            for combination in combinations:
                shows = len(SHOWS[combination] & open_)
                untested = combination not in records[skill].tested
                if shows > most and untested and held.holds(index, skill, combination):
                    best, most = (index, skill, combination), shows
    return best


@dataclass(frozen=True)
class Cell:
    """One cell of the table: courses of the same children in both orders."""

    sittings: int
    rate: float
    teaching_first: tuple[Course, ...]
    new_first: tuple[Course, ...]

    def line(self) -> str:
        parts = [f"| {self.sittings} | {self.rate} |"]
        for name in ("through", "generalised", "shown"):
            first, new = ([getattr(c, name) for c in of] for of in (self.teaching_first, self.new_first))
            parts.append(f" {_median(first)} | {_median(new)} | {_gain(first, new)} |")
        return "".join(parts)


MEASURES = ("through", "generalised", "pairs shown")
HEADING = (
    "| sittings a week | rate |"
    + "".join(f" {m}: teaching first | new first | weeks that teaching first gains |" for m in MEASURES)
    + "\n|"
    + " ---: |" * (2 + 3 * len(MEASURES))
)


def _median(values: Sequence[int]) -> str:
    """The median and the order statistics that hold it with 95 % (W. J. Conover, Practical Nonparametric Statistics,
    from memory)."""
    ordered, half = sorted(values), 0.98 * sqrt(len(values))
    middle = (len(values) - 1) / 2
    low, high = max(0, int(middle - half)), min(len(values) - 1, int(middle + half + 1))
    return f"{ordered[len(values) // 2]} ({ordered[low]} to {ordered[high]})"


def _gain(first: Sequence[int], new: Sequence[int]) -> str:
    """Weeks that teaching first is sooner, in the mean over children."""
    gains = [n - f for f, n in zip(first, new, strict=True)]
    half = 1.96 * stdev(gains) / sqrt(len(gains)) if len(gains) > 1 else 0.0
    mean = fmean(gains)
    return f"{mean:+.1f} ({mean - half:+.1f} to {mean + half:+.1f})"


def cell(sittings: int, rate: float, helps: float, children: int, way: Way) -> Cell:
    both = [
        tuple(course(Child(seed, rate, helps), sittings, first, way) for seed in range(children))
        for first in (True, False)
    ]
    return Cell(sittings, rate, *both)


PLANNER = "planner"


def _planner() -> Way:
    from tests.benchmarks.teaching_order_planned import planner_week  # which is made of this module

    return planner_week


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--children", type=int, default=400)
    words.add_argument("--sittings", type=int, nargs="*", default=SITTINGS)
    words.add_argument("--rates", type=float, nargs="*", default=RATES)
    words.add_argument("--helps", type=float, default=0.0)
    words.add_argument("--week", choices=[*WAYS, PLANNER], default="design")
    asked = words.parse_args()
    way = _planner() if asked.week == PLANNER else WAYS[asked.week]
    print(HEADING)
    for sittings in asked.sittings:
        for rate in asked.rates:
            print(cell(sittings, rate, asked.helps, asked.children, way).line(), flush=True)


if __name__ == "__main__":
    main()
