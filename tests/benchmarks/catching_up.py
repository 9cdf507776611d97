"""What a day to catch up on is worth: three children lived through with it and without, while adults cannot come.

    python -m tests.benchmarks.catching_up                # 8 seeds, 12 weeks, some ten minutes of CPU
    python -m tests.benchmarks.catching_up --seeds 2

*The world* is invented. Each child has a skill with three adults, three places and a set: a parent with hours every
day, somebody at school on weekdays, and a visitor who is there on three days of two of the weeks alone. Four wishes
have dates: each stay of the visitor ends with one, and each place but the first has one. *Hidden* is how often an
adult does not come on a day, and it is the same day and adult with the key and without. *A week*: on Sunday it is
planned; on Wednesday evening what was run and what was not is written down, and if anything fell through the rest of
the week is planned anew from what people were told; on Sunday the rest is written down. What was not met is taught in
the week after.

*Kept* are dates by which all that their wish asks for was tried. *Until through* is counted to the first week after
which nothing is open, and one more than there are for a child who is not through. The intervals are of the difference
of the two years with the same dice, by the t distribution over seeds (a year of three children is one observation).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import product
from random import Random
from statistics import fmean
from typing import ClassVar

from genplan.case import (
    Absence,
    Adult,
    Case,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    Policy,
    Preferences,
    SolverLimits,
    Target,
    Week,
    WeeklyHours,
    Wish,
)
from genplan.coverage.tuples import Tuple, wished_tuples
from genplan.evidence.log import ResultKind
from genplan.plan import ProbeKind, Sitting
from genplan.planning.planner import plan_week
from tests.benchmarks.lives import Life, gained
from tests.fixtures.planning_cases import WEEK, ZONE, Inline, hours

RATES, SEEDS, WEEKS = (0.05, 0.2, 0.4), 8, 12
CHILDREN = ("ada", "ben", "cleo")
PLACES = ("home", "park", "school")
STAYS = (3, 8)
"""Weeks, from 0 on, in which the visitor is there."""
EVENING = time(20)


@dataclass(frozen=True)
class Year:
    """What came of one."""

    kept: float
    open: float
    until_through: float


def the_case(seed: int, *, catch_up: bool) -> Case:
    dice = Random(f"case {seed}")
    always = hours((9, 18))
    adults: list[Adult] = []
    targets: list[Target] = []
    for child in CHILDREN:
        own = frozenset([child])
        names = tuple(f"{child}-{who}" for who in ("parent", "school", "visitor"))
        days = sorted(dice.sample(range(6), 3))
        some = hours(*((15, 17) if n in days else None for n in range(7)))
        adults += [
            Adult(
                id=names[0],
                name=names[0],
                free=hours((15, 17)),
                learners=own,
                locations=frozenset(PLACES[:2]),
            ),
            Adult(
                id=names[1], name=names[1], free=_weekdays(), learners=own, locations=frozenset(PLACES[2:])
            ),
            Adult(id=names[2], name=names[2], free=some, learners=own, away=tuple(_between_stays())),
        ]
        targets.append(_target(child, names))
    return Case(
        timezone=ZONE,
        learners={i: Learner(id=i, name=i, alias=i, free=always) for i in CHILDREN},
        adults={a.id: a for a in adults},
        locations={p: Location(id=p, name=p, open=WeeklyHours.always(), capacity=3) for p in PLACES},
        material_sets={m: MaterialSet(id=m, name=m, copies=3) for m in ("red", "blue")},
        targets={t.id: t for t in targets},
        policy=Policy(
            probes_per_target_per_week=3,
            prefer=Preferences(catch_up=catch_up),
            solver=SolverLimits(work_per_stage=0.1),
        ),
    )


def _weekdays() -> WeeklyHours:
    return hours(*[(10, 12)] * 5, None)


def _between_stays() -> Iterator[Absence]:
    """All weeks but those of the stays."""
    for n in range(-1, WEEKS + 12):
        if n not in STAYS:
            monday = datetime.combine(WEEK.monday + timedelta(weeks=n), time())
            yield Absence(monday, monday + timedelta(weeks=1))


def _target(child: str, adults: tuple[str, ...]) -> Target:
    values = (adults, PLACES, ("red", "blue"))
    names = ("adult", "location", "material_set")
    ends = [WEEK.monday + timedelta(weeks=n, days=6) for n in STAYS]
    wishes = [Wish({"adult": adults[2], "location": p}, end) for p, end in zip(PLACES, ends, strict=False)]
    wishes += [
        Wish({"location": p}, WEEK.monday + timedelta(weeks=n, days=4))
        for p, n in zip(PLACES[1:], (1, 5), strict=True)
    ]
    return Target(
        id=f"{child}-skill",
        learner=child,
        name=f"{child}-skill",
        dimensions=tuple(Dimension(n, v) for n, v in zip(names, values, strict=True)),
        mastered_on=date(2026, 11, 1),
        first=tuple(wishes),
    )


class ThreeChildren(Life):
    """One year of them."""

    kinds: ClassVar = {ProbeKind.TEACHING: ResultKind.TEACHING}
    why_not = "adult away"

    def __init__(self, seed: int, rate: float, *, catch_up: bool) -> None:
        super().__init__(the_case(seed, catch_up=catch_up), seed)
        self.rate = rate
        self.missed: dict[tuple[str, int], frozenset[Tuple]] = {}
        self.through: dict[str, int] = {}

    def live(self) -> Year:
        for n, week in enumerate(WEEK.run(WEEKS)):
            self._live(week)
            self._note(n, week)
        left = [
            len(self.tally(t, WEEK.sunday + timedelta(weeks=WEEKS)).open) for t in self.case.targets.values()
        ]
        kept = [not late for late in self.missed.values()]
        until = [self.through.get(t, WEEKS) + 1 for t in self.case.targets]
        return Year(fmean(kept), fmean(left), fmean(until))

    def _live(self, week: Week) -> None:
        sunday, wednesday = (_evening(week.monday + timedelta(days=n)) for n in (-1, 2))
        told = self._plan(week, sunday, ())
        first = [s for s in told if s.start < wednesday]
        fell = {s.id for s in first if not self.is_held(s)}
        self.write(first)
        if fell:
            kept = tuple(s for s in told if s.id not in fell)
            told = self._plan(week, wednesday, kept)
        self.write(s for s in told if s.start >= wednesday)
        self.teach(week)

    def _plan(self, week: Week, now: datetime, kept: tuple[Sitting, ...]) -> tuple[Sitting, ...]:
        return plan_week(self.case, self.log, week, now, {}, kept, Inline(), lambda _: None).plan.sittings

    def is_held(self, s: Sitting) -> bool:
        """By adult and day: whoever does not come does not come that day, whatever is planned."""
        return Random(f"{self.seed} {s.adult} {s.start.date()}").random() >= self.rate

    def _note(self, n: int, week: Week) -> None:
        for t in self.case.targets.values():
            still_open = self.tally(t, week.sunday).open
            for number, wish in enumerate(t.first):
                if wish.by is not None and week.monday <= wish.by <= week.sunday:
                    self.missed[t.id, number] = wished_tuples(t, wish.pattern, still_open)
            if not still_open:
                self.through.setdefault(t.id, n)


def _evening(day: date) -> datetime:
    return datetime.combine(day, EVENING, ZONE)


def year(asked: tuple[int, float, bool]) -> Year:
    seed, rate, catch_up = asked
    return ThreeChildren(seed, rate, catch_up=catch_up).live()


def measure(seeds: int, processes: int = 2) -> dict[tuple[float, bool], list[Year]]:
    mixes = list(product(RATES, (False, True)))
    asked = [(seed, rate, key) for rate, key in mixes for seed in range(seeds)]
    with ProcessPoolExecutor(processes) as executor:
        found = iter(list(executor.map(year, asked)))
    return {mix: [next(found) for _ in range(seeds)] for mix in mixes}


def table(found: dict[tuple[float, bool], list[Year]]) -> Iterator[str]:
    yield "| adults miss | key | dates kept | tuples open | weeks until through |"
    yield "| --- | --- | ---: | ---: | ---: |"
    for rate in RATES:
        without, with_it = found[rate, False], found[rate, True]
        for key, years in (("no", without), ("yes", with_it)):
            means = [fmean(getattr(y, name) for y in years) for name in ("kept", "open", "until_through")]
            yield f"| {rate} | {key} | {100 * means[0]:.0f} % | {means[1]:.2f} | {means[2]:.2f} |"
        differences = [
            gained([getattr(b, n) - getattr(a, n) for a, b in zip(without, with_it, strict=True)], by)
            for n, by in (("kept", 100), ("open", 1), ("until_through", 1))
        ]
        yield f"| {rate} | yes less no | {' | '.join(differences)} |"


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--seeds", type=int, default=SEEDS)
    for line in table(measure(words.parse_args().seeds)):
        print(line)


if __name__ == "__main__":
    main()
