"""Marks: one sign a trial, by which two who counted are compared trial by trial."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from operator import eq
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan.evidence.agreement import agreement
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.marks import filled_by_marks
from genplan.evidence.results import read_results
from tests.fixtures.evidence_case import CASE, HEADER, append_result, write

ROW = "2026-11-24,16:10,zips,probe,mum,home,coats"


def marked(line: int, marks: str, other: str = "") -> Result:
    return Result(
        line=line,
        date=date(2026, 11, line),
        time=None,
        target="zips",
        kind=ResultKind.PROBE,
        combination=("mum", "home", "coats"),
        trials=len(marks),
        correct=marks.count("+"),
        prompted=marks.count("p"),
        observer="dad" if other else "",
        observer_correct=other.count("+") if other else None,
        marks=marks,
        observer_marks=other,
    )


def told(folder: Path, row: str, header: str = f"{HEADER},marks,observer_marks") -> list[str]:
    _, findings = read_results(write(folder, row, header=header), CASE)
    return [f.sentence() for f in findings]


def test_marks_that_agree_with_the_counts_are_read(tmp_path: Path) -> None:
    assert told(tmp_path, f"{ROW},5,3,1,dad,4,,++-p+,+++-+") == []
    log, _ = read_results(tmp_path, CASE)
    assert (log.results[0].marks, log.results[0].observer_marks) == ("++-p+", "+++-+")


def test_what_a_phone_or_a_spreadsheet_makes_of_a_sign_is_read(tmp_path: Path) -> None:
    assert told(tmp_path, f"{ROW},5,3,1,,,,+ + \u2212 P +,") == []
    assert read_results(tmp_path, CASE)[0].results[0].marks == "++-p+"
    assert told(tmp_path, f"{ROW},3,0,0,,,,'---,") == []


def test_counts_left_empty_follow_from_the_marks(tmp_path: Path) -> None:
    assert told(tmp_path, f"{ROW},,,,dad,,,++-p+,+++-+") == []
    (row,) = read_results(tmp_path, CASE)[0].results
    assert (row.trials, row.correct, row.prompted, row.observer_correct) == (5, 3, 1, 4)


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("5,3,1,,,,++-p,", "found 4 in all beside 5 in 'trials'"),
        ("5,4,1,,,,++-p+,", "found 3 of '+' beside 4 in 'correct'"),
        ("5,3,2,,,,++-p+,", "found 1 of 'p' beside 2 in 'prompted'"),
        ("5,3,1,dad,3,,++-p+,++++-", "found 4 of '+' beside 3 in 'observer_correct'"),
        ("5,3,1,dad,3,,,+++", "found 3 in all beside 5 in 'trials'"),
        ("5,3,1,,,,++xp+,", "found 'x' in '++xp+'"),
    ],
)
def test_marks_that_contradict_are_told_with_their_line(tmp_path: Path, cells: str, words: str) -> None:
    (sentence,) = told(tmp_path, f"{ROW},{cells}")
    assert words in sentence
    assert sentence.startswith("results.csv:2")


def test_what_was_not_run_has_no_marks(tmp_path: Path) -> None:
    row = f"{ROW.replace('probe', 'not run')},,,,,,ill,++,"
    (sentence,) = told(tmp_path, row)
    assert "found '++' in a row that was not run" in sentence


def test_an_old_file_gets_the_columns_at_its_end_only_when_they_are_written(tmp_path: Path) -> None:
    write(tmp_path, f"{ROW},5,4,,,,")
    plain = {
        "date": "2026-11-25", "target": "zips", "kind": "probe", "adult": "mum", "location": "home",
        "material_set": "coats", "trials": "2", "correct": "1", "prompted": "0",
    }  # fmt: skip
    append_result(tmp_path, CASE, plain)
    assert (tmp_path / "results.csv").read_text("utf-8").splitlines()[0] == HEADER
    append_result(tmp_path, CASE, plain | {"date": "2026-11-26", "marks": "+-"})
    lines = (tmp_path / "results.csv").read_text("utf-8").splitlines()
    assert lines[:2] == [f"{HEADER},marks", f"{ROW},5,4,,,,,"]
    # a cell that a spreadsheet would run has an apostrophe before it
    assert lines[-1].endswith(",'+-")
    assert read_results(tmp_path, CASE)[0].results[-1].marks == "+-"


# R. Artstein and M. Poesio, Computational Linguistics 34 (2008), table 1: two who judged 100 items, both yes on 20,
# both no on 50, apart on 20 and 10: 0.70 agreed, kappa 0.348; as scikit-learn's own test of cohen_kappa_score gives it.
def test_a_published_example_of_kappa() -> None:
    one, other = "+" * 40 + "-" * 60, "+" * 20 + "-" * 20 + "+" * 10 + "-" * 50
    seen = agreement([marked(1, one, other)])
    assert seen.trial_agreement == Fraction(70, 100)
    assert seen.kappa is not None
    assert float(seen.kappa) == pytest.approx(0.348, abs=5e-4)


def test_signs_that_part_are_agreed_on_where_neither_was_correct_without_help() -> None:
    seen = agreement([marked(1, "++p-+", "++--p")])
    assert (seen.trial_agreement, seen.sign_agreement) == (Fraction(4, 5), Fraction(3, 5))


def test_marks_and_totals_together() -> None:
    rows = [marked(1, "++-", "+-+"), replace(marked(2, "++--", "+++-"), marks="")]
    seen = agreement(rows)
    # of the first 1 of 3, of the second between 1 of 4 and 3 of 4
    assert (seen.marked, seen.marked_trials, seen.trial_agreement) == (1, 3, Fraction(1, 3))
    assert (seen.lowest, seen.highest) == (Fraction(2, 7), Fraction(4, 7))


def test_of_totals_alone_no_kappa_is_told() -> None:
    told = replace(marked(1, "+++++", "++++-"), marks="", observer_marks="")
    seen = agreement([told])
    assert (seen.lowest, seen.highest) == (Fraction(4, 5), Fraction(4, 5))
    assert (seen.kappa, seen.trial_agreement) == (None, None)


@given(st.lists(st.tuples(st.sampled_from("+p-"), st.sampled_from("+p-")), min_size=1, max_size=12))
def test_the_totals_bound_what_the_marks_say(trials: list[tuple[str, str]]) -> None:
    one, other = ("".join(signs) for signs in zip(*trials, strict=True))
    exact = agreement([marked(1, one, other)])
    bare = agreement([replace(marked(1, one, other), marks="", observer_marks="")])
    assert exact.trial_agreement == exact.lowest == exact.highest
    assert bare.lowest is not None
    assert bare.highest is not None
    assert exact.trial_agreement is not None
    assert bare.lowest <= exact.trial_agreement <= bare.highest
    assert exact.sign_agreement == Fraction(sum(map(eq, one, other)), len(one))


def test_filled_in_counts_stay_where_they_were_told() -> None:
    assert filled_by_marks({"marks": "+p-", "correct": "2", "prompted": ""}) == {
        "marks": "+p-", "correct": "2", "prompted": "1", "trials": "3",
    }  # fmt: skip
