"""Which maintenance probe answers which date, held against a model that goes through the days one by one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest

from genplan.case import Policy, Target
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.maintenance import CheckState, maintenance_checks, maintenance_due
from genplan.report.evidence_words import maintenance_sentence
from tests.fixtures.evidence_case import CASE

HERE = ("mum", "home", "jackets")
MONDAY = date(2026, 11, 30)


def skill(mastered_on: date, *days: int) -> Target:
    return replace(CASE.targets["zips"], mastered_on=mastered_on, maintenance_days=days)


def run(day: date, correct: int = 5, line: int = 2) -> Result:
    return Result(
        line=line,
        date=day,
        time=None,
        target="zips",
        kind=ResultKind.MAINTENANCE,
        combination=HERE,
        trials=5,
        correct=correct,
    )


def first_day(target: Target, due: date) -> date:
    """Back from the date day by day, as long as it is the same week and after the date before."""
    steps = [target.mastered_on + timedelta(days=n) for n in (0, *target.maintenance_days)]
    day = due
    while day.weekday() > 0 and day - timedelta(days=1) not in steps:
        day -= timedelta(days=1)
    return day


def owed_by(target: Target, runs: list[date], by: date) -> date | None:
    steps = [target.mastered_on + timedelta(days=n) for n in target.maintenance_days]
    latest = max((d for d in steps if d <= by), default=None)
    return None if latest is None or any(r >= first_day(target, latest) for r in runs) else latest


@pytest.mark.parametrize("seed", range(80))
def test_a_date_is_answered_from_its_weeks_monday_on_and_after_the_date_before(seed: int) -> None:
    rng = Random(seed)
    mastered_on = MONDAY + timedelta(days=rng.randrange(7))
    target = skill(mastered_on, *sorted(rng.sample(range(1, 30), rng.randint(1, 5))))
    runs = sorted(mastered_on + timedelta(days=rng.randint(0, 35)) for _ in range(rng.randint(0, 4)))
    log = Log.of(run(day, line=n) for n, day in enumerate(runs, 2))
    for n in range(45):
        by = mastered_on + timedelta(days=n)
        due = maintenance_due(target, log, by)
        assert (due.due if due else None) == owed_by(target, runs, by), f"{by}: {runs}"
        assert due is None or due.opens == first_day(target, due.due)


def test_a_probe_planned_on_the_monday_answers_the_thursday() -> None:
    """Mastered on a Thursday, due a week later; run on that Monday it is not due again the week after."""
    target = skill(date(2026, 11, 26), 7)
    log = Log.of([run(MONDAY)])
    assert maintenance_due(target, log, MONDAY + timedelta(days=13)) is None
    assert maintenance_due(target, Log.of([run(date(2026, 11, 29))]), MONDAY + timedelta(days=13)) is not None


def test_of_two_dates_of_a_week_the_second_is_answered_after_the_first() -> None:
    """Due on Tuesday the 1st and Friday the 4th: Tuesday's probe answers the first, Wednesday's the second."""
    target = skill(date(2026, 11, 30), 1, 4)
    by = date(2026, 12, 6)
    on_tuesday, on_wednesday = (Log.of([run(date(2026, 12, d))]) for d in (1, 2))
    owed = maintenance_due(target, on_tuesday, by)
    assert owed is not None
    assert (owed.due, owed.opens) == (date(2026, 12, 4), date(2026, 12, 2))
    assert maintenance_due(target, on_wednesday, by) is None
    states = [c.state for c in maintenance_checks(target, on_wednesday, by)]
    assert states == [CheckState.MET, CheckState.MET]


def test_a_lapse_asks_again_from_the_monday_of_its_week_and_never_on_its_own_day() -> None:
    """Not met on Thursday the 3rd and due again after seven days or after two."""
    target = skill(date(2026, 11, 26), 7, 56)
    log = Log.of([run(date(2026, 12, 3), 0)])
    for after, due, opens in ((7, 10, 7), (2, 5, 4)):
        owed = maintenance_due(target, log, date(2026, 12, 13), Policy(maintenance_after_lapse_days=after))
        assert owed is not None
        assert (owed.due.day, owed.opens.day) == (due, opens)


def test_a_late_probe_answers_the_date_that_waits() -> None:
    """Mastered on Friday, 20 November: due on the 27th and on 4 December. What is run on Monday the 30th answers the
    first, that was due by then; it counts for the week of the second, too, as long as no other does."""
    target = skill(date(2026, 11, 20), 7, 14)
    late, today = Log.of([run(MONDAY)]), date(2026, 12, 3)
    first, second = maintenance_checks(target, late, today)
    assert (first.state, first.timing, [r.date for r in first.runs]) == (CheckState.MET, "late", [MONDAY])
    assert (second.state, second.runs, second.before_too) == (CheckState.MET, first.runs, True)
    assert "the same probe answers the date before" in maintenance_sentence(second)
    assert maintenance_due(target, late, date(2026, 12, 6)) is None
    twice = Log.of([run(MONDAY, 0), run(date(2026, 12, 2), line=3)])
    checks = maintenance_checks(target, twice, today)
    assert [(c.state, len(c.runs), c.before_too) for c in checks] == [
        (CheckState.LAPSED, 1, False),
        (CheckState.MET, 1, False),
    ]
    in_time = Log.of([run(date(2026, 11, 27)), run(MONDAY, line=3)])
    assert [[r.date.day for r in c.runs] for c in maintenance_checks(target, in_time, today)] == [[27], [30]]


def test_a_date_gives_way_to_one_that_was_answered_on_its_day() -> None:
    """Mastered on a Thursday: 19 November is 14 days after it, 3 December 28."""
    target = skill(date(2026, 11, 5), 14, 28)
    first, second = maintenance_checks(target, Log.of([run(date(2026, 12, 3))]), date(2026, 12, 3))
    assert (first.state, first.runs) == (CheckState.MISSED, ())
    assert (second.state, second.before_too) == (CheckState.MET, False)
    # with no probe run the first is due until the second's day
    assert [c.state for c in maintenance_checks(target, Log.of([]), MONDAY)] == [
        CheckState.DUE,
        CheckState.AHEAD,
    ]
