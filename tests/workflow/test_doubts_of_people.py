"""What is asked of the people a row names, and what a child who is ill on a day ahead is still planned for."""

from __future__ import annotations

import shutil
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.workflow import RecordRequest
from tests.fixtures.places import EXAMPLES

APRON = {"target": "amira-apron", "adult": "orla", "location": "classroom", "material_set": "paint-apron"}
MONDAY, TUESDAY = datetime(2026, 11, 30, 18), datetime(2026, 12, 1, 18)
PLANNED = """\
week,sitting,learner,target,kind,adult,location,material_set,group,start,end,trials
2026-W49,2026-W49-tue-celeste-0ab,amira,amira-apron,new,celeste,classroom,paint-apron,,2026-12-01T12:50:00+00:00,2026-12-01T13:10:00+00:00,2
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    case = Path(shutil.copytree(EXAMPLES / "school-transfer", tmp_path / "case"))
    week = case / "weeks" / "2026-W49"
    week.mkdir(parents=True)
    (week / "plan.csv").write_text(PLANNED, "utf-8")
    return case


def doubts(folder: Path, moment: datetime, **more: object) -> str:
    asked: list[str] = []

    def no(found: workflow.Doubts) -> bool:
        asked.extend(found.unlikely)
        return True

    workflow.record(folder, RecordRequest(**{**APRON, "trials": 2, **more}), moment, no)  # type: ignore[arg-type]
    return "\n".join(asked)


def test_a_child_who_was_away_at_the_time_is_asked_about(folder: Path) -> None:
    at = datetime(2026, 12, 1, 9, 30)
    told = doubts(folder, TUESDAY, date=at.date(), time=at.time(), correct=2)
    assert told.splitlines()[0].startswith(
        "Am. was away then by what is written down, on Tuesday 1 December."
    )


def test_another_adult_than_the_planned_one_is_asked_about(folder: Path) -> None:
    told = doubts(folder, TUESDAY, date=TUESDAY.date(), correct=2)
    assert told.startswith("Celeste was planned for 'Puts on an apron' on Tuesday 1 December, not ")
    assert "was planned" not in doubts(folder, TUESDAY, date=TUESDAY.date(), correct=2, adult="celeste")


@pytest.mark.parametrize(
    ("note", "correct", "asks"),
    [
        ("refused after try 2", 0, True),
        ("wollte nicht: sie weinte", 0, True),
        ("refused after try 2", 2, False),
        ("she ran it calmly", 0, False),
    ],
)
def test_a_refusal_that_would_count_as_not_met_is_asked_about(
    folder: Path, note: str, correct: int, asks: bool
) -> None:
    told = doubts(folder, MONDAY, date=MONDAY.date(), correct=correct, note=note)
    assert ("write 'not run' instead" in told) is asks


OFF = ["--fell-through", "2026-W49-tue-celeste-0ab", "--note", "ill: A.", "--now", "2026-11-30T16:00"]


def test_what_is_still_ahead_is_called_off_and_not_written_down(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", None)
    before = (folder / "results.csv").read_bytes()
    assert main(["record", str(folder), *OFF]) == 2
    told = capsys.readouterr().err
    assert "with --ahead it is added all the same" in told
    assert told.strip().endswith(f"genplan change {folder} --not 2026-W49-tue-celeste-0ab")
    assert (folder / "results.csv").read_bytes() == before


def test_how_to_keep_a_child_free_who_is_ill_on_a_day_ahead_is_said(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", None)
    assert main(["record", str(folder), *OFF, "--ahead"]) == 0
    told = capsys.readouterr().out
    assert "A new plan has no visit with Am. on Tuesday 1 December." in told
    command = told.strip().splitlines()[-1].split()
    assert command == f"genplan change {folder} --away amira --from 2026-12-01 --to 2026-12-01".split()
    assert main([*command[1:], "--now", "2026-11-30T16:00"]) == 0


def test_people_places_and_things_may_be_typed_by_name(folder: Path) -> None:
    by_name = {"target": "Puts on an apron", "adult": "Celeste", "location": "classroom"}
    workflow.record(
        folder, RecordRequest(**{**APRON, **by_name, "trials": 2, "correct": 2}), MONDAY, lambda _: True
    )  # type: ignore[arg-type]
    assert ",celeste,classroom,paint-apron," in (folder / "results.csv").read_text("utf-8").splitlines()[-1]
