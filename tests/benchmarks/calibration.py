"""Do the forecast's ranges hold as often as they say? On simulated children, each lived through by the planner.

    python -m tests.benchmarks.calibration                 # 225 children, some eight minutes of CPU
    python -m tests.benchmarks.calibration --children 45   # fewer
    python -m tests.benchmarks.calibration --choice        # both sets of children with each belief: four times that
    python -m tests.benchmarks.calibration --write         # keeps what was measured, renews page and picture

*A child* is hidden: its skill has a rate at which probes are met, the same everywhere, or another one at each place, by
so many logits up or down that are drawn for each. Two or four probes were run before, or none; what was not met of them
was taught since. *The forecast* sees the results alone, as `genplan forecast` does. *The truth* shares no code with the
simulated courses: week after week the planner plans, its probes are met or not by the hidden rates, and what was not
met has a row of teaching in the week after. The weeks are noted in which the criterion is met and all is covered.

*Held* is whether the true week lies in the stated range; after the weeks looked at is a week of its own, the last. What
is reached before the first week is not counted: nothing is foretold of it. *Stated* is the share of the simulated
courses in the range: whole weeks seldom hold 8 of 10 exactly. With the two a range that is too wide, or too narrow, is
told from one that weeks are too coarse for; so is one that lies too early or too late, by what was stated to come
sooner and later. What is thought of a rate beforehand was chosen on the first 225 children; what is reported is of the
next 225, who had no part in the choice. The interval of a share is the exact one; children count as independent.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import product, repeat
from random import Random
from typing import Any

from genplan.case import Case, Combination, Target
from genplan.case.targets import LOCATION
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.forecast import Forecast, Milestone, forecast
from genplan.forecast.rates import MASTERY_WORTH, rate_of
from genplan.plan import Probe, Sitting
from genplan.planning.planner import plan_week
from tests.benchmarks import calibration_page
from tests.benchmarks.calibration_rows import (
    Choice,
    Stated,
    choice_of,
    read_choices,
    write,
    write_choices,
)
from tests.fixtures.forecast_cases import NOW, WEEK, Inline, product_case, row, second_target

CHILDREN, WEEKS, COURSES = 225, 20, 150
HELD_OUT = CHILDREN
"""The first of the children on whom nothing was chosen."""
BELIEFS: Mapping[str, tuple[float, float]] = {
    "nothing is known: Beta(1, 1)": (0.0, 0.0),
    "mastery is worth a probe met: Beta(2, 1)": MASTERY_WORTH,
}
"""What is thought of a skill's mean rate before a probe of it was run: probes met, and not met."""
RATES = (0.5, 0.7, 0.9)
SPREADS = (0.0, 1.0, 2.0)
"""Standard deviation of a place's rate, in logits: at a rate of 0.7 one of 1 goes from 0.46 to 0.86, one of 2 from 0.24
to 0.95, a standard deviation to either side."""
PROBES_BEFORE = (0, 2, 4)
SHAPES: Mapping[str, dict[str, Any]] = {
    "3 adults, 3 places": {"levels": (3, 3, 1), "a_week": 2, "generalised_when": {"adult": 3, "location": 3}},
    "2 adults, 4 places": {"levels": (2, 4, 1), "a_week": 1, "generalised_when": {"adult": 2, "location": 3}},
    "2 places, 3 sets": {
        "levels": (2, 2, 3),
        "a_week": 2,
        "generalised_when": {"location": 2, "material_set": 3},
    },
    "5 places": {"levels": (1, 5, 1), "a_week": 1, "generalised_when": {"location": 4}},
    "two skills": {"levels": (3, 2, 1), "a_week": 2, "generalised_when": {"adult": 3, "location": 2}},
}


@dataclass(frozen=True)
class Child:
    """What is hidden, and how much was seen before. A second skill has a rate drawn from the same ones."""

    shape: str
    rate: float
    spread: float
    before: int
    seed: int


Hidden = Mapping[str, Mapping[Combination, float]]
"""Target -> rate of each combination."""


def children(number: int, first: int = HELD_OUT) -> Iterator[Child]:
    """Every mix of shape, rate, spread and probes before in turn, with other dice each time round."""
    mixes = list(product(SHAPES, RATES, SPREADS, PROBES_BEFORE))
    Random(1).shuffle(mixes)
    for seed in range(first, first + number):
        yield Child(*mixes[seed % len(mixes)], seed)


def case_of(child: Child) -> Case:
    shape = dict(SHAPES[child.shape])
    case = product_case(shape.pop("levels"), cover="all", work=0.1, **shape)
    return second_target(case) if child.shape == "two skills" else case


def hidden_of(child: Child, case: Case) -> Hidden:
    return {t.id: _rates(child, t, Random(f"{child.seed}/{t.id}")) for t in case.targets.values()}


def _rates(child: Child, target: Target, dice: Random) -> Mapping[Combination, float]:
    rate = child.rate if target.id == "skill" else dice.choice(RATES)
    logit = math.log(rate / (1 - rate))
    places = next(d.values for d in target.dimensions if d.name == LOCATION)
    at = {p: 1 / (1 + math.exp(-logit - child.spread * dice.gauss(0, 1))) for p in places}
    return {c: at[target.value(c, LOCATION)] for c in target.combinations()}


