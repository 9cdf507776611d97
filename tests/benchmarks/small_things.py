"""What the small commands cost with many children, beside a bare read of the same files: whole commands, in one run.

    python -m tests.benchmarks.small_things      # 60 children, 18,000 rows; with 300 named things; 200,000 rows
    python -m tests.benchmarks.small_things --children 12 --without-long
    python -m tests.benchmarks.small_things --against COMMIT     # and by another version, on the same files

A bare read is a process that takes the case through libyaml and the results through `csv`, and keeps both. Seconds of
a processor say little on a machine that does other things, so all is told as ratios to that; screens of the local page
are asked for twice, since the first reads what the later ones know, and a form is saved three times, each time with
another name. All is compiled before, as it is once installed.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.meter import Cost, measured
from tests.benchmarks.versions import unpacked
from tests.fixtures.local_server import NOW, running
from tests.fixtures.places import ROOT

TARGETS, ADULTS, PLACES, SETS = 5, 5, 4, 4
"""Of each child; of the whole case, where things are not named."""
LOOKS = ("Red", "Blue", "Green", "Small", "Large", "Wooden", "Soft", "Old", "New", "Striped")
KINDS_OF_THINGS = (
    *("jackets", "shoes", "hats", "mittens", "scarves", "cups", "plates", "spoons", "bowls", "bottles"),
    *(
        "picture books",
        "puzzles",
        "blocks",
        "balls",
        "dolls",
        "toy cars",
        "trains",
        "boxes",
        "bags",
        "baskets",
    ),
    *("crayons", "paintbrushes", "towels", "toothbrushes", "chairs", "blankets", "cushions", "clocks"),
    *("picture cards", "keyboards"),
)
NAMED = len(LOOKS) * len(KINDS_OF_THINGS)
"""Things with names such as people give them, which are searched for what may harm a child."""
ROWS_OF_A_TARGET, LONG = 60, 666
BEGUN, DAYS = date(2024, 2, 2), 1000
FREE = "free: {mon-fri: '15:00-18:00'}"
HEADER = (
    "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
)
KINDS = {"probe": 60, "maintenance": 10, "teaching": 30, "not run": 3}
BARE = """import csv, sys, yaml
kept = yaml.load(open(sys.argv[1] + "/case.yaml", encoding="utf-8"), getattr(yaml, "CSafeLoader", yaml.SafeLoader))
rows = list(csv.reader(open(sys.argv[1] + "/results.csv", encoding="utf-8", newline="")))"""
SAVED = "/case/targets/c0-t0"
SCREENS = ("/", "/record", "/matrix", "/history/c0-t0", SAVED, "/check")


def write_long_log(folder: Path, children: int, rows_of_a_target: int, things: int = SETS) -> Path:
    """A case in which everybody can do everything, and its results over three years: always the same. With more
    `things` than `SETS` they have names, and each target has its share of them."""
    folder.mkdir(parents=True)
    (folder / "case.yaml").write_text("\n".join(_case(children, things)) + "\n", "utf-8")
    dice = random.Random(1)
    targets = [(c, t) for c in range(children) for t in range(TARGETS)]
    rows = sorted(
        _row(dice, f"c{c}-t{t}", _sets_of(c, t, things), i * DAYS // rows_of_a_target)
        for c, t in targets
        for i in range(rows_of_a_target)
    )
    (folder / "results.csv").write_text("\n".join((HEADER, *rows)) + "\n", "utf-8")
    return folder


def _case(children: int, things: int) -> Iterator[str]:
    yield "format: 1\ntimezone: Europe/Dublin\nlearners:"
    yield from (f"  c{c}: {{name: Child {c}, alias: C{c}., born: 2018-04, {FREE}}}" for c in range(children))
    yield "adults:"
    yield from (f"  a{a}: {{name: Adult {a}, role: aide, {FREE}}}" for a in range(ADULTS))
    yield "locations:"
    yield from (f"  l{p}: {{name: Place {p}}}" for p in range(PLACES))
    yield "material_sets:"
    names = [f"Set {s}" for s in range(SETS)] if things == SETS else _names()
    yield from (f"  m{s}: {{name: {name}, small_parts: false}}" for s, name in enumerate(names[:things]))
    yield "targets:"
    yield from (_target(c, t, _sets_of(c, t, things)) for c in range(children) for t in range(TARGETS))


def _names() -> list[str]:
    return [f"{look} {kind}" for kind in KINDS_OF_THINGS for look in LOOKS]


def _sets_of(child: int, number: int, things: int) -> list[str]:
    first = (child * TARGETS + number) * SETS
    return [f"m{(first + n) % things}" for n in range(SETS)]


def _target(child: int, number: int, sets: Sequence[str]) -> str:
    adults, places = [f"a{n}" for n in range(ADULTS)], [f"l{n}" for n in range(PLACES)]
    varied = {"adults": adults, "locations": places, "material_sets": sets}
    lists = ", ".join(f"{key}: [{', '.join(ids)}]" for key, ids in varied.items())
    return (
        f"  c{child}-t{number}: {{learner: c{child}, name: Skill {child} {number}, correct_when: it is done,"
        " instruction: Do it, mastered_on: 2024-02-01, taught: [{adult: a0, location: l0,"
        f" material_set: {sets[0]}}}], {lists}, generalised_when: {{adults: 3, locations: 2}}}}"
    )


def _row(dice: random.Random, target: str, sets: Sequence[str], days: int) -> str:
    day, clock = BEGUN + timedelta(days=days), f"{8 + dice.randrange(10):02}:{dice.choice(('00', '30'))}"
    kind = dice.choices(list(KINDS), list(KINDS.values()))[0]
    where = f"a{dice.randrange(ADULTS)},l{dice.randrange(PLACES)},{sets[dice.randrange(SETS)]}"
    if kind == "not run":
        return f"{day},{clock},{target},{kind},{where},,,,,,ill"
    correct = sum(dice.random() < 0.8 for _ in range(5))
    seen = f"a{dice.randrange(ADULTS)},{correct}" if dice.random() < 0.2 else ","
    return f"{day},{clock},{target},{kind},{where},5,{correct},,{seen},"


def commands(case: Path) -> Iterator[Sequence[str]]:
    of, now = str(case), ("--now", f"{NOW:%Y-%m-%dT%H:%M}")
    yield "check", of, *now
    yield "matrix", of, *now
    yield "history", of, "--target", "c0-t0", *now
    yield "progress", of, *now
    where = ("--adult", "a0", "--location", "l0", "--material-set", "m0")
    yield "record", of, "--target", "c0-t0", *where, "--date", "2026-11-27", "--correct", "4", *now


def bare(case: Path) -> Cost:
    return measured([sys.executable, "-c", BARE, str(case)])[1]


def compiled(program: Path, there: Path) -> None:
    """Before anything is measured, as `pip` does it where it installs: else each command compiles all that it loads."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = str(there)
    subprocess.run([sys.executable, "-m", "compileall", "-q", str(program / "genplan")], check=True)


