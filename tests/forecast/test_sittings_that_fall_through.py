"""Courses in which sittings fall through: by each adult's and each child's own share until now."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from math import sqrt
from random import Random
from statistics import fmean

import pytest

from genplan.case import Case, TargetState
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.sittings_written import SittingsCount
from genplan.forecast.baseline import baseline_projection
from genplan.forecast.compose import _start
from genplan.forecast.owed import Owed, owed_again
from genplan.forecast.rates import Known
from genplan.forecast.remaining_capacity import RemainingCapacity
from genplan.forecast.simulation import SimulationJob, rooms_of, run_in
from genplan.forecast.sittings_that_fall_through import CourseSittings, SittingsSoFar, sittings_so_far
from genplan.forecast.values import Milestone
from genplan.plan import ProbeKind
from genplan.report.forecast_assumptions import assumption_sentences
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.forecast_cases import (
    NOW,
    WEEK,
    Inline,
    look_ahead,
    product_case,
    second_target,
    weeks_from,
)

MANY = 1_000_000
DAY = date(2026, 11, 30)


def often(share: float, childs: float = 0.0) -> SittingsSoFar:
    """What so many sittings say of one adult and one child that it is as good as known."""
    count = SittingsCount(MANY, round(childs * MANY), round(share * (1 - childs) * MANY))
    return SittingsSoFar({"a0-0": count}, {"wren": count})


def job_for(case: Case, weeks: int, sittings: SittingsSoFar | None, courses: int = 400) -> SimulationJob:
    line = baseline_projection(case, Log(), weeks_from(WEEK, weeks), NOW, {}, Inline(), lambda _: None, 1)
    return SimulationJob(
        learner="wren",
        starts=tuple(_start(case, Log(), line.before[t.id], line.now.date()) for t in case.mastered),
        rates={t.id: Known(1.0) for t in case.mastered},
        weeks=line.weeks,
        teaching_weeks=1,
        courses=courses,
        dice=1,
        sittings=sittings,
    )


def seat(adult: str, start: int = 960, *probes: PlacedProbe) -> PlacedSitting:
    return PlacedSitting("wren", adult, "l0", start, start + 10, probes)


def test_an_adult_of_whom_little_is_written_is_thought_of_like_the_others() -> None:
    """Of Gran nothing is known. The others: 3 of 11 without the child's own, and half a sitting to either side:
    3.5 / 12, worth two sittings: 7 / 12 and 17 / 12. Mum's others are Dad, 2.5 / 3; his are Mum, 1.5 / 10. Wren has
    none: 1 and 1."""
    known = SittingsSoFar(
        {"mum": SittingsCount(10, 1, 1), "dad": SittingsCount(2, 0, 2)}, {"wren": SittingsCount(12, 1, 3)}
    )
    assert known.beta(("adult", "gran")) == pytest.approx((7 / 12, 17 / 12))
    assert known.beta(("adult", "mum")) == pytest.approx((5 / 3 + 1, 1 / 3 + 8))
    assert known.beta(("adult", "dad")) == pytest.approx((0.3 + 2, 1.7))
    assert known.beta(("learner", "wren")) == pytest.approx((1 + 1, 1 + 11))


def test_who_does_not_come_does_not_come_that_day() -> None:
    found = CourseSittings(often(0.5), Random(3))
    days = [DAY + timedelta(days=n) for n in range(400)]
    both = [(found.is_held(seat("a0-0"), d), found.is_held(seat("a0-0", 1100), d)) for d in days]
    assert all(one == two for one, two in both)
    assert 0.4 < fmean(one for one, _ in both) < 0.6


def test_a_childs_own_reasons_come_on_top() -> None:
    """An adult comes in 0.8, a child in 0.75 of days: 0.6 of sittings are held."""
    found = CourseSittings(often(0.2, childs=0.25), Random(4))
    held = [found.is_held(seat("a0-0"), DAY + timedelta(days=n)) for n in range(2000)]
    assert fmean(held) == pytest.approx(0.6, abs=3 * sqrt(0.6 * 0.4 / 2000))


def test_a_child_without_a_reason_of_its_own_adds_nothing() -> None:
    """An adult who misses 0.2 of days, and three sittings of the child, none lost by its own reason: 0.8 are held in
    the courses together, and not 4 of 5 of that, as with a rate drawn from Beta(1, 4) on top."""
    known = replace(often(0.2), learners={"wren": SittingsCount(3, 0, 3)})
    held = [CourseSittings(known, Random(n)).is_held(seat("a0-0"), DAY) for n in range(2000)]
    assert fmean(held) == pytest.approx(0.8, abs=3 * sqrt(0.2 * 0.8 / 2000))


def test_what_fell_through_comes_in_a_later_week() -> None:
    """One combination, met for certain: there by week k unless all k + 1 sittings fell through, each in 0.4."""
    found = run_in(rooms_of(job := job_for(product_case((1, 1, 1), cover="all"), 6, often(0.4))), job)
    weeks = found["skill"].covered
    for k in range(4):
        share = sum(w is not None and w <= k for w in weeks) / len(weeks)
        assert share == pytest.approx(1 - 0.4 ** (k + 1), abs=0.08)


def written(number: int, fell: int, case: Case) -> Log:
    """So many sittings in the weeks before, of a skill that is paused by now; the first of them were not run."""
    rows = [
        Result(
            line=n + 2,
            date=NOW.date() - timedelta(days=100 - n),
            time=time(16),
            target="zeal",
            kind=ResultKind.NOT_RUN if n < fell else ResultKind.TEACHING,
            combination=case.targets["skill"].combinations()[0],
        )
        for n in range(number)
    ]
    return Log.of(rows)


def test_a_case_in_which_nothing_fell_through_has_the_forecast_that_it_had() -> None:
    """And says that every probe is run. With rows that were not run the range is later, and it is said why."""
    case = second_target(product_case((1, 3, 1), cover="all", a_week=1), state=TargetState.PAUSED)
    assert sittings_so_far(case, written(5, 0, case)) is None
    quiet, missed = (look_ahead(case, written(5, n, case), weeks=10, rate=1.0) for n in (0, 3))
    assert quiet.targets[0].coverage.shares == look_ahead(case, weeks=10, rate=1.0).targets[0].coverage.shares
    assert "every planned probe is run" in next(assumption_sentences(case, quiet))
    assert "3 of 5 were not run" in next(assumption_sentences(case, missed))
    before, after = (f.targets[0].coverage for f in (quiet, missed))
    assert before.line == after.line == 2
    assert before.reached_in(0.9) == 2
    assert after.reached_in(0.5) is not None
    assert (after.reached_in(0.5) or 0) > 2


TEACH, RETEST, NEW = ProbeKind.TEACHING.value, ProbeKind.RETEST.value, ProbeKind.NEW.value


def rooms_with(case: Case, *weeks: tuple[str, ...]) -> tuple[list[RemainingCapacity], PlacedProbe]:
    """Weeks whose line holds these kinds of one combination, each in a sitting of its own."""
    line = baseline_projection(
        case, Log(), weeks_from(WEEK, len(weeks)), NOW, {}, Inline(), lambda _: None, 1
    )
    combination = case.targets["skill"].combinations()[0]
    rooms = [
        RemainingCapacity(
            w.case,
            w.week,
            w.free,
            [
                seat("a0-0", 960 + 1440 * n, PlacedProbe("skill", combination, kind))
                for n, kind in enumerate(kinds)
            ],
            "wren",
        )
        for w, kinds in zip(line.weeks, weeks, strict=True)
    ]
    return rooms, PlacedProbe("skill", combination, TEACH)


def test_a_teaching_that_fell_through_moves_all_that_the_line_has_of_it() -> None:
    """Two lessons and a retest are planned; the first lesson falls through: two are owed, then the retest, and the
    line's own are left out. Another that falls through is one more."""
    case = product_case((1, 1, 1), cover="all")
    rooms, lesson = rooms_with(case, (TEACH,), (TEACH, NEW), (RETEST,))
    key = ("skill", lesson.combination)
    found, moved = owed_again(rooms, 0, [lesson], [], frozenset())
    assert [(o.combination, o.teachings, o.week) for o in found] == [(lesson.combination, 2, 1)]
    assert moved == {key}
    assert [[p.kind for s in room.own_without(moved) for p in s.probes] for room in rooms] == [[], [NEW], []]
    again, _ = owed_again(rooms, 1, [lesson], [replace(found[0], teachings=1)], moved)
    assert [(o.teachings, o.week) for o in again] == [(2, 2)]


