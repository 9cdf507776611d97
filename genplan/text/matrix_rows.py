"""Why a row of the matrix is no new probe, in English, without a full stop."""

from __future__ import annotations

from genplan.case import Case
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.standing import Status
from genplan.text.obstacles import obstacle_text


def row_text(case: Case, row: MatrixRow) -> str:
    """The rule against it, or what it waits for; empty where nothing has to be said."""
    if row.obstacle:
        return obstacle_text(case, row.obstacle)
    if row.standing.waits_for_teaching:
        elsewhere = bool(row.standing.suspects)
        return "waits for teaching " + (
            "of what only failed in it" if elsewhere else "in it before it is probed again"
        )
    if not row.standing.retest_due:
        return ""
    if row.standing.status is Status.NOT_MET:
        return "what only failed in it was taught elsewhere since: due for a retest"
    return "taught since it was not met: due for a retest"
