"""Baseline probes: of what nobody has taught, kept apart from everything, and told beside what is met later."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from genplan.case.targets import TargetState
from genplan.coverage.matrix import matrix
from genplan.coverage.review import Happened, review
from genplan.coverage.tally import tally
from genplan.evidence.agreement import agreement
from genplan.evidence.baseline import baselines
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.history import history
from genplan.evidence.log import Log
from genplan.evidence.mastery import criterion_met, lapses
from genplan.evidence.procedure import procedure_kept
from genplan.evidence.results import read_results
from genplan.evidence.standing import UNTESTED, Status, standings
from genplan.report.evidence_lines import history_lines, progress_lines
from genplan.text.matrix_rows import row_text
from tests.fixtures.evidence_case import CASE, HEADER, write

ZIPS = CASE.targets["zips"]
HERE = ("mum", "home", "coats")
BEFORE = "2026-11-03,,zips,baseline,mum,home,coats,5,5,,,,"
FAILED = "2026-11-03,,zips,baseline,mum,park,coats,5,1,,,,"
AFTER = "2026-11-20,,zips,probe,mum,home,coats,5,5,,,,", "2026-11-20,,zips,probe,mum,park,coats,5,5,,,,"


def log_of(folder: Path, *rows: str) -> Log:
    log, findings = read_results(write(folder, *rows), CASE)
    assert [f for f in findings if f.severity.value == "error"] == []
    return log


def said(folder: Path, *rows: str) -> list[str]:
    return [f.sentence() for f in read_results(write(folder, *rows), CASE)[1]]


def test_what_was_seen_before_decides_nothing(tmp_path: Path) -> None:
    """Every figure is as if the rows were not there."""
    bare = [
        AFTER[0],
        "2026-11-21,,zips,teaching,dad,home,coats,,,,,,",
        "2026-11-22,,zips,probe,dad,park,coats,5,1,,,,",
    ]
    with_them = [BEFORE, FAILED, "2026-11-04,,zips,baseline,dad,park,jackets,5,0,,dad,0,", *bare]
    one, two = log_of(tmp_path, *bare), log_of(tmp_path, *with_them)
    known = {c: s for c, s in standings(ZIPS, two).items() if s != UNTESTED}
    assert known == standings(ZIPS, one)
    counted = [tally(CASE, ZIPS, log, date(2026, 11, 28)) for log in (one, two)]
    for name in ("possible", "tested", "taught", "met", "open"):
        assert len({getattr(count, name) for count in counted}) == 1, name
    for figure in (agreement, procedure_kept):
        assert figure(one.results) == figure(two.results)
    assert where_it_breaks([ZIPS], one) == where_it_breaks([ZIPS], two)
    mastering = replace(ZIPS, state=TargetState.TEACHING)
    assert criterion_met(mastering, one) == criterion_met(mastering, two)
    assert lapses(ZIPS, one, standings(ZIPS, one)) == lapses(ZIPS, two, standings(ZIPS, two))


def test_a_later_met_is_told_from_one_that_was_always_there(tmp_path: Path) -> None:
    log = log_of(tmp_path, BEFORE, FAILED, *AFTER)
    seen = baselines(ZIPS, log)
    assert {c: (s.met, s.on) for c, s in seen.items()} == {
        HERE: (True, date(2026, 11, 3)),
        ("mum", "park", "coats"): (False, date(2026, 11, 3)),
    }
    rows = {
        r.combination: r for r in matrix(CASE, tally(CASE, ZIPS, log, date(2026, 11, 28)), date(2026, 11, 28))
    }
    assert rows[HERE].status == Status.MET
    assert row_text(CASE, rows[HERE]) == "met before it was taught, 2026-11-03"
    assert row_text(CASE, rows["mum", "park", "coats"]) == "not met (1 of 5) before it was taught, 2026-11-03"
    assert row_text(CASE, rows["dad", "home", "coats"]) == ""


def test_progress_review_and_history_tell_of_it(tmp_path: Path) -> None:
    log = log_of(tmp_path, BEFORE, *AFTER)
    found = review(CASE, "wren", log, date(2026, 11, 1), date(2026, 11, 28))
    told = " ".join(" ".join(progress_lines(CASE, [found])).split())
    assert "Met before it was taught, 3 Nov 2026: Mum, Home, Coats; met now." in told
    (zips,) = (t for t in found.targets if t.target.id == "zips")
    assert [e.what for e in zips.events][:1] == [Happened.BASELINE]
    lines = " ".join(history_lines(CASE, ZIPS, history(ZIPS, log)))
    assert "line 2: 2026-11-03 baseline 5/5" in lines
    assert "line 2: 2026-11-03 baseline 5/5 ->" not in lines


def test_a_later_row_of_the_same_moment_corrects_it_and_a_probe_does_not(tmp_path: Path) -> None:
    again = BEFORE.replace(",5,5,", ",5,1,")
    assert not baselines(ZIPS, log_of(tmp_path, BEFORE, again))[HERE].met
    log = log_of(tmp_path, BEFORE, BEFORE.replace("baseline", "probe").replace(",5,5,", ",5,0,"))
    assert baselines(ZIPS, log)[HERE].met
    assert standings(ZIPS, log)[HERE].status is Status.NOT_MET


def test_one_after_teaching_is_not_told_as_from_before_it(tmp_path: Path) -> None:
    log = log_of(
        tmp_path,
        "2026-11-03,,zips,baseline,mum,home,coats,5,0,,,,",
        "2026-11-05,,zips,teaching,mum,home,coats,,,,,,",
        "2026-11-06,,zips,baseline,mum,home,coats,5,5,,,,",
        "2026-11-06,,zips,teaching,mum,park,coats,,,,,,",
        "2026-11-07,,zips,baseline,mum,park,coats,5,5,,,,",
        AFTER[0],
    )
    assert {c: (s.on.day, s.met) for c, s in baselines(ZIPS, log).items()} == {HERE: (3, False)}
    found = review(CASE, "wren", log, date(2026, 11, 1), date(2026, 11, 28))
    told = " ".join(" ".join(progress_lines(CASE, [found])).split())
    assert "Not met (0 of 5) before it was taught, 3 Nov 2026: Mum, Home, Coats; met now." in told
    assert "6 Nov 2026: Mum" not in told
    (zips,) = (t for t in found.targets if t.target.id == "zips")
    late = [e.entry.result.date.day for e in zips.events_of(Happened.LATE_BASELINE)]
    assert late == [6, 7]
    assert [e.entry.result.date.day for e in zips.events_of(Happened.BASELINE)] == [3]


@pytest.mark.parametrize(
    ("mastered_on", "state", "is_late"),
    [
        (None, TargetState.MASTERED, True),
        (date(2026, 11, 2), TargetState.MASTERED, True),
        (date(2026, 11, 4), TargetState.MASTERED, False),
        (None, TargetState.TEACHING, False),
    ],
)
def test_one_of_a_mastered_skill_where_it_was_taught_is_too_late(
    tmp_path: Path, mastered_on: date | None, state: TargetState, is_late: bool
) -> None:
    skill = replace(
        ZIPS, taught=({"adult": "mum", "location": "home"},), state=state, mastered_on=mastered_on
    )
    case = replace(CASE, targets={**CASE.targets, "zips": skill})
    log, findings = read_results(write(tmp_path, BEFORE, FAILED), case)
    assert [f.line for f in findings] == ([2] if is_late else [])
    assert [f for f in findings if "'taught' of the target names" not in f.sentence()] == []
    assert set(baselines(skill, log)) == ({("mum", "park", "coats")} | (set() if is_late else {HERE}))


@pytest.mark.parametrize("kind", ["teaching", "probe", "maintenance"])
def test_one_that_comes_too_late_is_warned_of(tmp_path: Path, kind: str) -> None:
    (warning,) = said(tmp_path, AFTER[0].replace("probe", kind), BEFORE.replace("11-03", "11-25"))
    assert f"a baseline probe after the row '{kind}' on line 2" in warning
    assert said(tmp_path, BEFORE, AFTER[0].replace("probe", kind)) == []


def test_it_needs_its_counts_like_any_probe(tmp_path: Path) -> None:
    assert len(said(tmp_path, "2026-11-03,,zips,baseline,mum,home,coats,,,,,,")) == 2
    (tmp_path / "results.csv").write_text(f"{HEADER},marks,steps_kept\n{BEFORE},+++++,7/8\n", "utf-8")
    log, findings = read_results(tmp_path, CASE)
    assert [f.key for f in findings] == ["observer", "steps_kept"]
    assert log.results[0].steps_kept == (7, 8)
