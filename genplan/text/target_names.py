"""How a skill is called in a sentence that stands for itself: a note, a wish, a finding."""

from __future__ import annotations

from genplan.case import Case, TargetState
from genplan.language import pgettext


def target_named(case: Case, target_id: str) -> str:
    """`'Zips a jacket'`; where the case has several children with the alias of whose it is, since two may learn the
    same: `'Zips a jacket' (W.)`."""
    target = case.targets[target_id]
    whose = f" ({case.learners[target.learner].alias})" if len(case.learners) > 1 else ""
    return f"'{target.name}'{whose}"


def state_word(state: TargetState) -> str:
    """`mastered`."""
    match state:
        case TargetState.TEACHING:
            return pgettext("state of a target", "teaching")
        case TargetState.MASTERED:
            return pgettext("state of a target", "mastered")
        case TargetState.PAUSED:
            return pgettext("state of a target", "paused")
