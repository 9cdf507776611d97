"""What is wanted by a date of the week and is not in the plan: each with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from genplan.coverage.tuples import wished_tuples
from genplan.language import _
from genplan.plan import LeftOut, Plan, ProbeKind
from genplan.report.names_and_words import Names, day_short
from genplan.report.plain_characters import ended
from genplan.report.reasons import reason_read, what_read


def not_in_time(names: Names, plan: Plan, learner: str) -> Iterator[str]:
    """A sentence for each such tuple of a learner."""
    for item in plan.left_out_by_learner.get(learner, ()):
        days = _dates(names, plan, item)
        if days:
            yield ended(
                _(
                    "{target}: {what}, by {by}. Why: {reason}",
                    target=names.target(item.target),
                    what=what_read(names.case, item),
                    by=day_short(min(days)),
                    reason=reason_read(names.case, item.limit, item.target),
                )
            )


def _dates(names: Names, plan: Plan, item: LeftOut) -> list[date]:
    """The dates of the week by which it is wanted and will not be shown."""
    target = names.case.targets.get(item.target)
    if target is None or item.kind is not ProbeKind.NEW:
        return []
    return [
        w.by
        for w in target.first
        if w.by
        and plan.now.date() <= w.by <= plan.week.sunday
        and wished_tuples(target, w.pattern, [item.values])
    ]
