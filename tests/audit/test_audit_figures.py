"""Every figure of a plan, changed in one place. The good plan's own figures are worked out by hand here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from genplan.audit import audit
from genplan.case import TargetState
from genplan.case.possible import Obstacle, Rule
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.standing import Standing
from genplan.plan import Plan, TargetCoverage
from tests.fixtures.audited_world import World, probe

GOOD = World()


def complaints_of(world: World, plan: Plan) -> tuple[str, ...]:
    return audit(world.case, world.log, plan, world.busy, world.kept)


def test_the_figures_by_hand() -> None:
    rows = {row.target: row for row in GOOD.plan.coverage}
    # zips: taught shows 3; sitting a (mum, park, coats) 3 new; c (grandad, home, coats) 3 new; open are
    # grandad-park, grandad-jackets and park-jackets, which one probe finishes
    assert rows["zips"] == TargetCoverage(
        learner="wren",
        target="zips",
        possible=12,
        shown_before=3,
        tested_before=0,
        met_before=0,
        new=6,
        open=3,
        fewest_further=1,
        fewest_proven=1,
    )
    # greets: sitting a shows 3 of 12; the 2x2x2 array of 4 rows holds one more row for each of the others
    assert rows["greets"] == TargetCoverage(
        learner="wren",
        target="greets",
        possible=12,
        shown_before=0,
        tested_before=0,
        met_before=0,
        new=3,
        open=9,
        fewest_further=3,
        fewest_proven=3,
    )
    # buttons: b and d show 3 each of 2 + 2 + 4 = 8; open are park-jackets and home-ribbons
    assert rows["buttons"] == TargetCoverage(
        learner="robin",
        target="buttons",
        possible=8,
        shown_before=0,
        tested_before=0,
        met_before=0,
        new=6,
        open=2,
        fewest_further=2,
        fewest_proven=2,
    )
    assert [p.new_tuples for s in GOOD.plan.sittings for p in s.probes] == [3, 3, 3, 3, 3]
    assert len(GOOD.plan.matrix) == 4 + 8 + 8
    assert GOOD.complaints() == ()


def test_a_probe_shows_less_than_was_shown_earlier_in_the_week() -> None:
    """Sitting c with jackets: home-jackets was taught, so grandad-home and grandad-jackets are new."""
    c = GOOD.sittings["c"]
    world = GOOD.seated(replace(c, probes=(probe("zips", "grandad home jackets"),)))
    assert [p.new_tuples for s in world.plan.sittings if s.id == "c" for p in s.probes] == [2]
    assert world.complaints() == ()


@pytest.mark.parametrize("by", [-1, 1])
@pytest.mark.parametrize(
    ("figure", "words"),
    [
        ("possible", "12 tuples possible"),
        ("shown_before", "tuples shown before"),
        ("tested_before", "tuples tested before"),
        ("met_before", "tuples met before"),
        ("new", "tuples new"),
        ("open", "tuples open"),
    ],
)
def test_a_wrong_figure_of_coverage(figure: str, words: str, by: int) -> None:
    plan = GOOD.plan
    rows = [
        replace(r, **{figure: getattr(r, figure) + by}) if r.target == "zips" else r for r in plan.coverage
    ]
    (complaint,) = complaints_of(GOOD, replace(plan, coverage=tuple(rows)))
    assert complaint.startswith("Target zips: its coverage says ")
    assert words.removeprefix("12 ") in complaint


@pytest.mark.parametrize(
    ("further", "proven", "words"),
    [
        (0, 0, "0 further probes for 3 open tuples cannot be"),
        (4, 1, "4 further probes for 3 open tuples cannot be"),
        (1, 2, "2 further probes are said to be needed, and 1 are enough"),
    ],
)
def test_further_probes_that_cannot_be(further: int, proven: int, words: str) -> None:
    plan = GOOD.plan
    rows = tuple(
        replace(r, fewest_further=further, fewest_proven=proven) if r.target == "zips" else r
        for r in plan.coverage
    )
    (complaint,) = complaints_of(GOOD, replace(plan, coverage=rows))
    assert words in complaint


def test_further_probes_that_may_be_more_than_the_fewest() -> None:
    plan = GOOD.plan
    rows = tuple(
        replace(r, fewest_further=3, fewest_proven=1) if r.target == "zips" else r for r in plan.coverage
    )
    assert complaints_of(GOOD, replace(plan, coverage=rows)) == ()


def test_a_proof_that_more_are_needed_than_are_enough() -> None:
    """One probe (grandad, park, jackets) shows all 3 open pairs of zips: nobody can prove that it takes two."""
    plan = GOOD.plan
    rows = tuple(
        replace(r, fewest_further=3, fewest_proven=2) if r.target == "zips" else r for r in plan.coverage
    )
    (complaint,) = complaints_of(GOOD, replace(plan, coverage=rows))
    assert complaint == "Target zips: 2 further probes are said to be needed, and 1 are enough."


def test_coverage_is_there_once_for_each_target() -> None:
    plan = GOOD.plan
    (missing,) = complaints_of(GOOD, replace(plan, coverage=plan.coverage[1:]))
    assert missing == "Target buttons: it has 0 rows of coverage instead of one."
    (twice,) = complaints_of(GOOD, replace(plan, coverage=plan.coverage + plan.coverage[:1]))
    assert twice == "Target buttons: it has 2 rows of coverage instead of one."
    stranger = replace(plan.coverage[0], target="buttonz")
    (unknown,) = complaints_of(GOOD, replace(plan, coverage=(*plan.coverage, stranger)))
    assert "no such target" in unknown


def test_a_target_that_is_not_mastered_needs_no_figures() -> None:
    world = GOOD.having("targets", "greets", state=TargetState.PAUSED)
    a = world.sittings["a"]
    world = world.seated(replace(a, probes=a.probes[:1], end=a.start.replace(minute=10)))
    assert [r.target for r in world.plan.coverage] == ["buttons", "zips"]
    assert world.complaints() == ()


def test_a_wrong_number_of_new_tuples() -> None:
    plan = GOOD.plan
    sittings = tuple(
        replace(s, probes=tuple(replace(p, new_tuples=4) for p in s.probes)) if s.id == "c" else s
        for s in plan.sittings
    )
    (complaint,) = complaints_of(GOOD, replace(plan, sittings=sittings))
    assert complaint.endswith("its probe of zips shows 3 new tuples, not 4.")


def row_of(plan: Plan, *combination: str) -> MatrixRow:
    return next(r for r in plan.matrix if r.target == "zips" and r.combination == combination)


TAUGHT = ("mum", "home", "jackets")
FAILED = ("grandad", "home", "jackets")
KNOWING = GOOD.knowing(
    ("2026-11-02", "zips", "grandad home jackets", 5, 3), ("2026-11-03", "zips", "mum park jackets", 5, 4)
)

Spoil = Callable[[MatrixRow], MatrixRow]
SPOILT: dict[str, tuple[tuple[str, ...], Spoil, str]] = {
    "taught": (TAUGHT, lambda r: replace(r, status="met"), "its status is 'taught', not 'met'"),
    "not met": (FAILED, lambda r: replace(r, status="met"), "its status is 'not met', not 'met'"),
    # 4 of 5 is the pass mark
    "met": (("mum", "park", "jackets"), lambda r: replace(r, status="not met"), "its status is 'met'"),
    "untested": (("mum", "home", "coats"), lambda r: replace(r, status="taught"), "its status is 'untested'"),
    "possible": (
        ("mum", "home", "coats"),
        lambda r: replace(r, status="not possible"),
        "its status is 'untested'",
    ),
    "date": (FAILED, lambda r: _said(r, last_date=date(2026, 11, 4)), "latest date or counts"),
    "correct": (FAILED, lambda r: _said(r, correct=2), "latest date or counts"),
    "trials": (FAILED, lambda r: _said(r, trials=4), "latest date or counts"),
    "tested": (FAILED, lambda r: _said(r, tested=False), "latest date or counts"),
    "a date from nowhere": (TAUGHT, lambda r: _said(r, last_date=date(2026, 11, 4)), "latest date or counts"),
}


def _said(row: MatrixRow, **changes: object) -> MatrixRow:
    return replace(row, standing=replace(row.standing, **changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(("combination", "spoil", "words"), SPOILT.values(), ids=SPOILT)
def test_a_wrong_row_of_the_matrix(combination: tuple[str, ...], spoil: Spoil, words: str) -> None:
    plan = KNOWING.plan
    assert complaints_of(KNOWING, plan) == ()
    old = row_of(plan, *combination)
    rows = tuple(spoil(r) if r is old else r for r in plan.matrix)
    (complaint,) = complaints_of(KNOWING, replace(plan, matrix=rows))
    assert complaint.startswith(f"Row {', '.join(combination)} of the matrix of zips: ")
    assert words in complaint


def test_the_matrix_holds_each_combination_once() -> None:
    plan = GOOD.plan
    (missing,) = complaints_of(GOOD, replace(plan, matrix=plan.matrix[1:]))
    assert missing.endswith("it is there 0 times.")
    (twice,) = complaints_of(GOOD, replace(plan, matrix=plan.matrix + plan.matrix[:1]))
    assert twice.endswith("it is there 2 times.")
    stranger = MatrixRow("wren", "zips", ("mum", "home", "cards"), "untested", Standing())
    (unknown,) = complaints_of(GOOD, replace(plan, matrix=(*plan.matrix, stranger)))
    assert unknown.endswith("there is no such combination.")


def test_what_is_not_possible_has_its_reason() -> None:
    world = GOOD.having("targets", "zips", never=({"adult": "grandad", "location": "park"},))
    plan = world.plan
    assert complaints_of(world, plan) == ()
    old = row_of(plan, "grandad", "park", "coats")
    rows = tuple(replace(r, obstacle=None) if r is old else r for r in plan.matrix)
    (complaint,) = complaints_of(world, replace(plan, matrix=rows))
    assert complaint.endswith("its status is 'not possible', but the reason is not given.")


def test_only_what_is_not_possible_has_an_obstacle_in_the_matrix() -> None:
    plan = KNOWING.plan
    against = Obstacle(Rule.BRIEFING, "zips", (("adult", "mum"),))
    for combination in (FAILED, TAUGHT):
        old = row_of(plan, *combination)
        rows = tuple(replace(r, obstacle=against) if r is old else r for r in plan.matrix)
        (complaint,) = complaints_of(KNOWING, replace(plan, matrix=rows))
        assert complaint.endswith(f"its status is '{old.status}', but a reason is given.")


def test_a_row_of_the_matrix_is_the_learners() -> None:
    plan = GOOD.plan
    rows = (replace(plan.matrix[0], learner="wren"), *plan.matrix[1:])
    (complaint,) = complaints_of(GOOD, replace(plan, matrix=rows))
    assert complaint.endswith("it is not a row of learner wren.")


def test_a_row_outside_the_targets_values_is_in_the_matrix() -> None:
    world = GOOD.knowing(("2026-11-02", "zips", "mum home cards", 5, 5))
    assert len(world.plan.matrix) == 4 + 8 + 9
    assert world.complaints() == ()


def test_teaching_before_a_failure_counts_for_nothing_and_the_last_after_it_dates_it() -> None:
    """Taught on the 1st, failed on the 2nd, taught on the 3rd and the 4th: due for a retest since the 4th."""
    rows = [
        (f"2026-11-0{day}", "zips", "grandad home jackets", trials, 0)
        for day, trials in enumerate((0, 5, 0, 0), 1)
    ]
    world = GOOD.knowing(*rows)
    row = row_of(world.plan, *FAILED)
    assert row.standing.retest_due
    assert row.standing.last_date == date(2026, 11, 4)
    assert world.complaints() == ()
