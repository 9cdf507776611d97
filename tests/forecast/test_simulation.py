"""The range: what the simulated courses say, and how far that is true."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from math import inf, sqrt
from random import Random
from statistics import fmean, pvariance

import numpy as np
import pytest
import scipy

from genplan.case import Case, Week
from genplan.coverage.criterion import criterion_of
from genplan.coverage.tally import tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.forecast.baseline import baseline_projection
from genplan.forecast.compose import _start
from genplan.forecast.rates import CONCENTRATIONS, MASTERY_WORTH, Known, Rate, rate_of
from genplan.forecast.simulation import SimulationJob, TargetRuns, rooms_of, run_in, run_simulation
from genplan.forecast.values import Milestone
from genplan.planning.planner import plan_week
from tests.fixtures.forecast_cases import (
    NOW,
    WEEK,
    Inline,
    look_ahead,
    nine_case,
    only,
    product_case,
    row,
    second_target,
    weeks_from,
)

BEFORE = date(2026, 11, 2)


def job_for(case: Case, log: Log, rate: Known | Rate, weeks: int = 10, courses: int = 100) -> SimulationJob:
    line = baseline_projection(case, log, weeks_from(WEEK, weeks), NOW, {}, Inline(), lambda _: None, 1)
    starts = tuple(_start(case, log, line.before[t.id], line.now.date()) for t in case.mastered)
    rates = {t.id: rate for t in case.mastered}
    return SimulationJob(
        learner="wren",
        starts=starts,
        rates=rates,
        weeks=line.weeks,
        teaching_weeks=1,
        courses=courses,
        dice=1,
    )


def test_a_rate_of_one_has_no_width() -> None:
    found = only(look_ahead(nine_case(2, generalised_when={"adult": 3}), rate=1.0))
    for milestone in (found.coverage, found.generalised):
        assert milestone is not None
        assert {milestone.reached_in(s) for s in (0.001, 0.1, 0.5, 0.9, 1)} == {milestone.line}


def test_a_rate_of_nought_never_meets_a_criterion_and_tries_everything() -> None:
    # every probe is run once, and again and again: 9 first probes and their retests share two places a week
    found = only(look_ahead(nine_case(2, generalised_when={"adult": 1}), weeks=12, rate=0.0))
    assert found.generalised is not None
    assert (found.generalised.line, found.generalised.within) == (0, 0)
    assert found.coverage.shares[4] == 0


def test_what_fails_comes_again_after_teaching_and_no_sooner() -> None:
    # one combination. Fails: taught in the week after; again in the week with index 2, 4, …
    case = product_case((1, 1, 1), cover="all", generalised_when={"adult": 1})
    found = only(look_ahead(case, weeks=6, rate=0.5, courses=400))
    assert found.generalised is not None
    shares = found.generalised.shares
    assert shares[0] == shares[1] == pytest.approx(1 / 2, abs=0.1)
    assert shares[2] == shares[3] == pytest.approx(3 / 4, abs=0.1)
    assert shares[4] == shares[5] == pytest.approx(7 / 8, abs=0.1)
    never_taught = only(look_ahead(case, weeks=6, rate=0.5, courses=400, teaching_weeks=6)).generalised
    assert never_taught is not None
    assert len(set(never_taught.shares)) == 1


def test_what_was_taught_for_its_retest_counts_no_more_where_only_untaught_does() -> None:
    """One combination that is met in half of the courses at once, in the others after teaching alone; and two places
    that are asked for by name and probed one a week."""
    case = product_case((1, 1, 1), cover="all", generalised_when={"adult": 1}, generalised_untaught=True)
    found = only(look_ahead(case, weeks=6, rate=0.5, courses=400)).generalised
    assert found is not None
    assert found.shares[0] == found.shares[5] == pytest.approx(1 / 2, abs=0.1)
    last = product_case(
        (1, 2, 1), cover="all", a_week=1, generalised_with=({"location": "l1-0"}, {"location": "l1-1"})
    )
    named = only(look_ahead(last, weeks=4, rate=1.0)).generalised
    assert named is not None
    assert (named.line, named.reached_in(0.5)) == (1, 1)
    held_out = replace(case.targets["skill"], hold_out=({"adult": "a0-0"},))
    kept = only(
        look_ahead(replace(case, targets={"skill": held_out}), weeks=6, rate=0.5, courses=400)
    ).generalised
    assert kept is not None
    assert kept.shares[5] > 0.8  # taught in others, and met all the same without teaching in it


def test_a_retest_takes_the_place_of_what_is_new() -> None:
    # 4 combinations, 1 probe a week: in the line weeks 0 to 3. If only the first fails it comes again in week 2, and
    # two of the others give way by a week: week 4, if what comes later is met
    case = product_case((2, 2, 1), cover="all", a_week=1)
    job = job_for(case, Log(), Known(0.5), courses=300)
    covered = run_simulation(job)["skill"].covered
    assert min(c for c in covered if c is not None) == 3
    assert {3, 4, 5} <= set(covered)


def test_few_results_give_a_wide_range_and_many_a_narrow_one() -> None:
    few, many = Rate(4, 1), Rate(80, 20)
    width = [
        drawn[90] - drawn[10]
        for drawn in (sorted(r.draw(Random(n)).mean for n in range(101)) for r in (few, many))
    ]
    assert width[0] > 3 * width[1]


@pytest.mark.parametrize(
    ("rate", "beta"),
    [
        # uniform prior and own results; the others' ten probes are worth two: 8 of 10 become 1.6 of 2
        (Rate(3, 1), (4, 2)),
        (Rate(0, 0), (1, 1)),
        (Rate(3, 1, 8, 2), (5.6, 2.4)),
        (Rate(3, 1, 1, 0), (5, 2)),
        # that it was mastered is one probe met more
        (Rate(0, 0, mastery=MASTERY_WORTH), (2, 1)),
        (Rate(3, 1, mastery=MASTERY_WORTH), (5, 2)),
    ],
)
def test_the_posterior_of_a_single_place(rate: Rate, beta: tuple[float, float]) -> None:
    """Beta, by its quantiles: 2000 draws are off by 0.011 at the most, one standard error."""
    random = Random(1)
    drawn = sorted(rate.draw(random).mean for _ in range(2000))
    for share in (0.1, 0.5, 0.9):
        assert drawn[int(share * 2000)] == pytest.approx(scipy.stats.beta(*beta).ppf(share), abs=0.035)


def test_the_posterior_of_several_places_is_that_of_the_beta_binomial_model() -> None:
    """Worked out once more: the likelihood by SciPy's beta-binomial, the mean summed over a grid of its own."""
    seen = {"home": (4, 0), "class": (0, 3), "hall": (0, 0)}
    expected, whole = dict.fromkeys(seen, 0.0), 0.0
    m = np.arange(1, 400) / 400
    for k in CONCENTRATIONS:
        weight = math.prod(
            scipy.stats.betabinom(met + not_met, k * m, k * (1 - m)).pmf(met)
            for met, not_met in seen.values()
        )
        whole += weight.sum()
        for place, (met, not_met) in seen.items():
            expected[place] += (weight * (k * m + met) / (k + met + not_met)).sum()
    random, rate = Random(3), Rate(4, 3, places=seen)
    drawn = [rate.draw(random) for _ in range(3000)]
    for place in seen:
        assert fmean(d.of(place) for d in drawn) == pytest.approx(expected[place] / whole, abs=0.02)
    # where nothing was run the mean is what is known
    assert (
        fmean(d.of("class") for d in drawn)
        < fmean(d.of("hall") for d in drawn)
        < fmean(d.of("home") for d in drawn)
    )


