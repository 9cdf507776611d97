"""Why somebody or some place is away, in English."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case.people import AbsenceKind, Reason

_KINDS: Mapping[AbsenceKind, str] = {
    AbsenceKind.AWAY: "away",
    AbsenceKind.BUSY: "busy",
    AbsenceKind.CLOSED: "closed",
    AbsenceKind.MISSING: "missing",
    AbsenceKind.EXTRA: "extra",
    AbsenceKind.TERM: "term",
    AbsenceKind.OUTSIDE_TERM: "outside term",
    AbsenceKind.HOLIDAY: "holiday",
}


def reason_text(reason: Reason) -> str:
    """Such as `holiday: Christmas Day`."""
    kind = _KINDS[reason.kind]
    return f"{kind}: {reason.note}" if reason.note else kind
