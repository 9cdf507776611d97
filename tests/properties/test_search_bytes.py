"""Weeks with all sorts of rules, made by Hypothesis: the same bytes with any number of processes, and plan.json says of
the objectives what the tests' own loops count in plan.csv."""

from __future__ import annotations

import csv
import io
import json
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import ExitStack
from datetime import datetime
from random import Random

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from genplan.case import Case
from genplan.case.dated_facts import in_week
from genplan.planning.planner import plan_week
from genplan.planning.solver_pool import process_pool
from genplan.report.document import plan_json
from genplan.report.tables import csv_bytes, plan_table
from tests.fixtures.every_week import Tried, Tries
from tests.fixtures.given_week import Given, minute_of
from tests.fixtures.nightly import tries
from tests.fixtures.planning_cases import WEEK, Inline
from tests.fixtures.search_settings import search_with
from tests.fixtures.week_scores import Scores
from tests.fixtures.wild_weeks import drawn_week

TRIES = tries(24, by_day=2)


@pytest.fixture(scope="module")
def executors(nightly: bool) -> Iterator[list[Executor]]:
    """By day three processes; two are in `planning/test_search.py`."""
    with ExitStack() as pools:
        yield [Inline(), *(pools.enter_context(process_pool(n)) for n in ((2, 3) if nightly else (3,)))]


@settings(max_examples=TRIES, derandomize=True, suppress_health_check=list(HealthCheck))
@given(rng=st.randoms(use_true_random=False), in_parts=st.booleans(), teaching=st.booleans())
def test_processes_decide_nothing_and_values_are_those_of_the_rows(
    executors: list[Executor], rng: Random, in_parts: bool, teaching: bool
) -> None:
    week = drawn_week(rng, teaching=teaching)
    assume(week is not None)
    assert week is not None
    with pytest.MonkeyPatch.context() as patch:
        if in_parts:
            search_with(patch, "caseload", joint_variables=0)
        one, *others = [_files(week, executor) for executor in executors]
    assert others
    assert {one, *others} == {one}
    _values_are_those_of_the_rows(week, *one)


def _files(week: Given, executor: Executor) -> tuple[bytes, bytes]:
    plan = plan_week(week.case, week.log, WEEK, week.now, week.busy, week.kept, executor, lambda _: None).plan
    case = in_week(week.case, WEEK)
    return csv_bytes(plan_table(case, plan)), plan_json(case, plan)


def _values_are_those_of_the_rows(week: Given, table: bytes, document: bytes) -> None:
    ahead = rows_ahead(week, table)
    scores = {name: score for name, _, score in Scores(week, ()).order}
    told = {o["name"]: o for o in json.loads(document)["objectives"]}
    for name in told.keys() - {"shares", "further probes"}:
        assert told[name]["value"] == pytest.approx(scores[name](ahead)), name
    assert told["further probes"]["value"] >= scores["further probes"](ahead)


def rows_ahead(week: Given, table: bytes) -> Tries:
    """The sittings of plan.csv that are still ahead."""
    sittings = defaultdict(list)
    for row in csv.DictReader(io.StringIO(table.decode("utf-8"))):
        if datetime.fromisoformat(row["start"]) >= week.now:
            sittings[row["sitting"]].append(row)
    return tuple(sorted(_sitting(week.case, rows) for rows in sittings.values()))


def _sitting(case: Case, rows: list[dict[str, str]]) -> Tried:
    first = rows[0]
    start, end = (minute_of(datetime.fromisoformat(first[key]), WEEK.monday) for key in ("start", "end"))
    probes = tuple(
        sorted(
            (r["target"], tuple(r[n] for n in case.targets[r["target"]].dimension_names), r["kind"])
            for r in rows
        )
    )
    people = (first["learner"], first["adult"], first["location"])
    return Tried(*people, start, end, probes, first.get("beside", ""))