def test_a_place_of_its_own_rate_decides_what_is_met_there() -> None:
    case = product_case((1, 2, 1), cover="all", generalised_when={"location": 2})
    at_one = {"l1-0": 1.0, "l1-1": 0.0}
    found = run_simulation(job_for(case, Log(), Known(0.5, at_one), weeks=4, courses=20))["skill"]
    assert set(found.generalised) == {None}
    everywhere = run_simulation(
        job_for(case, Log(), Known(0.0, dict.fromkeys(at_one, 1.0)), weeks=4, courses=20)
    )
    assert None not in everywhere["skill"].generalised


def test_which_results_count_for_the_rate() -> None:
    case = second_target(nine_case())
    skill, zeal = case.targets.values()
    one, two, *_ = skill.combinations()
    log = Log.of(
        [
            row(skill, one, True, BEFORE, 2),
            row(skill, two, False, BEFORE, 3),
            row(skill, one, True, BEFORE + timedelta(days=1), 4, kind=ResultKind.MAINTENANCE),
            row(skill, two, True, BEFORE, 5),  # corrects line 3
            row(zeal, one, False, BEFORE, 6),
        ]
    )
    places = {"l1-0": (1, 0), "l1-1": (1, 0), "l1-2": (0, 0)}
    assert rate_of(case, skill, log) == Rate(2, 0, 0, 1, places, mastery=MASTERY_WORTH)


def test_the_same_seed_the_same_forecast() -> None:
    case = product_case((3, 1, 1), cover="all", generalised_when={"adult": 3})
    assert look_ahead(case, seed=3) == look_ahead(case, seed=3)
    assert look_ahead(case, seed=3) != look_ahead(case, seed=4)


