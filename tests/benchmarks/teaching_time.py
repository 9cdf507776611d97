"""What planned teaching costs: the same week of the same case planned with it and without, in one run.

    python -m tests.benchmarks.teaching_time                         # the three examples
    python -m tests.benchmarks.teaching_time examples/family         # one of them, or another case folder
    python -m tests.benchmarks.teaching_time --work 0.3              # with so much work a stage, not the policy's
    python -m tests.benchmarks.teaching_time --seeds 8               # the planner's seed and seven others

Told are the solver's deterministic work and the seconds of the processor, of the search and of the whole, each as with
planned teaching over without. One process does everything, so its processor time is all there is. The same week of the
same case takes up to four times as long with one seed of the solver as with another, so one says little: of several
the means are compared, and the ratio of each seed is told beside them.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from statistics import fmean
from typing import Any

from genplan import workflow
from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.planning.planner import plan_week
from genplan.planning.search_settings import SETTINGS
from genplan.planning.solver import search as search_module
from tests.fixtures.places import EXAMPLES
from tests.fixtures.planning_cases import Inline

WEEK, NOW = Week(2026, 49), datetime(2026, 11, 29, 12)


@dataclass(frozen=True)
class Cost:
    """Of one plan: deterministic work of its searches, CPU seconds of the search and of the whole."""

    work: float
    search: float
    whole: float
    teachings: int


def cost_of(case: Case, log: Log, now: datetime, seed: int) -> Cost:
    search_module.SETTINGS = replace(SETTINGS, seed=seed)  # type: ignore[attr-defined]
    began = time.process_time()
    planned = plan_week(case, log, WEEK, now, {}, (), Inline(), lambda _: None)
    whole = time.process_time() - began
    search: dict[str, Any] = next(s for s in planned.steps if s["step"] == "search")
    things = (p for s in planned.plan.sittings for p in s.probes)
    return Cost(
        work=sum(stage["work"] for stage in search["stages"].values()),
        search=search["cpu"],
        whole=whole,
        teachings=sum(not p.kind.is_probe for p in things),
    )


def rows(folder: Path, work: float | None, seeds: int) -> Iterator[str]:
    opened = workflow.open_case(folder, NOW)
    policy = opened.case.policy
    if work is not None:
        policy = replace(policy, solver=replace(policy.solver, work_per_stage=work))
    plain, taught = (
        [
            cost_of(
                replace(opened.case, policy=replace(policy, plan_teaching=teaching)),
                opened.log,
                opened.now,
                seed,
            )
            for seed in (SETTINGS.seed, *range(1, seeds))
        ]
        for teaching in (False, True)
    )
    yield f"{folder.name}: {taught[0].teachings} teachings planned"
    for name in ("work", "search", "whole"):
        without, with_ = ([getattr(cost, name) for cost in costs] for costs in (plain, taught))
        each = " ".join(f"{b / a:.2f}" for a, b in zip(without, with_, strict=True))
        yield (
            f"  {name:7} without {fmean(without):8.2f}  with {fmean(with_):8.2f}"
            f"  ratio {fmean(with_) / fmean(without):5.2f}  each seed {each}"
        )


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("folders", type=Path, nargs="*", help="case folders; default: the three examples")
    words.add_argument("--work", type=float, help="work a stage; default: the policy's")
    words.add_argument("--seeds", type=int, default=1, help="how many seeds of the solver; default: its own")
    asked = words.parse_args()
    for folder in asked.folders or sorted(p.parent for p in EXAMPLES.glob("*/case.yaml")):
        for line in rows(folder, asked.work, asked.seeds):
            print(line, flush=True)


if __name__ == "__main__":
    main()
