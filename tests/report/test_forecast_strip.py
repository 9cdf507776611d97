"""The strips of a forecast: where the range, its middle and the straight line lie among the weeks."""

from __future__ import annotations

import pytest

from genplan.forecast import Assumptions, BottleneckKind, Forecast, HeldUp, Milestone, TargetForecast
from genplan.forecast.rates import Rate
from genplan.forecast.values import BEFORE
from genplan.report.forecast_strip import Strip, strips
from genplan.report.names_and_words import Names
from tests.fixtures import builders as b

WEEKS = [b.WEEK]
while len(WEEKS) < 4:
    WEEKS.append(WEEKS[-1].next())


def drawn(milestone: Milestone, generalised: Milestone | None = None) -> list[Strip]:
    held_up = HeldUp(by=BottleneckKind.NOTHING)
    rate = Rate(0, 0)
    target = TargetForecast(
        learner="wren",
        target="zips-jacket",
        rate=rate,
        drawn=(0.1, 0.9),
        coverage=milestone,
        generalised=generalised,
        out_of_reach=False,
        wishes=(),
        coverage_held_up=held_up,
    )
    forecast = Forecast(
        now=b.NOW,
        weeks=tuple(WEEKS),
        targets=(target,),
        assumptions=Assumptions(teaching_weeks=2, courses=300, seed=1, told_before=False),
    )
    return list(strips(Names(b.a_case()), forecast, target))


@pytest.mark.parametrize(
    ("milestone", "box", "words"),
    [
        # 1 of 10 in the first week, 4 in the second, 4 in the third, 1 in the last: from 1 to 3, the middle at 2
        (
            Milestone(False, 1, (0.1, 0.5, 0.9, 1.0)),
            (1, 2, 3),
            ("13 Dec 2026", "13 Dec 2026", "20 Dec 2026"),
        ),
        # 4 of 10 in the third week, 1 in the last, 3 later, so that never 9 of 10 are there: to the end of the box
        (Milestone(False, 3, (0.0, 0.2, 0.6, 0.7)), (2, 3, 4), ("27 Dec 2026", "20 Dec 2026", "later")),
        (Milestone(False, None, (0.0, 0.0, 0.0, 0.05)), (None, None, 4), ("later", "later", "later")),
        (Milestone(True, None, (1.0, 1.0, 1.0, 1.0)), (0, 1, 1), ("already", "already", "already")),
        # what people were told of for the days before 30 November will do: nothing of the box is taken
        (
            Milestone(False, BEFORE, (1.0, 1.0, 1.0, 1.0)),
            (0, 0, 0),
            ("29 Nov 2026", "29 Nov 2026", "29 Nov 2026"),
        ),
    ],
)
def test_where_a_strip_begins_and_ends(milestone, box, words) -> None:
    (one,) = drawn(milestone)
    assert (one.begin, one.middle, one.end) == box
    assert (one.if_met, one.half, one.most) == words
    assert (one.label, one.weeks, one.done) == ("Every pair tried", 4, milestone.done)


def test_the_criterion_comes_first_where_there_is_one() -> None:
    reached = Milestone(False, 0, (0.9, 0.9, 0.9, 0.9))
    assert [s.label for s in drawn(reached, reached)] == ["Generalised", "Every pair tried"]


def test_a_criterion_that_cannot_be_reached_stands_in_the_table_with_its_reason() -> None:
    """The row says why, and has no dates."""
    target = TargetForecast(
        learner="wren",
        target="zips-jacket",
        rate=Rate(0, 0),
        drawn=(0.1, 0.9),
        coverage=Milestone(False, 1, (0.1, 0.5, 0.9, 1.0)),
        generalised=None,
        out_of_reach=True,
        wishes=(),
        coverage_held_up=HeldUp(by=BottleneckKind.NOTHING),
        criterion_held_up=HeldUp(by=BottleneckKind.NOT_PLANNED),
    )
    assumed = Assumptions(teaching_weeks=2, courses=300, seed=1, told_before=False)
    forecast = Forecast(now=b.NOW, weeks=tuple(WEEKS), targets=(target,), assumptions=assumed)
    never, tried = strips(Names(b.a_case()), forecast, target)
    assert (never.label, never.if_met, never.half, never.most) == ("Generalised", "", "", "")
    assert never.never[0].isupper()
    assert tried.never == ""
