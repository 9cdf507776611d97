"""In the middle of a kept week: what was run is told as run, what is only planned is not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.results import COLUMNS
from genplan.forecast import Verdict
from genplan.forecast.rates import rate_of
from genplan.keeping.optimistic_log import optimistic_log
from genplan.keeping.store import read_kept
from genplan.plan import NoteKind, Sitting
from genplan.text.notes import note_text, remarks
from genplan.workflow.notes_of_plan import left_unwritten, unwritten_notes
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK, silent, small_case

NOW = ["--now", "2026-12-02T12:00"]


def told(case: Path) -> tuple[Sitting, ...]:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    return kept.sittings


def write_down(
    case: Path, sitting: Sitting, kind: str = "probe", counts: str = "5,4", note: str = ""
) -> None:
    """One row about the first probe of a sitting."""
    adult, location, material = sitting.probes[0].combination
    row = f"{sitting.start:%Y-%m-%d},,puts-on,{kind},{adult},{location},{material},{counts},,,,{note}"
    (case / "results.csv").write_text(f"{','.join(COLUMNS)}\n{row}\n", encoding="utf-8")


def test_what_is_planned_is_not_told_as_met(case: Path) -> None:
    """Monday's probe was not met. From Wednesday on three more are planned, of which nothing is known."""
    write_down(case, told(case)[0], counts="5,1")
    found = workflow.forecast(case, None, WEDNESDAY, 2, silent).forecast
    assert found.assumptions.told_before
    (target,) = found.targets
    assert (target.rate.met, target.rate.not_met) == (0, 1)


def test_what_is_planned_says_nothing_of_how_often_or_where_it_is_met(case: Path) -> None:
    """Of the plans that start from the week, and of the weeks that the forecast looks at, too: there it counts as met,
    and no more."""
    write_down(case, told(case)[0], counts="5,1")
    opened = workflow.open_case(case, WEDNESDAY)
    ahead = optimistic_log(opened.log, [s for s in told(case) if s.start > opened.now])
    assert len(ahead.results) > len(opened.log.results)
    (target,) = opened.case.mastered
    rate = rate_of(opened.case, target, ahead)
    assert (rate.met, rate.not_met) == (0, 1)
    breaks = where_it_breaks([target], ahead)
    assert (breaks.met, breaks.probes, breaks.teaching.others.probes) == (0, 1, 1)


