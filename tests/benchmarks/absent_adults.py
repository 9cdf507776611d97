"""Do the forecast's ranges hold where adults often cannot come? On hidden children, each lived through by the planner.

    python -m tests.benchmarks.absent_adults                # 48 children, some two minutes of CPU
    python -m tests.benchmarks.absent_adults --children 12
    python -m tests.benchmarks.absent_adults --first 48     # the same mixes with other dice

As in `calibration`; besides, each adult has a hidden rate of days on which it does not come (0.05, 0.2, 0.4), and
eight sittings of another skill, paused by now, are written down with each, run or not run by that rate. *Not counted*
is the same forecast from a log that has none of the rows 'not run': what it said before it counted them.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import time, timedelta
from itertools import product
from random import Random

from genplan.case import Case, TargetState
from genplan.case.targets import ADULT
from genplan.evidence.log import Log, Result, ResultKind
from genplan.forecast import forecast
from genplan.plan import Sitting
from tests.benchmarks.calibration import (
    COURSES,
    PROBES_BEFORE,
    SHAPES,
    WEEKS,
    Child,
    case_of,
    hidden_of,
    history_of,
    stated_of,
    true_weeks,
)
from tests.benchmarks.calibration_rows import Stated, share_of
from tests.fixtures.forecast_cases import NOW, WEEK, Inline, row, second_target

CHILDREN, SITTINGS = 48, 8
MISSED = (0.05, 0.2, 0.4)

Lived = dict[bool, list[Stated]]
"""Whether rows that were not run are counted -> what was stated, and what came true."""


def children(number: int, first: int = 0) -> Iterator[Child]:
    mixes = list(product([s for s in SHAPES if s != "two skills"], (0.7, 0.9), (0.0, 1.0), PROBES_BEFORE))
    Random(2).shuffle(mixes)
    for seed in range(first, first + number):
        yield Child(*mixes[seed % len(mixes)], seed)


def live(child: Child) -> Lived:
    plain = case_of(child)
    hidden = hidden_of(child, plain)
    case = second_target(plain, state=TargetState.PAUSED)
    dice = Random(f"{child.seed}/missed")
    missed = {a: dice.choice(MISSED) for a in sorted(case.adults)}
    before = Log.of((*history_of(child, plain, hidden).results, *_sittings_before(case, missed, dice)))

    def is_held(s: Sitting) -> bool:
        return Random(f"{child.seed}/{s.adult}/{s.start.date()}").random() >= missed[s.adult]

    true = true_weeks(case, before, hidden, Random(f"{child.seed}/life"), is_held)
    run = Log.of(r for r in before.results if r.kind is not ResultKind.NOT_RUN)
    found: Lived = {}
    for counted, log in ((True, before), (False, run)):
        told = forecast(
            case, log, WEEK.run(WEEKS), NOW, {}, Inline(), lambda _: None, 1, child.seed, courses=COURSES
        )
        found[counted] = stated_of(child, told, true)
    return found


def _sittings_before(case: Case, missed: dict[str, float], dice: Random) -> Iterator[Result]:
    """Of the paused skill, so that they show nothing of the other."""
    target = case.targets["zeal"]
    line = 5_000
    for adult, rate in missed.items():
        combination = next(c for c in target.combinations() if target.value(c, ADULT) == adult)
        for n in range(SITTINGS):
            fell, line = dice.random() < rate, line + 1
            kind = ResultKind.NOT_RUN if fell else ResultKind.TEACHING
            day = NOW.date() - timedelta(days=60 - n)
            yield replace(
                row(target, combination, True, day, line, kind=kind), time=time(16), trials=None, correct=None
            )


def line_of(name: str, stated: list[Stated]) -> str:
    s = share_of(stated)
    return (
        f"| {name} | {s.held} of {s.ranges} | {100 * s.part:.0f} %"
        f" ({100 * s.interval.low:.0f} to {100 * s.interval.high:.0f}) | {100 * s.stated:.0f} %"
        f" | {s.sooner} | {s.later} |"
    )


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--children", type=int, default=CHILDREN)
    words.add_argument("--first", type=int, default=0, help="the first child's seed")
    asked = words.parse_args()
    with ProcessPoolExecutor(2) as executor:
        found = list(executor.map(live, children(asked.children, asked.first)))
    print("| what was not run is | held | share, exact 95 % | stated | sooner than the range | later |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for name, counted in (("counted", True), ("not counted", False)):
        print(line_of(name, [s for lived in found for s in lived[counted]]))


if __name__ == "__main__":
    main()
