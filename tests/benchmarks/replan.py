"""What a changed week costs beside a fresh one: the whole commands, with all processes that they start, in one run.

    python -m tests.benchmarks.replan                                  # the example of twelve, two adults ill on Monday
    python -m tests.benchmarks.replan my-case --away pop               # another case folder, which is copied
    python -m tests.benchmarks.replan --against COMMIT                 # and by another version, on the same kept week

Seconds of a processor say little on a machine that does other things, so they are told as ratios: to a calibration
solve just before, which is the same in all versions, and to the fresh plan of the same week. The store of answers is
off. All is compiled before, as it is once installed.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
import time
from collections.abc import Iterator, Sequence
from itertools import combinations, product
from pathlib import Path
from tempfile import TemporaryDirectory

from genplan.planning.jobs import run_design
from genplan.planning.solver_pool import load_solver
from tests.benchmarks.meter import Cost, measured
from tests.benchmarks.small_things import compiled
from tests.benchmarks.versions import unpacked
from tests.fixtures.places import EXAMPLES, ROOT

WEEK, SUNDAY, MONDAY, ILL = "2026-W49", "2026-11-29T12:00", "2026-11-30T07:30", "2026-11-30"
TOLD = ("due", "people told", "otherwise", "told", "wished", "new tuples", "further probes", "sittings")


def calibration() -> float:
    """CPU seconds of looking for a smallest design of 6 x 5 x 4 x 3 values, always with the same work."""
    load_solver()
    names, cells = "abcd", product("123456", "12345", "1234", "123")
    columns = tuple((cell, tuple(combinations(zip(names, cell, strict=True), 2))) for cell in cells)
    began = time.process_time()
    run_design(columns)
    return time.process_time() - began


def run(program: Path, *words: str) -> Cost:
    surroundings = {**os.environ, "PYTHONPATH": str(program), "GENPLAN_STORE": "off"}
    return measured([sys.executable, "-m", "genplan", *words], surroundings, program)[1]


def replanned(program: Path, case: Path, out: Path) -> Cost:
    return run(program, "replan", str(case), "--week", WEEK, "--now", MONDAY, "--out", str(out))


def rows(case: Path, away: Sequence[str], programs: Sequence[Path]) -> Iterator[str]:
    """`programs` are this version and others; the week is kept by this one."""
    with TemporaryDirectory() as there:
        own = Path(shutil.copytree(case, Path(there) / "case"))
        solve = calibration()
        fresh = run(programs[0], "keep", str(own), "--week", WEEK, "--now", SUNDAY)
        yield f"calibration solve {solve:.2f} s; fresh plan, kept: {fresh.cpu / solve:.1f} of it"
        for adult in away:
            run(programs[0], "change", str(own), "--away", adult, "--from", ILL, "--to", ILL, "--now", MONDAY)
        for number, program in enumerate(programs):
            out = Path(there) / f"out{number}"
            cost = replanned(program, own, out)
            yield (
                f"replan {'of the other version ' if number else ''}{cost.cpu:.1f} s:"
                f" {cost.cpu / fresh.cpu:.2f} of the fresh plan, {cost.cpu / solve:.1f} of the calibration solve"
            )
            yield f"  {values_of(out)}"


def values_of(out: Path) -> str:
    """Value and bound of what is looked at first in a changed week."""
    objectives = json.loads((out / "plan.json").read_text("utf-8"))["objectives"]
    return ", ".join(f"{o['name']} {o['value']} ({o['bound']})" for o in objectives if o["name"] in TOLD)


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("case", type=Path, nargs="?", default=EXAMPLES / "caseload", help="a case folder")
    words.add_argument("--away", nargs="+", default=["marta", "lin"], help="adults who are ill on Monday")
    words.add_argument("--against", metavar="VERSION", help="a commit, or a wheel")
    asked = words.parse_args()
    with TemporaryDirectory() as there:
        others = [unpacked(asked.against, Path(there) / "other")] if asked.against else []
        for program in (ROOT, *others):
            compiled(program, Path(there) / "compiled")
        for line in rows(asked.case, asked.away, [ROOT, *others]):
            print(line, flush=True)


if __name__ == "__main__":
    main()
