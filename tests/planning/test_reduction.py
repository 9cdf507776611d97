"""A problem with only what decides its answer has the answer of the whole one."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from dataclasses import fields, replace
from random import Random

import pytest

from genplan.case import Absence, Case, Preferences, SolverLimits
from genplan.plan import COMFORT, COVERAGE, ObjectiveName
from genplan.planning.answers.questions import Questions
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import SolveJob, run_solve
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.reduction import DROPPED, reduced
from genplan.planning.solver import daily_capacity, search, stages
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_learners
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.random_cases import WEEK, now_of, random_case, random_log

SIZE = {"learners": 4, "targets": 2, "adults": 3, "locations": 3, "sets": 2, "staff": 2, "oddity": 0.5}
LITTLE = SolverLimits(work_per_stage=0.02)


def caseload(seed: int, case: Case | None = None) -> Caseload:
    """Four learners; every other seed asks for companions, every third for one change at a time."""
    case = case or random_case(seed, **SIZE)
    prefer = Preferences(one_change_at_a_time=seed % 3 == 0)
    policy = replace(case.policy, solver=LITTLE, accompany_new_adults=seed % 2 == 0, prefer=prefer)
    case = replace(case, policy=policy)
    return week_context_of(case, random_log(case, seed), WEEK, now_of(case), {}, ()).caseload


def jobs_of(seed: int, load: Caseload) -> Iterator[SolveJob]:
    """Searches of all sorts: alone, beside others, several at once, from what was told, for somebody's wish, at a
    toll, with regard for others."""
    one, *_ = load.learners
    beside = seats_of_others(load)
    alone = dict.fromkeys(load.learners, 3)
    yield SolveJob(problem=load.sparing((one,), (), {}), goals=load.sparing_objectives, by_days=True)
    problem = load.problem((one,), beside, alone)
    yield SolveJob(problem=problem, goals=(*COVERAGE, *COMFORT), as_part=True)
    told = replace(problem, told=tuple(sorted(beside)))
    yield SolveJob(problem=told, goals=load.objectives(*COVERAGE, ObjectiveName.TOLD))
    wanted = [(n.id, min(n.open)) for n in problem.needs if n.open]
    asked = replace(problem, asked=frozenset(wanted[:1]))
    yield SolveJob(problem=asked, goals=(ObjectiveName.ASKED, *COVERAGE) if wanted else COVERAGE)
    tolls = {("adult", a): Random(seed).randrange(200) for a in load.case.adults}
    yield SolveJob(problem=replace(problem, tolls=tolls), goals=(ObjectiveName.WORTH,))
    pair = load.learners[:2]
    together = load.problem(pair, tuple(s for s in beside if s.learner not in pair), alone)
    yield SolveJob(problem=together, goals=(*COVERAGE, *COMFORT), start=of_learners(beside, pair))


def seats_of_others(load: Caseload) -> tuple[PlacedSitting, ...]:
    """A week of all but the first, each beside those before."""
    seats: tuple[PlacedSitting, ...] = ()
    for other in load.learners[1:]:
        job = SolveJob(problem=load.problem((other,), seats, {}), goals=(ObjectiveName.NEW_TUPLES,))
        seats += run_solve(job).seats
    return seats


Asked = tuple[Outcome, list[str]]


def asked_of_solver(job: SolveJob, monkeypatch: pytest.MonkeyPatch) -> Asked:
    """The outcome, and every model that the solver was given on the way, to the letter."""
    models: list[str] = []

    def hearing(model: search.cp_model.CpModel, *more: object, cuts: bool = True) -> search.Found:
        models.append(str(model.proto))
        return search.search(model, *more, cuts=cuts)  # type: ignore[arg-type]

    for module in (stages, daily_capacity):
        monkeypatch.setattr(module, "solve_model" if module is stages else "search", hearing)
    return run_solve(job), models


def _unmeasured(outcome: Outcome) -> Outcome:
    return replace(outcome, seconds={}, work={}, cpu=0.0, alone={})


@pytest.mark.parametrize("seed", by_day_the_first(range(40)))
def test_the_solver_is_asked_the_same_and_answers_the_same(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    load = caseload(seed)
    if len(load.learners) < 2:
        pytest.skip("one learner is owed something")
    models = 0
    for job in jobs_of(seed, load):
        whole, asked = asked_of_solver(job, monkeypatch)
        small, asked_small = asked_of_solver(job.reduced(), monkeypatch)
        assert asked_small == asked
        assert _unmeasured(small) == _unmeasured(whole)
        models += len(asked)
    assert models > 10


def test_what_is_dropped_is_a_field_and_is_nothing_in_a_reduced_problem() -> None:
    for kind, names in DROPPED.items():
        assert names.keys() <= {f.name for f in fields(kind)}
    load = caseload(3)
    whole = load.problem(load.learners[:1], seats_of_others(load), {})
    for word in ("Skill", "L001.", "Does it within", "therapist", "Staff 1", "Home 001"):
        assert word in str(whole)
        assert word not in str(reduced(whole))


def test_a_reduced_problem_is_smaller_to_send() -> None:
    case = random_case(1, learners=12, targets=3, adults=4, locations=3, sets=3, staff=2)
    load = caseload(1, case)
    problem = load.problem(load.learners[:1], (), {})
    assert len(pickle.dumps(reduced(problem))) < len(pickle.dumps(problem)) / 2.5


def question(problem: Problem) -> str:
    return Questions().text(reduced(problem))


def alone(load: Caseload) -> dict[str, str]:
    return {i: question(load.problem((i,), (), {})) for i in load.learners}


def test_a_change_of_one_child_changes_no_question_about_another() -> None:
    case = random_case(5, **SIZE)
    before = alone(caseload(5, case))
    one = next(iter(before))
    changed = case.learners[one]
    off = Absence(*(now_of(case).replace(tzinfo=None, day=d, month=12) for d in (1, 6)))
    for other in (
        replace(changed, name="Another name", alias="X."),
        replace(changed, away=(*changed.away, off)),
        replace(changed, limits=replace(changed.limits, probes_per_day=1)),
        replace(changed, needs=3.0),
    ):
        after = alone(caseload(5, replace(case, learners={**case.learners, one: other})))
        assert {i: q for i, q in after.items() if i != one} == {i: q for i, q in before.items() if i != one}
        assert (after[one] == before[one]) == (other.name == "Another name")


def test_a_seat_far_away_changes_no_question_and_one_with_the_same_adult_does() -> None:
    load = caseload(7)
    one, other, *_ = load.learners
    problem = load.problem((one,), (), {})
    opening = problem.openings[0]
    far = PlacedSitting(other, "nobody", "nowhere", opening.start, opening.start + 10, ())
    near = replace(far, adult=opening.adult)
    asked = question(problem)
    assert question(replace(problem, taken=(far,))) == asked
    one_probe, another = (
        PlacedProbe("t", (opening.adult, "home", name), "new") for name in ("theirs", "hers")
    )
    held = question(replace(problem, taken=(replace(near, probes=(one_probe,)),)))
    assert question(replace(problem, taken=(replace(near, probes=(another,)),))) == held
    for taken in (near, replace(far, learner=one), replace(far, location=opening.location)):
        assert question(replace(problem, taken=(taken,))) != asked
