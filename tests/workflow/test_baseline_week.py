"""A week with baseline probes, from the policy to the row: planned, drawn, kept, written down, not planned again."""

from __future__ import annotations

import csv
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.cli import main
from genplan.evidence.log import ResultKind
from genplan.evidence.results import COLUMNS
from genplan.keeping.store import read_kept
from genplan.plan import Plan, ProbeKind
from genplan.report.terminal import week_summary
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

LATE = datetime(2026, 12, 6, 20)
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """The skill is still taught with Mum at home with the boots; two of all others are asked for."""
    folder = small_case(tmp_path / "case")
    file = folder / "case.yaml"
    text = file.read_text("utf-8")
    assert text.count("mastered_on: 2026-10-01") == 1
    file.write_text(
        text.replace("mastered_on: 2026-10-01", "state: teaching").replace(
            "days: mon-fri,", "days: mon-fri, baseline_per_target: 2,"
        ),
        "utf-8",
    )
    return folder


def planned(plan: Plan) -> list[tuple[str, ...]]:
    return [p.combination for s in plan.sittings for p in s.probes if p.kind is ProbeKind.BASELINE]


def test_from_the_policy_to_the_row(case: Path, tmp_path: Path, capsys: Capture) -> None:
    out = tmp_path / "out"
    assert main(["plan", str(case), "--week", str(WEEK), "--now", "2026-11-29T12:00", "--out", str(out)]) == 0
    with (out / "plan.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [r["kind"] for r in rows] == ["baseline", "baseline"]
    assert ("mum", "home", "boots") not in {(r["adult"], r["location"], r["material_set"]) for r in rows}
    assert "baseline: before it is taught" in (out / "sheets.html").read_text("utf-8")
    assert "(baseline)" in (out / "calendars" / "all.ics").read_text("utf-8").replace("\r\n ", "")
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    for row in rows:
        what = ["--target", row["target"], "--adult", row["adult"], "--location", row["location"]]
        what += ["--material-set", row["material_set"], "--date", row["start"][:10], "--correct", "5"]
        assert main(["record", str(case), *what, "--now", LATE.isoformat(timespec="minutes")]) == 0
    assert "as a baseline probe, and so it is written down as one" in capsys.readouterr().out
    opened = workflow.open_case(case, LATE)
    assert [r.kind for r in opened.log.results][-2:] == [ResultKind.BASELINE] * 2
    assert planned(workflow.plan(case, WEEK.next(), LATE, None, silent).plan) == []


def test_a_wish_for_a_sitting_with_a_baseline_probe_is_kept(case: Path) -> None:
    """Of two that are asked for a third is not owed."""
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    told = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert told
    hold = PlannersWish(kind=WishKind.HOLD, sitting=told.sittings[0].id)
    workflow.wish(case, hold, SUNDAY)
    plan = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    assert [w.kept for w in plan.wishes] == [True]
    assert len(planned(plan)) == 2


def test_what_does_not_fit_is_left_out_with_its_reason(case: Path) -> None:
    file = case / "case.yaml"
    text = file.read_text("utf-8").replace("baseline_per_target: 2", "baseline_per_target: 9")
    file.write_text(text.replace("probes_per_target_per_week: 5", "probes_per_target_per_week: 1"), "utf-8")
    outcome = workflow.plan(case, WEEK, SUNDAY, None, silent)
    (item,) = (x for x in outcome.plan.left_out if x.kind is ProbeKind.BASELINE)
    assert len(planned(outcome.plan)) == 1
    assert item.teachings >= 1
    assert "baseline probe" in week_summary(outcome.case, outcome.plan)


def test_one_that_was_not_run_is_owed_again_and_a_lesson_is_too_late(case: Path) -> None:
    plan = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    adult, place, used = planned(plan)[0]
    head = ",".join(COLUMNS)
    day = (SUNDAY - timedelta(days=3)).date()
    for kind, owed in (("not run", 2), ("baseline", 1)):
        counts = "5,5,,,," if kind == "baseline" else ",,,,,ill"
        row = f"{day},,puts-on,{kind},{adult},{place},{used},{counts}"
        (case / "results.csv").write_text("\n".join([head, row]) + "\n", "utf-8")
        again = planned(workflow.plan(case, WEEK, SUNDAY, None, silent).plan)
        assert len(again) == owed, kind
        assert kind == "not run" or (adult, place, used) not in again
    taught = f"{day},,puts-on,teaching,{adult},{place},{used},,,,,,"
    (case / "results.csv").write_text("\n".join([head, taught]) + "\n", "utf-8")
    assert (adult, place, used) not in planned(workflow.plan(case, WEEK, SUNDAY, None, silent).plan)


def test_without_the_key_nothing_is_planned(case: Path) -> None:
    file = case / "case.yaml"
    file.write_text(file.read_text("utf-8").replace("baseline_per_target: 2", "baseline_per_target: 0"))
    assert workflow.plan(case, WEEK, SUNDAY, None, silent).plan.sittings == ()