def test_what_people_were_told_of_is_not_reached_already(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The kept week holds all that the wish, the criterion and the coverage ask for; none of it was run yet."""
    case = small_case(tmp_path / "case")
    text = (case / "case.yaml").read_text("utf-8")
    wishes = "first: [{location: yard, by: 2026-12-20}], generalised_when: {adults: 1}, cover: each-value}"
    (case / "case.yaml").write_text(text.replace("cover: all}", wishes), encoding="utf-8")
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    last = max(s.start.date() for s in told(case))
    (target,) = workflow.forecast(case, None, SUNDAY.replace(day=30), 2, silent).forecast.targets
    (wish,) = target.wishes
    assert (target.coverage.done, target.coverage.line) == (False, -1)
    assert target.generalised is not None
    assert (target.generalised.done, target.generalised.line) == (False, -1)
    assert (wish.done, wish.verdict) == (False, Verdict.YES)
    assert wish.line is not None
    assert WEEK.monday <= wish.line <= last
    assert main(["forecast", str(case), "--weeks", "2", "--now", "2026-11-30T12:00"]) == 0
    said = capsys.readouterr().out
    assert "already" not in said.replace("is reached already", "")
    assert (
        "by Sunday 6 December (2026-W49), if the probes that people were told of until then are met." in said
    )
    assert main(["forecast", str(case), "--weeks", "2", "--now", "2026-11-30T12:00", "--csv"]) == 0
    rows = capsys.readouterr().out
    assert ",no,2026-W49,2026-12-06," in rows
    assert ",yes," not in rows.replace(",yes,no,", ",")  # a verdict, then whether it is done


def test_a_wish_that_the_told_week_keeps_too_late_is_not_in_time(tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(text.replace("cover: all}", "cover: each-value}"), encoding="utf-8")
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    last = max(s.start.date() for s in told(case))
    (place,) = {p.combination[1] for s in told(case) if s.start.date() == last for p in s.probes[-1:]}
    wish = f"first: [{{location: {place}, by: {last.replace(day=last.day - 1)}}}], cover: each-value}}"
    (case / "case.yaml").write_text(text.replace("cover: all}", wish), encoding="utf-8")
    now = SUNDAY.replace(day=30)
    ((found,),) = [t.wishes for t in workflow.forecast(case, None, now, 2, silent).forecast.targets]
    assert (found.done, found.line, found.verdict) == (False, last, Verdict.EARLIER)


@pytest.mark.parametrize(
    ("kind", "counts", "note"), [("probe", "5,4", ""), ("probe", "5,0", ""), ("not run", ",", "she said no")]
)
def test_a_check_that_was_written_down_is_not_planned_any_more(
    case: Path, kind: str, counts: str, note: str, capsys: pytest.CaptureFixture[str]
) -> None:
    monday, *later = told(case)
    key = monday.probes[0].target, monday.probes[0].combination
    assert workflow.matrix(case, WEDNESDAY).planned[key] == (monday,)
    write_down(case, monday, kind, counts, note)
    planned = workflow.matrix(case, WEDNESDAY).planned
    assert key not in planned
    assert {s.id for seats in planned.values() for s in seats} == {s.id for s in later}
    assert main(["matrix", str(case), "--csv", "-", *NOW]) == 0
    assert monday.id not in capsys.readouterr().out


def test_nor_in_the_files_of_a_plan_of_the_rest_of_the_week(case: Path, tmp_path: Path) -> None:
    monday, tuesday, *_ = told(case)
    write_down(case, monday)
    outcome = workflow.plan(case, WEEK, WEDNESDAY, tmp_path / "out", silent)
    assert {monday.id, tuesday.id} <= {s.id for s in outcome.plan.sittings if s.begun}
    rows = (tmp_path / "out" / "matrix.csv").read_text("utf-8")
    assert monday.id not in rows
    assert tuesday.id in rows  # nobody has written down yet whether it was run
    assert f'"planned": "{monday.id}"' not in (tmp_path / "out" / "plan.json").read_text("utf-8")
    grid = (tmp_path / "out" / "week.html").read_text("utf-8")
    assert "before: met" not in grid


def test_that_what_has_begun_and_is_not_written_down_counts_as_met_is_said(case: Path) -> None:
    """On Wednesday, of the weeks after this one; not once everything that has begun is written down."""
    said = "So are the probes of 2026-W49 that have begun and of which nothing is written down yet."

    def remarks_of(case: Path) -> list[bool]:
        outcomes = workflow.plan_weeks(case, WEEK, 2, WEDNESDAY, None, silent)
        return [said in remarks(o.case, o.plan) for o in outcomes]

    assert remarks_of(case) == [False, True]
    rows = [
        f"{s.start:%Y-%m-%d},,{p.target},probe,{','.join(p.combination)},5,4,,,,"
        for s in told(case)
        if s.start.replace(tzinfo=None) < WEDNESDAY.replace(tzinfo=None)
        for p in s.probes
    ]
    (case / "results.csv").write_text("\n".join([",".join(COLUMNS), *rows, ""]), encoding="utf-8")
    assert remarks_of(case) == [False, False]


def test_a_row_of_another_day_leaves_it_planned(case: Path) -> None:
    thursday = next(s for s in told(case) if s.start.date() == date(2026, 12, 3))
    adult, location, material = thursday.probes[0].combination
    row = f"2026-11-27,,puts-on,probe,{adult},{location},{material},5,4,,,,"
    (case / "results.csv").write_text(f"{','.join(COLUMNS)}\n{row}\n", encoding="utf-8")
    assert workflow.matrix(case, WEDNESDAY).planned[thursday.probes[0].target, thursday.probes[0].combination]


TWO = """\
  takes-off: {learner: lark, name: Takes it off, correct_when: It is off within a minute, mastered_on: 2026-10-01,
              taught: [{adult: mum, location: home, material_set: boots}], cover: all, minutes: 10}
"""


def rows_of(file: Path, sitting: str) -> list[list[str]]:
    lines = [line.split(",") for line in file.read_text("utf-8").splitlines()]
    return [cells for cells in lines if cells[1] == sitting]


def test_what_was_not_run_of_a_begun_sitting_takes_no_time_any_more(tmp_path: Path) -> None:
    """Settling takes 5 minutes, the two probes 5 and 10: of 20 minutes 10 are left, of plan.csv's two rows one."""
    case = small_case(tmp_path / "case", TWO)
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    both = next(s for s in told(case) if s.start.date() < date(2026, 12, 2) and len(s.probes) == 2)
    long = next(p for p in both.probes if p.target == "takes-off")
    row = f"{both.start:%Y-%m-%d},,takes-off,not run,{','.join(long.combination)},,,,,,she said no"
    (case / "results.csv").write_text(f"{','.join(COLUMNS)}\n{row}\n", encoding="utf-8")
    outcome = workflow.plan(case, WEEK, WEDNESDAY, tmp_path / "out", silent)
    (cells,) = rows_of(tmp_path / "out" / "plan.csv", both.id)
    end = both.start.replace(minute=both.start.minute + 10)
    assert cells[3] == "puts-on"
    assert cells[8:10] == [both.start.isoformat(), end.isoformat()]
    # what people were told of what is past stays as it was
    assert outcome.differences == ()
    workflow.keep(case, WEEK, tmp_path / "out", WEDNESDAY, silent)
    kept = rows_of(case / "weeks" / str(WEEK) / "plan.csv", both.id)
    assert [c[9] for c in kept] == [both.end.isoformat()] * 2


def test_what_nobody_wrote_down_is_planned_again_and_that_is_said(case: Path) -> None:
    """Of the kept week one sitting is written down. The week after it says how many of the others are not; so does the
    one after that, and after a fortnight nothing. In the middle of the week those that are ahead are not over."""
    write_down(case, told(case)[0])
    number, later = len(told(case)), timedelta(days=7)
    for now, weeks, unwritten in (
        (SUNDAY + later, (WEEK.next(),), number - 1),
        (WEDNESDAY, (WEEK.next(),), sum(s.end.replace(tzinfo=None) <= WEDNESDAY for s in told(case)) - 1),
        (SUNDAY + later, (WEEK,), 0),
        (SUNDAY + 4 * later, (WEEK.next(),), 0),
    ):
        opened = workflow.open_case(case, now)
        found = [
            n.of
            for week in weeks
            for n in unwritten_notes(opened, week)
            if n.kind is NoteKind.UNWRITTEN_AS_NOT_RUN
        ]
        assert found == ([unwritten] if unwritten else []), now
    (note,) = (
        n
        for n in unwritten_notes(workflow.open_case(case, SUNDAY + later), WEEK.next())
        if n.kind is NoteKind.UNWRITTEN_AS_NOT_RUN
    )
    sittings = f"{number - 1} sittings" if number > 2 else "one sitting"
    assert note_text(opened.case, note).startswith(
        f"Nothing is written down of {sittings} of 2026-W49 that people"
    )


def test_what_is_written_down_in_part_is_said_with_what_is_not(case: Path) -> None:
    """A sitting of two probes, of which the row speaks of the first alone."""
    opened = workflow.open_case(case, SUNDAY + timedelta(days=7))
    sitting = told(case)[0]
    first = sitting.probes[0]
    other = replace(first, combination=(first.combination[0], first.combination[1], "another"))
    write_down(case, sitting)
    log = workflow.open_case(case, SUNDAY).log
    assert left_unwritten(replace(sitting, probes=(first, other)), log) == (other,)
    assert left_unwritten(replace(sitting, probes=(first,)), log) == ()
    assert left_unwritten(sitting, opened.log) == sitting.probes
