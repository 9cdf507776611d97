"""What a wish would cost, before it is written down: the kept weeks planned again without it and with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
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
    """A kept week planned again: what becomes of the wish in it, and what it has more, or fewer, with the wish; `told`,
    as `("adult" or "learner", id)`, are those whom it tells something that they are not told without it."""

    case: Case
    week: Week
    answer: WishAnswer
    price: Deeper
    told: tuple[tuple[str, str], ...] = ()

    def lines(self) -> Iterator[str]:
        """It in words, for every front."""
        from genplan.report.week_changes import price_lines
        from genplan.text.wishes import answer_text

        yield answer_text(self.case, self.answer)
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
            (answer,) = (a for a in plan.wishes if a.wish == wanted)
            known = without.people_told or ()
            told = tuple(one for one in plan.people_told or () if one not in known)
            found.append(PricedWeek(after.case, week, answer, deeper_of(without, plan), told))
    return tuple(found)
