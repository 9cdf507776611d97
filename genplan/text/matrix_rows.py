"""Why a row of the matrix is no new probe, in English, without a full stop."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from genplan.case import Case, Target
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.standing import Standing, Status
from genplan.text.obstacles import obstacle_text


def row_text(case: Case, row: MatrixRow, day: Callable[[date], str] = date.isoformat) -> str:
    """The rule against it, or what it waits for; empty where nothing has to be said. `day` writes a date."""
    if row.obstacle:
        return obstacle_text(case, row.obstacle)
    target, standing = case.targets[row.target], row.standing
    if standing.waits_for_teaching:
        if standing.suspects:
            return "waits for teaching of what only failed in it"
        return teachings_text(target, standing) or "waits for teaching in it before it is probed again"
    if not standing.retest_due:
        return ""
    why = (
        "taught since it was not met"
        if standing.status is not Status.NOT_MET
        else "what it failed in was taught elsewhere since"
    )
    later = (
        f" from {day(standing.retest_from)} on" if target.retest_after_days and standing.retest_from else ""
    )
    return f"{why}: due for a retest{later}"


def teachings_text(target: Target, standing: Standing) -> str:
    """`1 of 2 teachings before its retest`; empty where one is enough."""
    wanted = target.teachings_before_retest
    return f"{standing.teachings} of {wanted} teachings before its retest" if wanted > 1 else ""
