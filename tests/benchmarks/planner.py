"""How fast the planner is and how good its weeks are, beside other ways to the same week, as ratios within one run.

    python -m tests.benchmarks.planner                                  # 1, 3 and 12 learners, all ways
    python -m tests.benchmarks.planner --learners 1 --ways greedy       # the planner and one other
    python -m tests.benchmarks.planner --learners 60 --write            # measures a size anew, rewrites the page
    python -m tests.benchmarks.planner --learners 1 --targets 6         # six targets a learner
    python -m tests.benchmarks.planner --learners --write               # measures nothing, rewrites the page
    python -m tests.benchmarks.planner --against 8580c04                # whole weeks, beside a commit or a wheel
    python -m tests.benchmarks.planner --parts --learners 12            # what each cut and operator is worth

Each way runs in a process of its own, so time and memory are its own. `--write` merges the rows into those kept in
`examples/benchmark` and draws the page and its picture there anew. What is compared and how stands on that page.
"""

from __future__ import annotations

import argparse
import json
import platform
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version

from genplan.case import Case
from tests.benchmarks import calibration_page, calibration_rows, whole_rows
from tests.benchmarks.meter import machine, measured
from tests.benchmarks.page import curves, page, reading, sized, table
from tests.benchmarks.rivals import WAYS, caseload, run
from tests.benchmarks.rows import PAGE, Row, merged, read, write
from tests.benchmarks.versions import BEFORE, NotThere
from tests.benchmarks.whole import against, without_each
from tests.benchmarks.whole_page import parts_part, versions_part

AT_LEAST = 60.0
"""Seconds that a single model may take even where the planner took less."""


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--learners", type=int, nargs="*", default=[1, 3, 12])
    parser.add_argument("--ways", nargs="*", choices=sorted(WAYS), help="besides the planner; default: all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--targets", type=int, help="a learner; default: 5, and 6 for whole weeks")
    parser.add_argument(
        "--against", metavar="COMMIT", nargs="?", const=BEFORE, help="a commit, or the path of a wheel"
    )
    parser.add_argument("--parts", nargs="*", help="what each part is worth, or some by name")
    parser.add_argument("--at-least", type=float, default=AT_LEAST, help="seconds for a single model")
    parser.add_argument("--write", action="store_true", help="merge the rows and write the page")
    parser.add_argument("--one", help=argparse.SUPPRESS)
    words = parser.parse_args()
    if words.one:
        case = caseload(words.learners[0], words.seed, targets=words.targets)
        print(json.dumps(_one(words.one, case, words.at_least)))
        return
    cores, memory = machine()
    print(f"{cores} cores, {memory:.0f} GB of memory; {versions()}", file=sys.stderr)
    began = f"{datetime.now():%Y-%m-%d %H:%M}"
    whole = words.against is not None or words.parts is not None
    for learners in words.learners:
        (_measure_whole if whole else _measure_ways)(words, learners, began)
    if words.write:
        ranges = calibration_page.part(calibration_rows.read(), calibration_rows.read_choices())
        (PAGE / "README.md").write_text(page(read(), whole_rows.read(), ranges), "utf-8")
        (PAGE / "planner.svg").write_text(curves(read()), "utf-8")


def _measure_ways(words: argparse.Namespace, learners: int, began: str) -> None:
    ways = [w for w in WAYS if w in words.ways] if words.ways else ways_up_to(learners)
    size = (learners, words.targets or Row.targets, words.seed)
    rows = compare(size, ways, words.at_least, began)
    print(f"\n{sized(*size)}\n\n{table(rows)}\n{reading(rows)}", flush=True)
    if words.write:
        write(merged(read(), rows))


def _measure_whole(words: argparse.Namespace, learners: int, began: str) -> None:
    size = (learners, words.targets or whole_rows.TARGETS, words.seed)
    rows = []
    if words.against is not None:
        try:
            rows += against(words.against, *size, began, versions())
        except NotThere as why:
            print(f"Nothing is held against {words.against}: {why}", file=sys.stderr)
    if words.parts is not None:
        rows += without_each(words.parts or None, *size, began, versions())
    print("\n".join(p for p in (versions_part(rows), parts_part(rows)) if p), flush=True)
    if words.write:
        whole_rows.write(whole_rows.merged(whole_rows.read(), rows))


def ways_up_to(learners: int) -> list[str]:
    return [name for name, way in WAYS.items() if learners <= way.up_to]


def compare(size: tuple[int, int, int], ways: Sequence[str], at_least: float, began: str) -> list[Row]:
    """The planner's row and then those of the other ways, each measured in a process of its own; `size` are learners,
    targets of each, and the seed."""
    planner = measure("planner", size, at_least, began)
    seconds = max(at_least, planner.wall)
    rows = [replace(planner, limit=None)]
    for way in ways:
        if way != "planner":
            print(f"{sized(*size)}, {WAYS[way].words} …", file=sys.stderr)
            rows.append(measure(way, size, seconds, began))
    return rows


def measure(way: str, size: tuple[int, int, int], seconds: float, began: str) -> Row:
    learners, targets, seed = size
    command = [sys.executable, "-m", "tests.benchmarks.planner", "--one", way, "--learners", str(learners)]
    command += ["--targets", str(targets), "--seed", str(seed), "--at-least", str(seconds)]
    printed, cost = measured(command)
    one = json.loads(printed.splitlines()[-1])
    limit = None if way == "greedy" else seconds
    found, cpu = one["found"], cost.less(one["apart"]).cpu
    rest = (limit, found["sizes"], *machine(), versions())
    return Row(
        learners,
        seed,
        way,
        began,
        found["value"],
        found["bound"],
        found["proven"],
        one["wall"],
        cpu,
        cost.largest,
        cost.together,
        *rest,
        targets,
    )


def _one(way: str, case: Case, seconds: float) -> dict[str, object]:
    """What a way finds, its seconds, and the CPU seconds before it began: what loads this file and
    makes up the case is not the way's."""
    apart = time.process_time()
    found, wall = run(way, case, seconds)
    return {"found": asdict(found), "wall": wall, "apart": apart}


def versions() -> str:
    return ", ".join(
        [
            f"OR-tools {version('ortools')}",
            f"HiGHS {_version('highspy')}",
            f"Python {platform.python_version()}",
        ]
    )


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


if __name__ == "__main__":
    main()
