"""Do the tests notice a fault? Run by hand: a sample of small faults a room, each against the tests of its room.

    python -m tests.mutation.run audit coverage --number 60 --seed 1

works in a copy of the last commit, prints a line for each mutant and a table at the end. The sample is drawn in an
order of chance, so a run that `--minutes` ends early has tried a fair sample too, only a smaller one. With `--quick`
the slow tests of a room are left out: others may then still notice what survived.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tests.fixtures.places import ROOT
from tests.mutation.mutants import Mutant, mutants


@dataclass(frozen=True)
class Room:
    """Its modules, those that hold no decisions of its own left out, and the tests of it, the quickest first, then the
    slow ones; `also` are slow tests of one module, which the others can do without."""

    modules: str
    tests: tuple[str, ...]
    without: tuple[str, ...] = ()
    slow: tuple[str, ...] = ()
    also: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def tests_of(self, module: Path | None, *, quick: bool) -> tuple[str, ...]:
        if quick:
            return self.tests
        return self.tests + self.slow + (self.also.get(module.name, ()) if module else ())


ROOMS = {
    "audit": Room("genplan/audit/*.py", ("tests/audit", "tests/properties/test_two_ways.py")),
    "evidence": Room(
        "genplan/evidence/*.py",
        ("tests/evidence", "tests/coverage", "tests/audit"),
        ("spreadsheet_child.py",),
    ),
    "coverage": Room("genplan/coverage/*.py", ("tests/coverage", "tests/audit")),
    "planning": Room(
        "genplan/planning/**/*.py",
        (
            "tests/planning/test_plain_seats.py",
            "tests/planning/test_compatible.py",
            "tests/planning/test_needs.py",
            "tests/planning/test_no_hours.py",
            "tests/planning/test_objectives.py",
            "tests/planning/test_relaxations.py",
            "tests/planning/test_openings.py",
            "tests/planning/test_insertion_finder.py",
            "tests/planning/test_beside_taken.py",
            "tests/planning/test_design.py",
            "tests/planning/test_bounds_in_turns.py",
            "tests/planning/test_observer_options.py",
            "tests/planning/test_fewest_visits.py",
            "tests/planning/test_why_no_observer.py",
            "tests/planning/test_rules_bind.py",
            "tests/planning/test_last_chances.py",
            "tests/planning/test_one_change.py",
            "tests/planning/test_two_sittings_and_told.py",
            "tests/planning/test_companions.py",
        ),
        # the solver's parameters, and the words on the way, change no answer
        ("search.py", "progress_channel.py"),
        (
            "tests/planning/test_reasons.py",
            "tests/planning/test_told.py",
            "tests/planning/test_observers.py",
            "tests/properties/test_optimal.py",
            "tests/planning/test_explanation.py",
            "tests/properties/test_every_week.py",
        ),
        dict.fromkeys(("covering.py", "design.py", "design_guided.py"), ("tests/planning/test_covering.py",)),
    ),
}


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("rooms", nargs="+", choices=sorted(ROOMS))
    words.add_argument("--number", type=int, default=60, help="how many mutants of each room")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--only", default="", help="only modules whose path holds this")
    words.add_argument("--minutes", type=float, default=float("inf"), help="no further mutant after so long")
    words.add_argument("--quick", action="store_true", help="without the slow tests")
    asked = words.parse_args()
    tables = []
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        subprocess.run(["git", "clone", "-q", str(ROOT), str(copy)], check=True)
        for room in asked.rooms:
            fates = try_room(copy, room, asked)
            tables.append(f"{room:10} {fates.total():4} {fates['caught']:4} {fates['survived']:4}")
    print("room       tried caught survived", *tables, sep="\n")
    return 0


def try_room(copy: Path, name: str, asked: argparse.Namespace) -> Counter[str]:
    room, fates = ROOMS[name], Counter[str]()
    began = time.perf_counter()
    if not tests_pass(copy, room.tests_of(None, quick=asked.quick), None):
        sys.exit(f"The tests of {name} fail without any fault.")
    limit = 30 + 4 * (time.perf_counter() - began)
    for path, mutant in sample(copy, room, asked.number, asked.seed, asked.only):
        if time.perf_counter() - began > 60 * asked.minutes:
            break
        source = path.read_text("utf-8")
        path.write_text(mutant.applied(source), "utf-8")
        fate = "survived" if tests_pass(copy, room.tests_of(path, quick=asked.quick), limit) else "caught"
        path.write_text(source, "utf-8")
        fates[fate] += 1
        line = source.splitlines()[mutant.line - 1].strip()
        print(f"{fate}\t{path.relative_to(copy)}:{mutant.line}\t{mutant.what}\t{line}", flush=True)
    return fates


def sample(copy: Path, room: Room, number: int, seed: int, only: str) -> list[tuple[Path, Mutant]]:
    modules = [p for p in sorted(copy.glob(room.modules)) if p.name not in room.without and only in str(p)]
    every = [(path, mutant) for path in modules for mutant in mutants(path.read_text("utf-8"))]
    return random.Random(seed).sample(every, min(number, len(every)))


def tests_pass(copy: Path, tests: tuple[str, ...], limit: float | None) -> bool:
    """False if a test fails, the tests cannot be read, or they take longer than `limit` seconds."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider", *tests]
    fresh = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(copy)}
    run = subprocess.Popen(
        command,
        cwd=copy,
        env=fresh,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        return run.wait(limit) == 0
    except subprocess.TimeoutExpired:
        os.killpg(run.pid, 9)
        run.wait()
        return False


if __name__ == "__main__":
    sys.exit(main())
