"""Dates in the cells of tables: what can only be one day is taken, what can be two is refused."""

from __future__ import annotations

import re
from datetime import date

from genplan.case import Birth
from genplan.casefile.diagnostics import Diagnostics, InvalidValue
from genplan.casefile.record_types import Key
from genplan.casefile.tree import Leaf
from genplan.evidence.moments import days_of
from genplan.language import _, or_list

A_YEAR_LAST = r"\d{1,2}([-/.])\d{1,2}\1\d{4}"


def day_first(text: str, key: Key) -> Leaf | None:
    """`23/07/2021` as a case says it; nothing for another text, or where the key takes no date. Raises InvalidValue
    for `12/03/2020`, which may be two days."""
    if not re.fullmatch(A_YEAR_LAST, text) or not _is_of_dates(key):
        return None
    days = days_of(text)
    if len(days) > 1:
        found = _("'{text}', which may be {either}", text=text, either=or_list([f"{day}" for day in days]))
        hint = _(
            "write the one that is meant year first, such as {day}, or make the cell a date of the spreadsheet",
            day=days[0],
        )
        raise InvalidValue(found, key.kind.expects, hint)
    return Leaf(f"{days[0]}", True) if days else None


def _is_of_dates(key: Key) -> bool:
    return isinstance(key.kind.read(Leaf("2020-03-12", True), (), Diagnostics("")), date | Birth)
