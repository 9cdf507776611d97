"""A child who is written down as ill on a day that is not over is planned nothing on it, and the plan says so."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from genplan import api, workflow
from genplan.cli import main
from genplan.keeping.store import read_kept
from genplan.plan import NoteKind, Plan
from genplan.text.notes import note_text
from tests.fixtures.small_case import SUNDAY, WEEK, silent

NOW = ("--now", f"{SUNDAY:%Y-%m-%dT%H:%M}")


def replanned(case: Path) -> Plan:
    return workflow.replan(case, WEEK, SUNDAY, None, False, silent)[0].plan


def on_thursday(case: Path) -> str:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    return next(s.id for s in kept.sittings if s.start.weekday() == 3)


@pytest.mark.parametrize(("reason", "free"), [("ill", True), ("fever: since noon", True), ("no car", False)])
def test_the_day_of_an_illness_is_kept_free_and_of_nothing_else(
    case: Path, reason: str, free: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """On Thursday somebody else has time for the child, so a plan that may tell more people has something there."""
    words = ["record", str(case), "--fell-through", on_thursday(case), "--ahead", "--note", reason, *NOW]
    assert main(words) == 0
    assert ("A new plan has no visit with L. on Thursday 3 December." in capsys.readouterr().out) is free
    plan = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    days = {s.start.weekday() for s in plan.sittings}
    assert (3 not in days) is free
    notes = [n for n in plan.notes if n.kind is NoteKind.ILL]
    assert [(n.learner, n.days) for n in notes] == ([("lark", (3,))] if free else [])
    if reason == "ill":
        again = replanned(case)
        assert 3 not in {s.start.weekday() for s in again.sittings}
        assert notes == [n for n in again.notes if n.kind is NoteKind.ILL]
    if free:
        said = note_text(workflow.open_case(case, SUNDAY).case, notes[0])
        assert said.startswith("L. is written down as ill on Thursday, so nothing is planned with L. then.")


def test_what_was_of_a_day_that_is_over_keeps_no_day_free(case: Path) -> None:
    opened = workflow.open_case(case, SUNDAY)
    with (case / "results.csv").open("a", encoding="utf-8") as file:
        if not opened.log.results:
            file.write("date,time,target,kind,adult,location,material_set,trials,correct,prompted,note\n")
        file.write("2026-11-27,,puts-on,not run,gran,home,boots,,,,ill\n")
    assert not [n for n in replanned(case).notes if n.kind is NoteKind.ILL]


def test_a_plan_from_before_an_illness_is_not_kept(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    sitting = next(s for s in kept.sittings if s.start.weekday() == 3)
    workflow.plan(case, WEEK, SUNDAY, tmp_path / "out", silent)
    words = ["record", str(case), "--fell-through", sitting.id, "--ahead", "--note", "ill", *NOW]
    assert main(words) == 0
    capsys.readouterr()
    assert main(["keep", str(case), "--from", str(tmp_path / "out"), *NOW]) == 2
    assert "Thursday 3 December" in capsys.readouterr().err
    assert read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case) == kept


def test_a_program_plans_nothing_on_the_day_of_an_illness(case: Path) -> None:
    assert (
        main(["record", str(case), "--fell-through", on_thursday(case), "--ahead", "--note", "ill", *NOW])
        == 0
    )
    opened = api.read_case(case, SUNDAY)
    with ThreadPoolExecutor(1) as executor:
        plan = api.plan_week(opened, WEEK, executor).plan
    assert 3 not in {s.start.weekday() for s in plan.sittings}
    assert api.check_plan(opened, plan) == ()
