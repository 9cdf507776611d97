"""What a probe that was just written down means, and what comes next, in words."""

from __future__ import annotations

from datetime import date

from genplan.case import Case
from genplan.evidence.failed_again import failed_again
from genplan.evidence.log import Log, Result
from genplan.evidence.standing import UNTESTED, standings
from genplan.language import _
from genplan.text.failed_again import what_follows
from genplan.text.held_back import held_back_text
from genplan.text.matrix_rows import row_waits_text


def probe_row_text(case: Case, log: Log, row: Result, on: date) -> str:
    """Whether it is met; of one that is not, what it waits for. Empty for a row that tests nothing. `log` holds it.
    `on` is the day as of which it is said."""
    target = case.targets[row.target]
    if not (row.kind.is_test and row.trials):
        return ""
    if row.meets(target.pass_mark):
        return _("That is met.")
    again = failed_again(target, log).get(row.combination)
    if again and again.on == row.date:
        return f"{_('It was taught since, and is not met again.')} {what_follows(case, again, on)}"
    needed = target.pass_mark.needed(row.trials)
    not_met = _(
        "That is not met: at least {needed} of {trials} would have to be correct without help.",
        needed=needed,
        trials=row.trials,
    )
    standing = standings(target, log).get(row.combination, UNTESTED)
    waits = ""
    if standing.last_date == row.date:
        held = held_back_text(case, target, row.combination, on)
        waits = held or row_waits_text(case, target, standing)
    return f"{not_met} {waits}".strip()
