"""What is said as a row is written down, of a thing that by its name may hold what the child must not have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from genplan.case.safety import allergens_met
from genplan.case.targets import MATERIAL_SET
from genplan.language import _, or_list
from genplan.text.obstacles import allergens_text
from genplan.workflow.opened_case import Opened

if TYPE_CHECKING:
    from genplan.evidence.log import Result


def by_their_names(opened: Opened, added: Sequence[Result]) -> tuple[str, ...]:
    """Each said once. What a thing is said to hold, or holds by its name, is warned of with the row."""
    from genplan.casefile.lint_allergens import may_hold
    from genplan.evidence.log import ResultKind

    found: dict[str, None] = {}
    for row in (r for r in added if r.kind is not ResultKind.NOT_RUN):
        target = opened.case.targets[row.target]
        child = opened.case.learners[target.learner]
        thing = opened.case.material_sets.get(target.value(row.combination, MATERIAL_SET))
        if thing is None or not child.allergens:
            continue
        if kept := allergens_met(child.allergens, may_hold(thing)):
            sentence = _(
                "Careful: '{thing}' may by its name hold {allergens}, which {child} must not meet. Look before it is "
                "used again, and say in the case what it holds.",
                thing=thing.name,
                allergens=or_list([allergens_text((a,)) for a in kept]),
                child=child.alias,
            )
            found[sentence] = None
    return tuple(found)
