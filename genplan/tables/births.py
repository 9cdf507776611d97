"""Births in tables that no child has: still to come, or too long ago."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from genplan.casefile.tree import Leaf
from genplan.findings import Finding, Severity
from genplan.language import _
from genplan.tables.filled import Filled

GROWN_UP = 21
"""Years from which on it is said how old a child would be; our choice, no source."""
OLDEST = 100
"""Years that no child has; the guided start asks about the same."""


def unlikely_births(filled: Filled, today: date) -> Iterator[Finding]:
    """At the cell of each. By it small parts and minimum ages are judged, so a slip of the year lets them through."""
    for path, node in filled.values.items():
        if path[0] != "learners" or path[2:] != ("born",) or not isinstance(node, Leaf):
            continue
        if not re.fullmatch(r"\d{4}-\d\d(-\d\d)?", node.text):
            continue  # which the case tells
        place = filled.marks[path]
        at = (place.file, place.line, place.written[0])
        years = today.year - int(node.text[:4])
        if node.text > today.isoformat()[: len(node.text)]:
            found = _("a birth in {written}, which is after today, {today}", written=node.text, today=today)
            yield Finding(*at, found, _("when the child was born"), _("look once more at the year"))
        elif years > GROWN_UP:
            found = _("a birth in {written}, {years} years ago", written=node.text, years=years)
            finding = Finding(
                *at,
                found,
                _("when the child was born"),
                _("small parts and minimum ages are judged by it: look once more at the year"),
            )
            yield finding if years > OLDEST else replace(finding, expected="", severity=Severity.WARNING)
