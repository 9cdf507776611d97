"""Rows of ways, changes and the case itself -> keys of a case."""

from __future__ import annotations

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.keys import CASE
from genplan.casefile.record_types import Field, Key
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.delimited_text import quoted
from genplan.findings import nearest
from genplan.tables.cells import Form, form_of, node_of
from genplan.tables.filled import TAKEN_OUT, Filled
from genplan.tables.grids import Table
from genplan.tables.sheets import IN_CASE

OTHERWISE = "otherwise"
DEEPEST = 10
"""Keys of a path: more than any part of a case has below another."""


def read_ways(table: Table, filled: Filled) -> None:
    routes: list[Node] = []
    for row, cells in table.cells():
        column, start = cells.get("from", (0, ""))
        end, minutes = (cells.get(name, (column, ""))[1] for name in ("to", "minutes"))
        if start.lower() == OTHERWISE:
            filled.put(("travel_minutes", OTHERWISE), Leaf(minutes, True), table.grid, row, column)
            continue
        ends: list[Node] = []
        for name, text in (("from", start), ("to", end)):
            at = cells.get(name, (column, ""))[0]
            try:
                ends.append(Leaf(filled.names.id_of("locations", text), True))
            except InvalidValue as problem:
                found = problem.found if text else f"no place under '{name}'"
                filled.tell(
                    table.grid, row, at, found, problem.expected, problem.hint if text else "fill it in"
                )
        if len(ends) == 2:
            routes.append({"between": ends, "minutes": Leaf(minutes, True)})
            place = table.grid.place(row, column)
            filled.marks["travel_minutes", "routes", str(len(routes))] = place
    if routes:
        filled.values["travel_minutes", "routes"] = routes


def read_changes(table: Table, filled: Filled) -> None:
    columns = {c.heading: c for c in table.columns.values()}
    for row, cells in table.cells():
        change: dict[str, Node] = {}
        for heading, (column, text) in cells.items():
            try:
                change[heading] = node_of(columns[heading].form, text)
            except InvalidValue as problem:
                filled.tell(table.grid, row, column, problem.found, problem.expected, problem.hint)
        filled.new_rows.append(change)
        filled.marks["changes", f"row {len(filled.new_rows)}"] = table.grid.place(
            row, next(iter(cells.values()))[0]
        )


def read_the_case(table: Table, filled: Filled) -> None:
    """Rows such as `timezone`, `groups.staff` or `defaults.adults.limits.sittings_per_day`."""
    for row, cells in table.cells():
        if "key" not in cells:
            filled.tell(
                table.grid, row, cells["value"][0], "a value without a key", ", ".join(IN_CASE), "fill it in"
            )
            continue
        column, key = cells["key"]
        path = tuple(part.strip() for part in key.split("."))
        if (path[0] not in IN_CASE and path[0] != "format") or len(path) > DEEPEST:
            hint = nearest(path[0].lower(), IN_CASE) or "what belongs to one thing stands in its sheet"
            filled.tell(
                table.grid,
                row,
                column,
                f"the unknown key {quoted(key)}",
                f"one of {', '.join(IN_CASE)}",
                hint,
            )
        elif "value" in cells and path != ("format",):
            at, text = cells["value"]
            try:
                node = TAKEN_OUT if text == "-" else node_of(form_at(path), text)
                filled.put(path, node, table.grid, row, at)
            except InvalidValue as problem:
                filled.refuse(path, problem, table.grid, row, at)


def form_at(path: tuple[str, ...]) -> Form:
    if path[0] == "groups" and len(path) == 2:
        return Form.IDS
    key: Key | None = CASE[path[0]]
    if len(path) == 1 and key and isinstance(key.form, Field) and key.form.widget != "line":
        return form_of(key)
    for part in path[1:]:
        key = (key.kind.keys or {}).get(part) if key else None
    return form_of(key) if key and key.kind.keys is None and form_of(key) is not Form.TEXT else Form.VALUE
