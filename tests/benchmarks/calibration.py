"""Do the forecast's ranges hold as often as they say? On simulated children, each lived through by the planner.

    python -m tests.benchmarks.calibration                 # 216 children, some minutes
    python -m tests.benchmarks.calibration --children 48   # fewer
    python -m tests.benchmarks.calibration --write         # renews rows and picture of examples/benchmark

*A child* is hidden: its skill has a rate at which probes are met, the same everywhere, or another one at each place
(so many logits up or down, drawn anew for each place). A few probes were run before; what was not met of them was
taught since. *The forecast* sees the results alone, as `genplan forecast` does. *The truth* shares no code with the
simulated courses: week after week the planner plans, its probes are met or not by the hidden rates, what was not met
has a row of teaching in the week after, and the week is noted in which the criterion is met, or all is covered.

*Held* is whether the true week lies in the stated range; after the weeks looked at is a week of its own, the last.
Weeks are whole: a range can hold no exact 8 of 10, and where a week holds half of all courses it cannot come near.
So two things are told: how often ranges held, and how often they were to hold by their own shares of courses.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import timedelta
from itertools import product
from random import Random

from genplan.case import Case, Combination, Target
from genplan.case.targets import LOCATION
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.forecast import Milestone, forecast
from genplan.planning.planner import plan_week
from tests.fixtures.forecast_cases import NOW, WEEK, Inline, product_case, row

WEEKS, COURSES = 20, 200
RATES = (0.5, 0.7, 0.9)
SPREADS = (0.0, 1.0, 2.0)
"""Standard deviation of a place's rate, in logits: at a rate of 0.7 one of 1 goes from 0.46 to 0.86, one of 2 from 0.24
to 0.95 (a standard deviation to either side)."""
PROBES_BEFORE = (0, 3, 6)
SHAPES: Mapping[str, dict[str, object]] = {
    "3 adults, 3 places": {"levels": (3, 3, 1), "a_week": 2, "generalised_when": {"adult": 3, "location": 3}},
    "2 adults, 4 places": {"levels": (2, 4, 1), "a_week": 1, "generalised_when": {"adult": 2, "location": 3}},
    "2 adults, 2 places, 3 sets": {
        "levels": (2, 2, 3),
        "a_week": 2,
        "generalised_when": {"location": 2, "material_set": 3},
    },
    "1 adult, 5 places": {"levels": (1, 5, 1), "a_week": 1, "generalised_when": {"location": 4}},
}


@dataclass(frozen=True)
class Child:
    """What is hidden, and what was seen before."""

    shape: str
    rate: float
    spread: float
    before: int
    seed: int


@dataclass(frozen=True)
class Lived:
    """Of one child: the stated range of the criterion, its own share of courses, and the true week; weeks are indices,
    `WEEKS` is later than all looked at."""

    child: Child
    early: int
    late: int
    share: float
    true: int

    @property
    def held(self) -> bool:
        return self.early <= self.true <= self.late


def case_of(child: Child) -> Case:
    shape = dict(SHAPES[child.shape])
    return product_case(shape.pop("levels"), cover="all", work=0.1, **shape)  # type: ignore[arg-type]


def rates_of(child: Child, target: Target) -> Mapping[Combination, float]:
    """The hidden rate of each combination."""
    dice = Random(f"places/{child.seed}/{child.shape}")
    places = next(d.values for d in target.dimensions if d.name == LOCATION)
    logit = math.log(child.rate / (1 - child.rate))
    of_place = {p: 1 / (1 + math.exp(-logit - child.spread * dice.gauss(0, 1))) for p in places}
    return {c: of_place[target.value(c, LOCATION)] for c in target.combinations()}


def history_of(child: Child, target: Target, rates: Mapping[Combination, float]) -> Log:
    """So many first probes of combinations drawn by chance, in the weeks before; what failed was taught since."""
    dice = Random(f"before/{child.seed}/{child.shape}")
    rows: list[Result] = []
    for n, combination in enumerate(dice.sample(target.combinations(), child.before)):
        day = NOW.date() - timedelta(days=20 - n)
        met = dice.random() < rates[combination]
        rows.append(row(target, combination, met, day, len(rows) + 2))
        if not met:
            taught = NOW.date() - timedelta(days=1)
            rows.append(row(target, combination, True, taught, len(rows) + 2, kind=ResultKind.TEACHING))
    return Log.of(rows)


def live(child: Child) -> Lived:
    case = case_of(child)
    (target,) = case.targets.values()
    rates = rates_of(child, target)
    log = history_of(child, target, rates)
    (told,) = forecast(
        case, log, WEEK.run(WEEKS), NOW, {}, Inline(), lambda _: None, 1, child.seed, courses=COURSES
    ).targets
    assert told.generalised is not None
    early, late, share = stated(told.generalised)
    return Lived(child, early, late, share, true_week(case, log, rates, child.seed))


def stated(milestone: Milestone) -> tuple[int, int, float]:
    """The range, and the share of the courses that lie in it."""
    early, late = milestone.reached_in(0.1), milestone.reached_in(0.9)
    first, last = (WEEKS if w is None else w for w in (early, late))
    shares = (*milestone.shares, 1.0)
    if first < 0:
        return first, last, 1.0
    return first, last, shares[last] - (shares[first - 1] if first > 0 else 0.0)


def true_week(case: Case, log: Log, rates: Mapping[Combination, float], seed: int) -> int:
    """The week in which the criterion is met, planned anew each week; -1: it is met already."""
    (target,) = case.targets.values()
    dice, waiting = Random(f"life/{seed}"), list[tuple[int, Combination]]()
    if criterion_of(tally(case, target, log, NOW.date())).is_met:
        return -1
    for index, week in enumerate(WEEK.run(WEEKS)):
        line = 1000 * (index + 1)
        taught = [c for due, c in waiting if due == index]
        day = week.monday - timedelta(days=1)
        rows = [row(target, c, True, day, line + n, kind=ResultKind.TEACHING) for n, c in enumerate(taught)]
        log = Log.of((*log.results, *rows))
        plan = plan_week(case, log, week, NOW, {}, (), Inline(), lambda _: None).plan
        run = []
        for number, sitting in enumerate(plan.sittings):
            for probe in sitting.probes:
                met = dice.random() < rates[probe.combination]
                run.append(row(target, probe.combination, met, sitting.start.date(), line + 500 + number))
                waiting += [] if met else [(index + 2, probe.combination)]
        log = Log.of((*log.results, *run))
        if criterion_of(tally(case, target, log, NOW.date())).is_met:
            return index
    return WEEKS


def children(number: int) -> Iterator[Child]:
    """Every mix of shape, rate, spread and probes before in turn, with other dice each time round."""
    mixes = list(product(SHAPES, RATES, SPREADS, PROBES_BEFORE))
    Random(1).shuffle(mixes)
    for n in range(number):
        shape, rate, spread, before = mixes[n % len(mixes)]
        yield Child(shape, rate, spread, min(before, 4) if shape.startswith("1") else before, n)


if __name__ == "__main__":
    n = int(sys.argv[1])
    t = time.process_time()
    found = [live(c) for c in children(n)]
    print(time.process_time() - t, "s")
    for key in ("spread", "rate", "before", "shape"):
        for v in dict.fromkeys(getattr(f.child, key) for f in found):
            own = [f for f in found if getattr(f.child, key) == v and f.true >= 0]
            if not own:
                continue
            print(
                key,
                v,
                len(own),
                round(sum(f.held for f in own) / len(own), 3),
                round(sum(f.share for f in own) / len(own), 3),
                "late",
                round(sum(f.true > f.late for f in own) / len(own), 3),
                "early",
                round(sum(f.true < f.early for f in own) / len(own), 3),
            )
    json.dump([asdict(f) for f in found], open("/tmp/meet17/c/lived.json", "w"))
    own = [f for f in found if f.true >= 0]
    print(len(own), sum(f.held for f in own) / len(own), sum(f.share for f in own) / len(own))
