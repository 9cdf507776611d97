"""A run that a person interrupts, at any moment: a whole week with something for everybody, said to be cut short.

The moments are looks at a made-up clock, lines of progress and answers of the solver, so every run is the same.
"""

from __future__ import annotations

import json
import pickle
from collections.abc import Callable, Iterator
from datetime import datetime
from math import inf
from pathlib import Path
from random import Random

import pytest
from ortools.sat.python import cp_model

from genplan import workflow
from genplan.audit import audit
from genplan.case import Week
from genplan.plan import NoteKind, StageStatus
from genplan.planning import interruption
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.planner import plan_week
from genplan.planning.solver.search import search
from genplan.text.notes import CLOCK_ENDED_IT, note_text
from tests.fixtures.light_case import light_family
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import WEEK, Inline
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.search_settings import search_with
from tests.fixtures.small_case import small_case

STEP = 1000.0
NOON = datetime(2026, 11, 29, 12)


@pytest.fixture(autouse=True)
def moment() -> Iterator[Callable[[float], None]]:
    """Sets when the last interrupt was; afterwards there was none."""
    held = interruption.shared_moment()
    before = held.value

    def at(when: float) -> None:
        held.value = when

    yield at
    held.value = before


class Struck:
    """A thousand seconds pass with each look; at one of the looks a person interrupts."""

    def __init__(self, look: int) -> None:
        self.looks, self.look = 0, look

    def __call__(self) -> float:
        self.looks += 1
        if self.looks == self.look:
            interruption.shared_moment().value = STEP * self.looks
        return STEP * self.looks


LOOKS = (1, 2, 5, 9, 14, 20, 30, 45, 70)
BY_DAY = (1, 5, 14, 30, 70)


