"""A teaching that was written down wrongly is corrected, or taken back, by a later row; no row is lost."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.audit.context import AuditContext
from genplan.cli import main
from genplan.errors import UsageError
from genplan.evidence.standing import standings
from genplan.plan import Plan
from tests.fixtures.local_server import form_fields, running
from tests.fixtures.small_case import WEEK, small_case

NOW = datetime(2026, 11, 29, 12)
HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
FAILED = "2026-11-20,,puts-on,probe,gran,yard,hats,5,1,,,,\n"
TAUGHT = "2026-11-21,16:00,puts-on,teaching,gran,yard,hats,5,5,,,,\n"
WHERE = ("gran", "yard", "hats")
NAMED = ["--target", "puts-on", "--date", "2026-11-21", "--now", "2026-11-29T12:00"]


def a_case(folder: Path, rows: str = FAILED + TAUGHT) -> Path:
    case = small_case(folder)
    (case / "results.csv").write_text(HEAD + rows, "utf-8")
    return case


def is_due(case: Path) -> bool:
    """Whether the combination that failed was taught, and is due for a retest."""
    opened = workflow.open_case(case, NOW)
    return standings(opened.case.targets["puts-on"], opened.log)[WHERE].retest_due


def rows(case: Path) -> list[str]:
    return (case / "results.csv").read_text("utf-8").splitlines(keepends=True)[1:]


def test_a_lesson_that_was_not_held_is_taken_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = a_case(tmp_path / "case")
    assert is_due(case)
    assert main(["record", str(case), "--corrects", "3", "--kind", "not-run", "--note", "ill", *NAMED]) == 0
    said = capsys.readouterr().out
    assert "Added to results.csv as line 4: not run. It counts in place of line 3" in said
    assert rows(case)[:2] == [FAILED, TAUGHT]
    assert rows(case)[2] == "2026-11-21,16:00,puts-on,not run,gran,yard,hats,,,,,,ill\n"
    assert not is_due(case)
    opened = workflow.open_case(case, NOW)
    audited = AuditContext(opened.case, opened.log, Plan.of_sittings(WEEK, opened.now, ()), {}, ())
    assert audited.rows["puts-on"] == list(opened.log.of_target("puts-on"))
    assert main(["history", str(case), "--target", "puts-on", "--now", "2026-11-29T12:00"]) == 0
    assert (
        "line 3: 2026-11-21 16:00 teaching 5/5, corrected by line 4: does not count"
        in capsys.readouterr().out
    )


def test_the_counts_of_a_lesson_are_corrected(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = a_case(tmp_path / "case")
    text = (case / "case.yaml").read_text("utf-8").replace("cover: all", "cover: all, taught_when: 4/5")
    (case / "case.yaml").write_text(text, "utf-8")
    assert is_due(case)
    assert main(["record", str(case), "--corrects", "3", "--correct", "2", *NAMED]) == 0
    assert "It does not count as teaching" in capsys.readouterr().out
    assert not is_due(case)


@pytest.mark.parametrize(
    ("line", "row", "changes", "said"),
    [
        (3, TAUGHT.replace("16:00", ""), {"correct": "3"}, "a teaching without a time"),
        (2, TAUGHT, {"kind": "not run", "note": "ill"}, "a probe, and only its counts can be corrected"),
        (3, TAUGHT, {"kind": "not run"}, "Why was it not run?"),
    ],
)
def test_what_cannot_be_corrected_says_what_to_do(
    tmp_path: Path, line: int, row: str, changes: dict[str, str], said: str
) -> None:
    case = a_case(tmp_path / "case", FAILED + row)
    named = {"target": "puts-on", "date": f"2026-11-{18 + line if line == 3 else 20}"}
    with pytest.raises(UsageError, match=said.replace("?", r"\?")):
        workflow.correct(case, line, changes, NOW, named)
    assert rows(case) == [FAILED, row]


def test_two_lessons_of_a_day_both_count(tmp_path: Path) -> None:
    """At two times, and without times: as before."""
    for n, time in enumerate(("17:00", "")):
        case = a_case(tmp_path / str(n), FAILED + TAUGHT + TAUGHT.replace("16:00", time))
        assert len(workflow.open_case(case, NOW).log.of_target("puts-on")) == 3


def test_the_page_takes_a_lesson_back(tmp_path: Path) -> None:
    case = a_case(tmp_path / "case")
    with running(case) as local:
        assert "/history/puts-on/3" in local.get("/history/puts-on").text
        page = local.get("/history/puts-on/3").text
        fields = form_fields(page, page.count("<form") - 1) | {"never": ["yes"], "note": ["ill"]}
        assert local.post("/history/puts-on/3", fields).status == 303
    assert not is_due(case)
