"""An executor with answers of earlier runs: what is kept, what is searched anew, and that either is the same."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from concurrent.futures import CancelledError, Executor, Future, ThreadPoolExecutor
from dataclasses import replace
from datetime import date, datetime
from functools import partial
from math import inf
from pathlib import Path
from typing import Any

import pytest

import genplan
from genplan.case import Absence, Case
from genplan.evidence.log import Log, ResultKind
from genplan.plan import LeftOut, Objective, ObjectiveName, ProbeKind, StageStatus
from genplan.planning.answers import remembering
from genplan.planning.answers.plain_values import NotPlain, answer_type, read, written
from genplan.planning.answers.questions import Questions, Unwritable
from genplan.planning.answers.remembering import Remembering, who_answers
from genplan.planning.answers.store import AnswerStore
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.jobs import run_design
from genplan.planning.observer_options import ObserverVisit
from genplan.planning.outcome import Design, Outcome
from genplan.planning.planner import plan_week
from genplan.report.document import plan_json
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import WEEK, Inline
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.search_settings import search_with

COLUMNS = ((("mum", "home"), ((("adult", "mum"), ("location", "home")),)),)
LONG = replace(Budget.of(10**6), since=inf)


class Counting(Inline):
    """Says which functions were run."""

    def __init__(self) -> None:
        self.run: Counter[str] = Counter()

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.run[(args[0] if fn is remembering.answer_of else fn).__name__] += 1
        return super().submit(fn, *args, **kwargs)


@pytest.fixture
def store(tmp_path: Path) -> AnswerStore:
    return AnswerStore(tmp_path / "genplan" / "answers")


def asked(store: AnswerStore, function: Any = run_design, job: Any = COLUMNS, budget: Budget = LONG) -> Any:
    """The answer, and whether it was searched for."""
    inner = Counting()
    answer = Remembering(inner, store).submit(function, job, budget).result()
    return answer, bool(inner.run)


def test_the_second_time_nothing_is_searched(store: AnswerStore) -> None:
    first, searched = asked(store)
    assert searched
    again, searched = asked(store)
    assert not searched
    assert again == first == Design((("mum", "home"),), 1)


def test_the_budget_is_no_part_of_the_question(store: AnswerStore) -> None:
    asked(store)
    assert not asked(store, budget=ENDLESS)[1]
    assert not asked(store, budget=Budget.of(0))[1]  # what is known takes no time


def test_what_the_clock_ended_is_not_kept(store: AnswerStore) -> None:
    assert asked(store, budget=Budget.of(0))[1]
    assert asked(store)[1]


def cut_short(job: Any, budget: Budget) -> Outcome:
    return Outcome(seats=(), objectives=(), repeatable=job)


cut_short.__module__ = "genplan.planning.jobs"


def test_what_is_not_repeatable_is_not_kept(store: AnswerStore) -> None:
    for repeatable in (True, False):
        asked(store, cut_short, repeatable)
        assert asked(store, cut_short, repeatable)[1] is not repeatable


def failing(job: Any, budget: Budget) -> Design:
    raise ZeroDivisionError(job)


failing.__module__ = "genplan.planning.jobs"


def test_a_search_that_fails_raises_what_it_raised_and_leaves_nothing(
    store: AnswerStore, tmp_path: Path
) -> None:
    with ThreadPoolExecutor(1) as pool, pytest.raises(ZeroDivisionError):
        Remembering(pool, store).submit(failing, COLUMNS, LONG).result()
    assert not list(tmp_path.iterdir())


class Cancelling(Inline):
    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        gone: Future[Any] = Future()
        gone.cancel()
        gone.set_running_or_notify_cancel()
        return gone


def test_a_search_that_was_cancelled_is_not_waited_for(store: AnswerStore) -> None:
    with pytest.raises(CancelledError):
        Remembering(Cancelling(), store).submit(run_design, COLUMNS, LONG).result(timeout=5)


def test_a_folder_that_cannot_be_written_costs_a_search_and_no_more(tmp_path: Path) -> None:
    (tmp_path / "genplan").write_text("in the way")
    store = AnswerStore(tmp_path / "genplan" / "answers")
    assert asked(store) == (Design((("mum", "home"),), 1), True)
    assert asked(store)[1]


def test_an_answer_of_another_form_is_searched_anew_and_replaced(store: AnswerStore) -> None:
    """Somebody who knows the question wrote it."""
    executor = Remembering(Inline(), store)
    question = executor._question(run_design, (COLUMNS, LONG))
    assert question is not None
    for data in (b"", b"{", b"[]", b'[["a"], 1]', b'[[["mum", 7]], 1]', b'[[["mum"]], true]', b"[" * 100_000):
        store.put(question, data)
        assert asked(store) == (Design((("mum", "home"),), 1), True)
        assert not asked(store)[1]


def double(number: int) -> int:
    return 2 * number


def unsaid(job, budget):  # type: ignore[no-untyped-def]
    return job


unsaid.__module__ = "genplan.planning.jobs"


def test_what_is_no_question_of_ours_passes_through(store: AnswerStore, tmp_path: Path) -> None:
    executor = Remembering(Inline(), store)
    assert executor.submit(double, 4).result() == 8
    assert executor.submit(pow, 3, mod=5, exp=2).result() == 4
    assert executor.submit(unsaid, 3, LONG).result() == 3
    assert executor.submit(run_design, [], LONG).result() == Design((), 0)
    assert executor.tally == {"searched": 1}


# what a question holds


def test_another_version_of_anything_is_another_to_ask(
    store: AnswerStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked(store)
    monkeypatch.setattr(remembering, "who_answers", lambda: "another program")
    assert asked(store)[1]
    monkeypatch.undo()
    assert not asked(store)[1]
    search_with(monkeypatch, "answers.remembering", seed=7)
    assert asked(store)[1]


def test_every_line_of_the_program_and_each_version_is_part_of_who_answers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def who() -> str | None:
        who_answers.cache_clear()
        return who_answers()

    before = who()
    assert before == who()
    package = tmp_path / "genplan"
    (package / "planning").mkdir(parents=True)
    monkeypatch.setattr(genplan, "__file__", str(package / "__init__.py"))
    assert who() is None  # a program that cannot be read, such as one in a ZIP file
    (package / "planning" / "rules.py").write_text("REST = 30\n")
    first = who()
    (package / "planning" / "rules.py").write_text("REST = 31\n")
    assert len({before, first, who()}) == 3
    monkeypatch.setattr(remembering, "version", lambda name: f"{name} of tomorrow")
    assert first is not None
    assert who() not in (None, first, before)
    monkeypatch.undo()
    who_answers.cache_clear()


def test_a_program_that_cannot_be_read_keeps_nothing(
    store: AnswerStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(remembering, "who_answers", lambda: None)
    asked(store)
    assert asked(store)[1]


def questions_of(case: Case, log: Log) -> dict[str, list[str]]:
    """Each function that a plan asks, with its questions."""
    asked: dict[str, list[str]] = {}

    class Noting(Inline):
        def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
            asked.setdefault(fn.__name__, []).append(Questions().text(args[0]))
            return super().submit(fn, *args, **kwargs)

    plan_week(case, log, WEEK, now_of(case), {}, (), Noting(), lambda _: None)
    return asked


def little(case: Case) -> Case:
    policy = replace(case.policy, solver=replace(case.policy.solver, work_per_stage=0.1), observed_share=0.5)
    return replace(case, policy=policy)


ASK = """
import sys
from tests.planning.test_remembering import little, questions_of
from tests.fixtures.random_cases import random_case, random_log
case = little(random_case(4, learners=2, targets=2, adults=3, locations=2, sets=2, staff=2))
print(questions_of(case, random_log(case, 4)))
"""


def test_the_same_job_is_the_same_question_in_every_process() -> None:
    """Sets of texts are in another order with another hash seed."""
    said = {
        subprocess.run(
            [sys.executable, "-c", ASK],
            capture_output=True,
            check=True,
            env={"PYTHONHASHSEED": seed},
            cwd=Path(__file__).parents[2],
        ).stdout
        for seed in "01"
    }
    assert len(said) == 1
    assert b"run_observers" in next(iter(said))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (1, 2),
        (1, 1.0),
        (1, True),
        (0.1, 0.1 + 1e-17 + 1e-16),
        ("1", 1),
        ("a b", ("a", "b")),
        (("a", ("b",)), (("a",), "b")),
        ((), frozenset()),
        (None, "None"),
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}),
        ({"a": 1}, (("a", 1),)),
        (date(2026, 11, 29), "2026-11-29"),
        (StageStatus.OPTIMAL, StageStatus.STOPPED),
        (PlacedSitting("w", "m", "h", 0, 5, ()), PlacedSitting("w", "m", "h", 0, 6, ())),
        (ObserverVisit(PlacedSitting("w", "m", "h", 0, 5, ()), "g"), PlacedSitting("w", "m", "h", 0, 5, (), "g")),
        ('"', "'"),
        ("é", "e\u0301"),
        ("\ud800", "?"),
    ],
)  # fmt: skip
def test_other_values_are_other_questions(one: object, other: object) -> None:
    questions = Questions()
    assert questions.text(one) != questions.text(other)


def test_equal_values_are_the_same_question() -> None:
    """A kind of probe is a word in one hand and its text in another."""
    questions = Questions()
    words = {f"set-{n}" for n in range(50)}
    assert questions.text(frozenset(words)) == questions.text(frozenset(sorted(words, reverse=True)))
    assert questions.text(PlacedProbe("t", (), ProbeKind.NEW)) == questions.text(PlacedProbe("t", (), "new"))
    with pytest.raises(Unwritable):
        questions.text(lambda: 0)


# what an answer is written as

ANSWERS: list[tuple[Any, Any]] = [
    (Design, Design((("mum", "home"), ("gran", "yard")), 2)),
    (tuple[int, ...], (3, 1, 2)),
    (tuple[PlacedSitting, ...], (PlacedSitting("w", "m", "h", 5, 15, (PlacedProbe("t", ("m", "h"), "new"),), "g"),)),
    (
        tuple[LeftOut, ...],
        (
            LeftOut(
                learner="w",
                target="t",
                kind=ProbeKind.MAINTENANCE,
                values=(("adult", "m"),),
                limit=Limit(
                    Kind.SEVERAL, parts=(Limit(Kind.ROOM, location="h"), Limit(Kind.TEACHING, on=date(2026, 1, 2)))
                ),
                due=date(2026, 12, 1),
            ),
        ),
    ),
    (
        Outcome,
        Outcome(
            seats=(),
            objectives=(
                Objective(name=ObjectiveName.DUE, sense="most", value=3, bound=3.5, status=StageStatus.STOPPED),
            ),
            day_most={("w", 0): 4},
            alone={"w": 7, "a": 1},
        ),
    ),
    (Limit | None, None),
    (frozenset[tuple[str, str]], frozenset({("b", "c"), ("a", "d")})),
]  # fmt: skip


@pytest.mark.parametrize(("hint", "answer"), ANSWERS)
def test_an_answer_is_read_as_it_was_written(hint: Any, answer: Any) -> None:
    again = read(hint, written(hint, answer))
    assert again == answer
    assert type(again) is type(answer)
    assert repr(again) == repr(answer) or isinstance(answer, frozenset)


def test_figures_stay_whole_or_broken_and_none_is_lost() -> None:
    for value in (3, 3.0, 0.1, 1e-9, float("inf"), -0.0):
        again = read(float, written(float, value))
        assert (again, type(again), repr(again)) == (value, type(value), repr(value))
    assert repr(read(float, written(float, float("nan")))) == "nan"


def test_how_long_it_took_is_not_kept() -> None:
    took = Outcome(seats=(), objectives=(), seconds={"due": 3.0})
    assert read(Outcome, written(Outcome, took)) == replace(took, seconds={})


@pytest.mark.parametrize(
    ("hint", "value"),
    [
        (int, True),
        (int, "1"),
        (str, 1),
        (tuple[int, ...], [1]),
        (Design, ((), 1)),
        (Any, 1),
        (object, 1),
        (int | str, 1),
    ],
)
def test_a_value_of_another_type_is_not_written(hint: Any, value: Any) -> None:
    with pytest.raises(NotPlain):
        written(hint, value)


def test_every_function_that_is_handed_to_workers_says_what_it_answers() -> None:
    """Those of `answers`, `answer` and `submit` in the package whose names are functions there."""
    handed = set()
    for path in Path(genplan.__file__).parent.rglob("*.py"):
        text = path.read_text("utf-8")
        if not re.search(r"\b(answers|answer|submit)\b", text):
            continue  # to read all of the package as a tree takes seconds
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.args:
                first = node.args[0]
                if node.func.attr in ("answers", "answer", "submit") and isinstance(first, ast.Name):
                    handed.add((path, first.id))
    functions = {}
    for path, name in handed - {h for h in handed if h[1] in ("function", "fn")}:
        module = ".".join(path.relative_to(Path(genplan.__file__).parents[1]).with_suffix("").parts)
        functions[name] = getattr(__import__(module, fromlist=[name]), name)
    assert {"run_solve", "run_design", "left_out"} <= functions.keys()
    for function in functions.values():
        answer_type(function)


# whole weeks


def plan_by(executor: Executor, case: Case, log: Log, **more: Any) -> bytes:
    week, busy = more.get("week", WEEK), more.get("busy", {})
    return plan_json(case, plan_week(case, log, week, now_of(case), busy, (), executor, lambda _: None).plan)


@pytest.mark.parametrize("seed", by_day_the_first([1, 2, 0, 3, 4], 2))
def test_a_plan_is_the_same_with_no_store_an_empty_one_and_a_full_one(seed: int, store: AnswerStore) -> None:
    case = little(random_case(seed, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2))
    log = random_log(case, seed)
    inner = Counting()
    without = plan_by(Inline(), case, log)
    assert plan_by(Remembering(inner, store), case, log) == without
    assert inner.run["run_solve"] > 0
    again = Counting()
    assert plan_by(Remembering(again, store), case, log) == without
    assert again.run == {}


def test_whatever_is_changed_that_decides_is_searched_anew(store: AnswerStore) -> None:
    case = little(random_case(2, learners=1, targets=2, adults=3, locations=2, sets=2))
    log = random_log(case, 2)
    plan_by(Remembering(Inline(), store), case, log)
    first = min(r.line for r in log.results if r.kind is ResultKind.PROBE)
    away = Absence(datetime(2026, 11, 30), datetime(2026, 12, 2))
    rest = replace(case.policy, rest_minutes=case.policy.rest_minutes + 15)
    work = replace(case.policy, solver=replace(case.policy.solver, work_per_stage=0.2))
    for changed in (
        partial(plan_by, case=replace(case, policy=rest), log=log),
        partial(plan_by, case=replace(case, policy=work), log=log),
        partial(plan_by, case=case, log=Log.of(r for r in log.results if r.line != first)),
        partial(plan_by, case=case, log=log, busy=dict.fromkeys(case.adults, (away,))),
        partial(plan_by, case=case, log=log, week=WEEK.next()),
    ):
        assert solves_of(changed, store) > 0
        assert solves_of(changed, store) == 0
    renamed = {i: replace(a, name="Another name", role="a cousin") for i, a in case.adults.items()}
    assert solves_of(partial(plan_by, case=replace(case, adults=renamed), log=log), store) == 0


def solves_of(planned: Callable[[Executor], bytes], store: AnswerStore) -> int:
    inner = Counting()
    planned(Remembering(inner, store))
    return inner.run["run_solve"]
