"""What was owed and is not planned, in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from genplan.case import Case
from genplan.language import _
from genplan.plan import LeftOut, ProbeKind
from genplan.text.matrix_rows import instead_text


def what_text(case: Case, item: LeftOut, day: Callable[[date], str] = date.isoformat) -> str:
    """What it is: the names of its values, a date of maintenance, teaching wherever it is taught, or a baseline probe
    where it is not; `day` writes a date."""
    if item.due:
        return _("the maintenance probe due on {due}", due=day(item.due))
    if item.kind is ProbeKind.TEACHING and not item.values:
        return _("any combination that it is taught in")
    if item.kind is ProbeKind.BASELINE:
        return _("any combination that nobody has taught")
    said = " + ".join(case.called(name, value) for name, value in item.values)
    target = case.targets.get(item.target)
    return f"{said}, {instead_text(case, target, item.instead_of)}" if target and item.instead_of else said
