"""What is written down beforehand as not run is not planned anew for the same two on that day."""

from __future__ import annotations

import csv
from pathlib import Path

from genplan import workflow
from genplan.evidence.results import COLUMNS
from genplan.keeping.store import read_kept
from genplan.plan import Sitting
from genplan.planning.progress import no_progress
from tests.fixtures.small_case import WEDNESDAY, WEEK


def write_off(case: Path, visit: Sitting, time: str = "") -> None:
    with (case / "results.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        rows.writeheader()
        for p in visit.probes:
            adult, location, material_set = p.combination
            row = {"date": visit.start.date(), "time": time, "target": p.target, "adult": adult}
            row |= {
                "location": location,
                "material_set": material_set,
                "kind": "not run",
                "note": "on a trip",
            }
            rows.writerow(row)


def pairs_of_days(sittings: tuple[Sitting, ...]) -> set[tuple[str, str, object]]:
    return {(s.learner, s.adult, s.start.date()) for s in sittings}


def test_it_is_told_as_cancelled_and_not_put_in_its_own_place_again(case: Path) -> None:
    week = workflow.told_week(case, WEEK, WEDNESDAY)
    visit = next(s.sitting for s in week.sittings if s.sitting.adult == "gran" and not s.begun)
    write_off(case, visit)
    outcome, kept = workflow.replan(case, WEEK, WEDNESDAY, None, True, no_progress)
    assert kept is not None
    assert (visit.learner, visit.adult, visit.start.date()) not in pairs_of_days(outcome.plan.sittings)
    stored = read_kept(case, WEEK, workflow.open_case(case, WEDNESDAY).case)
    assert stored is not None
    told = next(t for t in stored.told if t.sitting.id == visit.id)
    assert told.cancelled
    assert not workflow.told_week(case, WEEK, WEDNESDAY).struck


def test_only_rows_of_its_own_time_write_it_off(case: Path) -> None:
    week = workflow.told_week(case, WEEK, WEDNESDAY)
    visit = next(s.sitting for s in week.sittings if s.sitting.adult == "gran" and not s.begun)
    write_off(case, visit, "00:01")
    assert not workflow.told_week(case, WEEK, WEDNESDAY).struck
    write_off(case, visit, f"{visit.start:%H:%M}")
    assert workflow.told_week(case, WEEK, WEDNESDAY).struck == (visit,)
