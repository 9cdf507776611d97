"""The straight line and what it says of weeks and dates: the arithmetic is beside each case."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import AdultLimits, LearnerLimits, Week, Wish
from genplan.evidence.log import Log
from genplan.forecast import Verdict
from genplan.forecast.baseline import baseline_projection
from genplan.planning.assemble import seat_of
from genplan.planning.coverage_week import coverage_week, without_idle_probes
from genplan.planning.figures import coverage_counts
from genplan.planning.jobs import Workers
from genplan.planning.planner import plan_week
from genplan.planning.solver_pool import process_pool
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.forecast_cases import (
    NOW,
    WEEK,
    Inline,
    hours,
    last_reason,
    look_ahead,
    nine_case,
    only,
    product_case,
    row,
    weeks_from,
    with_adult,
    with_target,
)
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.small_case import SUNDAY, silent, small_case

BEFORE = date(2026, 11, 25)


@pytest.mark.parametrize(("a_week", "weeks"), by_day_the_first([(2, 5), (9, 2), (1, 9), (3, 3)], 2))
def test_nine_combinations(a_week: int, weeks: int) -> None:
    # 9 in ones, twos, threes: 9, 5 (2+2+2+2+1), 3 weeks; with nine a week one a day allows 7, so 2 weeks
    found = only(look_ahead(nine_case(a_week), weeks=10, rate=1.0))
    assert found.coverage.line == weeks - 1
    assert found.coverage.shares[weeks - 1] == 1
    assert not any(found.coverage.shares[: weeks - 1])


def test_what_is_not_finished_within_the_weeks_is_said_to_be_so() -> None:
    # 9 probes, 2 a week: 4 weeks hold 8 of them
    found = only(look_ahead(nine_case(2), weeks=4, rate=1.0))
    assert (found.coverage.line, found.coverage.within) == (None, 0)


def test_what_is_finished_already() -> None:
    case = nine_case(2, generalised_when={"adult": 3})
    target = case.targets["skill"]
    log = Log.of(row(target, c, True, BEFORE, n) for n, c in enumerate(target.combinations(), 2))
    found = only(look_ahead(case, log))
    assert found.coverage.done
    assert found.generalised is not None
    assert found.generalised.done
    assert last_reason(found).weeks == 0


@pytest.mark.parametrize(("adults", "week"), [(2, 0), (3, 1), (5, 2)])
def test_the_criterion_is_met_before_the_coverage_is_finished(adults: int, week: int) -> None:
    # five adults, two probes a week: 2, 4 and 5 are met after the first, second and third week
    case = product_case((5, 1, 1), cover="each-value", a_week=2, generalised_when={"adult": adults})
    found = only(look_ahead(case, rate=1.0))
    assert found.generalised is not None
    assert (found.generalised.line, found.coverage.line) == (week, 2)


@pytest.mark.parametrize(
    ("by", "verdict"),
    [(date(2026, 12, 6), Verdict.NO), (date(2026, 12, 7), Verdict.YES), (date(2027, 3, 1), Verdict.YES)],
)
def test_a_date_that_just_holds_and_one_that_just_does_not(by: date, verdict: Verdict) -> None:
    # three combinations hold l0; two probes a week, on different days: the third is run on Monday 7 December at best
    case = nine_case(2, first=(Wish({"location": "l0-0"}, by),))
    first = next(iter(case.locations))
    case = with_target(case, first=(Wish({"location": first}, by),))
    (wish,) = only(look_ahead(case, rate=1.0)).wishes
    assert wish.verdict is verdict
    # a date alone decides on which day of a week it is run
    assert wish.line is not None
    assert date(2026, 12, 7) <= wish.line <= (by if by == date(2026, 12, 7) else date(2026, 12, 13))
    assert wish.beyond is (by == date(2027, 3, 1))
    assert (wish.held_up is None) is (verdict is Verdict.YES)


def test_what_was_only_taught_does_not_keep_a_wish_from_being_met() -> None:
    # two combinations at the place: one is taught, so no probe of it is planned, and the other is run and met
    case = product_case((2, 1, 1), cover="all")
    target, (place,) = case.targets["skill"], case.locations
    taught = dict(zip(target.dimension_names, target.combinations()[0], strict=True))
    case = with_target(case, taught=(taught,), first=(Wish({"location": place}, date(2026, 12, 6)),))
    (wish,) = only(look_ahead(case, rate=1.0)).wishes
    assert (wish.tried, wish.met) == (1, 1)
    (wish,) = only(look_ahead(case, rate=0.0)).wishes
    assert (wish.tried, wish.met) == (1, 0)


def test_the_line_is_the_planner_week_after_week(tmp_path: Path) -> None:
    folder = small_case(tmp_path / "case")
    planned = workflow.plan_weeks(folder, None, 3, SUNDAY, None, silent)
    found = workflow.forecast(folder, None, SUNDAY, 3, silent).forecast
    finished = next((i for i, o in enumerate(planned) if not o.plan.coverage[0].open), None)
    assert found.weeks == tuple(o.plan.week for o in planned)
    assert found.targets[0].coverage.line == finished == 1


@pytest.mark.parametrize("learners", [1, 3])
def test_the_first_week_is_the_one_that_is_planned(learners: int) -> None:
    size = {"learners": learners, "targets": 2, "adults": 3, "locations": 2, "sets": 2, "oddity": 0.3}
    case, log = random_case(5, **size), random_log(random_case(5, **size), 5)
    now, week = now_of(case), WEEK
    planned = plan_week(case, log, week, now, {}, (), Inline(), silent).plan.sittings
    line = baseline_projection(case, log, weeks_from(week, 2), now, {}, Inline(), silent, 1)
    assert planned
    assert line.weeks[0].seats == tuple(sorted(seat_of(line.weeks[0].case, week, s) for s in planned))


@pytest.mark.parametrize("seed", by_day_the_first([3, 0, 1, 2], 2))
def test_later_weeks_show_as_much_as_the_planner_would(seed: int) -> None:
    """One learner's week is searched as the planner searches it, but for comfort: so it shows the same."""
    case = random_case(seed, learners=1, targets=3, adults=3, locations=2, sets=2, oddity=0.3)
    now = now_of(case)
    line = baseline_projection(
        case, random_log(case, seed), weeks_from(WEEK, 3), now, {}, Inline(), silent, 1
    )
    for later in line.weeks[1:]:
        ground = week_context_of(case, later.log, later.week, now, {}, ())
        plan = plan_week(case, later.log, later.week, now, {}, (), Inline(), silent).plan
        seats = tuple(seat_of(ground.case, later.week, s) for s in plan.sittings)
        assert coverage_counts(ground.needs, later.seats) == coverage_counts(ground.needs, seats)