def run(program: Path, words: Sequence[str]) -> Cost:
    surroundings = {**os.environ, "PYTHONPATH": str(program), "GENPLAN_STORE": "off"}
    return measured([sys.executable, "-m", "genplan", *words], surroundings, program)[1]


def lines(case: Path, programs: Sequence[Path], only: str = "") -> Iterator[str]:
    """`programs` are this version and others; each has the files as they were written."""
    read = bare(case)
    yield f"bare read: {read.cpu:.2f} s, {read.largest:.0f} MB"
    for words in commands(case):
        if only not in ("", words[0]):
            continue
        told = []
        for program in programs:
            own = Path(shutil.copytree(case, case.with_name("own")))
            cost = run(program, [str(own) if word == str(case) else word for word in words])
            told.append(f"{cost.cpu / read.cpu:5.1f} ({cost.cpu:.2f} s, {cost.largest:.0f} MB)")
            shutil.rmtree(own)
        yield f"  {words[0]:9}" + "; the other version ".join(told)


def screens(case: Path) -> Iterator[str]:
    """Seconds of all threads of this process, the browser's side among them."""
    read = bare(case)
    with running(case) as local:
        for path in SCREENS:
            costs = []
            for _ in range(2):
                began = time.process_time()
                assert local.get(path).status == 200
                costs.append(time.process_time() - began)
            told = ", then ".join(f"{cost / read.cpu:.1f} ({cost:.2f} s)" for cost in costs)
            yield f"  screen {path}: {told}"
        costs = []
        for n in range(3):
            fields: dict[str, object] = {**local.form(SAVED), "name": f"Changed {n}"}
            began = time.process_time()
            assert local.post(SAVED, fields).status == 303
            costs.append(time.process_time() - began)
            assert f"Changed {n}" in (case / "case.yaml").read_text("utf-8")
        told = ", then ".join(f"{cost / read.cpu:.1f} ({cost:.2f} s)" for cost in costs)
        yield f"  saving the form of {SAVED}: {told}"


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--children", type=int, default=60)
    words.add_argument("--without-long", action="store_true", help="leave the 200,000 rows out")
    words.add_argument("--against", metavar="VERSION", help="a commit, or a wheel")
    asked = words.parse_args()
    with TemporaryDirectory() as there:
        programs = [ROOT, *([unpacked(asked.against, Path(there) / "other")] if asked.against else [])]
        for program in programs:
            compiled(program, Path(there) / "compiled")
        case = write_long_log(Path(there) / "case", asked.children, ROWS_OF_A_TARGET)
        print(f"{asked.children} children, {asked.children * TARGETS * ROWS_OF_A_TARGET} rows, as ratios:")
        for line in (*lines(case, programs), *screens(case)):
            print(line, flush=True)
        named = write_long_log(Path(there) / "named", asked.children, ROWS_OF_A_TARGET, NAMED)
        print(f"the same with {NAMED} named things, as ratios:")
        for line in (*lines(named, programs), *screens(named)):
            print(line, flush=True)
        if not asked.without_long:
            long = write_long_log(Path(there) / "long", asked.children, LONG)
            print(f"{asked.children * TARGETS * LONG} rows, as ratios:")
            for line in (*lines(long, programs, "check"), *lines(long, programs, "record")):
                print(line, flush=True)


if __name__ == "__main__":
    main()
