"""Which few combinations to teach, and which to leave to probes: the question before anything failed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case
from genplan.case.targets import STRENGTHS, TargetState
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import Opened, open_case

if TYPE_CHECKING:
    from genplan.planning.spanning import Spanning


@dataclass(frozen=True)
class ExemplarsView:
    """An answer for each target that was asked for; `tested` are those of which a probe was run already."""

    case: Case
    on: date
    found: tuple[Spanning, ...]
    tested: frozenset[str]
    findings: tuple[Finding, ...]


def exemplars(
    folder: Path, targets: Sequence[str] = (), span: str = "each-value", now: datetime | None = None
) -> ExemplarsView:
    """`exemplars_of` a case folder. Writes nothing."""
    return exemplars_of(open_case(folder, now), targets, span)


def exemplars_of(opened: Opened, targets: Sequence[str] = (), span: str = "each-value") -> ExemplarsView:
    """For these targets, or for all that are not paused, the fewest combinations to teach that between them hold what
    `span` wants, a key of `STRENGTHS`, and what to leave to probes. Raises UsageError for another `span`, for a target
    that the case does not have, or if there is none to answer for."""
    from genplan.planning.spanning import spanning

    if span not in STRENGTHS:
        raise UsageError(_("{word!r} is not one of {known}.", word=span, known=", ".join(STRENGTHS)))
    case, day = opened.case, opened.now.date()
    asked = [case.targets[i] for i in dict.fromkeys(known_id(case, "targets", typed) for typed in targets)]
    asked = asked or [t for t in case.targets.values() if t.state is not TargetState.PAUSED]
    if not asked:
        raise UsageError(
            _("The case has no target that is not paused; name one to ask about it all the same.")
        )
    found = tuple(spanning(case, t, opened.log, day, span) for t in asked)
    tested = frozenset(r.target for r in opened.log.results if r.kind.is_test and r.trials)
    return ExemplarsView(case, day, found, tested, opened.findings)