def test_a_retest_that_fell_through_is_owed_in_the_next_week() -> None:
    rooms, lesson = rooms_with(product_case((1, 1, 1), cover="all"), (RETEST,), ())
    found, _ = owed_again(rooms, 0, [replace(lesson, kind=RETEST)], [], frozenset())
    (owed,) = found
    assert isinstance(owed, Owed)
    assert (owed.teachings, owed.week, owed.retest_from) == (0, 1, WEEK.monday)
    assert owed_again(rooms, 0, [replace(lesson, kind=NEW)], [], frozenset()) == ([], frozenset())


def test_ranges_hold_where_an_adult_often_cannot_come() -> None:
    """Hidden: an adult who misses 0.05, 0.2 or 0.4 of days. Twelve sittings are seen of the adult; the weeks until
    three probes are run are stated from these, and lived through with a dice of the test's own: one sitting a week, so
    the third success. The truth lies in the range as often as stated, 3 standard deviations aside."""
    case = product_case((1, 3, 1), cover="all", a_week=1)
    job, dice = job_for(case, 14, None, courses=40), Random(11)
    rooms, held, stated, spread = rooms_of(job), 0, 0.0, 0.0
    for n in range(45):
        hidden = (0.05, 0.2, 0.4)[n % 3]
        fell = sum(dice.random() < hidden for _ in range(12))
        known = SittingsSoFar({"a0-0": SittingsCount(12, 0, fell)}, {"wren": SittingsCount(12, 0, fell)})
        weeks = run_in(rooms, replace(job, sittings=known, dice=n))["skill"].covered
        shares = tuple(sum(w is not None and w <= i for w in weeks) / len(weeks) for i in range(14))
        found = Milestone(False, None, shares).range
        true = third_success(dice, hidden)
        first, last = (14 if w is None else w for w in (found.first, found.last))
        held += first <= min(true, 14) <= last
        stated += found.share
        spread += found.share * (1 - found.share)
    assert abs(held - stated) <= 3 * sqrt(spread), (held, stated)


def third_success(dice: Random, hidden: float) -> int:
    """The index of the week in which the third sitting is held."""
    week, held = -1, 0
    while held < 3:
        week += 1
        held += dice.random() >= hidden
    return week
