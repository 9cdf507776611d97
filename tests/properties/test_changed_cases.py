"""What a change of a case must do to its plan, and what it must not: hours, names, the order of lines, weights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, time, timedelta
from functools import cache
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from genplan.case import Absence
from genplan.casefile import load
from genplan.evidence.log import Log, Result
from genplan.evidence.results import read_results
from genplan.plan import Plan, StageStatus
from genplan.report.tables import csv_bytes, plan_table
from tests.fixtures.every_week import ahead
from tests.fixtures.given_week import Given
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import NOW, WEEK, plan_one
from tests.fixtures.random_cases import document, write_results
from tests.fixtures.renaming import Renaming, ids_of
from tests.fixtures.tiny_weeks import tiny_week

SEEDS = 8


def planned(given: Given) -> Plan:
    plan = plan_one(given.case, given.log, now=given.now, kept=given.kept)
    assert {o.status for o in plan.objectives} == {StageStatus.OPTIMAL}
    return plan


@cache
def usual(sort: str, seed: int) -> Plan:
    """What is planned of a tiny week as it is, for all that is held against it."""
    return planned(tiny_week(sort, seed)[0])


def values(plan: Plan, *names: str) -> list[float]:
    found = {o.name: o.value for o in plan.objectives}
    return [found[name] for name in names]


def with_somebody_away(given: Given) -> Iterator[Given]:
    """For each adult, learner and place the week without them, and without their Monday."""
    midnight = datetime.combine(WEEK.monday, time())
    for days in (1, 7):
        gone = (Absence(midnight, midnight + timedelta(days=days)),)
        for group, key in (("adults", "away"), ("learners", "away"), ("locations", "closed")):
            things = getattr(given.case, group)
            for id_, thing in things.items():
                changed = {**things, id_: replace(thing, **{key: gone})}
                yield replace(given, case=replace(given.case, **{group: changed}))


def tried(changes: Iterator[Given], seed: int, nightly: bool) -> Iterator[Given]:
    """By day every other change: of one seed the even ones, of the next the odd."""
    return islice(changes, 0 if nightly else seed % 2, None, 1 if nightly else 2)


@pytest.mark.parametrize("sort", ["due", "wished", "few of many"])
def test_hours_that_are_lost_never_help(sort: str, nightly: bool) -> None:
    names = ("due", "dated", "wished", "new tuples")
    lost = 0
    for seed in seeds(SEEDS, nightly):
        given, _ = tiny_week(sort, seed)
        whole = values(usual(sort, seed), *names)
        for less in tried(with_somebody_away(given), seed, nightly):
            left = values(planned(less), *names)
            # lists compare by their first place that differs
            assert left <= whole, f"{sort} {seed}"
            lost += left < whole
    assert lost > 0


def test_hours_that_are_lost_never_help_two_who_share(nightly: bool) -> None:
    # with two learners shares come before new tuples, and a share is of what one could have alone in the same hours
    names = ("due", "dated", "wished")
    lost = 0
    for seed in seeds(SEEDS, nightly):
        given, _ = tiny_week("shared and due", seed)
        whole = values(usual("shared and due", seed), *names)
        for less in tried(with_somebody_away(given), seed, nightly):
            left = values(planned(less), *names)
            assert left <= whole, str(seed)
            lost += left < whole
    assert lost > 0


IN_ORDER = ["due", "wished", "shared and due", "shared and told", "begun", "taught", "taught and begun"]


@pytest.mark.parametrize("sort", IN_ORDER)
def test_names_in_the_same_order_change_nothing_but_the_names(sort: str, nightly: bool) -> None:
    for seed in seeds(SEEDS, nightly):
        given, _ = tiny_week(sort, seed)
        renaming = Renaming({id_: f"x-{id_}" for id_ in ids_of(given)})
        plan, renamed = usual(sort, seed), planned(renaming.of(given))
        assert ahead(renamed) == renaming.of_week(ahead(plan)), f"{sort} {seed}"
        assert renamed.objectives == plan.objectives, f"{sort} {seed}"


@pytest.mark.parametrize("sort", ["due", "wished", "shared and due", "shared and told", "begun"])
def test_names_in_another_order_change_no_value(sort: str, nightly: bool) -> None:
    for seed in seeds(SEEDS, nightly):
        given, _ = tiny_week(sort, seed)
        ids = ids_of(given)
        turned = Renaming({id_: f"x-{len(ids) - n:02}" for n, id_ in enumerate(ids)})
        # the last objective settles times for the sittings that are held, and of equal weeks another may be held
        *plain, _ = usual(sort, seed).objectives
        *renamed, _ = planned(turned.of(given)).objectives
        assert renamed == plain, f"{sort} {seed}"


def shuffled(tree: Any, rng: Random) -> Any:
    """The same tree with the keys of every mapping in another order."""
    if not isinstance(tree, dict):
        return tree
    keys = list(tree)
    rng.shuffle(keys)
    return {key: shuffled(tree[key], rng) for key in keys}


def rows_shuffled(log: Log, rng: Random) -> Log:
    """The rows of each day in another order, but for those of one combination: of these the last one counts."""
    turns: dict[tuple[Any, ...], float] = {}
    for r in log.results:
        turns.setdefault((r.date, r.target, r.combination), rng.random())

    def place(r: Result) -> Any:
        return r.date, turns[r.date, r.target, r.combination], r.line

    rows = sorted(log.results, key=place)
    return Log(tuple(replace(r, line=line) for line, r in enumerate(rows, 2)))


def plan_of_folder(tree: Any, given: Given, log: Log, folder: Path) -> bytes:
    folder.mkdir()
    (folder / "case.yaml").write_text(yaml.safe_dump(tree, sort_keys=False), "utf-8")
    write_results(given.case, log, folder / "results.csv")
    case = load(folder).case
    assert case is not None
    read, findings = read_results(folder, case, NOW)
    assert len(read.results) == len(log.results), findings
    return csv_bytes(plan_table(case, plan_one(case, read, now=given.now)))


@pytest.mark.parametrize("sort", ["due", "shared and due"])
def test_the_order_of_lines_decides_nothing(sort: str, tmp_path: Path, nightly: bool) -> None:
    moved = 0
    for seed in seeds(SEEDS, nightly):
        rng = Random(seed)
        given, _ = tiny_week(sort, seed)
        tree, log = document(given.case), rows_shuffled(given.log, rng)
        moved += [replace(r, line=0) for r in log.results] != [replace(r, line=0) for r in given.log.results]
        usual = plan_of_folder(tree, given, given.log, tmp_path / f"{seed}-a")
        assert len(usual.splitlines()) > 1
        assert plan_of_folder(shuffled(tree, rng), given, log, tmp_path / f"{seed}-b") == usual, (
            f"{sort} {seed}"
        )
    assert moved > 0


def new_of(plan: Plan, learner: str) -> int:
    return sum(row.new for row in plan.coverage if row.learner == learner)


def test_who_needs_twice_as_much_gets_no_less(nightly: bool) -> None:
    # w x new + rest of the other at its best for w and for 2 w: adding both inequalities leaves w x (new' - new) >= 0
    more = 0
    for seed in seeds(30, nightly):
        given, _ = tiny_week("shared", seed)
        usual = planned(given)
        for learner in given.case.learners.values():
            doubled = {**given.case.learners, learner.id: replace(learner, needs=2 * learner.needs)}
            plan = planned(replace(given, case=replace(given.case, learners=doubled)))
            assert new_of(plan, learner.id) >= new_of(usual, learner.id), str(seed)
            more += new_of(plan, learner.id) > new_of(usual, learner.id)
    assert more > 0 or not nightly
