"""What only failed, and when teaching elsewhere has answered it. The cases are our own, each reckoned in its line."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.case import Combination, PassMark, Target
from genplan.case.targets import Teach
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.only_failed import suspects
from genplan.evidence.standing import UNTESTED, Standing, Status, standings
from tests.fixtures.evidence_case import target

EACH = target("zips", "mum|dad|grandad", "home|park", "coats|jackets")
FEWEST = replace(EACH, teach=Teach.FEWEST)
KIND = {"+": ResultKind.PROBE, "-": ResultKind.PROBE, "t": ResultKind.TEACHING, "x": ResultKind.NOT_RUN}


def combination(words: str) -> Combination:
    return tuple(words.split())


def after(rows: str, of: Target = FEWEST) -> dict[str, Standing]:
    """The standings after rows such as `- dad park coats`, a day of November each: `+` met, `-` not met, `t` taught,
    `x` not run."""
    found = []
    for day, row in enumerate(rows.split(", "), 1):
        what, *values = row.split()
        counts = {"+": (5, 5), "-": (1, 5)}.get(what, (None, None))
        found.append(
            Result(
                line=day + 1,
                date=date(2026, 11, day),
                time=None,
                target="zips",
                kind=KIND[what],
                combination=tuple(values),
                correct=counts[0],
                trials=counts[1],
            )
        )
    return {" ".join(c): s for c, s in standings(of, Log.of(found)).items()}


def said(standing: Standing) -> set[str]:
    return {" ".join(value for _, value in suspect) for suspect in standing.suspects}


@pytest.mark.parametrize(
    ("failed", "met", "found"),
    [
        ("dad park coats", "", {"dad", "park", "coats"}),
        ("dad park coats", "mum home coats", {"dad", "park"}),
        # each value works somewhere: the pairs that work nowhere
        ("dad park coats", "dad home jackets, mum park coats", {"dad park", "dad coats"}),
        # each pair works somewhere: only the whole is left
        ("dad park coats", "dad park jackets, dad home coats, mum park coats", {"dad park coats"}),
        # the values of one dimension say nothing of another's
        ("dad park coats", "mum home jackets", {"dad", "park", "coats"}),
    ],
)
def test_what_only_failed(failed: str, met: str, found: set[str]) -> None:
    of_failed = suspects(EACH, combination(failed), [combination(m) for m in met.split(", ") if m])
    assert {" ".join(value for _, value in s) for s in of_failed} == found


BEFORE = "+ mum home coats, - mum park coats, - dad park coats"
"""What only failed is the park, and Dad with it in the second; from the third of November."""


def test_what_only_failed_is_told_of_what_waits() -> None:
    known = after(BEFORE)
    assert said(known["mum park coats"]) == {"park"}
    assert said(known["dad park coats"]) == {"dad", "park"}
    assert known["dad park coats"].waits_for_teaching
    assert not known["mum home coats"].suspects


def test_teaching_one_makes_the_retest_of_another_due() -> None:
    known = after(f"{BEFORE}, t dad park coats")
    assert known["dad park coats"].status is Status.TAUGHT
    other = known["mum park coats"]
    assert (other.status, other.retest_due, other.retest_from) == (Status.NOT_MET, True, date(2026, 11, 4))
    assert not other.waits_for_teaching
    assert not other.suspects


def test_a_part_of_what_only_failed_is_not_enough() -> None:
    known = after(f"{BEFORE}, t mum park coats")
    assert known["mum park coats"].retest_due
    assert said(known["dad park coats"]) == {"dad"}
    assert known["dad park coats"].waits_for_teaching


def test_of_teaching_elsewhere_that_does_not_count_the_latest_is_known() -> None:
    """Rows of teaching without trials where 4 of 5 are asked for: one before the failures, one of nothing that failed,
    one of what would do, at three days."""
    asked = replace(FEWEST, taught_when=PassMark(4, 5))
    known = after(f"t dad park coats, {BEFORE}, t dad park coats, t grandad home jackets", asked)
    days = {name: s.uncounted and s.uncounted.on.day for name, s in known.items() if s.waits_for_teaching}
    day = BEFORE.count(",") + 3
    assert days == {"mum park coats": day, "dad park coats": day}
    assert not any(s.uncounted for s in after(f"t dad park coats, {BEFORE}", asked).values())


def test_the_days_until_the_retest_are_counted_from_the_last_teaching() -> None:
    slow = replace(FEWEST, teachings_before_retest=2, retest_after_days=3)
    once = after(f"{BEFORE}, t dad park coats", slow)
    assert said(once["mum park coats"]) == {"park"}
    twice = after(f"{BEFORE}, t dad park coats, x mum park coats, t dad park coats", slow)
    assert twice["mum park coats"].retest_from == date(2026, 11, 6 + 3)


def test_teaching_before_the_failure_answers_nothing() -> None:
    known = after("+ mum home coats, - dad park coats, t dad park coats, - mum park coats")
    assert said(known["mum park coats"]) == {"park"}


def test_a_retest_stays_due_when_what_was_taught_for_it_is_met() -> None:
    """The park is met now; without regard for why, the failure would be held against its pairs and wait again."""
    known = after(f"{BEFORE}, t dad park coats, + dad park coats")
    assert known["dad park coats"].status is Status.MET
    assert known["mum park coats"].retest_due


def test_a_retest_waits_again_when_what_was_taught_for_it_failed() -> None:
    known = after(f"{BEFORE}, t dad park coats, - dad park coats")
    assert said(known["mum park coats"]) == {"park"}
    assert said(known["dad park coats"]) == {"dad", "park"}


def test_what_was_met_without_teaching_is_no_suspect_any_more() -> None:
    """Mum in the park with jackets was met untaught: what is left of the failure are its pairs that work nowhere."""
    known = after(f"{BEFORE}, + mum park jackets")
    assert said(known["mum park coats"]) == {"park coats"}
    assert said(known["dad park coats"]) == {"dad"}


def test_more_teaching_where_it_was_met_before_answers_nothing() -> None:
    known = after(f"{BEFORE}, t mum home coats")
    assert said(known["mum park coats"]) == {"park"}


def test_an_untested_combination_that_is_taught_answers_too() -> None:
    known = after(f"{BEFORE}, t dad park jackets")
    assert known["mum park coats"].retest_due
    assert known["dad park coats"].retest_due
    met = after(f"{BEFORE}, t dad park jackets, + dad park jackets")
    assert met["mum park coats"].retest_due
    assert met["dad park coats"].retest_due


def test_teaching_that_does_not_reach_the_mark_answers_nothing() -> None:
    strict = replace(FEWEST, taught_when=FEWEST.pass_mark)
    assert said(after(f"{BEFORE}, t dad park coats", strict)["mum park coats"]) == {"park"}


def test_where_each_is_taught_only_what_is_held_out_is_answered_elsewhere() -> None:
    held = replace(EACH, hold_out=({"adult": "mum", "location": "park"},))
    assert said(after(BEFORE, held)["mum park coats"]) == {"park"}
    known = after(f"{BEFORE}, t dad park coats", held)
    assert known["mum park coats"].retest_due
    plain = after(f"{BEFORE}, t dad park coats", EACH)
    assert plain["mum park coats"].waits_for_teaching
    assert not plain["mum park coats"].suspects
    assert plain.get("dad home coats", UNTESTED) == UNTESTED
