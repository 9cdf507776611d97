"""Targets whose maintenance probes have nothing to repeat: `taught` leaves a dimension out, and no probe was met."""

from __future__ import annotations

from datetime import date

from genplan.case import Case, Target
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.loading import Loaded
from genplan.evidence.log import Log
from genplan.evidence.maintenance import to_repeat
from genplan.evidence.standing import standings
from genplan.findings import Finding
from genplan.language import _


def nothing_to_repeat(loaded: Loaded, case: Case, log: Log) -> tuple[Finding, ...]:
    """A warning for each, at the line of what was taught. Of what was not taught at all the plan says it."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    for target in case.mastered:
        if not (target.taught and target.mastered_on and target.maintenance_days):
            continue
        lacking = [d for d in target.dimensions if d.name not in target.taught[0]]
        if lacking and not _anything_to_repeat(target, log):
            name, value = lacking[0].name, lacking[0].values[0]
            found = _(
                "no '{name}', so until a probe is met there is nothing to repeat for maintenance", name=name
            )
            hint = _("add what was used in teaching, such as '{name}: {value}'", name=name, value=value)
            notes.warning(("targets", target.id, "taught", "1"), found, "", hint)
    return tuple(notes.findings)


def _anything_to_repeat(target: Target, log: Log) -> bool:
    known = standings(target, log)
    return bool(to_repeat(target, known, known, date.max))
