"""What a row of teaching pays for, in words."""

from __future__ import annotations

from datetime import date

from genplan.case import Case
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.standing import UNTESTED, Standing, counts_as_teaching, standings
from genplan.language import _
from genplan.language.dates import date_words
from genplan.text.held_back import held_back_text
from genplan.text.matrix_rows import row_waits_text


def teaching_row_text(case: Case, log: Log, row: Result, on: date) -> str:
    """Whether a row of the log counts as a teaching and what its combination still waits for; empty for a row of
    another kind, and where no mark is asked for and nothing waits for the row. `on` is the day as of which it is
    said."""
    target = case.targets[row.target]
    if row.kind is not ResultKind.TEACHING:
        return ""
    standing = standings(target, log).get(row.combination, UNTESTED)
    waits = row_waits_text(case, target, standing)
    if waits or _is_due(standing):
        waits = held_back_text(case, target, row.combination, on) or waits
    if (mark := target.taught_when) and not counts_as_teaching(target, row):
        correct = row.correct or 0
        had = _("{correct} of {trials}", correct=correct, trials=row.trials) if row.trials else _("no count")
        return (
            _(
                "It does not count as teaching: {correct} of {trials} correct without help are asked for, and"
                " it has {had}. {waits}",
                correct=mark.correct,
                trials=mark.trials,
                had=had,
                waits=waits,
            )
        ).strip()
    if waits or _is_due(standing) or mark:
        return f"{_('It counts as teaching.')} {waits or _due_text(standing)}".strip()
    return ""


def _is_due(standing: Standing) -> bool:
    return standing.retest_due and standing.retest_from is not None


def _due_text(standing: Standing) -> str:
    return (
        _("The next probe there is due from {day} on.", day=date_words(standing.retest_from))
        if _is_due(standing) and standing.retest_from
        else ""
    )
