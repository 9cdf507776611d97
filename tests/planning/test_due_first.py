"""What is due of everybody at once: who takes part, and that whoever comes first takes nobody's only hour for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from genplan.case import Case
from genplan.evidence.log import Log, Result, ResultKind
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import Workers
from genplan.planning.search import due_first
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.due_first import everybody_at_once, searched, with_what_is_due
from genplan.planning.search.loop import improved
from genplan.planning.search.operators import OPERATORS
from genplan.planning.week_context import week_context_of
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK, Asked
from tests.fixtures.search_settings import search_with
from tests.planning.test_bottleneck_days import HERE, seat
from tests.planning.test_short_days import had

FAILED_AND_TAUGHT = ((2, ResultKind.PROBE), (3, ResultKind.TEACHING))


def row(day: int, kind: ResultKind) -> Result:
    trials = 5 if kind is ResultKind.PROBE else None
    correct = 1 if kind is ResultKind.PROBE else None
    wren = ("tess", "hall", "set-wren")
    return Result(
        line=day, date=date(2026, 11, day), time=None, target="wren", kind=kind, combination=wren,
        trials=trials, correct=correct,
    )  # fmt: skip


def minutes_of_tess(minutes: int) -> Case:
    """In ten she has room for one of the two."""
    people = dict.fromkeys(("robin", "wren"), monday(minutes))
    skills = (skill(i, i, "tess", "hall") for i in people)
    return monday_case(people, {"tess": monday(minutes)}, *skills)


def load_of(log: Log, minutes: int = 10) -> Caseload:
    return week_context_of(minutes_of_tess(minutes), log, WEEK, NOW, {}, ()).caseload


def week_of(load: Caseload, due_alone: float) -> BestSoFar:
    """Robin has the first turn; Wren had so much of what is due alone."""
    wanted = {"robin": (seat("robin", 0),), "wren": ()}
    alone = {"wren": had("due", due_alone)}
    best = BestSoFar(load=load, most={"robin": 1, "wren": 0}, wanted=wanted, alone=alone)
    return best.with_seats(dict.fromkeys(wanted, ()))


IN_TURN = [o for o in OPERATORS if o.name == "in turn"]


def sittings(found: BestSoFar) -> dict[str, int]:
    return {learner: len(own) for learner, own in found.seats.items()}


@pytest.mark.parametrize("due_alone", [2, 1])
def test_what_is_due_and_scarce_has_its_hour(due_alone: int) -> None:
    """Of two that Wren had alone there is room for one: it is seated before anybody has a turn. Of one there is room
    for all of it, until Robin has had the first turn: the turns begin once more."""
    best = week_of(load_of(Log(tuple(row(*r) for r in FAILED_AND_TAUGHT))), due_alone)
    assert sittings(improved(best, HERE, IN_TURN)) == {"robin": 1, "wren": 0}
    assert sittings(searched(best, HERE, IN_TURN)) == {"robin": 0, "wren": 1}


def test_where_the_turns_bring_all_that_is_due_they_begin_from_nothing_and_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    best, begun = week_of(load_of(Log(tuple(row(*r) for r in FAILED_AND_TAUGHT)), 40), 1), list[BestSoFar]()
    alone = with_what_is_due(best, HERE).seats["wren"]
    best = replace(best, wanted={"robin": (seat("robin", 20),), "wren": alone})

    def turns(week: BestSoFar, *others: Any) -> BestSoFar:
        begun.append(week)
        return improved(week, *others)

    monkeypatch.setattr(due_first, "improved", turns)
    assert sittings(searched(best, HERE, IN_TURN)) == {"robin": 1, "wren": 1}
    assert begun == [best]


def test_where_nothing_is_due_nothing_is_asked() -> None:
    best, solver = week_of(load_of(Log()), 0), Asked()
    assert with_what_is_due(best, Workers(solver, lambda _: None)) is best
    assert solver.jobs == []


def test_many_learners_are_several_problems(monkeypatch: pytest.MonkeyPatch) -> None:
    """In the order of their turns."""
    best = BestSoFar(load=load_of(Log()), most={}, wanted=dict.fromkeys(("wren", "robin", "ash"), ()))
    assert everybody_at_once(best) == [("wren", "robin", "ash")]
    search_with(monkeypatch, "search.due_first", due_at_once=2)
    assert everybody_at_once(best) == [("wren", "robin"), ("ash",)]
