"""What people were told of before a week counts as met only as far as it can still be held: for the plan, the question
why, the forecast and the term alike."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from genplan import workflow
from genplan.case import Week
from genplan.evidence.results import COLUMNS
from genplan.language import Speech, speaking
from genplan.plan import Note, NoteKind
from genplan.report.document import plan_document
from genplan.report.forecast_lines import forecast_lines
from genplan.report.term_lines import term_lines
from genplan.report.term_page import term_page
from genplan.report.why_lines import why_lines
from genplan.text.notes import note_text
from genplan.workflow import ChangeRequest
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK, silent, small_case

NEXT = WEEK.next()
OF_TOLD = (NoteKind.TOLD_AS_MET, NoteKind.TOLD_NOT_HELD, NoteKind.TOLD_HELD_IN_PART)


def told_notes(plan_notes: Sequence[Note]) -> list[tuple[NoteKind, tuple[Week, ...], int]]:
    return [(n.kind, n.weeks, n.of) for n in plan_notes if n.kind in OF_TOLD]


def without_gran(case: Path, now: datetime) -> int:
    """She is away for the rest of the week; how many sittings that `week` says cannot be held any more."""
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 6)), now)
    lost = [s for s in workflow.told_week(case, None, now).sittings if s.fell_through]
    assert {s.sitting.adult for s in lost} == {"gran"}
    return len(lost)


def test_a_told_week_that_can_be_held_counts_as_before(case: Path) -> None:
    plan = workflow.plan(case, NEXT, SUNDAY, None, silent).plan
    assert told_notes(plan.notes) == [(NoteKind.TOLD_AS_MET, (), 0)]


def test_what_can_no_longer_be_held_is_open_for_the_next_week(case: Path) -> None:
    held_before = {
        p.combination for s in workflow.told_week(case, None, SUNDAY).sittings for p in s.sitting.probes
    }
    lost = without_gran(case, SUNDAY)
    assert lost
    combinations = {
        p.combination
        for s in workflow.told_week(case, None, SUNDAY).sittings
        if s.fell_through
        for p in s.sitting.probes
    }
    outcome = workflow.plan(case, NEXT, SUNDAY, None, silent)
    planned = {p.combination for s in outcome.plan.sittings for p in s.probes}
    assert len(planned) == min(5, 2 + len(combinations))  # five a week, and two had no room in the kept one
    assert not planned & (held_before - combinations)
    assert planned & combinations
    assert told_notes(outcome.plan.notes) == [
        (NoteKind.TOLD_AS_MET, (), 0),
        (NoteKind.TOLD_NOT_HELD, (WEEK,), lost),
    ]
    (line,) = (
        r
        for r in plan_document(outcome.case, outcome.plan)["remarks"]
        if r["kind"] == NoteKind.TOLD_NOT_HELD.value
    )
    assert (line["weeks"], line["of"]) == ([str(WEEK)], lost)
    json.dumps(line)


def test_where_nothing_of_it_can_be_held_nothing_is_said_to_be_met(tmp_path: Path, case: Path) -> None:
    workflow.change(case, ChangeRequest("away", "lark", end=datetime(2026, 12, 6)), SUNDAY)
    plan = workflow.plan(case, NEXT, SUNDAY, None, silent).plan
    assert told_notes(plan.notes) == [(NoteKind.TOLD_NOT_HELD, (WEEK,), 5)]
    untold = workflow.plan(small_case(tmp_path / "untold"), NEXT, SUNDAY, None, silent).plan
    assert plan.coverage == untold.coverage
    assert sum(len(s.probes) for s in plan.sittings) == 5


def test_why_the_forecast_and_the_term_say_it_in_one_sentence(case: Path) -> None:
    lost = without_gran(case, SUNDAY)
    sentence = note_text(
        workflow.open_case(case, SUNDAY).case, Note(kind=NoteKind.TOLD_NOT_HELD, weeks=(WEEK,), of=lost)
    )
    assert sentence.startswith(f"{lost} sittings of 2026-W49 can no longer be held and are not counted;")

    asked = workflow.why(case, NEXT, SUNDAY, silent)
    assert sentence in list(why_lines(asked.case, asked.plan, asked.why, asked.learners))

    view = workflow.forecast(case, NEXT, SUNDAY, 3, silent)
    assert f"- {sentence}" in list(forecast_lines(view.case, view.forecast))

    term = workflow.term(case, NEXT, SUNDAY, 3, silent)
    lines = term_lines(term.case, term.term, term.now, begun=False, not_counted=term.not_counted)
    assert sentence in list(lines)
    page = term_page(term.case, term.term, term.now, begun=False, not_counted=term.not_counted)
    assert sentence.replace("'", "&#39;") in page


def test_the_forecast_needs_longer_for_what_cannot_be_held(case: Path) -> None:
    before = workflow.forecast(case, NEXT, SUNDAY, 3, silent).forecast.targets[0]
    workflow.change(case, ChangeRequest("away", "lark", end=datetime(2026, 12, 6)), SUNDAY)
    after = workflow.forecast(case, NEXT, SUNDAY, 3, silent).forecast.targets[0]
    # two probes are left for its first week, or else seven, of which a week holds five
    assert (before.coverage.line, after.coverage.line) == (0, 1)


def test_the_same_of_a_week_counts_for_each_week_after_it(case: Path) -> None:
    """What the same run plans for the week after it takes nothing from what was told."""
    lost = without_gran(case, SUNDAY)
    outcomes = workflow.plan_weeks(case, NEXT, 2, SUNDAY, None, silent)
    expected = [(NoteKind.TOLD_AS_MET, (), 0), (NoteKind.TOLD_NOT_HELD, (WEEK,), lost)]
    assert [told_notes(o.plan.notes) for o in outcomes] == [expected, expected]


def test_what_is_written_down_already_stays_as_it_was_written(case: Path) -> None:
    """Wednesday's sitting was run before its hour, and gran is away from then on."""
    (today,) = (
        s.sitting
        for s in workflow.told_week(case, None, WEDNESDAY).sittings
        if not s.begun and s.sitting.start.date() == WEDNESDAY.date()
    )
    lost = without_gran(case, WEDNESDAY)
    (probe,) = today.probes
    adult, location, material = probe.combination
    row = f"2026-12-02,,puts-on,probe,{adult},{location},{material},5,5,,,,"
    (case / "results.csv").write_text(f"{','.join(COLUMNS)}\n{row}\n", encoding="utf-8")
    plan = workflow.plan(case, NEXT, WEDNESDAY, None, silent).plan
    assert probe.combination not in {p.combination for s in plan.sittings for p in s.probes}
    others = lost - (today.adult == "gran")
    counted = {kind: of for kind, _weeks, of in told_notes(plan.notes)}
    assert counted.get(NoteKind.TOLD_NOT_HELD, 0) == others


