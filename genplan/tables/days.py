"""Dates in the cells of tables: what can only be one day is taken, what can be two is refused, but for points."""

from __future__ import annotations

import re
from datetime import date

from genplan.case import Birth
from genplan.casefile.diagnostics import Diagnostics, InvalidValue
from genplan.casefile.record_types import Key
from genplan.casefile.tree import Leaf
from genplan.evidence.moments import days_of
from genplan.language import _, or_list
from genplan.language.typed import month_of
from genplan.language.typed_days import date_of

LONGEST = 30
"""Characters of a day with a name in it."""
A_YEAR_LAST = r"\d{1,2}([-/.])\d{1,2}\1\d{4}"


def day_first(text: str, key: Key) -> Leaf | None:
    """`23/07/2021`, `8 June 2020`, and of a birth `April 2020`, as a case says it; nothing for another text, or where
    the key takes no date. Raises InvalidValue for `12/03/2020`, which may be two days."""
    if re.search(r"[^\W\d]{3}", text) and re.search(r"\b\d{4}\b", text) and len(text) <= LONGEST:
        return _with_a_month(text, key)
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


def _with_a_month(text: str, key: Key) -> Leaf | None:
    if not _is_of_dates(key):
        return None
    try:
        if day := date_of(text):
            return Leaf(f"{day}", True)
    except ValueError:
        return None
    named = re.fullmatch(r"([^\W\d]+)\.?,?\s+(\d{4})", text)
    month = month_of(named[1]) if named and _is_of_dates(key, "2020-03") else None
    return Leaf(f"{named[2]}-{month:02d}", True) if named and month else None


def _is_of_dates(key: Key, such_as: str = "2020-03-12") -> bool:
    return isinstance(key.kind.read(Leaf(such_as, True), (), Diagnostics("")), date | Birth)
