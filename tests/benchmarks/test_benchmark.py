"""The benchmark's own parts on tiny sizes: every way answers the same question, and the page says what the rows say."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from genplan.case import Case
from tests.benchmarks import rivals
from tests.benchmarks.as_mip import Expr, Mip, as_mip, by_highs
from tests.benchmarks.meter import PROC, measured
from tests.benchmarks.page import curves, page, reading
from tests.benchmarks.rivals import WAYS, caseload, one_model, run, value_in
from tests.benchmarks.rows import Row, merged, planner_of, proven_bound, read, write
from tests.fixtures.planning_cases import Inline

TINY = {"targets": 2, "adults": 3, "locations": 2, "sets": 2}


def tiny(learners: int, seed: int, **size: int) -> Case:
    return caseload(learners, seed, **{**TINY, **size})


@pytest.mark.parametrize("seed", [1, 2])
def test_exact_ways_find_the_same_and_no_way_more_than_is_proven(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three learners who share two adults: orders of sittings, capacities and single copies all become rows."""
    pytest.importorskip("highspy")
    monkeypatch.setattr(rivals, "process_pool", lambda: nullcontext(Inline()))
    case = tiny(3, seed)
    found = {way: run(way, case, 60.0)[0] for way in ("planner", "greedy", "cp-sat-own", "highs-cuts")}
    assert found["cp-sat-own"].proven
    assert found["highs-cuts"].proven
    best = found["cp-sat-own"].value
    assert found["highs-cuts"].value == pytest.approx(best)
    assert 0 < found["greedy"].value <= best
    assert found["planner"].value <= best <= found["planner"].bound


def test_the_cuts_change_no_answer_but_leave_less_to_prove() -> None:
    case = tiny(1, 4, targets=1)
    plain, cuts = one_model(case, False), one_model(case, True)
    assert len(plain.model.proto.constraints) < len(cuts.model.proto.constraints)
    without, with_them = (run(way, case, 60.0)[0] for way in ("cp-sat-plain", "cp-sat-cuts"))
    assert without.proven
    assert with_them.proven
    assert without.value == with_them.value > 0


def test_an_answer_that_breaks_a_rule_does_not_count() -> None:
    """Every sitting held with every probe breaks about every rule there is."""
    v = one_model(tiny(1, 1), True)
    with pytest.raises(ValueError, match="breaks a rule"):
        value_in(v, tuple(list(x.domain)[-1] for x in v.model.proto.variables))


def test_two_that_may_meet_are_put_one_after_the_other() -> None:
    """Two sittings of 20 minutes within 30: one of them; within 40: both; where two may be at a time: both."""
    pytest.importorskip("highspy")
    assert _most_held(30, 1) == 1
    assert _most_held(40, 1) == 2
    assert _most_held(30, 2) == 2
    # three within 30 where there is room for two at a time
    assert _most_held(30, 2, sittings=3) == 2
    assert _most_held(40, 2, sittings=5) == 4


def _most_held(minutes: int, room: int, sittings: int = 2) -> int:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    held, intervals = [], []
    for _ in range(sittings):
        held.append(model.new_bool_var(""))
        start = model.new_int_var(0, minutes - 20, "")
        intervals.append(model.new_optional_interval_var(start, 20, start + 20, held[-1], ""))
    if room == 1:
        model.add_no_overlap(intervals)
    else:
        model.add_cumulative(intervals, [1] * sittings, room)
    model.maximize(sum(held))
    found = by_highs(as_mip(model.proto), len(model.proto.variables), 60.0)
    assert found.proven
    assert found.values is not None
    return sum(found.values[h.index] for h in held)


def test_what_holds_only_under_a_literal_is_relaxed_by_no_more_than_it_needs() -> None:
    """x in 0..10, x >= 7 if y: x - 7y >= 0; x <= 4 if not y: x <= 4 + 6y."""
    mip = Mip([0, 0], [10, 1])
    x, y = Expr(((0, 1),)), Expr(((1, 1),))
    mip.between(x, 7, 100, [y])
    mip.between(x, -5, 4, [Expr((), 1) - y])
    assert mip.rows == [(0, {0: 1, 1: -7}, float("inf")), (float("-inf"), {0: 1, 1: -6}, 4)]


def test_a_kind_without_translation_is_refused() -> None:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    model.add_all_different([model.new_int_var(0, 3, ""), model.new_int_var(0, 3, "")])
    with pytest.raises(ValueError, match="no translation"):
        as_mip(model.proto)


def test_cost_counts_every_process_that_a_command_starts() -> None:
    """The child of the command holds 300 MB, the command itself 100 MB."""
    child = "x = bytearray(300 * 2**20); import time; time.sleep(1)"
    command = (
        "x = bytearray(100 * 2**20); import subprocess, sys;"
        f" subprocess.run([sys.executable, '-c', {child!r}]); print('done')"
    )
    printed, cost = measured([sys.executable, "-c", command])
    assert printed == "done\n"
    assert cost.largest > 300
    if PROC.is_dir():
        assert cost.together is not None
        assert cost.together > 400


ROW = Row(1, 1, "planner", "day 1", 40, 50, False, 4, 8, 100, 200, None, "", 2, 8, "versions")


def test_rows_are_kept_merged_and_compared_within_one_run(tmp_path: Path) -> None:
    greedy = replace(ROW, way="greedy", value=30, bound=None)
    newer = replace(ROW, run="day 2", value=45)
    write([ROW, greedy], tmp_path / "rows.json")
    rows = merged(read(tmp_path / "rows.json"), [newer, replace(ROW, learners=3)])
    assert [(r.learners, r.way, r.run) for r in rows] == [
        (1, "planner", "day 2"),
        (1, "greedy", "day 1"),
        (3, "planner", "day 1"),
    ]
    assert planner_of(rows, greedy) is None
    assert planner_of([ROW, greedy], greedy) == ROW
    assert read(tmp_path / "missing.json") == []


def test_the_lowest_proven_bound_is_that_of_all_ways() -> None:
    rows = [ROW, replace(ROW, way="highs-cuts", bound=41), replace(ROW, learners=3, bound=7)]
    assert proven_bound(rows, (1, 5, 1)) == 41
    assert proven_bound([replace(ROW, bound=None)], (1, 5, 1)) is None


def test_the_reading_says_what_speaks_against_the_planner() -> None:
    better = replace(ROW, way="highs-cuts", value=44, bound=44, proven=True, cpu=2)
    worse = replace(ROW, way="greedy", value=30, bound=None)
    said = reading([ROW, better, worse])
    # 40 of the proven 44 are 9.09 % short, 30 of 40 are 25 % fewer
    assert "at most 9.09 % below the best" in said
    assert "More new tuples than the planner: one HiGHS model, cuts." in said
    assert "In less CPU time than all that the planner does, with the proof: one HiGHS model, cuts." in said
    assert "One probe at a time: 25.0 % fewer than the planner." in said
    assert "proven to be the best" in reading([replace(ROW, value=50)])


def test_the_page_and_its_curves_show_every_row() -> None:
    rows = [
        replace(ROW, learners=n, way=way, bound=50 if way == "planner" else None)
        for n in (1, 12)
        for way in WAYS
    ]
    text = page(rows)
    assert all(text.count(f"| {way.words} |") == 2 for way in WAYS.values())
    picture = ElementTree.fromstring(curves(rows))
    told = {e.text for e in picture.iter("{http://www.w3.org/2000/svg}text")}
    assert {way.words for way in WAYS.values()} <= told
    assert {"1", "12", "learners"} <= told
