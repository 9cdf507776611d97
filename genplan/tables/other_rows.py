"""Rows of changes and of the case itself -> keys of a case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.casefile.diagnostics import InvalidValue, Path, SourceLocation
from genplan.casefile.keys import CASE
from genplan.casefile.privacy import How
from genplan.casefile.record_types import Field, Key
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.sheet_faults import quoted
from genplan.findings import nearest
from genplan.language import _
from genplan.language.typed_days import reads_day_first
from genplan.tables.cells import Form, form_of, node_of
from genplan.tables.days import day_first
from genplan.tables.filled import TAKEN_OUT, Filled, stands
from genplan.tables.meaning import key_at, means_the_same
from genplan.tables.naming import SECTIONS
from genplan.tables.sheets import IN_CASE
from genplan.tables.thing_rows import tell_of_points, with_ids
from genplan.tables.understood import Table

DEEPEST = 10
"""Keys of a path: more than any part of a case has below another."""


def read_changes(table: Table, filled: Filled) -> None:
    columns = {c.heading: c for c in table.columns.values()}
    with_points: dict[int, list[tuple[int, str, str]]] = {}
    for row, cells in table.rows:
        change: dict[str, Node] = {}
        filled.new_rows.append(change)
        at = ("changes", f"row {len(filled.new_rows)}")
        filled.marks[at] = table.grid.place(row, next(iter(cells.values()))[0])
        for heading, (column, text) in cells.items():
            said = columns[heading]
            assert said.key is not None
            filled.marks[*at, heading] = table.grid.place(row, column)
            try:
                if day := day_first(text, said.key):
                    change[heading] = day
                    if reads_day_first(text):
                        with_points.setdefault(column, []).append((row, text, day.text))
                    continue
                change[heading] = _in_change(node_of(said.form, text), said.key, filled)
            except InvalidValue as problem:
                filled.refuse((*at, heading), problem, table.grid, row, column)
                change[heading] = Leaf(text, True)  # so that what else is wrong in the row is told too
    for column, days in with_points.items():
        tell_of_points(table, filled, column, days)


def _in_change(node: Node, key: Key, filled: Filled) -> Node:
    """Ids in place of names. What is apart may be sittings too; what is none is told with the case."""
    if isinstance(node, dict) and key.kind.keys:
        return {
            k: _in_change(n, key.kind.keys[k], filled) if k in key.kind.keys else n for k, n in node.items()
        }
    if isinstance(node, list) and key.copy.how is How.SITTINGS:
        return [_in_change(part, key, filled) for part in node]
    if not isinstance(node, Leaf):
        return node
    if key.copy.how is How.SITTINGS:
        called = filled.names.ids_called("targets", node.text)
        return Leaf(called[0], True) if len(called) == 1 else node
    if key.copy.how is not How.IDS:
        return node
    section = filled.names.section_of(key.copy.of, node.text)
    return Leaf(filled.names.id_of(section, node.text), True)


def groups_in(table: Table) -> frozenset[str]:
    """The names of the groups that the sheet of the case makes."""
    paths = (cells["key"][1].split(".") for _, cells in table.rows if "key" in cells)
    return frozenset(path[1].strip() for path in paths if path[0].strip() == "groups" and len(path) == 2)


def read_the_case(tables: Sequence[Table], filled: Filled) -> None:
    """Rows such as `timezone`, `groups.staff` or `defaults.adults.limits.sittings_per_day`."""
    parts: dict[Path, Path] = {}
    for table, row, cells in ((one, *listed) for one in tables for listed in one.rows):
        if "key" not in cells:
            filled.tell_of_gap(table, row, cells["value"][0], _("a value without a key"), ", ".join(IN_CASE))
            continue
        column, key = cells["key"]
        path = tuple(part.strip() for part in key.split("."))
        if (path[0] not in IN_CASE and path[0] != "format") or len(path) > DEEPEST:
            hint = nearest(path[0].lower(), IN_CASE) or _("what belongs to one thing stands in its sheet")
            filled.tell(
                table.grid,
                row,
                column,
                _("the unknown key {key}", key=quoted(key)),
                _("one of {keys}", keys=", ".join(IN_CASE)),
                hint,
            )
        elif "value" in cells and path != ("format",):
            at, text = cells["value"]
            try:
                node = TAKEN_OUT if text == "-" else _in_case(path, node_of(form_at(path), text), filled)
                place = table.grid.place(row, at)
                if (first := filled.marks.get(path)) and path in filled.values:
                    if first.file == place.file or not means_the_same(path, filled.values[path], node):
                        raise InvalidValue(
                            _(
                                "a second value for '{key}' (first at {first})",
                                key=key,
                                first=stands(first, place),
                            ),
                            _("a row for each"),
                        )
                    continue
                _alone(path, filled, parts, place)
                filled.put(path, node, table.grid, row, at)
                for length in range(1, len(path)):
                    parts.setdefault(path[:length], path)
            except InvalidValue as problem:
                filled.refuse(path, problem, table.grid, row, at)


def _alone(path: Path, filled: Filled, parts: Mapping[Path, Path], place: SourceLocation) -> None:
    """Raises InvalidValue where a row said all of something of which this one says a part, or the other way round: one
    of the two would be lost. `parts` are the keys of which a part was said, and what it was."""
    wholes = (path[:length] for length in range(1, len(path)))
    other = next((whole for whole in wholes if whole in filled.values), parts.get(path))
    if other is None:
        return
    found = _(
        "a value beside the one of '{key}' (at {first})",
        key=".".join(other),
        first=stands(filled.marks[other], place),
    )
    like = _("write '{key}' for what the rest is like", key="policy.like")
    raise InvalidValue(found, _("one of the two"), like if ("policy",) in (path, other) else "")


def _in_case(path: tuple[str, ...], node: Node, filled: Filled) -> Node:
    """Ids in place of names. A group may hold things of any kind."""
    if path[0] == "groups" and isinstance(node, list):
        texts = [n.text for n in node if isinstance(n, Leaf)]
        kinds = [s for s in SECTIONS if s != "skills"]
        ids = (i for t in texts for i in filled.names.ids_of(filled.names.section_of(kinds, t), t))
        return [Leaf(i, True) for i in ids] if len(texts) == len(node) else node
    key = key_at(path)
    if key and key.copy.how is How.IDS:
        return with_ids(node, key.copy.of[0], filled)
    return node


def form_at(path: tuple[str, ...]) -> Form:
    if path[0] == "groups" and len(path) == 2:
        return Form.IDS
    key: Key | None = CASE[path[0]]
    if len(path) == 1 and key and isinstance(key.form, Field) and key.form.widget != "line":
        return form_of(key)
    for part in path[1:]:
        key = (key.kind.keys or {}).get(part) if key else None
    return form_of(key) if key and key.kind.keys is None and form_of(key) is not Form.TEXT else Form.VALUE
