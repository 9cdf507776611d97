"""What is wanted by a date of the week and is not shown in time: each with its reason. What people were told of in time
is said with when that was to be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from genplan.language import _
from genplan.plan import MissedDate, Plan
from genplan.report.names_and_words import Names, day_short
from genplan.report.plain_characters import ended
from genplan.report.reasons import reason_read, what_read


def not_in_time(names: Names, plan: Plan, learner: str) -> Iterator[str]:
    """A sentence for each such tuple of a learner."""
    for missed in plan.missed:
        if missed.item.learner == learner:
            yield _sentence(names, missed)


def dates_lost(names: Names, lost: Iterable[MissedDate]) -> Iterator[str]:
    """A sentence for each date that the week as people were told of it kept, with whose it is."""
    for missed in lost:
        called = names.learner(missed.item.learner)
        yield _("{learner}, {sentence}", learner=called, sentence=_sentence(names, missed))


def _sentence(names: Names, missed: MissedDate) -> str:
    item = missed.item
    what = what_read(names.case, item)
    by, target = day_short(missed.by), names.target(item.target)
    reason = ended(reason_read(names.case, item.limit, item.target))
    if missed.shown:
        return _(
            "{target}: {what}, by {by}, and it is not before {shown}. Why: {reason}",
            target=target,
            what=what,
            by=by,
            shown=day_short(missed.shown),
            reason=reason,
        )
    return _("{target}: {what}, by {by}. Why: {reason}", target=target, what=what, by=by, reason=reason)
