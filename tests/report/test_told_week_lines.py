"""The kept week on a terminal: what in it was not run is counted, and marked where it stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from genplan.case.possible import Obstacle, Rule
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Beside
from genplan.planning.assemble import seat_of
from genplan.planning.still_held import Against, AgainstKind
from genplan.report.names_and_words import begun_words
from genplan.report.told_week_lines import again_words, not_run_in, told_amount, told_week_lines
from genplan.workflow.told_sittings import ToldSitting
from tests.fixtures import builders as b
from tests.fixtures import taught_week as t

CASE = t.the_case()
SITTINGS = t.the_sittings()
LATER = datetime(2026, 12, 4, 12, tzinfo=b.ZONE)
MARK = "WAS NOT RUN"


def log_of(kind: ResultKind, day: int, combination: tuple[str, ...]) -> Log:
    row = Result(
        line=2,
        date=date(2026, 12, day),
        time=None,
        target="zips-jacket",
        kind=kind,
        combination=combination,
        trials=None,
        correct=None,
    )
    return Log.of([row])


def lines_of(log: Log) -> list[str]:
    not_run = not_run_in(CASE, log, LATER, SITTINGS)
    sittings = [(s, s.start < LATER, s, ()) for s in SITTINGS]
    return list(
        told_week_lines(
            CASE, b.WEEK, sittings, "case", told_amount(CASE, log, LATER, SITTINGS), LATER, not_run
        )
    )


def test_what_was_not_run_is_marked_where_it_stands() -> None:
    lines = lines_of(log_of(ResultKind.NOT_RUN, 2, t.AT_SCHOOL))
    assert "1 more was not run" in lines[1]
    (at,) = (n for n, line in enumerate(lines) if MARK in line)
    assert SITTINGS[1].id in lines[at - 1]


def test_what_was_run_or_is_ahead_is_not() -> None:
    for log in (log_of(ResultKind.TEACHING, 2, t.AT_SCHOOL), log_of(ResultKind.NOT_RUN, 5, t.IN_THE_PARK)):
        lines = lines_of(log)
        assert not any(MARK in line or "more" in line for line in lines)


def test_what_is_over_is_not_said_to_have_begun() -> None:
    """Of Tuesday to Saturday, seen on Friday at noon: what lies before that is over, and nothing is under way."""
    lines = lines_of(Log())
    over = [line for line in lines if line.endswith(" (over)")]
    assert len(over) == sum(s.end <= LATER for s in SITTINGS) > 0
    assert not any("begun" in line for line in lines)
    inside = SITTINGS[0].start + (SITTINGS[0].end - SITTINGS[0].start) / 2
    assert begun_words(SITTINGS[0], inside) == " (begun already)"
    assert begun_words(SITTINGS[0], SITTINGS[0].end) == " (over)"


@pytest.mark.parametrize("dimension", ["material_set", "adult"])
def test_nobody_is_looked_for_where_the_thing_is_what_forbids_it(dimension: str) -> None:
    told = SITTINGS[-1]
    probe = told.probes[0]
    value = CASE.targets[probe.target].value(probe.combination, dimension)
    rule = Rule.HAZARD if dimension == "material_set" else Rule.ADULT_AND_LEARNER
    against = Against(
        AgainstKind.COMBINATION,
        target=probe.target,
        obstacle=Obstacle(rule, probe.target, ((dimension, value),), ("magnet",)),
    )
    lines = list(told_week_lines(CASE, b.WEEK, [(told, False, None, (against,))], "case", "", LATER))
    assert any("Plan the rest of this week" in line for line in lines)
    assert any("Or one by itself" in line for line in lines) is (dimension == "adult")


def test_who_cannot_be_there_to_observe_is_not_said_to_observe() -> None:
    told = replace(SITTINGS[-1], beside="mum", beside_as=Beside.OBSERVER)
    assert told.adult != "mum"
    seat = seat_of(CASE, b.WEEK, told)
    left = replace(seat, beside="", beside_as=Beside.NOBODY)
    away = (Against(AgainstKind.OBSERVER, "mum"),)
    for there, count in ((ToldSitting(told, False, seat), 1), (ToldSitting(told, False, left, away), 0)):
        line = (there.as_held, False, there.left, there.against)
        lines = list(told_week_lines(CASE, b.WEEK, [line], "case", "", LATER))
        assert sum("observes and counts too" in said for said in lines) == count
        assert sum("cannot be there" in said for said in lines) == 1 - count


def test_a_week_that_lies_wholly_ahead_has_no_rest() -> None:
    assert again_words(b.WEEK, b.WEEK.monday - timedelta(days=1)) == "Plan week 49 again"
    for day in (b.WEEK.monday, b.WEEK.sunday):
        assert again_words(b.WEEK, day) == "Plan the rest of this week"
