"""How fast the planner is and how good its plans are, as ratios within one run.

    python tests/benchmarks/planner.py                 # 1, 3 and 12 learners, against greedy and without the cuts
    python tests/benchmarks/planner.py --learners 60   # one larger caseload

Seconds depend on the machine, so the table gives them beside ratios to the first row; quality is measured against the
proven bound: the new tuples that each learner could have alone, added up.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "planning")]

from random_cases import CASELOAD, NOW, WEEK, random_case  # noqa: E402

from genplan.case import Case  # noqa: E402
from genplan.coverage.tuples import Tuple  # noqa: E402
from genplan.evidence.log import Log  # noqa: E402
from genplan.plan import Plan  # noqa: E402
from genplan.planning.commitments import Seat  # noqa: E402
from genplan.planning.ground import needs_of  # noqa: E402
from genplan.planning.jobs import process_pool  # noqa: E402
from genplan.planning.openings import hours  # noqa: E402
from genplan.planning.planner import plan_week  # noqa: E402
from genplan.planning.ways import Ways  # noqa: E402


def nothing_due(case: Case) -> Case:
    """New learners: no maintenance and no wish takes hours from new tuples, so all that is compared is coverage."""
    targets = {i: replace(t, first=(), maintenance_days=()) for i, t in case.targets.items()}
    return replace(case, targets=targets)


def planned(case: Case, log: Log) -> tuple[Plan, float]:
    began = time.perf_counter()
    now = NOW.replace(tzinfo=case.timezone)
    with process_pool() as pool:
        plan = plan_week(case, log, WEEK, now, {}, (), pool, lambda _: None).plan
    return plan, time.perf_counter() - began


def greedy(case: Case, log: Log) -> tuple[float, float]:
    """New tuples and seconds of planning one probe after the other, each time the one that shows most in the first way
    that nothing stands in: what a careful person with a list would do."""
    began = time.perf_counter()
    now = NOW.replace(tzinfo=case.timezone)
    free, needs = hours(case, WEEK, now, {}), needs_of(case, log, WEEK, now)
    seats: list[Seat] = []
    shown: dict[str, set[Tuple]] = defaultdict(set)
    left = [c for n in needs for c in n.choices if c.shows]
    while left:
        left.sort(key=lambda c: (-len(set(c.shows) - shown[c.target]), c.target, c.combination))
        if not set(left[0].shows) - shown[left[0].target]:
            break
        choice = left.pop(0)
        open_ways = ((old, new) for old, new, limits in Ways(case, free, seats).each(choice) if not limits)
        found = next(open_ways, None)
        if found:
            seats = [s for s in seats if s != found[0]] + [found[1]]
            shown[choice.target].update(choice.shows)
    weights = {n.id: case.learners[n.target.learner].needs for n in needs}
    return sum(weights[t] * len(s) for t, s in shown.items()), time.perf_counter() - began


def new_tuples(plan: Plan) -> tuple[float, float]:
    objective = next(o for o in plan.objectives if o.name == "new tuples")
    return objective.value, objective.bound


def row(name: str, value: float, bound: float, seconds: float, first: float) -> None:
    short = 100 * (1 - value / bound) if bound else 0.0
    print(f"{name:34} {value:9.1f} {bound:9.1f} {short:8.2f} % {seconds:8.1f} s {seconds / first:8.1f}")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--learners", type=int, nargs="*", default=[1, 3, 12])
    parser.add_argument("--seed", type=int, default=1)
    words = parser.parse_args()
    print(
        f"{os.cpu_count()} cores; 6 adults, 4 locations, 5 targets of 3 sets a learner, two staff shared by all"
    )
    print(f"{'':34} {'new':>9} {'bound':>9} {'short':>10} {'took':>10} {'ratio':>8}")
    first = 0.0
    for learners in words.learners:
        case, log = nothing_due(random_case(words.seed, **CASELOAD, learners=learners)), Log()
        plan, seconds = planned(case, log)
        first = first or seconds
        value, bound = new_tuples(plan)
        row(f"{learners} learners, planner", value, bound, seconds, first)
        by_greed, took = greedy(case, log)
        row(f"{learners} learners, one probe at a time", by_greed, bound, took, first)
        if learners == 1:
            without_cuts(case, log, bound, first)


def without_cuts(case: Case, log: Log, bound: float, first: float) -> None:
    """The same model without the linear cuts, in this process: what they are worth."""
    from planning_cases import Inline

    from genplan.planning.solver import covering, rules

    kept = tuple(r for r in rules.RULES if r is not rules.stretches_hold_their_minutes)
    began = time.perf_counter()
    with (
        patch("genplan.planning.solver.stages.RULES", kept),
        patch.object(covering, "_by_dimensions", lambda *_: {}),
    ):
        now = NOW.replace(tzinfo=case.timezone)
        plan = plan_week(case, log, WEEK, now, {}, (), Inline(), lambda _: None).plan
    value, proven = new_tuples(plan)
    row(f"  without the cuts (bound {proven:g})", value, bound, time.perf_counter() - began, first)


if __name__ == "__main__":
    main()
