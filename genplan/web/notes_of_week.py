"""The remarks on a week as a page has them: a key of the file is called as its form does, with the way there."""

from __future__ import annotations

from genplan.case import Case
from genplan.report.said_anew import Document, notes_anew
from genplan.web.forms import FORMS

KEY = "teaching_per_week"


def notes_with_ways(case: Case, document: Document) -> list[tuple[str, str]]:
    """Each sentence, and the address of the form where it can be changed; nothing for most."""
    (label,) = (f.label for f in FORMS["targets"].fields if f.name == KEY)
    found = []
    for remark, sentence in zip(document["remarks"], notes_anew(case, document), strict=True):
        target = remark.get("target", "")
        way = f"/case/targets/{target}" if KEY in sentence and target in case.targets else ""
        found.append((sentence.replace(f"'{KEY}'", f"'{label}'"), way))
    return found
