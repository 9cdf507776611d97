"""Whose reason it is that something was not run, in words."""

from __future__ import annotations

from genplan.case import Case
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.sittings_written import CHILDS_REASONS, childs_own, is_known_reason
from genplan.language import _, said


def not_run_row_text(case: Case, row: Result) -> str:
    """Whether the reason in a row 'not run' counts as the child's own; empty for a row of another kind, and where the
    row says it in so many words."""
    if row.kind is not ResultKind.NOT_RUN or not row.note:
        return ""
    learner = case.learners[case.targets[row.target].learner].alias
    reason = childs_own(case, row)
    if reason and not row.note.casefold().startswith((reason, said(reason).casefold())):
        return _(
            "The reason was {learner}'s own, so it counts as '{reason}'.",
            reason=said(reason),
            learner=learner,
        )
    if reason or is_known_reason(row.note):
        return ""
    ill, refused = map(said, CHILDS_REASONS)
    return _(
        "Whose reason '{note}' was cannot be told, so it does not count as {learner}'s own. If it was, put it right: "
        "'{refused}: {note}' or '{ill}: {note}' is then its reason.",
        note=row.note,
        learner=learner,
        refused=refused,
        ill=ill,
    )
