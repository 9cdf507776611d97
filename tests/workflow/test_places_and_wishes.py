"""Another place for a sitting of which something is wished already: never are both written down and contradict."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.cli import main
from genplan.errors import UsageError
from genplan.keeping.store import read_kept
from genplan.plan import Sitting
from genplan.planning.alternatives import Alternative
from genplan.workflow.wishes_of_places import against
from tests.fixtures.small_case import SUNDAY, WEEK


def told(case: Path) -> tuple[Sitting, ...]:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    return kept.sittings


def wishes(case: Path) -> list[WishKind]:
    return [w.kind for w in workflow.open_case(case, SUNDAY).case.wishes]


def with_another_adult(case: Path) -> tuple[Sitting, Alternative]:
    """A told sitting, and a place for it with somebody else."""
    for sitting in told(case):
        for place in workflow.alternatives(case, sitting.id, SUNDAY).all:
            if place.seat.adult != sitting.adult:
                return sitting, place
    raise AssertionError("the small case has a place with another adult")


def test_that_it_stays_gives_way_to_the_place_that_is_taken_and_is_named(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = told(case)[0]
    workflow.wish(case, PlannersWish(kind=WishKind.HOLD, sitting=asked.id), SUNDAY)
    words = ["alternatives", str(case), asked.id, "--now", f"{SUNDAY:%Y-%m-%dT%H:%M}"]
    assert main(words) == 0
    assert "What you wished of it goes when you take a place: " in capsys.readouterr().out
    assert main([*words, "--take", "1"]) == 0
    said = capsys.readouterr().out
    assert "It stands in the place of: " in said
    assert "stays as it is" in said
    assert WishKind.HOLD not in wishes(case)
    assert wishes(case)


def test_a_wish_for_somebody_is_not_contradicted(case: Path) -> None:
    asked, place = with_another_adult(case)
    start, end = (m.replace(tzinfo=None) for m in (asked.start, asked.end))
    rather = PlannersWish(
        kind=WishKind.RATHER, learner=asked.learner, adult=asked.adult, start=start, end=end
    )
    workflow.wish(case, rather, SUNDAY)
    view = workflow.alternatives(case, asked.id, SUNDAY)
    number = [a.seat for a in view.all].index(place.seat)
    assert [w.kind for w in view.against(view.all[number])] == [WishKind.RATHER]
    before = (case / "changes.yaml").read_bytes()
    with pytest.raises(UsageError, match=r"goes against what is wished: rather .* Nothing was written\."):
        workflow.take(view, view.all[number], case)
    assert (case / "changes.yaml").read_bytes() == before

    workflow.take_back(case, rather, SUNDAY)
    workflow.take(workflow.alternatives(case, asked.id, SUNDAY), view.all[number], case)
    assert WishKind.RATHER not in wishes(case)


def test_nor_is_one_whom_another_sitting_of_the_stretch_is_with_against_it(case: Path) -> None:
    """The wish is for one sitting with that adult, not for this one."""
    asked, place = with_another_adult(case)
    monday = datetime.combine(WEEK.monday, datetime.min.time())
    wide = PlannersWish(
        kind=WishKind.RATHER,
        learner=asked.learner,
        adult=asked.adult,
        start=monday,
        end=monday + timedelta(days=7),
    )
    workflow.wish(case, wide, SUNDAY)
    view = workflow.alternatives(case, asked.id, SUNDAY)
    more = any((s.learner, s.adult) == (asked.learner, asked.adult) for s in view.others)
    assert bool(view.against(place)) is not more


def test_two_sittings_apart_are_not_brought_together_by_another_adult(case: Path) -> None:
    """The wish names the sitting; with somebody else it has another id, and on the other's day is against it still."""
    asked, other = told(case)[:2]
    wish = PlannersWish(kind=WishKind.APART, two=(asked.id, other.id))
    same_day = replace(asked, adult="somebody", start=other.end, end=other.end + timedelta(minutes=10))
    assert against([wish], WEEK, [other], asked, same_day) == (wish,)
    assert against([wish], WEEK, [other], asked, replace(asked, adult="somebody")) == ()
    assert against([wish], WEEK, [], asked, same_day) == ()
