"""Variants of the planner held against it: another version on the same written case, and the search without a part."""

from __future__ import annotations

import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from genplan.evidence.log import Log
from genplan.planning import caseload as planned_caseload
from genplan.planning.planner import Planned, plan_week
from tests.benchmarks.page import how_it_grows, page
from tests.benchmarks.parts import CUTS, _without_rule, operators
from tests.benchmarks.rivals import caseload
from tests.benchmarks.rows import Row
from tests.benchmarks.versions import NotThere, plan_of, unpacked
from tests.benchmarks.whole_page import exponent, reading
from tests.benchmarks.whole_rows import (
    AS_IT_IS,
    VERSION,
    WITHOUT,
    WholeRow,
    base_of,
    merged,
    read,
    write,
    write_whole_case,
)
from tests.fixtures.places import ROOT
from tests.fixtures.planning_cases import Inline
from tests.fixtures.random_cases import WEEK, now_of

ROW = WholeRow(
    learners=3,
    seed=1,
    kind=VERSION,
    variant=AS_IT_IS,
    run="day 1",
    wall=4,
    cpu=8,
    largest=100,
    values={"due": 2, "shares": 0.5, "new tuples": 40, "further probes": 18, "sittings": 2},
    proven=["due"],
    cores=2,
    memory=8,
    versions="versions",
)
OLD = replace(ROW, variant="old", cpu=24)


def test_a_wheel_plans_the_same_written_case_and_finds_the_same(tmp_path: Path, nightly: bool) -> None:
    """By day the version here plans, and a wheel of some of it is unpacked: to run one all of it has to be compiled."""
    wheel = tmp_path / "genplan-0-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as files:
        for path in sorted((ROOT / "genplan").rglob("*") if nightly else (ROOT / "genplan").glob("*.py")):
            if path.is_file() and "__pycache__" not in path.parts:
                files.write(path, path.relative_to(ROOT))
    case = write_whole_case(1, 1, 3, tmp_path / "case")
    there = unpacked(str(wheel), tmp_path / "old")
    assert (there / "genplan" / "__main__.py").read_bytes() == (ROOT / "genplan" / "__main__.py").read_bytes()
    new = plan_of(ROOT, case, tmp_path / "new-out")
    assert set(new.proven) == set(new.values)
    assert {"due", "new tuples", "sittings"} <= new.values.keys()
    assert new.cost.cpu > 0
    if nightly:
        old = plan_of(there, case, tmp_path / "old-out")
        assert (old.values, set(old.proven)) == (new.values, set(new.proven))
        assert old.cost.cpu > 0


def test_a_version_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(NotThere, match=r"commit 0123abc is not here.* shallow clone"):
        unpacked("0123abc", tmp_path / "one")
    with pytest.raises(NotThere, match=r"no wheel other\.whl"):
        unpacked("other.whl", tmp_path / "two")
    (tmp_path / "empty").mkdir()
    with pytest.raises(NotThere, match="Python takes genplan from"):
        plan_of(tmp_path / "empty", tmp_path, tmp_path / "out")


def _planned() -> Planned:
    case = caseload(1, 4, targets=2, adults=3, locations=2, sets=2)
    return plan_week(case, Log(), WEEK, now_of(case), {}, (), Inline(), lambda _: None)


def test_without_a_cut_the_model_is_smaller_and_the_week_as_good() -> None:
    whole = _planned()
    assert {o.status for o in whole.plan.objectives} == {"optimal"}
    for name, part in CUTS.items():
        with part.without():
            less = _planned()
        assert less.sizes["constraints"] < whole.sizes["constraints"], name
        assert [o.value for o in less.plan.objectives] == [o.value for o in whole.plan.objectives], name
    assert _planned().sizes == whole.sizes


def test_a_part_that_is_not_there_is_no_silent_nothing() -> None:
    with pytest.raises(ValueError, match="no rule long_gone"), _without_rule("long_gone"):
        pass


def test_without_an_operator_the_search_has_all_the_others() -> None:
    usual = planned_caseload.OPERATORS
    for name, part in operators().items():
        with part.without():
            left = planned_caseload.OPERATORS
        assert {o.name for o in left} == operators().keys() - {name}
    assert planned_caseload.OPERATORS is usual


def test_rows_of_one_case_are_measured_anew_together(tmp_path: Path) -> None:
    """Ratios are of one run: what an earlier one found of the same case and kind is gone."""
    part = replace(ROW, kind=WITHOUT)
    write([ROW, OLD, part], tmp_path / "rows.json")
    newer = [replace(r, run="day 2") for r in (ROW, replace(OLD, variant="older"))]
    rows = merged(read(tmp_path / "rows.json"), newer)
    assert [(r.kind, r.variant, r.run) for r in rows] == [
        (VERSION, AS_IT_IS, "day 2"),
        (VERSION, "older", "day 2"),
        (WITHOUT, AS_IT_IS, "day 1"),
    ]
    assert base_of(rows, newer[1]) == newer[0]
    assert base_of([part], OLD) is None


def test_what_a_row_says_beside_the_planner_as_it_is() -> None:
    assert reading(OLD, ROW) == "Version old takes 3 times the CPU and shows the same."
    worse = replace(OLD, values={**ROW.values, "new tuples": 39.5, "further probes": 20})
    # 22 for 20
    assert reading(worse, ROW).endswith(
        "has 0.5 less of what comes first of all that differs (new tuples), and +10.0 % further probes and sittings."
    )
    assert "1.5 more of" in reading(replace(OLD, values={**ROW.values, "due": 3.5, "shares": 0}), ROW)
    assert reading(ROW, ROW) == ""


def test_cost_that_grows_with_the_square_has_the_exponent_two() -> None:
    assert exponent([(1, 3), (10, 300), (100, 30_000)]) == pytest.approx(2)
    # 1, 2 and 4 cost 1, 1 and 4: the slope of 0, 0 and 2 over 0, 1 and 2
    assert exponent([(1, 1), (2, 1), (4, 4)]) == pytest.approx(1)
    assert exponent([(3, 1), (3, 2)]) is None
    rows = [
        Row(n, 1, "planner", "day", 1, 1, True, 1, cpu, 1, None, None, "", 2, 8, "versions")
        for n, cpu in ((1, 2), (4, 16))
    ]
    assert "With 5 targets a learner CPU grows like learners^1.50 (1, 4 learners)." in how_it_grows(rows)
    assert how_it_grows(rows[:1]) == ""


def test_the_page_has_both_tables() -> None:
    row = Row(3, 1, "planner", "day", 1, 1, True, 1, 1, 1, None, None, "", 2, 8, "versions", 6)
    parts = [replace(ROW, kind=WITHOUT), replace(OLD, kind=WITHOUT, variant="days", cpu=16)]
    text = page([row], [ROW, OLD, *parts])
    assert "### 3 learners of 6 targets, seed 1" in text
    assert (
        "| version old | 24.0 s (3) | 4.0 s | 100 MB | **2** | none | none | 0.5 | 40 | none | none | 20 |"
        in text
    )
    assert "| without the cut: what a day of a learner holds | 16.0 s (2) |" in text
    assert "## What each part is worth" not in page([row], [ROW, OLD])