@pytest.mark.parametrize(
    ("joint", "grace"), by_day_the_first([(0, 30 * STEP), (4000, 0.0), (0, 0.0), (4000, 30 * STEP)])
)
def test_a_plan_for_everybody_comes_out_whenever_it_is_interrupted(
    joint: int,
    grace: float,
    moment: Callable[[float], None],
    monkeypatch: pytest.MonkeyPatch,
    nightly: bool,
) -> None:
    search_with(monkeypatch, "caseload", joint_variables=joint)
    case = random_case(5, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    log, now, struck = random_log(case, 5), now_of(case), 0
    for look in LOOKS if nightly else BY_DAY:
        moment(-inf)
        within = Budget(1e12, Struck(look), since=0.0, grace=grace)
        plan = plan_week(case, log, WEEK, now, {}, (), Inline(), lambda _: None, within).plan
        assert audit(case, log, plan, {}, ()) == ()
        assert {s.learner for s in plan.sittings} == set(case.learners)
        if not plan.repeatable:
            struck += 1
            assert "less urgent" not in {item.rule for item in plan.left_out}
    assert struck >= (4 if nightly else 3)


def test_a_budget_is_over_with_the_interrupt_of_its_run_or_its_grace_later(
    moment: Callable[[float], None],
) -> None:
    now = [100.0]
    run = Budget(1000.0, lambda: now[0], since=50.0, grace=3.0)
    part = run.keeping(0.3, 60.0)
    assert (run.left, part.left) == (900, 840)
    moment(49.0)  # of an earlier run
    assert (run.left, part.left) == (900, 840)
    moment(100.0)
    assert (run.left, part.left) == (3, 0)
    assert part.is_over
    assert not run.is_over
    assert part.is_cut_off
    assert not run.is_cut_off
    assert run.part(0.5).left == 1.5
    now[0] = 103.0
    assert run.is_over
    assert run.is_cut_off
    assert ENDLESS.left == inf


def test_a_clock_that_strikes_is_no_cut() -> None:
    over = Budget(10.0, lambda: 20.0, since=0.0)
    assert over.is_over
    assert not over.is_cut_off


def test_a_budget_keeps_its_run_on_the_way_to_other_processes() -> None:
    budget = Budget.of(100.0)
    assert budget.grace > 0
    assert budget.since < budget.deadline
    assert pickle.loads(pickle.dumps(budget)) == budget


def hard_model(number: int = 300) -> cp_model.CpModel:
    """Knapsacks that are full of near equals: a good answer at once, a proof hardly ever."""
    model, chance = cp_model.CpModel(), Random(7)
    taken = [model.new_bool_var("") for _ in range(number)]
    for _ in range(25):
        weights = [chance.randint(100, 1000) for _ in taken]
        model.add(sum(w * x for w, x in zip(weights, taken, strict=True)) <= sum(weights) // 2)
    model.maximize(sum(chance.randint(100, 1000) * x for x in taken))
    for x in taken:
        model.add_hint(x, 0)
    return model


def test_a_solve_under_way_ends_with_the_interrupt_and_keeps_its_answer() -> None:
    heard: list[float] = []

    def hear(value: float, bound: float) -> None:
        heard.append(value)
        if not interruption.interrupted():
            assert interruption.interrupt()

    with interruption.interruptible():
        budget = Budget.of(600.0).keeping(0.3, 60.0)
        found = search(hard_model(), 300.0, budget, hear)
    assert found.status is StageStatus.STOPPED
    assert found.solver.objective_value >= heard[0]
    assert found.solver.response_proto.deterministic_time < 300.0


def test_an_interrupt_is_heard_once_and_only_in_a_run() -> None:
    assert not interruption.interrupt()
    with interruption.interruptible():
        assert not interruption.interrupted()
        assert interruption.interrupt()
        assert interruption.interrupted()
        assert not interruption.interrupt()
    assert not interruption.interrupted()
    with interruption.interruptible():  # the next run knows nothing of it
        assert not interruption.interrupted()
        assert not Budget.of(100.0).is_over


class AtLine:
    """Hears lines of progress and interrupts at one of them."""

    def __init__(self, number: int) -> None:
        self.lines: list[str] = []
        self.number = number

    def __call__(self, line: str) -> None:
        self.lines.append(line)
        if len(self.lines) == self.number:
            interruption.interrupt()


@pytest.mark.parametrize("number", by_day_the_first([2, 9, 1, 6]))
def test_the_best_week_so_far_is_written_and_said_as_such(number: int, tmp_path: Path) -> None:
    heard = AtLine(number)
    found = workflow.plan(light_family(tmp_path / "case"), WEEK, NOON, tmp_path / "out", heard)
    assert found.plan.interrupted
    assert not found.plan.repeatable
    assert found.plan.sittings
    assert found.plan.notes[0].kind is NoteKind.INTERRUPTED
    written = json.loads((tmp_path / "out" / "plan.json").read_bytes())
    assert written["remarks"][0]["kind"] == "interrupted"
    assert not written["repeatable"]
    assert {"stopped", "not reached"} & {o["status"] for o in written["objectives"]}
    page = (tmp_path / "out" / "week.html").read_text("utf-8")
    assert note_text(found.case, found.plan.notes[0]) in page
    assert "raise <code>solver.seconds" not in page
    assert CLOCK_ENDED_IT not in page


def test_an_interrupt_while_it_is_written_changes_nothing(tmp_path: Path) -> None:
    class WhileWriting(AtLine):
        def __call__(self, line: str) -> None:
            self.lines.append(line)
            if line.startswith("writing"):
                assert interruption.interrupt()

    heard = WhileWriting(0)
    found = workflow.plan(small_case(tmp_path / "case"), WEEK, NOON, tmp_path / "out", heard)
    assert heard.lines[-1].startswith("writing")
    assert found.plan.repeatable
    assert not found.plan.interrupted
    assert (tmp_path / "out" / "plan.json").exists()


def test_of_several_weeks_those_until_the_interrupt_are_written(tmp_path: Path) -> None:
    second = Week(2026, 50)

    class InTheSecond(AtLine):
        def __call__(self, line: str) -> None:
            self.lines.append(line)
            if line == f"planning {second}":
                assert interruption.interrupt()

    found = workflow.plan_weeks(
        small_case(tmp_path / "case"), WEEK, 4, NOON, tmp_path / "out", InTheSecond(0)
    )
    assert [o.plan.week for o in found] == [WEEK, second]
    assert [o.plan.interrupted for o in found] == [False, True]
    assert all(o.plan.sittings for o in found)
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["2026-W49", "2026-W50"]
