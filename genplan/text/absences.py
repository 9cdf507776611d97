"""Why somebody or some place is away, in words."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case.people import AbsenceKind, Reason
from genplan.language import N_, said

_KINDS: Mapping[AbsenceKind, str] = {
    AbsenceKind.AWAY: N_("away"),
    AbsenceKind.BUSY: N_("busy"),
    AbsenceKind.CLOSED: N_("closed"),
    AbsenceKind.MISSING: N_("missing"),
    AbsenceKind.EXTRA: N_("extra"),
    AbsenceKind.TERM: N_("term"),
    AbsenceKind.OUTSIDE_TERM: N_("outside term"),
    AbsenceKind.HOLIDAY: N_("holiday"),
}


def reason_text(reason: Reason) -> str:
    """Such as `holiday: Christmas Day`."""
    kind = said(_KINDS[reason.kind])
    return f"{kind}: {reason.note}" if reason.note else kind
