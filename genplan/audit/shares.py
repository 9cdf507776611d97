"""The share of the learner who is worst off, counted once more, and what it is a share of."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import floor

from genplan.audit.choices_left import has_new_later, has_retests_later, owed_targets
from genplan.audit.context import AuditContext
from genplan.audit.looking_back import tuples_before
from genplan.audit.shown_tuples import fresh_in_plan

TOLERANCE = 1e-6


def smallest_share(matter: AuditContext) -> float:
    """Of the most new tuples that each learner could have alone, in thousandths rounded down; 0 where there is nothing
    to share. What the weeks before gave is added to both, where fairness looks back."""
    alone = {learner: most for learner, most in matter.plan.alone.items() if most > 0}
    if len(matter.plan.alone) < 2 or not alone:
        return 0
    shown, before = _shown(matter), tuples_before(matter)
    # a float as it is read: 0.1 is a tenth
    shares = [
        1000 * (before.get(i, 0) + shown.get(i, 0)) / (before.get(i, 0) + Fraction(str(most)))
        for i, most in alone.items()
    ]
    return floor(min([Fraction(1000), *shares])) / 1000


def alone_is_possible(matter: AuditContext) -> Iterator[str]:
    """Each learner who is owed something, this week or later, has a most that it could have alone: no more than is
    open, and no less than it has, where nothing comes before new tuples: alone it might have more of that, and fewer
    new ones beside it. One learner has none."""
    left = list(owed_targets(matter))
    learners = {own.target.learner for own in left}
    later = (has_retests_later, has_new_later)
    learners |= {t.learner for t in matter.case.mastered if any(has(matter, t) for has in later)}
    alone, shown = matter.plan.alone, _shown(matter)
    if not matter.plan.objectives or (len(learners) < 2 and not alone):
        return
    for learner in sorted(learners ^ alone.keys()):
        what = "is owed something, and no" if learner in learners else "is owed nothing, and a"
        yield f"Learner {learner}: it {what} most that it could have alone is told."
    for learner in sorted(learners & alone.keys()):
        mine = [own for own in left if own.target.learner == learner]
        still_open = sum(len(own.open) for own in mine)
        told = any(o.name == "told" for o in matter.plan.objectives)
        first = matter.case.policy.teaching_first
        before = told or any(own.again or own.target.first or (first and own.teach) for own in mine)
        least = 0 if before else shown.get(learner, 0)
        if not least - TOLERANCE <= alone[learner] <= still_open + TOLERANCE:
            said = f"{alone[learner]:g} new tuples are told as the most that it could have alone"
            yield f"Learner {learner}: {said}, with {shown.get(learner, 0)} in the plan and {still_open} open."


def _shown(matter: AuditContext) -> dict[str, int]:
    """Learner -> new tuples in the plan."""
    shown: dict[str, int] = {}
    for target in matter.case.targets.values():
        count = len(fresh_in_plan(matter, target)) if target.state.value == "mastered" else 0
        shown[target.learner] = shown.get(target.learner, 0) + count
    return shown
