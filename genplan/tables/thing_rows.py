"""Rows of children, adults, places and things -> keys of a case."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from genplan.casefile.diagnostics import InvalidValue, Path
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.privacy import How
from genplan.casefile.scalar_types import AN_ID, id_hint
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.sheet_faults import of_a_date, quoted
from genplan.language import _, and_list, or_list, said
from genplan.language.typed_days import reads_day_first
from genplan.tables.allergen_cells import OF_ALLERGENS, allergens_in
from genplan.tables.cells import Form, in_a_cell, node_of
from genplan.tables.days import day_first
from genplan.tables.filled import HYPHENS, TAKEN_OUT, Filled
from genplan.tables.headings import is_a_sum, plain
from genplan.tables.naming import PEOPLE, each, is_id, one_of_either
from genplan.tables.plain_cells import is_mark, is_not_yet, without_words, words_for_all
from genplan.tables.sheets import HOURS_IN, REMARK, TAUGHT, Column
from genplan.tables.sums import say_it_is_a_sum
from genplan.tables.understood import Table

OF_A_CHILD = ("learner", "like")
"""What only a target has, and no text for several."""

LONGEST_NAME = 7
"""Words: more make a remark."""
MOST_DAYS = 30
"""Of a column, that are named one by one."""
Cells = dict[str, tuple[int, str]]
Rows = list[tuple[int, Path, Cells]]
"""Number, the thing that the row is of, what is filled in."""


def thing_of_each_row(table: Table, filled: Filled) -> Rows:
    """Ids first, so that other cells may name what stands further down."""
    section = table.kind.section
    rows: Rows = []
    first: dict[str, int] = {}
    names = Counter(cells["name"][1] for _, cells in table.rows if "name" in cells and "id" not in cells)
    for row, cells in table.rows:
        id_ = _id_of_row(table, filled, row, cells, names)
        if not id_:
            continue
        if id_ in first:
            column = cells.get("id", next(iter(cells.values())))[0]
            found = _("a second row for '{id}' (first in row {row})", id=id_, row=first[id_])
            filled.tell(table.grid, row, column, found, _("a row for each"), _("join the two rows"))
            continue
        first[id_] = row
        note(table, filled, row, (section, id_), cells)
        rows.append((row, (section, id_), cells))
    return rows


def note(table: Table, filled: Filled, row: int, path: Path, cells: Cells) -> None:
    name = cells["name"][1] if "name" in cells else filled.names.called[path[0]].get(path[1], "")
    filled.names.add(path[0], path[1], name)
    filled.marks[path] = table.grid.place(row, next(iter(cells.values()))[0])


def _id_of_row(table: Table, filled: Filled, row: int, cells: Cells, names: Mapping[str, int]) -> str:
    section, grid = table.kind.section, table.grid
    if "id" in cells:
        column, id_ = cells["id"]
        if is_id(id_):
            return id_
        if is_a_sum(id_) and "name" not in cells:
            say_it_is_a_sum(table, filled, row, column)
            return ""
        filled.tell(
            grid, row, column, _("the id {id}", id=quoted(id_)), said(AN_ID), id_hint(id_, names=True)
        )
        return ""
    if "name" not in cells:
        column = next(iter(cells.values()))[0]
        filled.tell_of_gap(
            table,
            row,
            column,
            _("a row without a name"),
            _("the name of the {kind}", kind=said(one_of_either(section))),
        )
        return ""
    column, name = cells["name"]
    if is_a_sum(name):
        say_it_is_a_sum(table, filled, row, column)
        return ""
    if section in PEOPLE and _is_a_sentence(name):
        expected = _("the name of the {kind}", kind=said(one_of_either(section)))
        hint = _(
            "put {mark} before it if it is a remark; a name that is so long needs an id beside it",
            mark=REMARK,
        )
        filled.tell(
            grid, row, column, _("{text}, which reads like a remark", text=quoted(name)), expected, hint
        )
        return ""
    there = filled.names.ids_called(section, name)
    if names[name] > 1 or len(there) > 1:
        found, expected = (
            _("{name}, a name that more than one have", name=quoted(name)),
            _("names that are told apart"),
        )
        filled.names.same.setdefault((section, name), []).append(
            _("row {row} of {sheet}", row=row, sheet=quoted(grid.name))
        )
        if section in PEOPLE:
            hint = _(
                "is it one person? Then join the rows into one: several hours of a day stand in one cell, such as 9-12,"
                " 13-15. If they are several, give each of them an id in a column 'id', such as ada-b"
            )
        else:
            hint = _(
                "is it one? Then join the rows into one. If they are several, give each of them an id in a column 'id',"
                " such as room-1-b"
            )
        filled.tell(grid, row, column, found, expected, hint)
        return ""
    if there:
        return there[0]
    if whole := _first_name_of(filled, section, name):
        found, expected = (
            _("{name}, the first name of {whole}", name=quoted(name), whole=or_list(whole)),
            _("the whole name"),
        )
        hint = _("is it {whole}? Write the whole name; a new person needs another name", whole=or_list(whole))
        filled.tell(grid, row, column, found, expected, hint)
        return ""
    id_ = filled.names.fresh_id(section, name)
    filled.made.append((section, id_))
    return id_


def _is_a_sentence(name: str) -> bool:
    """`all: lunch 12-12.45, nobody works then`, `12 children` below the names of people."""
    words = name.split()
    return (
        len(words) > LONGEST_NAME
        or (len(words) > 2 and bool(re.search(r":|\d", name)))
        or bool(re.match(r"\d+\s+[^\W\d]", name))
    )


def _first_name_of(filled: Filled, section: str, name: str) -> list[str]:
    """The people of the case, not of these tables, who have the first name that a row of a new one would have."""
    there = filled.tree.get(section)
    if section not in PEOPLE or not isinstance(there, dict):
        return []
    return [filled.names.called[section][i] for i in filled.names.by_first_names(section, name) if i in there]


def read_cells(table: Table, filled: Filled, rows: Rows) -> None:
    """The keys of each row, but for hours."""
    by_heading = {c.heading: c for c in table.columns.values()}
    with_points: dict[int, list[tuple[int, str, str]]] = {}
    for row, path, cells in rows:
        for heading, (column, text) in cells.items():
            known = by_heading[heading]
            if known.key is None or heading == HOURS_IN.get(path[0]):
                continue
            at = (*path, *known.path)
            if known.path == ("learner",) and at in filled.values:
                continue  # whose it is was read with the row
            if is_not_yet(known.path, text):
                continue  # which is its state
            if path[0] == "skills" and heading in OF_A_CHILD:
                if heading == "like":
                    found, hint = (
                        _("{text} beside no child or several", text=quoted(text)),
                        _("leave it empty, or give each child a row"),
                    )
                    filled.tell(table.grid, row, column, found, _("a skill of one child"), hint)
                continue
            try:
                node = TAKEN_OUT if text in HYPHENS else _node_of(path[0], known, text, filled)
                filled.put_once(at, node, table.grid, row, column)
                if reads_day_first(text) and isinstance(node, Leaf) and node.text != text:
                    with_points.setdefault(column, []).append((row, text, node.text))
            except InvalidValue as problem:
                filled.refuse(at, problem, table.grid, row, column, in_a_cell(known.key.kind.expects))
    for column, days in with_points.items():
        tell_of_points(table, filled, column, days)


def tell_of_points(table: Table, filled: Filled, column: int, days: list[tuple[int, str, str]]) -> None:
    """One warning for a column, in which each day stands: which of them was meant otherwise nobody else can see."""
    (row, text, day), *others = days
    found = _("'{text}', read as {day}: with points the day stands first", text=text, day=day)
    if others:
        named = [
            _("'{text}' in row {row} as {day}", text=text, row=row, day=day)
            for row, text, day in others[:MOST_DAYS]
        ]
        if more := len(others) - len(named):
            named.append(_("{number} more", number=more))
        found = _("{found}; likewise {others}", found=found, others=and_list(named))
    filled.warn(table.grid, row, column, found, _("if another day is meant, write it year first"))


def _node_of(section: str, column: Column, text: str, filled: Filled) -> Node:
    """Raises InvalidValue."""
    assert column.key is not None
    text = without_words(text, column.path, column.key)
    if column.path in OF_ALLERGENS:
        of_a_thing = section == "material_sets"
        return allergens_in(text, filled, of_a_thing=of_a_thing, holds=column.path == ("allergens",))
    return cell_node(column, text, filled)


def cell_node(column: Column, text: str, filled: Filled) -> Node:
    """Raises InvalidValue."""
    key = column.key
    assert key is not None
    if (hint := of_a_date(text)) and is_mark(key):
        raise InvalidValue(quoted(text), key.kind.expects, hint)
    if column.path == ("learner",):
        return Leaf(whom(text, filled)[0], True)
    node = day_first(text, key) or _node(column, text, filled)
    if column.path == ("like",):
        return with_ids(node, "skills", filled)
    if key.copy.how is How.IDS:
        return with_ids(node, key.copy.of[0], filled, text)
    if key.copy.how is How.PATTERNS or column.form is Form.GROUP:
        return _in_patterns(node, filled)
    return node


def _node(column: Column, text: str, filled: Filled) -> Node:
    """What the cell says. What is no pattern is told with what a pattern of this column is. Raises InvalidValue."""
    try:
        return node_of(column.form, text)
    except InvalidValue as problem:
        if column.path == ("taught",) and ":" not in text:
            raise InvalidValue(quoted(text), problem.expected, _where_taught(text, filled)) from None
        if column.path == ("first",):
            expected = _("such as location: park, by: 2026-12-18; the date may be left out")
            raise InvalidValue(problem.found, expected, problem.hint) from None
        raise


def _where_taught(text: str, filled: Filled) -> str:
    """The columns that take names alone, the one of what is named here before all."""
    parts = [part.strip() for part in re.split("[,;\n]", text) if part.strip()]
    for heading, dimension in TAUGHT.items():
        section = SECTION_OF[dimension]
        if all(
            filled.names.ids_called(section, part) or part in filled.names.called[section] for part in parts
        ):
            return _("write names alone into a column with the heading '{heading}'", heading=heading)
    return _(
        "write the name, a colon and the value, or names alone into columns with the headings {headings}",
        headings=and_list([quoted(heading) for heading in TAUGHT]),
    )


def with_ids(node: Node, section: str, filled: Filled, whole: str = "") -> Node:
    """Ids in place of names; `whole` is the text of a cell, which may be one name with a comma in it."""
    if isinstance(node, list):
        if len(node) > 1 and filled.names.ids_called(section, whole):
            return [Leaf(i, True) for i in filled.names.ids_of(section, whole)]
        return [Leaf(i, True) for i in each(node, lambda part: _ids_of(part, section, filled))]
    if isinstance(node, Leaf) and node.text != "all":
        return Leaf(filled.names.id_of(section, node.text, groups=True), True)
    return node


def _ids_of(node: Node, section: str, filled: Filled) -> list[str]:
    if not isinstance(node, Leaf):
        raise InvalidValue(
            _("a list or keys inside a list"), _("names or ids"), _("write them with commas between them")
        )
    return filled.names.ids_of(section, node.text)


def _in_patterns(node: Node, filled: Filled) -> Node:
    if isinstance(node, list):
        return [_in_patterns(part, filled) for part in node]
    if not isinstance(node, dict):
        return node
    return {
        k: Leaf(filled.names.id_of(SECTION_OF[k], v.text), True)
        if k in SECTION_OF and isinstance(v, Leaf)
        else _in_patterns(v, filled)
        for k, v in node.items()
    }


def whom(text: str, filled: Filled) -> list[str]:
    """The ids of the children that a cell names, apart by commas or lines; all of them. Raises InvalidValue."""
    if plain(text) in words_for_all() and not filled.names.is_known("learners", text):
        return list(filled.names.called["learners"])
    return filled.names.ids_in("learners", text)
