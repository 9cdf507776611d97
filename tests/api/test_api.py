"""The front door for programs, on the example family; and the reference's example of it, as a program of its own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

import genplan
from genplan.api import PlannedWeek
from genplan.errors import CaseError, UsageError
from genplan.workflow.opened_case import Opened
from tests.fixtures.light_case import light_family
from tests.fixtures.places import ROOT
from tests.fixtures.reference import section

NOW = "2026-11-29T12:00"


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    return genplan.read_case(light_family(tmp_path_factory.mktemp("family") / "case"), NOW)


@pytest.fixture(scope="module")
def week(case: Opened) -> PlannedWeek:
    with ThreadPoolExecutor(1) as executor:
        return genplan.plan_week(case, "2026-W49", executor)


def test_a_moment_is_a_text_or_a_datetime(case: Opened) -> None:
    assert case.now == genplan.read_case(ROOT / "examples" / "family", datetime(2026, 11, 29, 12)).now


def test_probes_are_those_of_the_plan_and_their_moments_are_local(case: Opened, week: PlannedWeek) -> None:
    probes = week.probes
    assert list(probes.index) == [(s.id, p.target) for s in week.plan.sittings for p in s.probes]
    assert str(probes["start"].dt.tz) == str(case.case.timezone)
    assert list(probes["start"].drop_duplicates()) == list(dict.fromkeys(s.start for s in week.plan.sittings))


def test_tables_agree_with_each_other(week: PlannedWeek) -> None:
    """New tuples of the targets add up to the objective; what is planned in the matrix is what is planned."""
    assert week.coverage["new"].sum() == sum(p.new_tuples for s in week.plan.sittings for p in s.probes)
    planned = [sitting for cell in week.matrix["planned"] if cell for sitting in cell.split("; ")]
    in_the_matrix = week.probes.index.get_level_values("target").isin(
        week.matrix.index.get_level_values("target")
    )
    assert sorted(planned) == sorted(week.probes[in_the_matrix].index.get_level_values("sitting"))
    assert (week.objectives["shortfall"].dropna() >= 0).all()
    assert week.left_out["tuples"].sum() == sum(item.tuples for item in week.plan.left_out)


def test_coverage_counts_what_is_so_far(case: Opened, week: PlannedWeek) -> None:
    so_far = genplan.count_coverage(case)
    assert so_far["shown"].to_dict() == week.coverage["shown_before"].to_dict()
    assert (so_far["met"] <= so_far["tested"]).all()


def test_what_to_teach_is_a_table(case: Opened) -> None:
    few = genplan.choose_exemplars(case, ["coat-on"])
    assert few.groupby("what").size().to_dict() == {"taught": 2, "teach": 3, "probe": 5}
    assert len(genplan.choose_exemplars(case, ["coat-on"], "pairs").loc[("ines", "coat-on", "teach")]) == 13
    with pytest.raises(UsageError, match="'pair' is not one of each-value, pairs, triples, all"):
        genplan.choose_exemplars(case, span="pair")
    with pytest.raises(UsageError, match="no target 'coat'"):
        genplan.choose_exemplars(case, ["coat"])


def test_a_sound_plan_has_no_complaint_and_a_changed_one_has(case: Opened, week: PlannedWeek) -> None:
    assert genplan.check_plan(case, week.plan) == ()
    first, *others = week.plan.sittings
    shorter = replace(week.plan, sittings=(replace(first, end=first.start), *others))
    assert genplan.check_plan(case, shorter)


def test_what_is_wrong_is_a_sentence(tmp_path: Path, case: Opened) -> None:
    with pytest.raises(CaseError):
        genplan.read_case(tmp_path / "nowhere")
    with pytest.raises(UsageError, match=r"no week 54\. Name one such as 2026-W49"):
        genplan.plan_week(case, "2026-W54")
    with pytest.raises(UsageError, match="is over"):
        genplan.plan_week(case, "2026-W40")


def test_the_module_has_what_it_offers_and_nothing_else() -> None:
    assert all(callable(getattr(genplan, name)) for name in genplan.__all__)
    with pytest.raises(AttributeError, match="no attribute 'plan_a_week'"):
        _ = genplan.plan_a_week


def test_the_example_of_the_reference_runs(tmp_path: Path, nightly: bool) -> None:
    if not nightly:
        light_family(tmp_path / "examples" / "family")
    (example,) = re.findall(r"```python\n(.*?)```", section("outputs", "From a program"), re.DOTALL)
    program = tmp_path / "program.py"
    program.write_text(example, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, str(program)],
        cwd=ROOT if nightly else tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "coat-on" in done.stdout


@pytest.mark.parametrize("now", ["yesterday", "", date(2026, 11, 27), 5])
def test_what_is_no_moment_is_refused_in_words(now: Any) -> None:
    with pytest.raises(UsageError, match="is not a moment such as"):
        genplan.read_case(ROOT / "examples" / "family", now=now)


@pytest.mark.parametrize("weeks", [0, -1, 27, 2.5])
def test_no_more_weeks_are_looked_at_than_the_command_allows(case: Opened, weeks: Any) -> None:
    with pytest.raises(UsageError, match="is not a number of weeks from 1 to 26"):
        genplan.look_ahead(case, weeks=weeks)


def test_a_week_that_is_none_is_refused_in_words(case: Opened) -> None:
    with pytest.raises(UsageError, match="Name one such as"):
        genplan.plan_week(case, 49)  # type: ignore[arg-type]
