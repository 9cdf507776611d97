"""How often a learner's weakness is found, and how often the program cries wolf, on simulated learners.

    python -m tests.benchmarks.weakness [learners]

Each learner has some targets of 3 adults, 3 locations and 3 material sets. Probes are run as in life: nine
combinations that show every pair, in a random order; after a failure teaching and a probe again; now and then
a maintenance probe where it went well. A trial is correct with the rate `able`, at the weak place with `weak`;
a probe of five trials is met with four. Targets differ in how hard they are.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from genplan.case import Combination, Dimension, PassMark, Target
from genplan.evidence.breaks import Breaks, where_it_breaks
from genplan.evidence.log import Log, Result, ResultKind

WEAK_PLACE = "place-1"
TRIALS = 5
FIRST_DAY = date(2026, 1, 5)


@dataclass(frozen=True)
class Tally:
    """Shares of learners: the weak place found, anything else found, and too few probes to tell."""

    found: float
    wolf: float
    silent: float


def targets_of_learner(number: int) -> tuple[Target, ...]:
    dimensions = tuple(
        Dimension(name, tuple(f"{word}-{i}" for i in range(3)))
        for name, word in (("adult", "adult"), ("location", "place"), ("material_set", "set"))
    )
    return tuple(
        Target(id=f"target-{i}", learner="learner", name=f"Target {i}", dimensions=dimensions)
        for i in range(number)
    )


def log_of_learner(targets: tuple[Target, ...], able: float, weak: float, random: Random) -> Log:
    rows: list[Result] = []
    for target in targets:
        harder = random.choice((-0.1, 0.0, 0.05))
        for kind, combination, trials, correct in _rows(target, able + harder, weak + harder, random):
            day = FIRST_DAY + timedelta(days=len(rows))
            rows.append(
                Result(
                    line=len(rows) + 2,
                    date=day,
                    time=None,
                    target=target.id,
                    kind=kind,
                    combination=combination,
                    trials=trials,
                    correct=correct,
                )
            )
    return Log.of(rows)


def _rows(
    target: Target, able: float, weak: float, random: Random
) -> Iterator[tuple[ResultKind, Combination, int, int]]:
    def run(kind: ResultKind, combination: Combination) -> tuple[ResultKind, Combination, int, int]:
        rate = weak if combination[1] == WEAK_PLACE else able
        return kind, combination, TRIALS, sum(random.random() < rate for _ in range(TRIALS))

    adults, places, sets = (d.values for d in target.dimensions)
    design = [(adults[i], places[j], sets[(i + j) % 3]) for i in range(3) for j in range(3)]
    random.shuffle(design)
    held: list[Combination] = []
    for combination in design:
        row = run(ResultKind.PROBE, combination)
        yield row
        if PassMark(4, 5).is_met_by(row[3], TRIALS):
            held.append(combination)
        else:
            yield ResultKind.TEACHING, combination, TRIALS, 0
            yield run(ResultKind.PROBE, combination)
        if held and random.random() < 0.3:
            yield run(ResultKind.MAINTENANCE, random.choice(held))


def simulate(learners: int, targets: int, able: float, weak: float, seed: int) -> Tally:
    """Equal rates are learners without a weakness: there any finding at all cries wolf."""
    random, some = Random(seed), targets_of_learner(targets)
    found = wolf = silent = 0
    for _ in range(learners):
        breaks: Breaks = where_it_breaks(some, log_of_learner(some, able, weak, random))
        values = {look.value for look in breaks.found}
        weak_found = able != weak and WEAK_PLACE in values
        found += weak_found
        wolf += bool(values - ({WEAK_PLACE} if able != weak else set()))
        silent += not breaks.can_tell
    return Tally(found / learners, wolf / learners, silent / learners)


def main(learners: int) -> None:
    print(f"{learners} learners each; trials correct elsewhere and at the weak place; shares of learners")
    print("targets  elsewhere  weak   found  wolf  too few to tell")
    for targets in (1, 3, 6):
        for able, weak in ((0.9, 0.9), (0.8, 0.8), (0.9, 0.7), (0.9, 0.5), (0.9, 0.2)):
            t = simulate(learners, targets, able, weak, seed=1)
            print(f"{targets:7}  {able:9}  {weak:4}  {t.found:6.3f}  {t.wolf:4.3f}  {t.silent:6.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
