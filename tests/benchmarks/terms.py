"""What a term is worth: caseloads lived through week by week, and the same with weeks that follow a term.

    python -m tests.benchmarks.terms                # 12 seeds of each caseload, some fifteen minutes of CPU
    python -m tests.benchmarks.terms --seeds 2

*The caseloads* are invented. Three children have two skills each, varied over two adults, two places and two sets. Each
skill has two dates, drawn from the weeks: one by which it is to be tried with the therapist, one by which it is to be
tried in the hall. A parent has hours every day, at home and in the hall.

- *therapist*: she has a quarter of an hour on three days a week, for all three children; the hall is always open
- *therapist away*: the same, and she is away in two weeks, drawn
- *hall*: it is open for a quarter of an hour on three days a week, for one child; the therapist is always there
- *both*: both are scarce, she on four days and the hall on four
- *plenty*: neither is

*A week*: on Sunday it is planned; on the Sunday after it all of it is written down. A sitting falls through with the
rate `FALLS_THROUGH`, by adult, child and day, whatever is planned; a probe is met with the rate `MET` of `lives.py`;
what was not met is taught on the Sunday after. The dice are the same with the key and without.

*Kept* are dates by which all that their wish asks for was tried. *Bound* is what the first term says no weeks can
pass, if nothing falls through. The intervals are of the difference between two lives with the same dice, by the t
distribution over seeds.
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

from genplan.audit.term import audit_term
from genplan.case import (
    Absence,
    Adult,
    Case,
    Dimension,
    Learner,
    LearnerLimits,
    Location,
    MaterialSet,
    Policy,
    SolverLimits,
    Target,
    Week,
    WeeklyHours,
    Wish,
)
from genplan.case.windows import Window
from genplan.coverage.tally import tally
from genplan.coverage.tuples import wished_tuples
from genplan.evidence.log import Log, ResultKind
from genplan.plan import ProbeKind, Sitting
from genplan.plan.term import Term
from genplan.planning.planner import plan_week
from tests.benchmarks.lives import Life, gained
from tests.fixtures.planning_cases import WEEK, ZONE, Inline, hours
from tests.fixtures.term_cases import the_term

SEEDS, WEEKS = 12, 8
CHILDREN = ("ada", "ben", "cleo")
FALLS_THROUGH = 0.1
THERAPIST, HALL = "therapist", "hall"
ALWAYS = hours((9, 17))


@dataclass(frozen=True)
class Caseload:
    """`her_days` and `hall_days` are those with a quarter of an hour for all; None: always. `away`: her weeks off."""

    name: str
    her_days: int | None = None
    hall_days: int | None = None
    away: int = 0


CASELOADS = (
    Caseload("therapist", her_days=3),
    Caseload("therapist away", her_days=3, away=2),
    Caseload("hall", hall_days=3),
    Caseload("both", her_days=4, hall_days=4),
    Caseload("plenty"),
)


@dataclass(frozen=True)
class Lived:
    """Of the dates in the weeks the part that was kept, and the part that the first term says can be."""

    kept: float
    bound: float
    dates: int
    open: float


def the_case(caseload: Caseload, seed: int, *, follow: bool) -> Case:
    dice = Random(f"{caseload.name} {seed}")
    her = _some_days(dice, caseload.her_days)
    hall = _some_days(dice, caseload.hall_days)
    off = tuple(_week_off(n) for n in dice.sample(range(WEEKS), caseload.away))
    adults = [Adult(id=THERAPIST, name=THERAPIST, free=her, away=off)]
    adults += [Adult(id=f"{c}s-parent", name=c, free=ALWAYS, learners=frozenset([c])) for c in CHILDREN]
    targets = [_target(dice, child, n) for child in CHILDREN for n in (1, 2)]
    limits = LearnerLimits(probes_per_sitting=1, sittings_per_day=2)
    capacity = 1 if caseload.hall_days else 3
    return Case(
        timezone=ZONE,
        learners={i: Learner(id=i, name=i, alias=i, free=ALWAYS, limits=limits) for i in CHILDREN},
        adults={a.id: a for a in adults},
        locations={
            "home": Location(id="home", name="home", open=WeeklyHours.always(), capacity=3),
            HALL: Location(id=HALL, name=HALL, open=hall, capacity=capacity),
        },
        material_sets={m: MaterialSet(id=m, name=m, copies=3) for m in ("red", "blue")},
        targets={t.id: t for t in targets},
        policy=Policy(follow_term=follow, solver=SolverLimits(work_per_stage=0.1)),
    )


def _some_days(dice: Random, count: int | None) -> WeeklyHours:
    """A quarter of an hour in the morning on so many of the days from Monday to Friday; None: always."""
    days = dice.sample(range(5), count or 0)
    if count is None:
        return ALWAYS
    return WeeklyHours(tuple((Window(600, 615),) if n in days else () for n in range(7)))


def _week_off(number: int) -> Absence:
    monday = datetime.combine(WEEK.monday + timedelta(weeks=number), time())
    return Absence(monday, monday + timedelta(weeks=1))


def _target(dice: Random, child: str, number: int) -> Target:
    values = ((f"{child}s-parent", THERAPIST), ("home", HALL), ("red", "blue"))
    names = ("adult", "location", "material_set")
    dates = [WEEK.monday + timedelta(weeks=dice.randrange(1, WEEKS), days=4) for _ in range(2)]
    return Target(
        id=f"{child}-{number}",
        learner=child,
        name=f"{child}-{number}",
        dimensions=tuple(Dimension(n, v) for n, v in zip(names, values, strict=True)),
        mastered_on=date(2026, 11, 1),
        first=(Wish({"adult": THERAPIST}, dates[0]), Wish({"location": HALL}, dates[1])),
    )


class WithDates(Life):
    """One caseload."""

    kinds: ClassVar = {ProbeKind.MAINTENANCE: ResultKind.MAINTENANCE}
    why_not = "ill"

    def __init__(self, caseload: Caseload, seed: int, *, follow: bool) -> None:
        super().__init__(the_case(caseload, seed, follow=follow), seed)
        self.kept: list[bool] = []

    def live(self) -> Lived:
        weeks = WEEK.run(WEEKS)
        bound = self._term(weeks[0], weeks)
        for week in weeks:
            self._live(week)
            self._note(week)
        left = [len(self.tally(t, weeks[-1].sunday).open) for t in self.case.targets.values()]
        return Lived(fmean(self.kept), bound.bound / len(self.kept), len(self.kept), fmean(left))

    def _live(self, week: Week) -> None:
        now = datetime.combine(week.monday - timedelta(days=1), time(20), ZONE)
        term = self._term(week, week.run(12)) if self.case.policy.follow_term else None
        planned = plan_week(self.case, self.log, week, now, {}, (), Inline(), lambda _: None, term=term)
        self.write(planned.plan.sittings)
        self.teach(week)

    def _term(self, week: Week, weeks: list[Week]) -> Term:
        now = datetime.combine(week.monday - timedelta(days=1), time(20), ZONE)
        term = the_term(self.case, weeks, self.log, now)
        if complaints := audit_term(self.case, self.log, term, now, {}):
            raise AssertionError(complaints)
        return term

    def is_held(self, s: Sitting) -> bool:
        dice = Random(f"{self.seed} {s.adult} {s.learner} {s.start.date()}")
        return dice.random() >= FALLS_THROUGH

    def _note(self, week: Week) -> None:
        """Dates are Fridays: what was run until then is in the rows of the week up to it."""
        for t in self.case.targets.values():
            for wish in t.first:
                if wish.by is not None and week.monday <= wish.by <= week.sunday:
                    by = wish.by
                    upto = Log.of(tuple(r for r in self.log.results if r.date <= by))
                    count = tally(self.case, t, upto, by)
                    self.kept.append(not wished_tuples(count.target, wish.pattern, count.open))


def life(asked: tuple[Caseload, int, bool]) -> Lived:
    caseload, seed, follow = asked
    return WithDates(caseload, seed, follow=follow).live()


def measure(seeds: int, processes: int = 2) -> dict[tuple[str, bool], list[Lived]]:
    mixes = list(product(CASELOADS, (False, True)))
    asked = [(caseload, seed, follow) for caseload, follow in mixes for seed in range(seeds)]
    with ProcessPoolExecutor(processes) as executor:
        found = iter(list(executor.map(life, asked)))
    return {(caseload.name, follow): [next(found) for _ in range(seeds)] for caseload, follow in mixes}


def table(found: dict[tuple[str, bool], list[Lived]]) -> Iterator[str]:
    """A row for each caseload, and one for all in which something is scarce."""
    yield "| caseload | dates | bound at the start | week by week | with a term | difference, in points | tuples open |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: | ---: |"
    for caseload in CASELOADS:
        yield _row(caseload.name, found[caseload.name, False], found[caseload.name, True])
    scarce = [c.name for c in CASELOADS if c.her_days or c.hall_days]
    yield _row("all but plenty", *([x for name in scarce for x in found[name, key]] for key in (False, True)))


def _row(name: str, without: list[Lived], with_it: list[Lived]) -> str:
    points = gained([b.kept - a.kept for a, b in zip(without, with_it, strict=True)], 100)
    kept = [100 * fmean(x.kept for x in lives) for lives in (without, with_it)]
    left = [fmean(x.open for x in lives) for lives in (without, with_it)]
    dates, bound = sum(x.dates for x in without), 100 * fmean(x.bound for x in without)
    return (
        f"| {name} | {dates} | {bound:.0f} % | {kept[0]:.0f} % | {kept[1]:.0f} % | {points} |"
        f" {left[0]:.2f} → {left[1]:.2f} |"
    )


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--seeds", type=int, default=SEEDS)
    words.add_argument("--processes", type=int, default=2)
    given = words.parse_args()
    for line in table(measure(given.seeds, given.processes)):
        print(line)


if __name__ == "__main__":
    main()
