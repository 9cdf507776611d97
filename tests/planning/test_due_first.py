"""What is due of everybody at once: who takes part, and that whoever comes first takes nobody's only hour for it."""

from __future__ import annotations

from datetime import date

import pytest

from genplan.case import Case
from genplan.evidence.log import Log, Result, ResultKind
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import Workers
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.due_first import everybody_at_once, with_what_is_due
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


def ten_minutes() -> Case:
    """Tess has room for one of the two."""
    people = dict.fromkeys(("robin", "wren"), monday(10))
    skills = (skill(i, i, "tess", "hall") for i in people)
    return monday_case(people, {"tess": monday(10)}, *skills)


def load_of(log: Log) -> Caseload:
    return week_context_of(ten_minutes(), log, WEEK, NOW, {}, ()).caseload


def week_of(load: Caseload, due_alone: float) -> BestSoFar:
    """Robin has the first turn; Wren had so much of what is due alone."""
    wanted = {"robin": (seat("robin", 0),), "wren": ()}
    alone = {"wren": had("due", due_alone)}
    best = BestSoFar(load=load, most={"robin": 1, "wren": 0}, wanted=wanted, alone=alone)
    return best.with_seats(dict.fromkeys(wanted, ()))


def after_turns(best: BestSoFar) -> dict[str, int]:
    """How many sittings each has then."""
    found = improved(best, HERE, [o for o in OPERATORS if o.name == "in turn"]).seats
    return {learner: len(own) for learner, own in found.items()}


def test_what_is_due_and_scarce_has_its_hour_before_anybody_has_a_turn() -> None:
    """Of two that Wren had alone there is room for one."""
    best = week_of(load_of(Log(tuple(row(*r) for r in FAILED_AND_TAUGHT))), 2)
    assert after_turns(best) == {"robin": 1, "wren": 0}
    assert after_turns(with_what_is_due(best, HERE)) == {"robin": 0, "wren": 1}


def test_where_everybody_can_have_what_is_due_each_finds_it_in_its_turn() -> None:
    best = week_of(load_of(Log(tuple(row(*r) for r in FAILED_AND_TAUGHT))), 1)
    assert with_what_is_due(best, HERE) is best


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
