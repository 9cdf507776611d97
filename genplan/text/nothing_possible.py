"""A target of which no combination is possible on a day: it is not through, although nothing of it is open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from datetime import date

from genplan.case import Case, Target
from genplan.case.possible import is_any_possible, obstacle
from genplan.language import _
from genplan.text.obstacles import obstacle_text

NAMED_AT_MOST = 2


def why_nothing_is_possible(case: Case, target: Target, on: date) -> str:
    """What stands against most of its combinations, without a full stop; nothing where one of them is possible."""
    if is_any_possible(case, target, on):
        return ""
    against = Counter(found for c in target.combinations() if (found := obstacle(case, target, c, on)))
    texts = dict.fromkeys(obstacle_text(case, found) for found, _count in against.most_common())
    return "; ".join([*texts][:NAMED_AT_MOST])


def nothing_possible(
    case: Case, learners: Collection[str], on: date, only: str | None = None
) -> tuple[str, ...]:
    """A sentence for each target of these learners, or the only one asked about, of which nothing is possible."""
    return tuple(
        _("Nothing of '{target}' is possible as the case stands: {why}.", target=target.name, why=why)
        for target in case.planned
        if target.learner in learners and only in (None, target.id)
        if (why := why_nothing_is_possible(case, target, on))
    )
