"""A case folder as the first format wrote it in November 2026 is read for ever, and what was told is told on.

The files under `frozen` are never written anew. A format that changes gets a folder of its own beside them.
"""

from __future__ import annotations

import json
import shutil
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.evidence.log import ResultKind
from genplan.keeping.store import kept_weeks, read_kept
from genplan.keeping.told import KeptWeek
from genplan.plan import Beside
from genplan.workflow import ChangeRequest

FROZEN = Path(__file__).parent / "frozen" / "2026-11"
WEEK = Week(2026, 49)
WEDNESDAY = datetime(2026, 12, 2, 12)


@pytest.fixture
def case(tmp_path: Path) -> Path:
    shutil.copytree(FROZEN, tmp_path / "case")
    return tmp_path / "case"


def kept(case: Path) -> KeptWeek:
    found = read_kept(case, WEEK, workflow.open_case(case, WEDNESDAY).case)
    assert found is not None
    return found


def test_nobody_has_changed_what_is_frozen() -> None:
    files = sorted(p for p in FROZEN.rglob("*") if p.is_file())
    told = {str(p.relative_to(FROZEN)): sha256(p.read_bytes()).hexdigest()[:12] for p in files}
    assert told == {
        "case.yaml": "67dfc54a349c",
        "changes.yaml": "fc6fdce1df35",
        "results.csv": "470e0e712691",
        "weeks/2026-W49/plan.csv": "34cdf5d81453",
        "weeks/2026-W49/told.json": "eac2bb1d4346",
    }


def test_the_case_its_changes_and_its_results_are_read(case: Path) -> None:
    opened = workflow.open_case(case, WEDNESDAY)
    assert opened.findings == ()
    target = opened.case.targets["puts-on"]
    assert target.generalised_when == {"adult": 2, "location": 2, "material_set": 2}
    assert target.first[0].by == date(2026, 12, 18)
    assert opened.case.policy.observed_share == 0.2
    assert opened.case.policy.accompany_new_adults
    assert [a.end for a in opened.case.adults["gran"].away] == [datetime(2026, 12, 4)]
    assert [(r.kind, r.correct, r.observer_correct, r.note) for r in opened.log.results] == [
        (ResultKind.PROBE, 5, None, ""),
        (ResultKind.PROBE, 2, 2, "windy, and too loud"),
        (ResultKind.TEACHING, None, None, ""),
        (ResultKind.NOT_RUN, None, None, "walked away"),
    ]


def test_the_kept_week_is_read(case: Path) -> None:
    assert kept_weeks(case) == (WEEK,)
    week = kept(case)
    assert [(t.event, t.sequence, t.cancelled) for t in week.told] == [
        ("2026-W49-mon-mum-c89", 1, False),
        ("2026-W49-tue-neighbour-c89", 1, False),
        ("2026-W49-wed-mum-c89", 1, False),
        ("2026-W49-thu-gran-c89", 3, True),
        ("2026-W49-thu-mum-c89", 1, False),
        ("2026-W49-fri-mum-c89", 1, False),
    ]
    assert [(s.beside, s.beside_as) for s in week.sittings[:3]] == [
        ("gran", Beside.OBSERVER),
        ("mum", Beside.COMPANION),
        ("", Beside.NOBODY),
    ]
    assert [p.kind.value for s in week.sittings for p in s.probes] == [
        "maintenance",
        "new",
        "retest",
        "new",
        "new",
    ]


def test_a_week_told_before_second_adults_could_be_released(case: Path) -> None:
    path = case / "weeks" / str(WEEK) / "told.json"
    document = json.loads(path.read_bytes())
    for told in document["sittings"]:
        del told["released"]
    path.write_text(json.dumps(document), encoding="utf-8")
    assert [t.released for t in kept(case).told] == [()] * len(document["sittings"])


def test_what_is_planned_for_a_day_is_proposed(case: Path) -> None:
    proposed = workflow.propose(case, date(2026, 12, 2), None, WEDNESDAY)
    assert [p.combination for p in proposed.probes] == [("mum", "yard", "boots")]


def test_the_week_is_told_on_and_no_number_falls(case: Path) -> None:
    before = {t.event: t.sequence for t in kept(case).told}
    opened = workflow.open_case(case, WEDNESDAY)
    same = workflow.keep_sittings(opened, WEEK, kept(case).sittings, opened.now)
    assert same.differences == ()
    assert {t.event: t.sequence for t in kept(case).told} == before
    workflow.change(case, ChangeRequest("closed", "yard", end=datetime(2026, 12, 6)), WEDNESDAY)
    _, again = workflow.replan(case, WEEK, WEDNESDAY, None, True, lambda _: None)
    assert again is not None
    assert again.differences
    after = {t.event: t.sequence for t in kept(case).told}
    assert before.keys() <= after.keys()
    assert all(after[event] >= number for event, number in before.items())
