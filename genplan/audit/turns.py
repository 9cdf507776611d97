"""What is told to have its turn in a week that follows a term, held against what the dates ask for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from genplan.audit.choices_left import left_of
from genplan.audit.context import AuditContext
from genplan.audit.coverage_values import asks_for
from genplan.audit.history import as_shown


def turns_are_asked_for(matter: AuditContext) -> Iterator[str]:
    """Each is open, and some wish asks for it whose date is not before its day; none is told twice."""
    turns = matter.plan.turns
    if turns is None:
        return
    if not matter.case.policy.follow_term:
        yield "Something is told to have its turn, and the policy has no week follow a term."
    if len({(id_, values) for id_, values, _ in turns}) < len(turns):
        yield "Something is told twice to have its turn."
    for id_, values, until in turns:
        target, day = matter.case.targets[id_], matter.monday.date() + timedelta(days=until)
        shown, what = as_shown(target, values), " + ".join(value for _, value in values)
        if shown not in left_of(matter, target).open:
            yield f"Target {id_}: '{what}' is told to have its turn, and is not open."
        elif not any(w.by and day <= w.by and asks_for(target, w, shown) for w in target.first):
            yield f"Target {id_}: '{what}' is told to have its turn until day {until + 1}, and no date asks for that."