def history_of(child: Child, case: Case, hidden: Hidden) -> Log:
    """So many first probes of combinations drawn by chance, in the weeks before; what failed was taught since."""
    dice, rows = Random(f"{child.seed}/before"), list[Result]()
    for target in case.targets.values():
        for n, combination in enumerate(dice.sample(target.combinations(), child.before)):
            met = dice.random() < hidden[target.id][combination]
            rows.append(row(target, combination, met, NOW.date() - timedelta(days=20 - n), len(rows) + 2))
            if not met:
                rows.append(_taught(target, combination, NOW.date() - timedelta(days=1), len(rows) + 2))
    return Log.of(rows)


def _taught(target: Target, combination: Combination, day: Any, line: int) -> Result:
    return row(target, combination, True, day, line, kind=ResultKind.TEACHING)


def live(child: Child, mastery: tuple[float, float] = MASTERY_WORTH) -> list[Stated]:
    """What was stated of each skill's criterion and coverage with this belief, and what came true."""
    case = case_of(child)
    hidden = hidden_of(child, case)
    log = history_of(child, case, hidden)
    rates = {t.id: replace(rate_of(case, t, log), mastery=mastery) for t in case.mastered}
    how = {"courses": COURSES, "rates": rates}
    told = forecast(case, log, WEEK.run(WEEKS), NOW, {}, Inline(), lambda _: None, 1, child.seed, **how)
    return stated_of(child, told, true_weeks(case, log, hidden, Random(f"{child.seed}/life")))


def stated_of(child: Child, told: Forecast, true: Mapping[tuple[str, str], int]) -> list[Stated]:
    return [
        stated
        for one in told.targets
        for what, milestone in (("criterion", one.generalised), ("coverage", one.coverage))
        if milestone is not None and (stated := _stated(child, what, milestone, true[one.target, what]))
    ]


def _stated(child: Child, what: str, milestone: Milestone, true: int) -> Stated | None:
    """None for what was reached before the first week."""
    if true < 0:
        return None
    found = milestone.range
    first, last = (WEEKS if w is None else w for w in (found.first, found.last))
    hidden = (child.shape, child.rate, child.spread, child.before, child.seed)
    before = (0.0, *milestone.shares)[first]
    return Stated(*hidden, what, first, last, round(found.share, 4), true, round(before, 4))


def always(_: Sitting) -> bool:
    """Every sitting is held."""
    return True


def true_weeks(
    case: Case, log: Log, hidden: Hidden, dice: Random, is_held: Callable[[Sitting], bool] = always
) -> dict[tuple[str, str], int]:
    """Target and what is reached -> index of the week, planned anew each week; -1: before, `WEEKS`: later."""
    found = dict.fromkeys(product([t.id for t in case.mastered], ("criterion", "coverage")), WEEKS)
    waiting: list[tuple[int, Target, Combination]] = []
    _note(case, log, -1, found)
    for index, week in enumerate(WEEK.run(WEEKS)):
        if max(found.values()) < WEEKS:
            break
        line = 10_000 * (index + 1)
        day = week.monday - timedelta(days=1)
        due = [(t, c) for at, t, c in waiting if at == index]
        log = Log.of((*log.results, *(_taught(t, c, day, line + n) for n, (t, c) in enumerate(due))))
        run: list[Result] = []
        for sitting in plan_week(case, log, week, NOW, {}, (), Inline(), lambda _: None).plan.sittings:
            if not is_held(sitting):
                fallen = [_not_run(case, sitting, p, line + n) for n, p in enumerate(sitting.probes, 1)]
                run, line = [*run, *fallen], line + len(fallen)
                continue
            for probe in sitting.probes:
                target, met = (
                    case.targets[probe.target],
                    dice.random() < hidden[probe.target][probe.combination],
                )
                line += 1
                run.append(row(target, probe.combination, met, sitting.start.date(), line + 500))
                waiting += [] if met else [(index + 2, target, probe.combination)]
        log = Log.of((*log.results, *run))
        _note(case, log, index, found)
    return found


def _not_run(case: Case, sitting: Sitting, probe: Probe, line: int) -> Result:
    target, day = case.targets[probe.target], sitting.start.date()
    row_ = row(target, probe.combination, False, day, line + 500, kind=ResultKind.NOT_RUN)
    return replace(row_, time=sitting.start.time(), trials=None, correct=None)


def _note(case: Case, log: Log, index: int, found: dict[tuple[str, str], int]) -> None:
    for target in case.mastered:
        count = tally(case, target, log, NOW.date())
        for what, reached in (("criterion", criterion_of(count).is_met), ("coverage", not count.open)):
            if reached and found[target.id, what] == WEEKS:
                found[target.id, what] = index


def measure(
    number: int, processes: int = 2, first: int = HELD_OUT, mastery: tuple[float, float] = MASTERY_WORTH
) -> list[Stated]:
    some = children(number, first)
    with ProcessPoolExecutor(processes) as executor:
        return [one for lived in executor.map(live, some, repeat(mastery), chunksize=5) for one in lived]


def measure_choice(number: int) -> list[Choice]:
    """What each belief states of either set of children."""
    return [
        choice_of(where, belief, measure(number, first=first, mastery=mastery))
        for where, first in (("chosen on", 0), ("held out", HELD_OUT))
        for belief, mastery in BELIEFS.items()
    ]


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--children", type=int, default=CHILDREN)
    words.add_argument("--choice", action="store_true", help="measure what each belief states, too")
    words.add_argument("--write", action="store_true", help="keep the rows, write the page and its picture")
    asked = words.parse_args()
    rows = measure(asked.children)
    choices = measure_choice(asked.children) if asked.choice else read_choices()
    print(calibration_page.part(rows, choices))
    if asked.write:
        write(rows)
        write_choices(choices)
        calibration_page.renew()


if __name__ == "__main__":
    main()
