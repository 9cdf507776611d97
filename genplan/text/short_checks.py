"""What marks a check with fewer trials than the target asks for: it is held against the same share, and so weighs the
same as a whole one."""

from __future__ import annotations

from genplan.case import Target
from genplan.evidence.log import Result
from genplan.language import ngettext


def is_short(target: Target, row: Result) -> bool:
    return row.kind.is_test and 0 < (row.trials or 0) < target.trials


def short_text(target: Target, row: Result) -> str:
    """To be put behind the counts; empty for a whole one."""
    if not is_short(target, row):
        return ""
    return ngettext(
        " (a short probe: {n} trial is asked for)",
        " (a short probe: {n} trials are asked for)",
        target.trials,
    )
