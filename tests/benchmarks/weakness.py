"""How often a learner's weakness is found, and how often the program cries wolf, on simulated learners.

    python -m tests.benchmarks.weakness [learners] [--write]

`--write` renews `examples/benchmark/weakness.md`. Each learner has some targets with as many adults, locations and
material sets. Probes are run as in life: one combination was taught, all others of a design that shows every pair (of
two values each: all combinations) are probed in a random order; after a failure teaching and a probe again; now and
then a maintenance probe, of what was taught four or five times and elsewhere where it went well. A trial is correct
with a rate of its combination; a probe of five trials is met with four. Targets differ in how hard they are.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import product
from pathlib import Path
from random import Random

from genplan.case import Combination, Dimension, PassMark, Target
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.intervals import clopper_pearson
from genplan.evidence.log import Log, Result, ResultKind
from tests.benchmarks.tables import markdown
from tests.fixtures.places import ROOT

WEAK_PLACE = "place-1"
TRIALS = 5
FIRST_DAY = date(2026, 1, 5)
PAGE = "examples/benchmark/weakness.md"


@dataclass(frozen=True, kw_only=True)
class Learner:
    """Rates of single trials.

    taught     in the combination that was taught; None: nothing was taught before
    able       in all others
    weak       in those at the weak place; None: no place is weak
    sizes      values of each dimension, where they are not as many; then all combinations are probed
    repeats    how often a maintenance probe follows a probe
    uneven     so far up or down, at random, is each combination's own rate
    grows      so much better goes a skill with each probe
    in_turn    the weak place's name comes first in the order of probes, though nothing is weak
    """

    targets: int
    values: int = 3
    sizes: tuple[int, int, int] | None = None
    repeats: float = 0.3
    uneven: float = 0.0
    grows: float = 0.0
    in_turn: bool = False
    taught: float | None = None
    able: float
    weak: float | None = None


@dataclass(frozen=True)
class Tally:
    """How many of so many learners: the weak place found, anything else found, and too few probes to tell."""

    learners: int
    found: int
    wolf: int
    silent: int


def targets_of(kind: Learner) -> tuple[Target, ...]:
    words = (("adult", "adult"), ("location", "place"), ("material_set", "set"))
    dimensions = tuple(
        Dimension(name, tuple(f"{word}-{i}" for i in range(size)))
        for (name, word), size in zip(words, kind.sizes or (kind.values,) * 3, strict=True)
    )
    taught = {d.name: d.values[0] for d in dimensions}
    return tuple(
        Target(
            id=f"target-{i}",
            learner="learner",
            name=f"Target {i}",
            dimensions=dimensions,
            taught=() if kind.taught is None else (taught,),
        )
        for i in range(kind.targets)
    )


def log_of(kind: Learner, targets: tuple[Target, ...], random: Random) -> Log:
    rows: list[Result] = []
    for target in targets:
        harder = random.choice((-0.1, 0.0, 0.05))
        for what, combination, correct in _rows(kind, target, harder, random):
            rows.append(
                Result(
                    line=len(rows) + 2,
                    date=FIRST_DAY + timedelta(days=len(rows)),
                    time=None,
                    target=target.id,
                    kind=what,
                    combination=combination,
                    trials=TRIALS,
                    correct=correct,
                )
            )
    return Log.of(rows)


def _rows(
    kind: Learner, target: Target, harder: float, random: Random
) -> Iterator[tuple[ResultKind, Combination, int]]:
    taught = tuple(target.taught[0].values()) if target.taught else None
    own = {c: random.uniform(-kind.uneven, kind.uneven) for c in target.combinations()} if kind.uneven else {}
    grown = 0.0

    def run(what: ResultKind, combination: Combination) -> tuple[ResultKind, Combination, int]:
        rate = kind.able + harder + grown + own.get(combination, 0)
        if combination == taught and kind.taught is not None:
            rate = kind.taught
        elif combination[1] == WEAK_PLACE and kind.weak is not None:
            rate = kind.weak + harder
        return what, combination, sum(random.random() < rate for _ in range(TRIALS))

    design = [c for c in (target.combinations() if kind.sizes else _design(target)) if c != taught]
    random.shuffle(design)
    if kind.in_turn:
        design.sort(key=lambda c: c[1] != WEAK_PLACE)
    held: list[Combination] = []
    checks = random.sample(range(len(design)), min(random.choice((4, 5)), len(design))) if taught else []
    for number, combination in enumerate(design):
        if number in checks and taught:
            yield run(ResultKind.MAINTENANCE, taught)
        row = run(ResultKind.PROBE, combination)
        yield row
        grown += kind.grows
        if PassMark(4, 5).is_met_by(row[2], TRIALS):
            held.append(combination)
        else:
            yield ResultKind.TEACHING, combination, 0
            yield run(ResultKind.PROBE, combination)
        if held and random.random() < kind.repeats:
            yield run(ResultKind.MAINTENANCE, random.choice(held))


def _design(target: Target) -> list[Combination]:
    """Of three values each nine combinations that show every pair, the first of each among them; of two all eight."""
    adults, places, sets = (d.values for d in target.dimensions)
    if len(adults) < 3:
        return list(product(adults, places, sets))
    return [
        (a, place, sets[(i + j) % len(sets)]) for i, a in enumerate(adults) for j, place in enumerate(places)
    ]


def simulate(kind: Learner, learners: int, seed: int) -> Tally:
    """Without a weak place any finding at all cries wolf."""
    random, some = Random(seed), targets_of(kind)
    found = wolf = silent = 0
    for _ in range(learners):
        breaks = where_it_breaks(some, log_of(kind, some, random))
        values = {look.value for look in breaks.found}
        real = {WEAK_PLACE} if kind.weak is not None else set()
        found += bool(values & real)
        wolf += bool(values - real)
        silent += not breaks.can_tell
    return Tally(learners, found, wolf, silent)


NO_WEAKNESS = (
    *(Learner(targets=n, values=v, taught=0.95, able=0.65) for n, v in ((3, 3), (5, 3), (4, 2))),
    *(Learner(targets=n, able=able) for n in (1, 3, 6) for able in (0.9, 0.8)),
)
IN_OTHER_WAYS = {
    "2 adults, 3 places, 4 sets": Learner(targets=3, sizes=(2, 3, 4), taught=0.95, able=0.65),
    "the same, one skill": Learner(targets=1, sizes=(2, 3, 4), taught=0.95, able=0.65),
    "a repeat after nearly each probe": Learner(targets=3, taught=0.95, able=0.65, repeats=0.9),
    "each combination with a rate of its own, 0.35 up or down": Learner(targets=5, able=0.65, uneven=0.35),
    "it grows by 0.05 with each probe": Learner(targets=3, able=0.45, grows=0.05),
}
"""Learners in whom no value matters, as other lives have it."""
PROBED_FIRST = Learner(targets=3, able=0.45, grows=0.05, in_turn=True)
"""A skill that grows, and one place that is probed before the others: what no test of these counts can see."""
A_WEAK_PLACE = (
    *(
        Learner(targets=n, values=v, taught=0.95, able=0.85, weak=weak)
        for n, v in ((3, 3), (5, 3), (4, 2))
        for weak in (0.5, 0.2)
    ),
    *(Learner(targets=n, able=0.9, weak=weak) for n in (1, 3, 6) for weak in (0.7, 0.5, 0.2)),
)


OF_OTHERS = 4
"""So much fewer learners live in other ways."""


def page(learners: int) -> str:
    fewer = learners // OF_OTHERS
    return "\n".join(
        (
            "# Where it breaks, on simulated learners",
            "",
            f"Written by `python -m tests.benchmarks.weakness --write`; do not edit it by hand. {learners} learners a"
            " row, with seed 1. A share stands with its exact interval of 95 % (Clopper and Pearson 1934). Rates are"
            " of single trials: where it was taught, in all other combinations, and at the weak place. The learners,"
            " their rates and how hard their targets are were made up for this page.",
            "",
            "## Nothing is weak",
            "",
            "Any value that is named is a false alarm. The first three rows are learners whose skills simply work"
            " better where they were taught. Promised are at most 5 in 100.",
            "",
            markdown(
                ("targets", "values each", "taught", "elsewhere", "false alarms", "too few probes to tell"),
                [_row(kind, simulate(kind, learners, 1)) for kind in NO_WEAKNESS],
            ),
            "## Nothing is weak, in other lives",
            "",
            f"Shapes and lives that the rows above do not have; {fewer} learners a row.",
            "",
            markdown(
                ("learners", "false alarms", "too few probes to tell"),
                [[name, *_shares(simulate(kind, fewer, 1))] for name, kind in IN_OTHER_WAYS.items()],
            ),
            "## What it is fooled by",
            "",
            "A skill that grows by 0.05 with each probe, and one place that is probed before all others: what is an"
            " effect of time looks like one of the place. The counts cannot tell the two apart, so more than 5 in 100"
            " are named, and the review says so under what it cannot show.",
            "",
            markdown(
                ("learners", "false alarms", "too few probes to tell"),
                [["one place probed first", *_shares(simulate(PROBED_FIRST, fewer, 1))]],
            ),
            "## One place is weak",
            "",
            "A false alarm is any other value that is named.",
            "",
            markdown(
                ("targets", "values each", "taught", "elsewhere", "weak place", "found", "false alarms"),
                [_weak_row(kind, simulate(kind, learners, 1)) for kind in A_WEAK_PLACE],
            ),
        )
    )


def _row(kind: Learner, tally: Tally) -> list[str]:
    return [*_kind(kind), *_shares(tally)]


def _shares(tally: Tally) -> list[str]:
    return [_share(tally.wolf, tally.learners), _share(tally.silent, tally.learners)]


def _weak_row(kind: Learner, tally: Tally) -> list[str]:
    return [
        *_kind(kind),
        f"{kind.weak}",
        _share(tally.found, tally.learners),
        _share(tally.wolf, tally.learners),
    ]


def _kind(kind: Learner) -> list[str]:
    return [
        f"{kind.targets}",
        f"{kind.values}",
        "nowhere" if kind.taught is None else f"{kind.taught}",
        f"{kind.able}",
    ]


def _share(some: int, of: int) -> str:
    interval = clopper_pearson(some, of)
    return f"{100 * some / of:.1f} % ({100 * interval.low:.1f} to {100 * interval.high:.1f})"


def main() -> None:
    words = argparse.ArgumentParser()
    words.add_argument("learners", nargs="?", type=int, default=2000)
    words.add_argument("--write", action="store_true")
    asked = words.parse_args()
    text = page(asked.learners)
    if asked.write:
        Path(ROOT, PAGE).write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
