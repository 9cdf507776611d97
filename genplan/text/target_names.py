"""How a skill is called in a sentence that stands for itself: a note, a wish, a finding."""

from __future__ import annotations

from genplan.case import Case


def target_named(case: Case, target_id: str) -> str:
    """`'Zips a jacket'`; where the case has several children with the alias of whose it is, since two may learn the
    same: `'Zips a jacket' (W.)`."""
    target = case.targets[target_id]
    whose = f" ({case.learners[target.learner].alias})" if len(case.learners) > 1 else ""
    return f"'{target.name}'{whose}"
