"""The remarks on a week as a page has them: what can be changed leads to the form for it."""

from __future__ import annotations

from genplan.case import Case
from genplan.plan import NoteKind
from genplan.report.said_anew import Document, notes_anew


def notes_with_ways(case: Case, document: Document) -> list[tuple[str, str]]:
    """Each sentence, and the address of the form where it can be changed; nothing for most."""
    return [
        (sentence, _way(case, remark))
        for remark, sentence in zip(document["remarks"], notes_anew(case, document), strict=True)
    ]


def _way(case: Case, remark: Document) -> str:
    if remark["kind"] == NoteKind.HOME_OF_WHO_IS_AWAY:
        return "/change?what=closed"
    target = remark.get("target", "")
    is_of_its_state = remark["kind"] == NoteKind.NOT_PROBED and target in case.targets
    return f"/case/targets/{target}" if is_of_its_state else ""
