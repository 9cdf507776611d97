"""Since when a target that is still taught meets its criterion, and what lapsed where it was taught."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan import workflow
from genplan.case import Case, PassMark, Target, TargetState
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.mastery import CriterionMet, Lapse, criterion_met, lapses
from genplan.evidence.standing import standings
from genplan.plan import NoteKind
from genplan.report.document import plan_document
from genplan.report.evidence_lines import progress_lines, review_lines
from genplan.report.review_page import review_page
from genplan.text.mastery import criterion_met_text, lapse_text
from tests.fixtures.evidence_case import CASE, target
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

HOME, PARK = ("mum", "home", "coats"), ("mum", "park", "coats")
TAUGHT_AT_HOME = {"adult": "mum", "location": "home", "material_set": "coats"}
BASE = replace(
    target("zips", "mum|dad|grandad", "home|park", "coats|jackets"),
    pass_mark=PassMark(4, 5),
    taught=(TAUGHT_AT_HOME,),
)
TEACHING = replace(BASE, state=TargetState.TEACHING, criterion=PassMark(9, 10))


def row(day: int, counts: str, kind: str = "teaching", where: tuple[str, ...] = HOME) -> Result:
    """`9/10` of a day in November; the empty text was not counted."""
    correct, trials = map(int, counts.split("/")) if counts else (None, None)
    return Result(
        line=day, date=date(2026, 11, day), time=None, target="zips", kind=ResultKind(kind), combination=where,
        trials=trials, correct=correct,
    )  # fmt: skip


def log(*rows: Result) -> Log:
    return Log.of(replace(r, line=n) for n, r in enumerate(rows, 2))


def since(days: int, *rows: Result) -> int | None:
    found = criterion_met(replace(TEACHING, criterion_days=days), log(*rows))
    return found.since.day if found else None


@pytest.mark.parametrize(
    ("rows", "one", "two"),
    [
        ([], None, None),
        ([(3, "9/10")], 3, None),
        ([(3, "8/10")], None, None),
        ([(3, "9/10"), (4, "10/10")], 3, 4),
        # the days of teaching are in a row, not those of the calendar
        ([(3, "9/10"), (9, "9/10")], 3, 9),
        ([(3, "9/10"), (4, "8/10"), (5, "9/10")], 5, None),
        ([(3, "9/10"), (4, "8/10")], None, None),
        # what was not counted says nothing
        ([(3, "9/10"), (4, ""), (5, "9/10")], 3, 5),
        # several of a day are one: 4/5 and 5/5 are 9/10, 4/5 and 4/5 are not
        ([(3, "4/5"), (3, "5/5")], 3, None),
        ([(3, "4/5"), (3, "4/5")], None, None),
        ([(3, "9/10"), (4, "9/10"), (5, "9/10")], 3, 4),
    ],
)
def test_since_when_a_criterion_is_met(rows: list[tuple[int, str]], one: int | None, two: int | None) -> None:
    given_rows = [row(*r) for r in rows]
    assert (since(1, *given_rows), since(2, *given_rows)) == (one, two)


def test_the_whole_row_of_days_is_counted() -> None:
    found = criterion_met(
        replace(TEACHING, criterion_days=2),
        log(row(2, "1/10"), row(3, "9/10"), row(4, "10/10"), row(6, "9/10")),
    )
    assert found == CriterionMet("zips", date(2026, 11, 4), days=3, correct=28, trials=30)


def test_only_teaching_of_a_target_in_teaching_with_a_criterion_is_looked_at() -> None:
    rows = log(row(3, "10/10"))
    assert criterion_met(TEACHING, rows)
    assert criterion_met(replace(TEACHING, state=TargetState.MASTERED), rows) is None
    assert criterion_met(replace(TEACHING, criterion=None), rows) is None
    assert criterion_met(TEACHING, log(row(3, "10/10", "probe"))) is None
    # in whichever combination it was taught, and helped trials are not correct
    assert criterion_met(TEACHING, log(row(3, "10/10", where=PARK)))
    assert criterion_met(TEACHING, log(replace(row(3, "0/10"), prompted=10))) is None


@given(st.lists(st.tuples(st.integers(1, 12), st.integers(7, 10)), max_size=12), st.integers(1, 3))
def test_every_day_since_then_ends_enough_days_in_a_row(
    given_rows: list[tuple[int, int]], wanted: int
) -> None:
    """Said in another way: on each day of teaching from then on, the last days before and with it were met."""
    rows = [row(day, f"{correct}/10") for day, correct in given_rows]
    days = sorted({day for day, _ in given_rows})
    good = {
        day: 10 * sum(c for d, c in given_rows if d == day) >= 9 * 10 * sum(d == day for d, _ in given_rows)
        for day in days
    }
    holds = [i + 1 >= wanted and all(good[d] for d in days[i + 1 - wanted : i + 1]) for i in range(len(days))]
    from_then = [day for i, day in enumerate(days) if all(holds[i:])]
    assert since(wanted, *rows) == (from_then[0] if from_then else None)


def lapsed(*rows: Result, of: Target = BASE) -> tuple[Lapse, ...]:
    kept = log(*rows)
    return lapses(of, kept, standings(of, kept))


def test_a_lapse_is_what_was_taught_and_is_not_met() -> None:
    there = Lapse("zips", HOME, date(2026, 11, 5), 2, 5)
    assert lapsed() == ()
    assert lapsed(row(5, "2/5", "probe")) == (there,)
    assert lapsed(row(4, "5/5", "probe"), row(5, "2/5", "maintenance")) == (there,)
    # teaching does not undo it, a probe that is met does
    assert lapsed(row(5, "2/5", "probe"), row(6, "5/5")) == (there,)
    assert lapsed(row(5, "2/5", "probe"), row(6, "5/5"), row(7, "4/5", "probe")) == ()
    assert lapsed(row(5, "2/5", "probe", PARK)) == ()
    assert lapsed(row(5, "2/5", "probe"), of=TEACHING) == ()


def test_what_was_taught_with_any_wording_lapses_with_each() -> None:
    asks = replace(target("zips", "mum|dad", "home|park", "coats|jackets", "Up|On"), taught=(TAUGHT_AT_HOME,))
    known = lapsed(
        row(5, "1/5", "probe", (*HOME, "Up")), row(5, "0/5", "probe", ("dad", *HOME[1:], "Up")), of=asks
    )
    assert known == (Lapse("zips", (*HOME, "Up"), date(2026, 11, 5), 1, 5),)


def test_the_words_ask_the_practitioner() -> None:
    case = with_target(replace(TEACHING, criterion_days=2, name="Zips up"))
    met = CriterionMet("zips", date(2026, 11, 3), 3, 28, 30)
    assert criterion_met_text(case, met) == (
        "'Zips up' meets its criterion of 9/10 since 3 November 2026 (28 of 30 trials on 3 days in a row of teaching):"
        " ask the practitioner, then say in the case that it is mastered."
    )
    assert "(9 of 10 trials on 1 day of teaching)" in criterion_met_text(
        case, CriterionMet("zips", met.since, 1, 9, 10)
    )
    assert lapse_text(case, Lapse("zips", HOME, date(2026, 11, 5), 2, 5)) == (
        "'Zips up' was not met on 5 November 2026 where it was taught (Mum, Home, Coats: 2 of 5): ask the practitioner"
        " before anything new is tried."
    )


def with_target(one: Target) -> Case:
    return replace(CASE, targets={one.id: one})


HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
TEACHES = """\
  ties: {learner: lark, name: Ties a bow, correct_when: It holds, state: teaching, criterion: 9/10,
         taught: [{adult: mum, location: home, material_set: hats}]}
