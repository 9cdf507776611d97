"""A caseload lived through week by week: planned, kept, changed, recorded. Run by hand:

    python -m tests.soak.year --weeks 52 --learners 12          # with planned teaching
    python -m tests.soak.year --weeks 52 --without              # what fails waits, and is taught by chance
    python -m tests.soak.year --weeks 52 --beside               # both, and in which week each skill was through
    python -m tests.soak.year --weeks 20 --learners 3 --work 0.05 --beside    # a short one

prints a line for each week and ends at the first promise that is broken. Everybody in it is invented.

With planned teaching nothing may be open at the end but what the case makes impossible: in an empty week of it no way
of running what is left would be free (`tests/soak/left_open.py`).
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from icalendar import Calendar

from genplan import workflow
from genplan.case import Combination, Week
from genplan.casefile.identity import write_case_id
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally, tally
from genplan.evidence.row_identity import digest_of
from genplan.keeping.store import kept_weeks, read_kept
from genplan.plan import Plan, ProbeKind, Sitting
from genplan.workflow import ChangeRequest
from tests.fixtures.random_cases import CASELOAD, random_case, write_case
from tests.fixtures.shared_pool import SharedPool
from tests.soak.left_open import left_open, owed

FIRST = Week(2026, 49)
QUIET = Week(2029, 20)
"""A week about which the case knows of nothing but its weekly hours."""
WHOLE = 40
"""Weeks from which on nothing may be left open: a choice, the last failures of a year are taught by then."""


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
    taught: int
    rows: int
    open: int
    seconds: float
    megabytes: int

    def line(self) -> str:
        return (
            f"{self.week} {self.sittings:4} {self.probes:4} {self.changed:4} {self.met:4} {self.failed:4} "
            f"{self.not_run:4} {self.taught:4} {self.rows:5} {self.open:5} {self.seconds:6.1f} {self.megabytes:5}"
        )


HEADING = "week     sitt prob chng  met fail  not tght  rows  open      s    MB"


@dataclass
class Life:
    """What happens to a case folder: chance decides, by one seed. Each teaching halves how often a trial of its
    combination goes wrong (a choice of this test, no source): were it to change nothing, maintenance alone would always
    find something to teach again."""

    folder: Path
    rng: Random
    seed: int
    teaching: bool
    rates: dict[str, float] = field(default_factory=dict)
    sequences: dict[tuple[str, str], int] = field(default_factory=dict)
    results: bytes = b""
    tallies: dict[str, Tally] = field(default_factory=dict)
    counts: Counter[str] = field(default_factory=Counter)
    lessons: Counter[tuple[str, Combination]] = field(default_factory=Counter)
    failed: set[str] = field(default_factory=set)
    plan: Plan | None = None
    through: dict[str, Week] = field(default_factory=dict)

    def live(self, week: Week) -> Figures:
        began, self.counts, self.failed = time.perf_counter(), Counter(), set()
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
        self.note_through(week)
        return Figures(
            week,
            len(kept.sittings),
            sum(len(s.probes) for s in kept.sittings),
            changed,
            self.counts["met"],
            self.counts["failed"],
            self.counts["not run"],
            self.counts["taught"],
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
        self.plan = outcome.plan
        return len(kept.differences)

    def write_down(self, sittings: tuple[Sitting, ...], since: datetime, now: datetime) -> None:
        """The results of what began in the span; without planned teaching some is taught after it failed; a mistyped
        number is corrected."""
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
        right = self.mistyped(rows)
        added = workflow.record_rows(opened, rows)
        if right is None:
            return
        wrong = next(r for r in added.results if r.kind.is_test)
        self.failed.add(wrong.target)
        digest = digest_of(opened.case.targets[wrong.target], wrong)
        workflow.correct(self.folder, wrong.line, {"correct": right}, now, digest=digest)

    def mistyped(self, rows: list[dict[str, str]]) -> str | None:
        """Sometimes the first result of a test is typed as another number; the right one is written down later. None:
        nothing is wrong."""
        tests = [row for row in rows if row["kind"] in ("probe", "maintenance")]
        if not tests or self.rng.random() >= 0.5:
            return None
        right, trials = tests[0]["correct"], int(tests[0]["trials"])
        tests[0]["correct"] = str(self.rng.choice([n for n in range(trials + 1) if str(n) != right]))
        return right

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
        wrong = (1 - self.rate(s.learner)) / 2 ** self.lessons[target, p.combination]  # type: ignore[attr-defined]
        correct = sum(self.rng.random() >= wrong for _ in range(trials))
        if p.kind is ProbeKind.TEACHING:  # type: ignore[attr-defined]
            self.counts["taught"] += 1
            self.lessons[target, p.combination] += 1  # type: ignore[attr-defined]
            yield {**row, "kind": "teaching", "trials": str(trials), "correct": str(correct)}
            return
        kind = "maintenance" if p.kind is ProbeKind.MAINTENANCE else "probe"  # type: ignore[attr-defined]
        observed = {"observer": s.observer, "observer_correct": str(correct)} if s.observer else {}
        yield {**row, "kind": kind, "trials": str(trials), "correct": str(correct), **observed}
        if 5 * correct >= 4 * trials:
            self.counts["met"] += 1
            return
        self.counts["failed"] += 1
        self.failed.add(target)
        taught = s.start.date() + timedelta(days=1)
        if not self.teaching and self.rng.random() < 0.7 and taught < now.date():
            self.counts["taught"] += 1
            self.lessons[target, p.combination] += 1  # type: ignore[attr-defined]
            yield {**row, "date": taught.isoformat(), "time": "", "kind": "teaching"}

    def rate(self, learner: str) -> float:
        """How often a trial is correct before any teaching: the same in a year with planned teaching and without."""
        return self.rates.setdefault(learner, Random(f"rate {self.seed} {learner}").uniform(0.75, 0.99))

    def note_through(self, week: Week) -> None:
        """The first week after which nothing is open or owed of a skill, until something fails again."""
        for id_, count in self.tallies.items():
            if count.open or owed(count):
                self.through.pop(id_, None)
            else:
                self.through.setdefault(id_, week)

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
        assert not [p for p in hidden if p.name != ".earlier" and not p.name.endswith(".lock")], hidden
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


def a_life(
    folder: Path, learners: int, seed: int, work: float, targets: int = 3, teaching: bool = True
) -> Life:
    """A caseload before its first week."""
    case = random_case(seed, **{**CASELOAD, "learners": learners, "targets": targets})
    policy = replace(
        case.policy, plan_teaching=teaching, solver=replace(case.policy.solver, work_per_stage=work)
    )
    written = write_case(replace(case, policy=policy), folder / "case")
    # else the first week kept draws one, and no two lives of a seed would have the same events
    write_case_id(written, f"life{seed:08d}")
    return Life(written, Random(f"life {seed}"), seed, teaching)


def lived(life: Life, weeks: int, whole: bool = False) -> Iterator[Figures]:
    """Lives through the weeks; `whole`: so many that all should be through. Raises AssertionError at the first promise
    that is broken."""
    week = FIRST
    for _ in range(weeks):
        yield life.live(week)
        week = week.next()
    assert life.unexplained(week.monday) == []
    if life.teaching and whole:
        opened = workflow.open_case(life.folder, datetime.combine(week.monday, datetime.min.time()))
        left = left_open(opened.case, opened.log, QUIET)
        assert left == [], left


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--weeks", type=int, default=52)
    words.add_argument("--learners", type=int, default=12)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--targets", type=int, default=3)
    words.add_argument("--work", type=float, default=0.5)
    words.add_argument("--without", action="store_true", help="no teaching is planned")
    words.add_argument(
        "--beside", action="store_true", help="the same year with planned teaching and without"
    )
    asked = words.parse_args()
    found = []
    for teaching in (True, False) if asked.beside else (not asked.without,):
        print("with planned teaching" if teaching else "without planned teaching", HEADING, sep="\n")
        with tempfile.TemporaryDirectory() as folder:
            life = a_life(Path(folder), asked.learners, asked.seed, asked.work, asked.targets, teaching)
            weeks = []
            with SharedPool().for_all_plans():
                for figures in lived(life, asked.weeks, whole=asked.weeks >= WHOLE):
                    print(figures.line(), flush=True)
                    weeks.append(figures)
        print(ending(weeks))
        found.append(life)
    for line in through_lines(found):
        print(line)
    return 0


def ending(weeks: Sequence[Figures]) -> str:
    """What is open at the end, and how often nothing was planned, though something was open."""
    idle = [w for w in weeks if not w.sittings]
    return (
        f"open at the end: {weeks[-1].open} tuples; weeks in which nothing was planned: {len(idle)} of {len(weeks)},"
        f" with something open in {sum(w.open > 0 for w in idle)} of them"
    )


def through_lines(lives: list[Life]) -> Iterator[str]:
    """Skill by skill the week in which it was through, a column for each year."""
    yield "| skill |" + "".join(f" with{'' if a.teaching else 'out'} planned teaching |" for a in lives)
    yield "| --- |" + " --- |" * len(lives)
    for id_ in sorted(lives[0].tallies):
        yield f"| {id_} |" + "".join(f" {life.through.get(id_, 'not through')} |" for life in lives)


if __name__ == "__main__":
    sys.exit(main())
