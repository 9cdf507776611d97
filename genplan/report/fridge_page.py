"""pages/fridge-ID.html: the week of one child for the fridge, for the child too: days, people and what is to be sent
along, and no results. One file that loads nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from genplan.case import Case
from genplan.language import _
from genplan.language.dates import day_name
from genplan.plan import Plan, Sitting
from genplan.report.called_off import called_off_words
from genplan.report.names_and_words import Names, week_words
from genplan.report.plain_characters import clock
from genplan.report.render import render


@dataclass(frozen=True)
class FridgeDay:
    """`meetings` are a time, whom the child meets, where, and what the family sends along."""

    weekday: str
    meetings: tuple[tuple[str, str, str, str], ...]


def fridge_page(
    case: Case, plan: Plan, learner: str, names: bool = False, *, off: Sequence[Sitting] = ()
) -> str:
    """The page as HTML. The learner is called by the alias; with `names` by name, for the family alone. `off` is what
    was called off since people were told of it."""
    called = Names(case, names)
    own = [s for s in plan.sittings if s.learner == learner]
    days = tuple(
        FridgeDay(
            day_name(day.weekday()),
            tuple(
                (
                    clock(s.start),
                    _(" and ").join(map(called.adult, s.adults)),
                    called.location(s.location),
                    "; ".join(called.comes_along(s)),
                )
                for s in own
                if s.start.date() == day
            ),
        )
        for day in plan.week.days
    )
    gone = tuple(called_off_words(called, s) for s in off if s.learner == learner)
    return render("fridge.html", name=called.learner(learner), days=days, off=gone, **week_words(plan.week))


def fridge_pages(case: Case, plan: Plan) -> dict[str, bytes]:
    """A page for each child with a sitting, by file name."""
    return {
        f"pages/fridge-{i}.html": fridge_page(case, plan, i).encode("utf-8")
        for i in case.learners
        if any(s.learner == i for s in plan.sittings)
    }
