"""A visit fell through, and the same is to be later that day: it stays in the week, and has no row of its own yet."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.errors import UsageError
from genplan.keeping.store import read_kept
from genplan.plan import Sitting
from genplan.planning.progress import no_progress
from genplan.workflow.keeping import keep_sittings
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case
from tests.workflow.test_written_off import write_off


def told(case: Path) -> tuple[Sitting, ...]:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    return kept.sittings


@pytest.fixture(scope="module", params=["its time", ""], ids=["with a time", "without a time"])
def again(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Sitting, datetime, datetime]:
    """The case, the visit that fell through, the moment of planning and when it is to be again."""
    folder = small_case(tmp_path_factory.mktemp("again") / "case")
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace("sittings_per_day: 1", "sittings_per_day: 2"), "utf-8")
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    fell = next(s for s in told(folder) if s.adult == "mum")
    write_off(folder, fell, f"{fell.start:%H:%M}" if request.param else "")
    now = fell.start.replace(tzinfo=None) + timedelta(minutes=5)
    at = fell.start.replace(tzinfo=None) + timedelta(hours=1)
    things = fell.probes[0]
    wish = PlannersWish(
        kind=WishKind.ADD,
        learner=fell.learner,
        adult=fell.adult,
        location=fell.location,
        start=at,
        target=things.target,
        values=(("material_set", things.combination[2]),),
    )
    workflow.wish(folder, wish, now)
    return folder, fell, now, at


def test_it_is_kept_beside_the_one_that_fell_through(
    again: tuple[Path, Sitting, datetime, datetime],
) -> None:
    case, fell, now, at = again
    outcome, kept = workflow.replan(case, WEEK, now, None, True, no_progress)
    assert kept is not None
    (planned,) = (s for s in outcome.plan.sittings if s.start.replace(tzinfo=None) == at)
    (there,) = (s for s in told(case) if s.start == planned.start)
    assert there.probes == planned.probes
    assert fell in told(case)
    ids = [s.id for s in told(case)]
    assert len(set(ids)) == len(ids)
    assert planned.start in {d.after.start for d in kept.differences if d.after}

    stands = {t.sitting: t for t in workflow.told_week(case, WEEK, now).sittings}
    assert not stands[there].is_struck
    assert stands[fell].is_struck
    left = {s.id: len(s.left) for s in workflow.sittings_told(workflow.open_case(case, now), at.date())}
    assert left == {fell.id: 0, there.id: len(there.probes)}
    later = at + timedelta(minutes=1)
    again_planned = workflow.replan(case, WEEK, later, None, True, no_progress)[0].plan.sittings
    assert there.start in {s.start for s in again_planned}
    assert {s.start for s in told(case)} >= {fell.start, there.start}


def test_a_plan_that_moves_what_has_begun_since_is_not_kept(case: Path) -> None:
    before = told(case)
    first = before[0]
    later = first.start + timedelta(minutes=30)
    moved = replace(first, start=later, end=first.end + timedelta(minutes=30))
    opened = workflow.open_case(case, first.start.replace(tzinfo=None) + timedelta(minutes=5))
    with pytest.raises(UsageError, match=f"moves the sitting {first.id}, which has begun since"):
        keep_sittings(opened, WEEK, (moved, *before[1:]), opened.now)
    assert told(case) == before
