"""A planned teaching read back from plan.csv and from a filled sheet, and which rows tell of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from pathlib import Path

import pytest

from genplan.errors import CaseError
from genplan.evidence.append_rows import append_results
from genplan.evidence.filled_sheet import FilledSheet, read_filled
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.planned_probes import not_recorded, read_planned
from genplan.evidence.results import read_results
from tests.fixtures.evidence_case import CASE, HEADER

PLAN = "week,sitting,learner,target,kind,adult,location,material_set,start,end,trials,beside,beside_as"
LESSON = (
    "2026-W49,s1,wren,zips,teaching,dad,park,jackets,2026-12-01T15:30:00+00:00,2026-12-01T15:45:00+00:00,5"
    ",mum,teacher"
)
COMBINATION = ("dad", "park", "jackets")
TUESDAY = date(2026, 12, 1)
MORE = "correct,prompted,note,not_run_because,done"


def a_row(kind: str, on: date = TUESDAY) -> Result:
    return Result(line=2, date=on, time=None, target="zips", kind=ResultKind(kind), combination=COMBINATION)


def read_lesson(folder: Path, line: str = LESSON):  # type: ignore[no-untyped-def]
    (folder / "plan.csv").write_text(f"{PLAN}\n{line}\n", "utf-8")
    return read_planned(folder / "plan.csv", CASE)


@pytest.mark.parametrize(
    ("kind", "of_a_probe", "of_a_lesson"),
    [
        ("teaching", False, True),
        ("not run", True, True),
        ("probe", True, False),
        ("maintenance", True, False),
    ],
)
def test_which_rows_tell_of_a_planned_probe_and_of_a_planned_teaching(
    kind: str, of_a_probe: bool, of_a_lesson: bool
) -> None:
    log = Log.of([a_row(kind)])
    assert log.speaks_of("zips", COMBINATION, TUESDAY) is of_a_probe
    assert log.speaks_of("zips", COMBINATION, TUESDAY, teaching=True) is of_a_lesson
    assert not log.speaks_of("zips", COMBINATION, date(2026, 12, 2), teaching=True)


def test_a_planned_teaching_is_read_as_one_and_has_no_observer(tmp_path: Path) -> None:
    (found,) = read_lesson(tmp_path)
    assert (found.kind, found.combination, found.trials, found.observer) == (
        ResultKind.TEACHING,
        COMBINATION,
        5,
        "",
    )
    (found,) = read_lesson(tmp_path, LESSON.replace("teacher", "observer"))
    assert found.observer == ""


def test_a_planned_teaching_is_proposed_until_a_lesson_or_a_reason_is_written_down(tmp_path: Path) -> None:
    planned = read_lesson(tmp_path)
    for kind, left in (("probe", 1), ("teaching", 0), ("not run", 0)):
        assert len(not_recorded(planned, Log.of([a_row(kind)]), TUESDAY)) == left


def test_one_lesson_does_not_tell_of_two(tmp_path: Path) -> None:
    """Two are planned for the day; the row with the time of the second tells of that one, one without a time of the
    first."""
    later = LESSON.replace("15:30", "16:30").replace("15:45", "16:45")
    first, second = read_lesson(tmp_path, f"{LESSON}\n{later}")
    untimed, timed = a_row("teaching"), replace(a_row("teaching"), time=time(16, 30), line=3)
    for rows, left in (([untimed], (second,)), ([timed], (first,)), ([untimed, timed], ())):
        assert not_recorded((first, second), Log.of(rows), TUESDAY) == left


# A filled sheet


def sheet(folder: Path, *lines: str) -> FilledSheet:
    (folder / "filled.csv").write_bytes(("\n".join(lines) + "\n").encode())
    return read_filled(folder / "filled.csv", CASE, read_results(folder, CASE)[0])


def filled(folder: Path, cells: str) -> FilledSheet:
    return sheet(folder, f"{PLAN},{MORE}", f"{LESSON},{cells}")


@pytest.mark.parametrize("tick", ["yes", "Yes", "x", "X", "✓"])
def test_a_tick_is_enough_for_a_planned_teaching(tmp_path: Path, tick: str) -> None:
    (row,) = append_results(tmp_path, CASE, filled(tmp_path, f",,,,{tick}").rows)[0]
    assert (row.kind, row.trials, row.correct, row.date) == (ResultKind.TEACHING, None, None, TUESDAY)


@pytest.mark.parametrize(
    ("cells", "counts"),
    [
        ("3,2,went well,,", (5, 3, 2, "went well")),
        (",4,,,x", (5, None, 4, "")),
        (",,went well,,", (None, None, None, "went well")),
    ],
)
def test_counts_and_a_word_on_a_planned_teaching(tmp_path: Path, cells: str, counts: object) -> None:
    (row,) = append_results(tmp_path, CASE, filled(tmp_path, cells).rows)[0]
    assert (row.trials, row.correct, row.prompted, row.note) == counts


def test_a_planned_teaching_that_nobody_filled_in_is_left_out(tmp_path: Path) -> None:
    found = filled(tmp_path, ",,,,")
    assert (found.rows, found.empty) == ((), (2,))


def test_a_planned_teaching_that_was_not_run(tmp_path: Path) -> None:
    (row,) = append_results(tmp_path, CASE, filled(tmp_path, ",,,W. said no,").rows)[0]
    assert (row.kind, row.note) == (ResultKind.NOT_RUN, "W. said no")


@pytest.mark.parametrize(
    ("cells", "key", "words"),
    [
        (",,,,no", "done", "'yes' or 'x'"),
        (",,,,half", "done", "'yes' or 'x'"),
        (",,,ill,yes", "done", "beside a reason for not running it"),
        ("6,,,,", "correct", "at most 5"),
    ],
)
def test_what_cannot_be_read_of_a_planned_teaching(tmp_path: Path, cells: str, key: str, words: str) -> None:
    with pytest.raises(CaseError) as error:
        filled(tmp_path, cells)
    (found,) = error.value.findings
    assert (found.line, found.key) == (2, key)
    assert words in found.sentence()


def test_a_probe_is_not_done_by_a_tick(tmp_path: Path) -> None:
    """It has to be counted."""
    with pytest.raises(CaseError) as error:
        sheet(tmp_path, f"{PLAN},{MORE}", f"{LESSON.replace('teaching', 'retest')},,,,,yes")
    (found,) = error.value.findings
    assert found.key == "correct"
    assert "A tick under 'done' is enough for a teaching; of a probe write how many were correct" in str(
        found.sentence()
    )


def test_a_teaching_that_no_plan_has_is_whole_without_a_count(tmp_path: Path) -> None:
    found = sheet(tmp_path, HEADER, "2026-11-20,16:30,zips,teaching,mum,home,coats,,,,,,")
    assert (len(found.rows), found.empty) == (1, ())


def test_a_sheet_with_a_lesson_handed_in_twice_adds_nothing(tmp_path: Path) -> None:
    append_results(tmp_path, CASE, filled(tmp_path, ",,,,yes").rows)
    again = filled(tmp_path, ",,,,yes")
    assert (again.rows, again.known) == ((), ((2, 2),))