def test_true_courses_lie_as_the_stated_ones_do_neither_more_widely_nor_less(nightly: bool) -> None:
    """Rates of two places are drawn as the program thinks of them before anything was run, five probes are run with
    them, courses are stated from these five alone and a true course is run with the rates. The true one is one more of
    its kind: it lies within the range, and before, in the middle and behind the stated ones, as often as one of these
    does. That holds for all, and for those alone of whom few, some or most of the five were met: a range that made
    nothing of them would be true on the whole, and too wide."""
    case = product_case((2, 2, 1), cover="all", a_week=2, generalised_when={"adult": 2, "location": 2})
    job, random = job_for(case, Log(), Known(1)), Random(7)
    (target,) = case.targets.values()
    places = target.dimensions[1].values
    rooms, sums = rooms_of(job), defaultdict[tuple[str, str], list[float]](lambda: [0.0, 0.0, 0.0])
    for n in range(200 if nightly else 24):
        hidden = Rate(0, 0, places=dict.fromkeys(places, (0, 0))).draw(random)
        seen = [(p, random.random() < hidden.of(p)) for p in random.choices(places, k=5)]
        counts = {p: (seen.count((p, True)), seen.count((p, False))) for p in places}
        met = sum(yes for yes, _ in counts.values())
        stated = _courses(
            run_in(rooms, replace(job, rates={"skill": Rate(met, 5 - met, places=counts)}, dice=n))
        )
        known = Known(hidden.mean, hidden.at)
        (true,) = _courses(run_in(rooms, replace(job, rates={"skill": known}, dice=-n - 1, courses=1)))
        range_ = _range(stated, len(rooms))
        of_stated = [_lies(week, range_, stated) for week in stated]
        for name, value in _lies(true, range_, stated).items():
            expected = [lies[name] for lies in of_stated]
            for group in ("all", f"{met // 2}"):
                sums[group, name][0] += value
                sums[group, name][1] += fmean(expected)
                sums[group, name][2] += pvariance(expected)
            if name == "within":
                assert fmean(expected) >= 0.6
    for key, (seen, said, spread) in sums.items():
        assert abs(seen - said) <= 3 * sqrt(spread), (key, seen, said)


def _range(stated: Iterable[int | None], weeks: int) -> Milestone:
    reached = [_or_never(w) for w in stated]
    return Milestone(False, None, tuple(sum(w <= i for w in reached) / len(reached) for i in range(weeks)))


def _lies(week: int | None, range_: Milestone, stated: Iterable[int | None]) -> dict[str, float]:
    """Whether a course is within the range, its rank among the stated ones from 0 to 1, and how far that is from the
    middle. One that does not end in the weeks looked at ends later than any that does."""
    early, late = range_.range.first, range_.range.last
    weeks = [_or_never(w) for w in stated]
    mine = _or_never(week)
    before, level = sum(w < mine for w in weeks), sum(w == mine for w in weeks)
    rank = (before + level / 2) / len(weeks)
    within = _or_never(early) <= mine <= _or_never(late)
    return {"within": within, "rank": rank, "off": (2 * rank - 1) ** 2}


def _or_never(week: int | None) -> float:
    return inf if week is None else week


def _courses(found: Mapping[str, TargetRuns]) -> tuple[int | None, ...]:
    (target,) = found.values()
    return target.generalised


def test_the_range_against_courses_that_the_planner_plans_week_by_week(nightly: bool) -> None:
    # 4 combinations, 2 probes a week; each course draws its results and is planned anew each week, with a row of
    # teaching in the week after a failure
    case = product_case((2, 2, 1), cover="all", a_week=2, generalised_when={"adult": 2, "location": 2})
    found = run_simulation(job_for(case, Log(), Known(0.6), courses=400))["skill"]
    real = list(_real_courses(case, 0.6, 16 if nightly else 8))
    for stated, true in ((found.covered, [c for c, _ in real]), (found.generalised, [g for _, g in real])):
        range_ = _range(stated, 10)
        inside, share = (fmean(_lies(w, range_, stated)["within"] for w in some) for some in (true, stated))
        # 3 standard errors of so many tries
        assert abs(inside - share) <= 3 * sqrt(share * (1 - share) / len(true)) + 1 / len(true)
        mean, really = (sum(99 if w is None else w for w in some) / len(some) for some in (stated, true))
        assert abs(mean - really) < 1


def _real_courses(
    case: Case, rate: float, number: int, weeks: int = 10
) -> Iterator[tuple[int | None, int | None]]:
    for n in range(number):
        random, log = Random(n), Log()
        covered = generalised = None
        failed: list[tuple[int, Result]] = []
        for index, week in enumerate(weeks_from(WEEK, weeks)):
            log = _with_teaching(log, [r for i, r in failed if i + 2 == index], week)
            plan = plan_week(case, log, week, NOW, {}, (), Inline(), lambda _: None).plan
            for sitting in plan.sittings:
                for probe in sitting.probes:
                    met = random.random() < rate
                    result = row(
                        case.targets["skill"], probe.combination, met, sitting.start.date(), 1000 * index
                    )
                    log = Log.of([*log.results, result])
                    failed += [] if met else [(index, result)]
            count = tally(case, case.targets["skill"], log, NOW.date())
            covered = index if covered is None and not count.open else covered
            generalised = index if generalised is None and criterion_of(count).is_met else generalised
            if covered is not None and generalised is not None:
                break
        yield covered, generalised


def _with_teaching(log: Log, failed: list[Result], week: Week) -> Log:
    day = week.monday - timedelta(days=1)
    taught = [
        Result(
            line=0, date=day, time=None, target=r.target, kind=ResultKind.TEACHING, combination=r.combination
        )
        for r in failed
    ]
    return Log.of([*log.results, *taught])
