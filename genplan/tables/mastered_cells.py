"""The column of days on which skills were mastered, where a cell holds none: the skill may still be taught."""

from __future__ import annotations

from genplan.case import TargetState
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.tree import Leaf
from genplan.evidence.sheet_faults import quoted
from genplan.language import _, and_list
from genplan.tables.filled import TAKEN_OUT, Filled
from genplan.tables.plain_cells import MASTERED_ON, is_not_yet
from genplan.tables.thing_rows import Rows
from genplan.tables.understood import Table

STATE = ("state",)


def read_not_yet(table: Table, filled: Filled, rows: Rows) -> None:
    """`not yet` in place of the day is the state of the skill. A new skill with an empty cell counts as mastered unless
    something else says otherwise, which may not have been meant: it is told."""
    column = next((n for n, c in table.columns.items() if c.path == MASTERED_ON), None)
    if column is None:
        return
    silent: list[int] = []
    for row, path, cells in rows:
        text = cells[MASTERED_ON[0]][1] if MASTERED_ON[0] in cells else ""
        there = filled.tree.get(path[0])
        if is_not_yet(MASTERED_ON, text):
            try:
                state = Leaf(TargetState.TEACHING.value, True)
                filled.put_once((*path, *STATE), state, table.grid, row, column)
                filled.put_once((*path, *MASTERED_ON), TAKEN_OUT, table.grid, row, column)
            except InvalidValue as problem:
                filled.refuse((*path, *STATE), problem, table.grid, row, column)
                continue
            found = _("{text}, read as a skill that is still taught", text=quoted(text))
            hint = _("it is not probed for generalisation until its state is mastered")
            filled.warn(table.grid, row, column, found, hint)
        elif not (text or {"like", *STATE} & cells.keys() or (isinstance(there, dict) and path[1] in there)):
            silent += [row] if "learner" in cells else []
    if silent and ("defaults", "targets", *STATE) not in filled.values:
        found = _("no day of mastery, and the skill counts as mastered all the same")
        if len(silent) > 1:
            found = _(
                "no day of mastery in rows {rows}, and the skills count as mastered all the same",
                rows=and_list([str(row) for row in dict.fromkeys(silent)]),
            )
        hint = _("write the day, or 'not yet' where it is still taught")
        filled.warn(table.grid, silent[0], column, found, hint)
