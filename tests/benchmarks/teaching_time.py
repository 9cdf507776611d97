"""What planned teaching costs: the same week of the same case planned with it and without, in one run.

    python -m tests.benchmarks.teaching_time                         # the three examples
    python -m tests.benchmarks.teaching_time examples/family         # one of them, or another case folder
    python -m tests.benchmarks.teaching_time --work 0.3              # with so much work a stage, not the policy's

Told are the solver's deterministic work and the seconds of the processor, of the search and of the whole, each as with
planned teaching over without. One process does everything, so its processor time is all there is.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from genplan import workflow
from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.planning.planner import plan_week
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


def cost_of(case: Case, log: Log, now: datetime) -> Cost:
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


def rows(folder: Path, work: float | None) -> Iterator[str]:
    opened = workflow.open_case(folder, NOW)
    policy = opened.case.policy
    if work is not None:
        policy = replace(policy, solver=replace(policy.solver, work_per_stage=work))
    plain, taught = (
        cost_of(replace(opened.case, policy=replace(policy, plan_teaching=teaching)), opened.log, opened.now)
        for teaching in (False, True)
    )
    yield f"{folder.name}: {taught.teachings} teachings planned"
    for name in ("work", "search", "whole"):
        without, with_ = getattr(plain, name), getattr(taught, name)
        yield f"  {name:7} without {without:8.2f}  with {with_:8.2f}  ratio {with_ / without:5.2f}"


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("folders", type=Path, nargs="*", help="case folders; default: the three examples")
    words.add_argument("--work", type=float, help="work a stage; default: the policy's")
    asked = words.parse_args()
    for folder in asked.folders or sorted(p.parent for p in EXAMPLES.glob("*/case.yaml")):
        for line in rows(folder, asked.work):
            print(line, flush=True)


if __name__ == "__main__":
    main()
