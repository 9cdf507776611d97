"""What was written down of a kept week and what was not: neither counts twice, and nothing counts that nobody saw."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.optimistic_log import optimistic_log
from genplan.keeping.past_of_week import to_plan_from
from genplan.keeping.revision import revise
from genplan.keeping.told import KeptWeek
from genplan.plan import ProbeKind, Sitting
from tests.fixtures.tiny import WEEK, at, greeting, sitting, tiny_case

TUESDAY = sitting()
"""Half past three: zips, with grandad in the park."""
CASE, BEFORE, AFTER = tiny_case(), at(0, "12:00"), at(1, "18:00")


def row(kind: ResultKind, day: int = 1, **more: object) -> Result:
    """Of the probe of Tuesday's sitting, on a day of the week."""
    (probe,) = TUESDAY.probes
    counts = (5, 2) if kind.is_test else (None, None)
    made = Result(
        line=2,
        date=(at(day, "15:00")).date(),
        time=None,
        target=probe.target,
        kind=kind,
        combination=probe.combination,
        trials=counts[0],
        correct=counts[1],
    )
    return replace(made, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", [ResultKind.PROBE, ResultKind.MAINTENANCE, ResultKind.NOT_RUN])
def test_looking_ahead_adds_nothing_to_what_a_row_of_the_day_says(kind: ResultKind) -> None:
    log = Log.of([row(kind)])
    assert optimistic_log(log, [TUESDAY]) == log
    # of the other sitting there is no row yet
    (more,) = optimistic_log(log, [TUESDAY, greeting()]).results[1:]
    assert (more.target, more.date, more.correct) == ("greets", greeting().start.date(), 4)


@pytest.mark.parametrize(
    "other",
    [
        row(ResultKind.TEACHING),
        row(ResultKind.PROBE, day=2),
        row(ResultKind.PROBE, target="greets"),
        row(ResultKind.PROBE, combination=("mum", *TUESDAY.probes[0].combination[1:])),
    ],
)
def test_a_row_of_something_else_says_nothing_of_the_probe(other: Result) -> None:
    log = optimistic_log(Log.of([other]), [TUESDAY])
    assert len(log.results) == 2
    assert [r for r in log.results if r.correct == 5] == [r for r in log.results if r != other]


def test_looking_ahead_twice_is_looking_ahead_once() -> None:
    once = optimistic_log(Log(), [TUESDAY, greeting()])
    assert len(once.results) == 2
    assert optimistic_log(once, [TUESDAY, greeting()]) == once


def begun(*rows: Result) -> list[Sitting]:
    """What a plan made on Tuesday evening starts from, of Tuesday's sitting."""
    kept = KeptWeek(WEEK, BEFORE, revise((), (TUESDAY,), BEFORE, settled=True))
    return [s for s in to_plan_from(kept, CASE, Log.of(rows), AFTER) if s.start < AFTER]


@pytest.mark.parametrize("run", [ResultKind.PROBE, ResultKind.MAINTENANCE])
def test_not_run_and_then_run_on_the_same_day_is_not_owed_again(run: ResultKind) -> None:
    not_run, was_run = row(ResultKind.NOT_RUN), row(run, line=3)
    assert begun(not_run) == []
    assert [s.probes for s in begun(not_run, was_run)] == [TUESDAY.probes]
    assert [s.probes for s in begun(was_run, not_run)] == [TUESDAY.probes]
    # on another day it says nothing of this one, and teaching is no probe
    next_day = replace(was_run, date=was_run.date + timedelta(days=1))
    assert begun(not_run, next_day) == []
    assert begun(not_run, row(ResultKind.TEACHING, line=3)) == []


LESSON = replace(
    TUESDAY,
    probes=tuple(replace(p, kind=ProbeKind.TEACHING) for p in TUESDAY.probes),
    end=TUESDAY.start + timedelta(minutes=15),
)
"""The same sitting with ten minutes of teaching in it."""


def test_a_planned_teaching_counts_as_held_once() -> None:
    (held,) = optimistic_log(Log(), [LESSON]).results
    assert (held.kind, held.combination, held.observer) == (
        ResultKind.TEACHING,
        LESSON.probes[0].combination,
        "",
    )
    for told in (ResultKind.TEACHING, ResultKind.NOT_RUN):
        log = Log.of([row(told)])
        assert optimistic_log(log, [LESSON]) == log
    # a probe on that day says nothing of it
    assert len(optimistic_log(Log.of([row(ResultKind.PROBE)]), [LESSON]).results) == 2


def test_a_teaching_that_was_not_run_is_owed_again() -> None:
    kept = KeptWeek(WEEK, BEFORE, revise((), (LESSON,), BEFORE, settled=True))

    def left(*rows: Result) -> list[Sitting]:
        return [s for s in to_plan_from(kept, CASE, Log.of(rows), AFTER) if s.start < AFTER]

    assert left(row(ResultKind.NOT_RUN)) == []
    assert left(row(ResultKind.NOT_RUN), row(ResultKind.PROBE, line=3)) == []
    assert [s.probes for s in left(row(ResultKind.NOT_RUN), row(ResultKind.TEACHING, line=3))] == [
        LESSON.probes
    ]
    assert [s.probes for s in left()] == [LESSON.probes]


def test_what_is_left_of_a_sitting_is_as_long_as_its_teaching() -> None:
    """Of a probe and a teaching the probe was not run: five minutes to settle and ten of teaching stay."""
    both = replace(LESSON, probes=(*LESSON.probes, *greeting().probes), end=LESSON.end + timedelta(minutes=5))
    kept = KeptWeek(WEEK, BEFORE, revise((), (both,), BEFORE, settled=True))
    gone = row(ResultKind.NOT_RUN, target="greets", combination=greeting().probes[0].combination)
    (left,) = [s for s in to_plan_from(kept, CASE, Log.of([gone]), AFTER) if s.start < AFTER]
    assert (left.probes, left.end) == (LESSON.probes, LESSON.end)