"""
ROWS = (
    "2026-11-03,,ties,teaching,mum,home,hats,10,9,,,,\n"
    "2026-11-24,,puts-on,maintenance,mum,home,boots,5,1,,,,\n"
    "2026-12-01,,ties,teaching,mum,home,hats,10,2,,,,\n"
)
LAPSE = (
    "'Puts it on' was not met on 24 November 2026 where it was taught (Mum, Home, Two boots: 1 of 5): ask the"
    " practitioner before anything new is tried."
)
MET = (
    "'Ties a bow' meets its criterion of 9/10 since 3 November 2026 (9 of 10 trials on 1 day of teaching): ask the"
    " practitioner, then say in the case that it is mastered."
)


def folder(path: Path, planned: str) -> Path:
    case = small_case(path, TEACHES)
    text = (case / "case.yaml").read_text("utf-8").replace(", days:", f", plan_teaching: {planned}, days:")
    (case / "case.yaml").write_text(text, "utf-8")
    (case / "results.csv").write_text(HEAD + ROWS, "utf-8")
    return case


def test_progress_and_review_say_it_first_of_a_target(tmp_path: Path) -> None:
    case = folder(tmp_path / "case", "no")
    found = workflow.progress(case, None, SUNDAY)
    told = [line.strip() for line in progress_lines(found.case, found.reviews)]
    assert told[told.index("Puts it on (puts-on)") + 1] == LAPSE
    assert told[told.index("Ties a bow (ties)") + 1] == MET
    short = [line.strip() for line in review_lines(found.case, found.reviews)]
    assert short[short.index("Puts it on (puts-on)") + 1] == LAPSE
    page = review_page(found.case, found.reviews[0], found.now)
    assert page.index("was not met on 24 November 2026 where it was taught") < page.index("What happened")


def test_check_says_at_the_state_that_the_criterion_is_met(tmp_path: Path) -> None:
    told = [f.sentence() for f in workflow.check(folder(tmp_path / "case", "yes"), SUNDAY)]
    assert (
        "case.yaml:19: targets.ties.state: 'teaching', and its criterion of 9/10 is met since 2026-11-03. Ask the"
        " practitioner, then set 'state: mastered'."
    ) in told


@pytest.mark.parametrize("planned", ["yes", "no"])
def test_a_plan_says_it_where_teaching_is_planned(tmp_path: Path, planned: str) -> None:
    outcome = workflow.plan(folder(tmp_path / "case", planned), WEEK, SUNDAY, None, silent)
    document = json.loads(json.dumps(plan_document(outcome.case, outcome.plan)))
    kinds = [NoteKind(n["kind"]) for n in document["remarks"]]
    silent_about_it = "'Ties a bow' is still being taught, so it is not probed."
    unsaid = (
        f"{silent_about_it} No teaching of it is planned until the case says how often a week it is taught."
    )
    assert (silent_about_it in document["notes"], unsaid in document["notes"]) == (
        planned == "no",
        planned == "yes",
    )
    if planned == "no":
        assert not {NoteKind.LAPSED_WHERE_TAUGHT, NoteKind.CRITERION_MET} & set(kinds)
        assert all("seen" not in n for n in document["remarks"])
        return
    assert document["notes"][0] == LAPSE
    assert document["remarks"][0] == {
        "kind": "lapsed where taught", "learner": "", "target": "puts-on", "location": "", "days": [], "why": None,
        "weeks": [], "sentence": LAPSE,
        "seen": {
            "target": "puts-on", "combination": ["mum", "home", "boots"], "on": "2026-11-24", "correct": 1, "trials": 5,
        },
    }  # fmt: skip
    assert MET in document["notes"]  # the row of 1 December is still to come
    seen = next(n["seen"] for n in document["remarks"] if n["kind"] == "criterion met")
    assert seen == {"target": "ties", "since": "2026-11-03", "days": 1, "correct": 9, "trials": 10}