def test_the_weeks_ahead_are_the_same_with_any_number_of_processes() -> None:
    case = random_case(3, learners=6, targets=2, adults=3, locations=2, sets=2)
    load = week_context_of(case, random_log(case, 3), WEEK, now_of(case), {}, ()).caseload
    with process_pool(2) as pool:
        assert coverage_week(load, Workers(pool, silent)) == coverage_week(load, Workers(Inline(), silent))


def test_a_probe_of_which_others_show_everything_is_left_out() -> None:
    # each value is to be shown once: the first two probes show all of them, so the third is idle; without the first it
    # is the only one with that adult
    case = product_case((2, 2, 1), cover="each-value")
    (target,), (need,) = case.targets.values(), week_context_of(case, Log(), WEEK, NOW, {}, ()).needs
    adults, places = (target.dimensions[n].values for n in (0, 1))
    (set_,) = target.dimensions[2].values
    seats = [
        PlacedSitting(
            "wren",
            adults[a],
            places[b],
            at,
            at + 10,
            (PlacedProbe(target.id, (adults[a], places[b], set_), "new"),),
        )
        for at, a, b in ((540, 0, 0), (600, 1, 1), (660, 0, 1))
    ]
    assert sorted(without_idle_probes((need,), seats)) == seats[:2]
    assert sorted(without_idle_probes((need,), seats[1:])) == sorted(seats[1:])


def test_people_were_told_of_the_days_before(tmp_path: Path) -> None:
    folder = small_case(tmp_path / "case")
    workflow.keep(folder, Week(2026, 49), None, SUNDAY, silent)
    monday = datetime(2026, 11, 30, 9)
    found = workflow.forecast(folder, Week(2026, 50), monday, 3, silent).forecast
    # 8 combinations, taught 1; what the kept week holds is counted as met, and the rest fits into the first week
    assert found.assumptions.told_before
    assert found.targets[0].coverage.line == 0


@pytest.mark.parametrize("seed", by_day_the_first([3, 1, 0, 2], 2))
def test_more_hours_never_lengthen_it(seed: int) -> None:
    # in these cases; week-by-week planning promises no such thing of every case
    days = [(9, 17) if (seed >> n) & 1 else None for n in range(2)]
    case = product_case((2, 2, 1), cover="all")
    (learner,) = case.learners.values()
    short = replace(case, adults={a: replace(x, free=hours(*days, (9, 10))) for a, x in case.adults.items()})
    short = replace(short, learners={"wren": replace(learner, limits=LearnerLimits(probes_per_day=1))})
    longer = with_adult(short, next(iter(short.adults)), free=hours((9, 17)))
    few = with_adult(short, next(iter(short.adults)), limits=AdultLimits(minutes_per_week=10))
    lines = [only(look_ahead(c, weeks=12, rate=1.0)).coverage.line for c in (longer, short, few)]
    assert all(n is not None for n in lines)
    assert lines == sorted(lines, key=lambda n: n or 0)
