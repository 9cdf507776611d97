"""The family of the example, week after week, until every skill is through. Run by hand:

    python -m tests.soak.family                 # ends when all is through, or after 40 weeks
    python -m tests.soak.family --seed 2

Every planned thing is written down as it comes out of a hidden dice: each combination has a rate of its own at which a
trial is correct, and each teaching in it brings the rate nearer to 0.98. Sometimes nothing is run. The skill that is
still being taught is set to mastered once the program says that its criterion is met, as a practitioner might. The run
ends at the first week in which something is owed that is neither planned nor told with its reason.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random

from genplan import workflow
from genplan.case import Case, Combination, TargetState, Week
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally, tally
from genplan.evidence.log import Log
from genplan.evidence.mastery import criterion_met
from genplan.plan import Plan, Probe, ProbeKind, Sitting
from tests.fixtures.places import EXAMPLES, ROOT
from tests.fixtures.shared_pool import SharedPool
from tests.soak.left_open import left_open, owed

FIRST, QUIET, MOST_WEEKS = Week(2026, 49), Week(2029, 20), 40
LOW, HIGH, TAUGHT, NEARER = 0.5, 0.99, 0.98, 0.6
"""Rates before teaching; where teaching leads; how much of the way one of them goes. Invented."""
NOT_RUN = 0.05
STATE = "    state: teaching                   # with Mum at home since November; not probed yet\n"


@dataclass(frozen=True)
class Figures:
    """One week: how many of each kind were planned and came out how, and what is still to be done after it."""

    week: Week
    planned: Counter[ProbeKind]
    met: int
    failed: int
    not_run: int
    open: int
    owed: int

    def line(self) -> str:
        kinds = "".join(f"{self.planned[kind]:6}" for kind in ProbeKind)
        return f"{self.week}{kinds}{self.met:6}{self.failed:6}{self.not_run:6}{self.open:6}{self.owed:6}"


HEADING = "week    " + "".join(
    f"{word:>6}" for word in (*(k.value[:5] for k in ProbeKind), "met", "fail", "not", "open", "owed")
)


@dataclass
class Dice:
    """What nobody knows: how often a trial is correct."""

    seed: int
    rates: dict[tuple[str, Combination], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._rng = Random(f"family {self.seed}")

    def correct(self, target: str, combination: Combination, trials: int) -> int:
        return sum(self._rng.random() < self._rate(target, combination) for _ in range(trials))

    def teach(self, target: str, combination: Combination) -> None:
        rate = self._rate(target, combination)
        self.rates[target, combination] = rate + NEARER * max(0.0, TAUGHT - rate)

    def is_run(self) -> bool:
        return self._rng.random() >= NOT_RUN

    def _rate(self, target: str, combination: Combination) -> float:
        about = target, combination
        if about not in self.rates:
            self.rates[about] = Random(f"rate {self.seed} {about}").uniform(LOW, HIGH)
        return self.rates[about]


@dataclass
class Family:
    """A case folder that is lived with."""

    folder: Path
    dice: Dice
    waited: Counter[tuple[str, Combination]] = field(default_factory=Counter)
    through: dict[str, Week] = field(default_factory=dict)

    def live(self, week: Week) -> Figures:
        sunday = datetime.combine(week.monday, time()) - timedelta(hours=2)
        plan = workflow.plan(self.folder, week, sunday, None, _silent).plan
        opened = workflow.open_case(self.folder, sunday)
        for waiting in promised(opened.case, opened.log, plan):
            self.waited[waiting] += 1
        came = Counter[str]()
        rows = [self._row(opened.case, s, p, came) for s in plan.sittings for p in s.probes]
        after = workflow.open_case(self.folder, sunday + timedelta(days=7))
        if rows:
            workflow.record_rows(after, rows)
            after = workflow.open_case(self.folder, sunday + timedelta(days=7))
        self.set_mastered(after.case, after.log, week)
        tallies = tallies_of(after.case, after.log, week.sunday)
        for count in tallies:
            if is_through(count):
                self.through.setdefault(count.target.id, week)
            else:
                self.through.pop(count.target.id, None)
        planned = Counter(p.kind for s in plan.sittings for p in s.probes)
        still_open, still_owed = sum(len(t.open) for t in tallies), sum(len(owed(t)) for t in tallies)
        return Figures(week, planned, came["met"], came["failed"], came["not run"], still_open, still_owed)

    def _row(self, case: Case, sitting: Sitting, probe: Probe, came: Counter[str]) -> dict[str, str]:
        target = case.targets[probe.target]
        values = dict(zip(target.dimension_names, probe.combination, strict=True))
        at = {"date": sitting.start.date().isoformat(), "time": f"{sitting.start:%H:%M}"}
        row = {**at, "target": target.id, **values}
        if not self.dice.is_run():
            came["not run"] += 1
            return {**row, "kind": "not run", "note": "She was tired"}
        trials = probe.trials or target.trials
        correct = self.dice.correct(target.id, probe.combination, trials)
        counted = {**row, "trials": str(trials), "correct": str(correct)}
        if probe.kind is ProbeKind.TEACHING:
            self.dice.teach(target.id, probe.combination)
            return {**counted, "kind": "teaching"}
        came["met" if target.pass_mark.is_met_by(correct, trials) else "failed"] += 1
        return {**counted, "kind": "maintenance" if probe.kind is ProbeKind.MAINTENANCE else "probe"}

    def set_mastered(self, case: Case, log: Log, week: Week) -> None:
        """What is still being taught is set to mastered once its criterion is met, as the program says to ask for."""
        path = self.folder / "case.yaml"
        for target in case.targets.values():
            if criterion_met(target, log):
                mastered = f"    state: mastered\n    mastered_on: {week.sunday}\n"
                text = path.read_text(encoding="utf-8")
                path.write_text(text.replace(STATE, mastered), encoding="utf-8")

    def not_through(self, week: Week) -> list[object]:
        """What is left after the week and could be done, a criterion that is in reach and not met, what is not mastered
        yet."""
        opened = workflow.open_case(self.folder, datetime.combine(week.sunday, time(22)))
        left: list[object] = [t.id for t in opened.case.targets.values() if t.state is TargetState.TEACHING]
        left += left_open(opened.case, opened.log, QUIET)
        criteria = [(t.target.id, criterion_of(t)) for t in tallies_of(opened.case, opened.log, week.sunday)]
        return left + [(i, c) for i, c in criteria if c.is_set and not c.is_met and not c.out_of_reach]


def promised(case: Case, log: Log, plan: Plan) -> list[tuple[str, Combination]]:
    """Each combination that was not met is planned, taught or probed, or told with the reason why not; a week with
    something to do is not empty without a reason. Gives those that wait in this week. Raises AssertionError."""
    waiting = []
    planned = {(p.target, p.combination) for s in plan.sittings for p in s.probes}
    told = {(x.target, tuple(v for _, v in x.values)) for x in plan.left_out}
    about = {t for t, _ in planned | told}
    for count in tallies_of(case, log, plan.week.monday):
        target = count.target.id
        for combination in owed(count):
            later = count.standing(combination).retest_from
            if (target, combination) not in planned:
                waiting.append((target, combination))
            silent = (target, combination) not in planned | told
            assert not silent or (later and later > plan.week.sunday), (
                f"{plan.week}: {target} {combination} waits, and nobody plans it"
            )
        if count.open or owed(count):
            assert target in about, f"{plan.week}: {target} is not done, and the plan is silent"
    return waiting


def is_through(count: Tally) -> bool:
    return not count.open and not owed(count)


def tallies_of(case: Case, log: Log, on: date) -> list[Tally]:
    return [tally(case, t, log, on) for t in case.mastered]


def the_family(folder: Path, seed: int, work: float) -> Family:
    """A copy of the example with its policy, less work for the solver, and a skill that is being taught."""
    shutil.copytree(EXAMPLES / "family", folder)
    policy = (ROOT / "configs" / "family.yaml").read_text(encoding="utf-8")
    before, _, _ = policy.partition("  work_per_stage:")
    (folder / "our-policy.yaml").write_text(f"{before}  work_per_stage: {work}\n", encoding="utf-8")
    path = folder / "case.yaml"
    text = path.read_text(encoding="utf-8")
    assert STATE in text
    path.write_text(text.replace("policy: family", "policy: our-policy.yaml"), encoding="utf-8")
    return Family(folder, Dice(seed))


def lived(family: Family, most_weeks: int = MOST_WEEKS) -> Iterator[Figures]:
    """Week after week until all is through. Raises AssertionError where it is not by then, or something waits that
    nobody plans."""
    week = FIRST
    for _ in range(most_weeks):
        yield family.live(week)
        if not family.not_through(week):
            return
        week = week.next()
    raise AssertionError(f"not through after {most_weeks} weeks: {family.not_through(week)}")


def _silent(_: str) -> None:
    """No progress."""


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--work", type=float, default=1.0)
    asked = words.parse_args()
    print(HEADING)
    with tempfile.TemporaryDirectory() as folder:
        family = the_family(Path(folder) / "case", asked.seed, asked.work)
        with SharedPool().for_all_plans():
            for figures in lived(family):
                print(figures.line(), flush=True)
    for target, week in sorted(family.through.items()):
        print(f"{target}: through in {week}")
    weeks = max(family.waited.values(), default=0)
    print(
        f"what was not met had nothing of it in the plan for {weeks} weeks at most, each time with the reason told"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
