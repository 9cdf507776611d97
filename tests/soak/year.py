"""A caseload lived through week by week: planned, kept, changed, recorded. Run by hand:

    python -m tests.soak.year --weeks 52 --learners 12

prints a line for each week and ends at the first promise that is broken. Everybody in it is invented.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from icalendar import Calendar

from genplan import workflow
from genplan.case import Week
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally, tally
from genplan.evidence.row_identity import digest_of
from genplan.keeping.store import kept_weeks, read_kept
from genplan.plan import Plan, ProbeKind, Sitting
from genplan.workflow import ChangeRequest
from tests.fixtures.random_cases import CASELOAD, random_case, write_case

FIRST = Week(2026, 49)


@dataclass(frozen=True)
class Figures:
    """One week: what was planned and what came of it; `seconds` of the program's own work, `megabytes` of the largest
    the process ever was."""

    week: Week
    sittings: int
    probes: int
    changed: int
    met: int
    failed: int
    not_run: int
    rows: int
    open: int
    seconds: float
    megabytes: int

    def line(self) -> str:
        return (
            f"{self.week} {self.sittings:4} {self.probes:4} {self.changed:4} {self.met:4} {self.failed:4} "
            f"{self.not_run:4} {self.rows:5} {self.open:5} {self.seconds:6.1f} {self.megabytes:5}"
        )


HEADING = "week     sitt prob chng  met fail  not  rows  open      s    MB"


@dataclass
class Life:
    """What happens to a case folder: chance decides, by one seed."""

    folder: Path
    rng: Random
    rates: dict[str, float] = field(default_factory=dict)
    sequences: dict[tuple[str, str], int] = field(default_factory=dict)
    results: bytes = b""
    tallies: dict[str, Tally] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    plan: Plan | None = None

    def live(self, week: Week) -> Figures:
        began, self.counts, self.failed = time.perf_counter(), {"met": 0, "failed": 0, "not run": 0}, set()
        # late on Sunday, when the last sitting of the week before is over and written down
        sunday = datetime.combine(week.monday, datetime.min.time()) - timedelta(hours=2)
        out = self.folder.parent / "out"
        outcome = workflow.plan(self.folder, week, sunday, out, silent)
        workflow.keep(self.folder, None, out, sunday, silent)
        self.calendars(week)
        wednesday = sunday + timedelta(days=3)
        self.write_down(outcome.plan.sittings, sunday, wednesday)
        changed = self.change(week, wednesday)
        self.calendars(week)
        kept = read_kept(self.folder, week, outcome.case)
        assert kept is not None
        self.write_down(kept.sittings, wednesday, sunday + timedelta(days=7))
        self.promises(sunday + timedelta(days=7))
        self.plan = outcome.plan
        return Figures(
            week,
            len(kept.sittings),
            sum(len(s.probes) for s in kept.sittings),
            changed,
            self.counts["met"],
            self.counts["failed"],
            self.counts["not run"],
            self.results.count(b"\n") - 1,
            sum(len(t.open) for t in self.tallies.values()),
            time.perf_counter() - began,
            resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        )

    def change(self, week: Week, now: datetime) -> int:
        """Somebody falls ill or a place closes in the middle of the week, and people are told anew."""
        case = workflow.open_case(self.folder, now).case
        what, ids = self.rng.choice(
            [("away", case.adults), ("away", case.learners), ("closed", case.locations)]
        )
        until = datetime.combine(week.monday, datetime.min.time()) + timedelta(days=self.rng.randint(3, 6))
        workflow.change(self.folder, ChangeRequest(what, self.rng.choice(sorted(ids)), end=until), now)
        outcome, kept = workflow.replan(self.folder, week, now, None, True, silent)
        assert kept is not None
        assert len(kept.differences) == len(outcome.differences)
        return len(kept.differences)

    def write_down(self, sittings: tuple[Sitting, ...], since: datetime, now: datetime) -> None:
        """The results of what began in the span; some is taught after it failed, a mistyped number is corrected."""
        opened = workflow.open_case(self.folder, now)
        ill = {i for i in opened.case.learners if self.rng.random() < 0.04}
        rows = [
            row
            for s in sittings
            if since <= s.start.replace(tzinfo=None) < now
            for p in s.probes
            for row in self.row(
                opened.case.targets[p.target].dimension_names, s, p.target, p, s.learner in ill, now
            )
        ]
        if not rows:
            return
        added = workflow.record_rows(opened, rows)
        tests = [r for r in added.results if r.kind.is_test]
        if tests and self.rng.random() < 0.5:
            wrong = self.rng.choice(tests)
            self.failed.add(wrong.target)
            workflow.correct(
                self.folder,
                wrong.line,
                {"correct": str(self.rng.randint(0, wrong.trials or 0))},
                now,
                digest=digest_of(opened.case.targets[wrong.target], wrong),
            )

    def row(
        self, names: tuple[str, ...], s: Sitting, target: str, p: object, ill: bool, now: datetime
    ) -> Iterator[dict[str, str]]:
        values = dict(zip(names, p.combination, strict=True))  # type: ignore[attr-defined]
        row = {"date": s.start.date().isoformat(), "time": f"{s.start:%H:%M}", "target": target, **values}
        if ill or self.rng.random() < 0.05:
            self.counts["not run"] += 1
            yield {**row, "kind": "not run", "note": "at home with a cold" if ill else "walked away"}
            return
        trials = p.trials  # type: ignore[attr-defined]
        rate = self.rates.setdefault(s.learner, self.rng.uniform(0.75, 0.99))
        correct = sum(self.rng.random() < rate for _ in range(trials))
        kind = "maintenance" if p.kind is ProbeKind.MAINTENANCE else "probe"  # type: ignore[attr-defined]
        observed = {"observer": s.observer, "observer_correct": str(correct)} if s.observer else {}
        yield {**row, "kind": kind, "trials": str(trials), "correct": str(correct), **observed}
        if 5 * correct >= 4 * trials:
            self.counts["met"] += 1
            return
        self.counts["failed"] += 1
        self.failed.add(target)
        taught = s.start.date() + timedelta(days=1)
        if self.rng.random() < 0.7 and taught < now.date():
            yield {**row, "date": taught.isoformat(), "time": "", "kind": "teaching"}

    def calendars(self, week: Week) -> None:
        """Every calendar can be read, and no event's number goes down."""
        folder = self.folder / "weeks" / str(week) / "calendars"
        for path in sorted(folder.glob("*.ics")):
            seen = set()
            for event in Calendar.from_ical(path.read_bytes()).walk("VEVENT"):
                key = (path.name, str(event["UID"]))
                assert key not in seen, f"{key} is there twice"
                seen.add(key)
                number = int(event["SEQUENCE"])
                assert number >= self.sequences.get(key, 0), f"{key} falls to {number}"
                self.sequences[key] = number

    def promises(self, now: datetime) -> None:
        """Results are only added, kept weeks read, coverage is lost by failures alone, nothing is left behind."""
        opened = workflow.open_case(self.folder, now)
        path = self.folder / "results.csv"
        written = path.read_bytes() if path.exists() else b""
        assert written.startswith(self.results), "results.csv lost a byte"
        self.results = written
        for week in kept_weeks(self.folder):
            assert read_kept(self.folder, week, opened.case) is not None
        hidden = [
            p
            for p in self.folder.rglob("*")
            if p.name.startswith(".") or p.suffix in (".tmp", ".new", ".old")
        ]
        assert not [p for p in hidden if not p.name.endswith(".lock")], hidden
        today = now.date()
        for target in opened.case.mastered:
            count, before = tally(opened.case, target, opened.log, today), self.tallies.get(target.id)
            if before is not None:
                assert before.tested <= count.tested, f"{target.id} lost what was tested"
                assert before.met <= count.met or target.id in self.failed, f"{target.id} lost what was met"
            self.tallies[target.id] = count

    def unexplained(self, day: date) -> list[str]:
        """Targets that are not generalised and of which the last plan neither holds a probe nor tells why not."""
        assert self.plan is not None
        told = {x.target for x in self.plan.left_out} | {
            p.target for s in self.plan.sittings for p in s.probes
        }
        found = []
        for id_, count in self.tallies.items():
            criterion = criterion_of(count)
            if criterion.is_set and not criterion.is_met and not criterion.out_of_reach and id_ not in told:
                found.append(id_)
        return found


def silent(_: str) -> None:
    """No progress."""


def a_year(
    folder: Path, weeks: int, learners: int, seed: int, work: float, targets: int = 3
) -> Iterator[Figures]:
    """Lives through the weeks. Raises AssertionError at the first promise that is broken."""
    case = random_case(seed, **{**CASELOAD, "learners": learners, "targets": targets})
    policy = replace(case.policy, solver=replace(case.policy.solver, work_per_stage=work))
    life = Life(write_case(replace(case, policy=policy), folder / "case"), Random(f"life {seed}"))
    week = FIRST
    for _ in range(weeks):
        yield life.live(week)
        week = week.next()
    assert life.unexplained(week.monday) == []


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--weeks", type=int, default=52)
    words.add_argument("--learners", type=int, default=12)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--work", type=float, default=0.5)
    asked = words.parse_args()
    print(HEADING)
    with tempfile.TemporaryDirectory() as folder:
        for figures in a_year(Path(folder), asked.weeks, asked.learners, asked.seed, asked.work):
            print(figures.line(), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
