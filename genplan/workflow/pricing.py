"""What a wish would cost, before it is written down: the kept weeks planned again without it and with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.case.wishes_of_planners import PlannersWish
from genplan.workflow.facts_to_plan_by import facts_of
from genplan.workflow.opened_case import Opened, Progress, kept_ahead
from genplan.workflow.planning import budget_of, plan_opened
from genplan.workflow.solving import solvers
from genplan.workflow.watching import Watch
from genplan.workflow.wishing import as_if_wished

if TYPE_CHECKING:
    from genplan.keeping.deeper import Deeper
    from genplan.plan import Plan, WishAnswer


@dataclass(frozen=True)
class PricedWeek:
    """A kept week planned again: what becomes of the wish in it, for each child that it is about, and what it has more,
    or fewer, with the wish; `told`, as `("adult" or "learner", id)`, are those whom it tells something that they are
    not told without it."""

    case: Case
    week: Week
    answers: tuple[WishAnswer, ...]
    price: Deeper
    told: tuple[tuple[str, str], ...] = ()

    @property
    def is_open(self) -> bool:
        """It cannot keep the wish, but that goes on after it, and the weeks to come may."""
        after = datetime.combine(self.week.next().monday, time.min)
        return all(not a.kept and a.wish.end is not None and a.wish.end > after for a in self.answers)

    def lines(self) -> Iterator[str]:
        """It in words, for every front."""
        from genplan.report.week_changes import price_lines
        from genplan.text.wishes import answer_text

        yield from (answer_text(self.case, answer) for answer in self.answers)
        yield from price_lines(self.case, self.week, self.price, self.told)


def price_of_wish(
    folder: Path, wanted: PlannersWish, now: datetime | None, progress: Progress
) -> tuple[PricedWeek, ...]:
    """Of each kept week that is not over and that the wish is for. Nothing is written. Raises as `wish`; a week whose
    search is interrupted is left out, as is what comes after it."""
    from genplan.keeping.deeper import deeper_of
    from genplan.planning.interruption import interrupted, interruptible

    before, after, wanted = as_if_wished(folder, wanted, now)
    found, watch = list[PricedWeek](), Watch(progress)

    def planned(opened: Opened, week: Week) -> Plan:
        facts = facts_of(opened, week)
        return plan_opened(
            opened, week, executor, watch, budget_of(opened), facts=facts, fewest_told=True
        ).plan

    with interruptible(), solvers(watch) as executor:
        for week in kept_ahead(folder, before.now):
            if not wanted.holds_in(week):
                continue
            without, plan = planned(before, week), planned(after, week)
            if interrupted():
                break
            # what is wished of an adult and of no child is wished of each
            ours = (a for a in plan.wishes if wanted in (a.wish, replace(a.wish, learner="")))
            known = without.people_told or ()
            told = tuple(one for one in plan.people_told or () if one not in known)
            found.append(PricedWeek(after.case, week, tuple(ours), deeper_of(without, plan), told))
    return tuple(found)
