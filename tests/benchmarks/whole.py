"""Runs variants of the whole planner on one written case: another version, or without one of its parts."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from tests.benchmarks.meter import machine, measured
from tests.benchmarks.parts import parts
from tests.benchmarks.versions import PlanOf, plan_of, this_version, unpacked
from tests.benchmarks.whole_rows import AS_IT_IS, VERSION, WITHOUT, WholeRow, write_whole_case
from tests.fixtures.places import ROOT
from tests.fixtures.random_cases import NOW, WEEK, now_of


def against(version: str, learners: int, targets: int, seed: int, run: str, versions: str) -> list[WholeRow]:
    """This version and another, one after the other. Raises NotThere where the other cannot be had."""
    with TemporaryDirectory() as folder:
        here = Path(folder).resolve()
        files = {AS_IT_IS: this_version(here / "this"), Path(version).name: unpacked(version, here / "other")}
        case = write_whole_case(learners, targets, seed, here / "case")
        small = write_whole_case(1, 1, seed, here / "small")
        # what a version makes once, and keeps beside its files, is there for whoever plans each week
        for name, there in files.items():
            plan_of(there, small, here / f"small of {name}")
        found = {name: plan_of(there, case, here / f"week of {name}") for name, there in files.items()}
    size = {"learners": learners, "targets": targets, "seed": seed}
    return [_row(plan, VERSION, name, run, versions, size) for name, plan in found.items()]


def without_each(
    names: Sequence[str] | None, learners: int, targets: int, seed: int, run: str, versions: str
) -> list[WholeRow]:
    """The planner as it is, and then without one part after the other, each in a process of its own that starts no
    further ones."""
    rows = []
    size = {"learners": learners, "targets": targets, "seed": seed}
    for name in [AS_IT_IS, *(n for n in parts(learners) if names is None or n in names)]:
        print(f"without {name} …" if name != AS_IT_IS else f"{name} …", file=sys.stderr)
        words = [str(n) for n in (learners, targets, seed)]
        printed, cost = measured([sys.executable, "-m", "tests.benchmarks.whole", name, *words], there=ROOT)
        told: dict[str, Any] = json.loads(printed.splitlines()[-1])
        cost = cost.less(told["apart"])
        plan = PlanOf(told["values"], tuple(told["proven"]), cost)
        rows.append(_row(plan, WITHOUT, name, run, versions, size))
    return rows


def _row(plan: PlanOf, kind: str, variant: str, run: str, versions: str, size: dict[str, int]) -> WholeRow:
    cores, memory = machine()
    return WholeRow(
        **size,
        kind=kind,
        variant=variant,
        run=run,
        wall=plan.cost.wall,
        cpu=plan.cost.cpu,
        largest=plan.cost.largest,
        together=plan.cost.together,
        values=dict(plan.values),
        proven=list(plan.proven),
        cores=cores,
        memory=memory,
        versions=versions,
    )


def main(variant: str, learners: int, targets: int, seed: int) -> None:
    """Plans the case in this process alone, and prints what came out; `apart` are seconds before it began."""
    from genplan.casefile import load
    from genplan.evidence.results import read_results
    from genplan.planning.budget import ENDLESS
    from genplan.planning.planner import plan_week
    from tests.fixtures.planning_cases import Inline

    with TemporaryDirectory() as folder:
        written = write_whole_case(learners, targets, seed, Path(folder) / "case")
        case = load(written).case
        assert case is not None
        log, _ = read_results(written, case, NOW)
    apart = time.process_time()
    with nullcontext() if variant == AS_IT_IS else parts(learners)[variant].without():
        plan = plan_week(case, log, WEEK, now_of(case), {}, (), Inline(), lambda _: None, ENDLESS).plan
    values = {str(o.name): o.value for o in plan.objectives if o.value == o.value}
    proven = [str(o.name) for o in plan.objectives if o.status == "optimal"]
    print(json.dumps({"values": values, "proven": proven, "apart": apart}))


if __name__ == "__main__":
    main(sys.argv[1], *(int(word) for word in sys.argv[2:]))