def test_of_a_sitting_that_loses_a_probe_the_rest_counts(tmp_path: Path) -> None:
    second = (
        "  takes-off: {learner: lark, name: Takes it off, correct_when: It is off within a minute,"
        " mastered_on: 2026-10-01,\n"
        "            taught: [{adult: mum, location: home, material_set: boots}], cover: all}\n"
    )
    case = small_case(tmp_path / "case", second)
    out = tmp_path / "out"
    workflow.plan(case, WEEK, SUNDAY, out, silent)
    workflow.keep(case, None, out, SUNDAY, silent)
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(text[:-2].rstrip("}") + ", state: paused}\n", "utf-8")
    told = workflow.told_week(case, None, SUNDAY)
    parts = [s for s in told.sittings if s.left is not None and s.is_otherwise]
    assert parts
    kept = {p.combination for s in parts for p in (s.left.probes if s.left else ())}
    plan = workflow.plan(case, NEXT, SUNDAY, None, silent).plan
    assert not kept & {p.combination for s in plan.sittings for p in s.probes}
    assert (NoteKind.TOLD_HELD_IN_PART, (WEEK,), len(parts)) in told_notes(plan.notes)


def test_it_is_said_in_german_too(case: Path) -> None:
    known = workflow.open_case(case, SUNDAY).case
    with speaking(Speech("de")):
        one = note_text(known, Note(kind=NoteKind.TOLD_NOT_HELD, weeks=(WEEK,), of=1))
        more = note_text(known, Note(kind=NoteKind.TOLD_HELD_IN_PART, weeks=(WEEK,), of=2))
    assert one.startswith("1 Sitzung von 2026-W49 ist nicht mehr möglich und wird nicht mitgezählt;")
    assert more.startswith(
        "2 Sitzungen von 2026-W49 sind nur noch ohne einen Teil ihrer Überprüfungen möglich"
    )
