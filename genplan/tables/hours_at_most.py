"""How many hours an adult has at most, in a column of a staff list -> the limit of minutes a week."""

from __future__ import annotations

import re

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.tree import Leaf
from genplan.language import _
from genplan.language.typed_numbers import MINUTES_IN_HOUR, amount_of
from genplan.tables.filled import Filled
from genplan.tables.sheets import HOURS_A_WEEK, MOST_HOURS
from genplan.tables.thing_rows import Rows
from genplan.tables.understood import Table

HOURS_OF_A_DAY = 24
LIMIT = ("limits", "minutes_per_week")


def read_hours_at_most(table: Table, filled: Filled, rows: Rows) -> None:
    """`Hours a week` says of what they are; `Max hrs` does not, and is of a week where one of its cells holds more than
    a day has. Else that is asked for, once."""
    for column in (HOURS_A_WEEK, MOST_HOURS):
        there = [(row, path, cells[column.heading]) for row, path, cells in rows if column.heading in cells]
        read = []
        for row, path, (at, text) in there:
            try:
                read.append((row, (*path, *LIMIT), at, _minutes(text)))
            except InvalidValue as problem:
                filled.refuse((*path, *LIMIT), problem, table.grid, row, at)
        if column is MOST_HOURS and not any(m > HOURS_OF_A_DAY * MINUTES_IN_HOUR for *_r, m in read):
            for row, _path, at, _minute in read[:1]:
                found, expected = _("hours at most, of a day or of a week"), _("a heading that says which")
                hint = _("head the column 'max hours a week', or put '#' before it if it is not to be read")
                filled.tell(table.grid, row, at, found, expected, hint)
            continue
        for row, path, at, minutes in read:
            node = Leaf(f"{minutes}", True)
            try:
                filled.put_once(path, node, table.grid, row, at)
            except InvalidValue as problem:
                filled.refuse(path, problem, table.grid, row, at)


def _minutes(text: str) -> int:
    """`5`, `37.5`, `37,5 hrs`, `2:30`. Raises InvalidValue."""
    if match := re.fullmatch(r"([0-9]{1,3}):([0-5][0-9])", text):
        found: int | None = int(match[1]) * MINUTES_IN_HOUR + int(match[2])
    elif match := re.fullmatch(
        r"([0-9]{1,3})(?:[.,]([0-9]{1,2}))?\s*(?:h|hrs?|hours?|std|stunden?)?\.?", text.lower()
    ):
        found = round(float(f"{match[1]}.{match[2] or 0}") * MINUTES_IN_HOUR)
    else:
        found = amount_of(text, in_minutes=True)
    if not found:
        raise InvalidValue(f"'{text[:60]}'", _("a number of hours, such as 5 or 37.5"))
    return found
