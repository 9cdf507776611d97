"""The forecast where teaching is planned: in the line and in courses it takes its minutes, its adults, its limits."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from random import Random
from statistics import fmean

import pytest

from genplan.case import AdultLimits, Case
from genplan.case.targets import Teach
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import Tally, tally
from genplan.evidence.log import Log, ResultKind
from genplan.forecast import BottleneckKind, HeldUp
from genplan.forecast.baseline import Baseline, baseline_projection
from genplan.forecast.fewest_owed import CourseRows
from genplan.forecast.remaining_capacity import RemainingCapacity
from genplan.plan import ProbeKind
from genplan.planning.planner import plan_week
from genplan.report.forecast_assumptions import assumption_sentences
from genplan.rules.placed_sittings import PlacedProbe
from genplan.text.held_up import held_up_text
from tests.fixtures.forecast_cases import (
    NOW,
    WEEK,
    Inline,
    last_reason,
    look_ahead,
    only,
    product_case,
    row,
    weeks_from,
    with_adult,
    with_target,
)
from tests.fixtures.nightly import by_day_the_first

BEFORE = date(2026, 11, 25)


def taught(case: Case, **policy: object) -> Case:
    return replace(case, policy=replace(case.policy, plan_teaching=True, **policy))  # type: ignore[arg-type]


def single_case(**target: object) -> Case:
    """One combination, wanted and asked for by the criterion."""
    return product_case((1, 1, 1), cover="all", generalised_when={"adult": 1}, **target)


def not_met(case: Case) -> Log:
    """Each combination was probed and not met."""
    target = case.targets["skill"]
    return Log.of(row(target, c, False, BEFORE, n) for n, c in enumerate(target.combinations(), 2))


def shares(case: Case, **more: object) -> tuple[float, ...]:
    found = only(look_ahead(case, weeks=7, rate=0.5, courses=400, **more)).generalised
    assert found is not None
    return found.shares


def line_of(case: Case, log: Log, weeks: int = 6) -> Baseline:
    return baseline_projection(case, log, weeks_from(WEEK, weeks), NOW, {}, Inline(), lambda _: None, 2)


def kinds(line: Baseline) -> list[list[str]]:
    return [[p.kind for s in week.seats for p in s.probes] for week in line.weeks]


def test_what_fails_is_taught_in_the_week_after_and_comes_again_in_the_next() -> None:
    # with 2 weeks of guess the retest would come in the weeks 3 and 6; planned, it comes in 2, 4 and 6
    found = shares(taught(single_case()), teaching_weeks=2)
    assert found[0] == found[1] == pytest.approx(1 / 2, abs=0.1)
    assert found[2] == found[3] == pytest.approx(3 / 4, abs=0.1)
    assert found[4] == found[5] == pytest.approx(7 / 8, abs=0.1)


@pytest.mark.parametrize(("a_week", "again"), [(2, 2), (1, 3)])
def test_two_teachings_before_the_retest_take_their_room(a_week: int, again: int) -> None:
    # fails in week 0; both teachings in week 1, or one each in 1 and 2; the retest in the week after the last
    case = taught(single_case(teachings_before_retest=2), teachings_per_target_per_week=a_week)
    found = shares(case)
    assert found[again - 1] == found[0]
    assert found[again] == pytest.approx(3 / 4, abs=0.1)


def test_days_after_the_last_teaching() -> None:
    # taught in week 1 at the earliest, 7 days on it is week 2 as without; 14 days make it week 3
    assert shares(taught(single_case(retest_after_days=7)))[2] > 0.6
    late = shares(taught(single_case(retest_after_days=14)))
    assert late[2] == late[0]
    assert late[3] == pytest.approx(3 / 4, abs=0.1)


def test_no_course_teaches_where_an_adult_has_no_minutes_for_it() -> None:
    # a probe is 5 + 5 minutes, a teaching 5 + 10; the adult gives 10 a week
    case = single_case()
    short = with_adult(case, next(iter(case.adults)), limits=AdultLimits(minutes_per_week=10))
    assert len(set(shares(taught(short)))) == 1
    assert len(set(shares(short))) > 1


def test_nor_where_nobody_may_teach_it() -> None:
    case = single_case()
    alone = with_adult(case, next(iter(case.adults)), teaches=frozenset())
    assert len(set(shares(taught(alone)))) == 1


def test_what_is_held_out_keeps_the_guess() -> None:
    case = single_case()
    out = with_target(case, hold_out=({"location": next(iter(case.locations))},))
    assert shares(taught(out), teaching_weeks=1) == shares(case, teaching_weeks=1)


def test_the_line_teaches_what_waits_and_probes_it_in_the_week_after() -> None:
    case = taught(single_case())
    line = line_of(case, not_met(case))
    assert kinds(line) == [["teaching"], ["retest"], [], [], [], []]
    found = only(look_ahead(case, not_met(case), rate=1.0, teaching_weeks=5)).generalised
    assert found is not None
    assert found.line == 1


def test_the_same_line_without_planned_teaching_keeps_the_guess() -> None:
    case = single_case()
    assert kinds(line_of(case, not_met(case))) == [[], [], ["retest"], [], [], []]
    twice = with_target(case, teachings_before_retest=2)
    assert kinds(line_of(twice, not_met(twice))) == [[], [], ["retest"], [], [], []]


def test_what_keeps_a_teaching_out_of_a_week_holds_the_skill_up() -> None:
    # two combinations of one adult wait; a week has minutes for one teaching: 5 + 10 of 15
    case = taught(product_case((1, 2, 1), cover="all", generalised_when={"location": 2}))
    adult = next(iter(case.adults))
    case = with_adult(case, adult, limits=AdultLimits(minutes_per_week=15))
    found = only(look_ahead(case, not_met(case), rate=1.0))
    assert found.generalised is not None
    # two teachings and two retests, one a week: the last is in the fourth. In two of the three weeks before, one of the
    # teachings is planned, and its retest waits for that; in two, the adult's minutes keep the other one out
    assert found.generalised.line == 3
    assert (last_reason(found).by, last_reason(found).weeks, last_reason(found).of) == (
        BottleneckKind.TEACHING,
        2,
        3,
    )


def without_teachers(case: Case) -> Case:
    for adult in case.adults:
        case = with_adult(case, adult, teaches=frozenset())
    return taught(case)


@pytest.mark.parametrize("failed", by_day_the_first([1, 0]))
def test_where_nobody_may_teach_that_holds_the_skill_up_and_no_limit(failed: int) -> None:
    """The line meets the criterion in two weeks with what is still untried, held up by the limit of the week; where a
    course fails, nothing brings it back."""
    case = without_teachers(product_case((3, 2, 2), a_week=3, generalised_when={"adult": 3}))
    target = case.targets["skill"]
    log = Log.of([row(target, c, False, BEFORE) for c in target.combinations()[:failed]])
    found = only(look_ahead(case, log, weeks=4, rate=0.5))
    assert last_reason(found) == HeldUp(
        by=BottleneckKind.NOBODY_TEACHES, waiting=target.combinations()[:failed]
    )
    assert held_up_text(case, target, last_reason(found)).startswith("nobody may teach it: ")
    assert last_reason(only(look_ahead(case, log, weeks=4, rate=1.0))).by is BottleneckKind.PROBES_OF_A_SKILL
    somebody = with_adult(case, next(iter(case.adults)), teaches=None)
    assert (
        last_reason(only(look_ahead(somebody, log, weeks=4, rate=0.5))).by is BottleneckKind.PROBES_OF_A_SKILL
    )


def test_what_nobody_may_teach_and_the_criterion_needs_is_told() -> None:
    case = without_teachers(single_case())
    found = last_reason(only(look_ahead(case, not_met(case), weeks=3, rate=0.5)))
    assert (found.by, found.weeks, found.of) == (BottleneckKind.NOBODY_TEACHES, 3, 3)
    assert found.waiting == case.targets["skill"].combinations()


def test_teaching_first_takes_the_place_of_what_is_new_and_new_first_does_not() -> None:
    # six combinations of three adults, each with minutes for one sitting of one thing a week
    case = product_case((3, 2, 1), cover="all", a_week=6)
    for adult in case.adults:
        case = with_adult(case, adult, limits=AdultLimits(minutes_per_week=15))
    covered = [
        only(look_ahead(taught(case, teaching_first=first), weeks=10, rate=0.5)).coverage.shares
        for first in (True, False)
    ]
    assert all(a <= b for a, b in zip(*covered, strict=True))
    assert sum(covered[0]) < sum(covered[1])


@pytest.mark.nightly
def test_the_courses_against_courses_that_the_planner_plans_week_by_week() -> None:
    # 4 combinations at 2 probes a week, with teaching in the same hours: the mean week of being covered and through
    case = taught(product_case((2, 2, 1), cover="all", a_week=2))
    real = list(_real_courses(case, 0.5, 25, lambda count: not count.open))
    stated = only(look_ahead(case, weeks=10, rate=0.5, courses=300)).coverage
    mean = sum(1 - share for share in stated.shares)
    assert fmean(real) == pytest.approx(mean, abs=0.5)


def _real_courses(case: Case, rate: float, number: int, is_through: Callable[[Tally], bool]) -> Iterator[int]:
    """The week, from 0, in which each course is through."""
    for n in range(number):
        random, log = Random(n), Log()
        for index, week in enumerate(weeks_from(WEEK, 10)):
            plan = plan_week(case, log, week, NOW, {}, (), Inline(), lambda _: None).plan
            for sitting in plan.sittings:
                for probe in sitting.probes:
                    kind = ResultKind.TEACHING if probe.kind is ProbeKind.TEACHING else ResultKind.PROBE
                    met = random.random() < rate
                    result = row(
                        case.targets["skill"], probe.combination, met, sitting.start.date(), 1000 * index
                    )
                    log = Log.of([*log.results, replace(result, kind=kind)])
            if is_through(tally(case, case.targets["skill"], log, NOW.date())):
                yield index
                break


def test_courses_teach_what_the_planner_would_choose_and_try_the_rest_again() -> None:
    """With the first adult nothing is met but the first set; of two failures one holds all that failed in both."""
    case = taught(with_target(product_case((1, 2, 2), cover="all"), teach=Teach.FEWEST))
    target = case.targets["skill"]
    first, second, third, fourth = target.combinations()
    log = Log.of([row(target, first, True, BEFORE, 2), row(target, second, False, BEFORE, 3)])
    line = line_of(case, log, weeks=3)
    rooms = [RemainingCapacity(w.case, w.week, w.free, (), "wren") for w in line.weeks]
    rows = CourseRows(log.results, tally(case, target, log, NOW.date()), rooms)
    assert [(o.combination, o.teachings) for o in rows.owed(0)] == [(second, 1)]
    rows.add(PlacedProbe("skill", fourth, ProbeKind.NEW), WEEK.monday, met=False)
    assert [(o.combination, o.teachings) for o in rows.owed(1)] == [(fourth, 1)]
    rows.add(PlacedProbe("skill", fourth, ProbeKind.TEACHING), WEEK.next().monday, met=True)
    assert [(o.combination, o.teachings) for o in rows.owed(2)] == [(second, 0), (fourth, 0)]
    for combination in (second, fourth):
        rows.add(PlacedProbe("skill", combination, ProbeKind.RETEST), WEEK.next().sunday, met=True)
    assert list(rows.owed(2)) == []
    assert third not in {o.combination for o in rows.owed(2)}


@pytest.mark.nightly
@pytest.mark.parametrize("teach", Teach)
def test_courses_of_the_fewest_against_the_planner_week_by_week(teach: Teach) -> None:
    """The mean week in which both adults and both places are met; one teaching a week, so that fewer are sooner."""
    case = product_case((2, 2, 2), cover="all", a_week=3, generalised_when={"adult": 2, "location": 2})
    case = taught(with_target(case, teach=teach), teachings_per_target_per_week=1)
    real = list(_real_courses(case, 0.4, 20, lambda count: criterion_of(count).is_met))
    found = only(look_ahead(case, weeks=10, rate=0.4, courses=300)).generalised
    assert found is not None
    assert fmean(real) == pytest.approx(sum(1 - share for share in found.shares), abs=0.6)


def test_what_is_taken_for_granted_is_said() -> None:
    case = single_case()
    said = " ".join(assumption_sentences(case, look_ahead(case, teaching_weeks=2)))
    assert "is taken to need 2 weeks of teaching after its week (--taught-within)" in said
    planned = taught(with_target(case, hold_out=({"location": "nowhere"},)), new_wait_after_lapse=True)
    told = " ".join(assumption_sentences(planned, look_ahead(planned, teaching_weeks=2)))
    assert "What is not met is taught in the first later weeks that have room for it" in told
    assert "What is held out and not met comes again" in told
    assert "new probes do not wait where a target fails" in told
