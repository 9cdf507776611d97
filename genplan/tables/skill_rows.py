"""Rows of skills -> targets of children, and texts that several of them share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from genplan.casefile.diagnostics import InvalidValue, Path, SourceLocation
from genplan.casefile.ids_from_names import id_from
from genplan.casefile.scalar_types import AN_ID, LONGEST_ID, id_hint
from genplan.casefile.tree import Leaf
from genplan.evidence.sheet_faults import quoted
from genplan.language import _, said
from genplan.tables.filled import Filled
from genplan.tables.naming import is_id
from genplan.tables.thing_rows import Cells, Rows, note, whom
from genplan.tables.understood import Table


def skill_rows(table: Table, filled: Filled) -> Rows:
    """Each row of a skill is a target of one child, or a text for several with a target for each of them, or a text."""
    rows: Rows = []
    in_other_sheets = set(filled.marks)
    names = Counter(cells["name"][1] for _, cells in table.rows if "name" in cells)
    for row, cells in table.rows:
        children: list[str] = []
        if "learner" in cells and cells["learner"][1] != "-":
            column, text = cells["learner"]
            try:
                children = whom(text, filled)
            except InvalidValue as problem:
                filled.tell_problem(problem, table.grid, row, column)
                continue
        for path in _things_of_skill(table, filled, row, cells, children, names):
            if path in filled.marks and path not in in_other_sheets:
                column = cells.get("id", cells.get("name", next(iter(cells.values()))))[0]
                found = _("a second row for '{id}'", id=path[1])
                filled.tell(table.grid, row, column, found, _("a row for each"), _("join the two rows"))
                continue
            note(table, filled, row, path, cells)
            rows.append((row, path, cells))
    return rows


def _things_of_skill(
    table: Table, filled: Filled, row: int, cells: Cells, children: list[str], names: Mapping[str, int]
) -> Iterator[Path]:
    called, grid = filled.names.called, table.grid
    given = cells["id"][1] if "id" in cells else ""
    column, name = cells.get("name", (next(iter(cells.values()))[0], ""))
    if given and not is_id(given):
        filled.tell(
            grid,
            row,
            cells["id"][0],
            _("the id {id}", id=quoted(given)),
            said(AN_ID),
            id_hint(given, names=True),
        )
        return
    if not given and not name:
        filled.tell_of_gap(table, row, column, _("a row without a name"), _("the name of the skill"))
        return
    if not children and given in called["targets"] and given not in called["skills"]:
        yield ("targets", given)  # more of a skill that is there
        return
    place = grid.place(row, cells["learner"][0] if children else column)
    if len(children) == 1:
        target = given or _target_of(filled, children[0], name, names[name] > 1)
        _of_child(filled, target, children[0], place)
        yield ("targets", target)
        return
    name = name or called["targets"].get(given, "")
    skill = given if given not in called["targets"] else ""
    skill = skill or next(iter(filled.names.ids_called("skills", name)), "")
    own = _own_targets(filled, skill, children, name)
    if given in called["targets"] and given not in own.values():
        expected = _("the id of a skill, or of a target of one of these children")
        filled.tell(
            grid, row, cells["id"][0], _("the id {id}", id=quoted(given)), expected, _("leave the id empty")
        )
        return
    if not skill and own:  # each has a target of its own, and so has whoever is new
        own |= {child: _target_of(filled, child, name, True) for child in children if child not in own}
    elif not skill:
        skill = filled.names.fresh_id("skills", name, called["targets"])
        filled.made.append(("skills", skill))
    if skill:
        yield ("skills", skill)
    for child in children:
        target = own.get(child) or _like(filled, skill, child) or _made(filled, skill, child)
        _of_child(filled, target, child, place)
        if child in own:
            yield ("targets", target)
            continue
        filled.values["targets", target, "like"] = Leaf(skill, True)
        filled.marks["targets", target, "like"] = filled.marks["targets", target] = place
        filled.names.add("targets", target, name)


def _of_child(filled: Filled, target: str, child: str, place: SourceLocation) -> None:
    filled.values["targets", target, "learner"] = Leaf(child, True)
    filled.marks["targets", target, "learner"] = place


def _own_targets(filled: Filled, skill: str, children: list[str], name: str) -> dict[str, str]:
    """By child, the target of that name that is not like the skill: it stays, and the child gets no second one."""
    called = filled.names.ids_called("targets", name)
    own = {
        _said(filled, t, "learner"): t
        for t in reversed(called)
        if not skill or _said(filled, t, "like") != skill
    }
    return {c: own[c] for c in children if c in own and not (skill and _like(filled, skill, c))}


def _target_of(filled: Filled, child: str, name: str, several: bool) -> str:
    """The id of the target of that name that the child has; a new one says whose it is where others have that name."""
    for id_ in filled.names.ids_called("targets", name):
        if _said(filled, id_, "learner") == child:
            return id_
    id_, plain = filled.names.fresh_id("targets", name), id_from(name, (), "skill")
    if several or id_ != plain:
        id_ = filled.names.fresh_id("targets", f"{plain} {child}", longest=LONGEST_ID)
    filled.made.append(("targets", id_))
    return id_


def _like(filled: Filled, skill: str, child: str) -> str:
    """The child's target that is like the skill, if there is one."""
    targets = filled.tree.get("targets")
    return next(
        (
            i
            for i in (targets if isinstance(targets, dict) else ())
            if (_said(filled, i, "like"), _said(filled, i, "learner")) == (skill, child)
        ),
        "",
    )


def learner_of(filled: Filled, target: str) -> str:
    return _said(filled, target, "learner")


def _said(filled: Filled, target: str, key: str) -> str:
    targets = filled.tree.get("targets")
    record = targets.get(target) if isinstance(targets, dict) else None
    node = record.get(key) if isinstance(record, dict) else None
    node = filled.values.get(("targets", target, key), node)
    return node.text if isinstance(node, Leaf) else ""


def _made(filled: Filled, skill: str, child: str) -> str:
    id_ = filled.names.fresh_id("targets", f"{skill} {child}", longest=LONGEST_ID)
    filled.made.append(("targets", id_))
    return id_
