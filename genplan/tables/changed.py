"""What tables say beside what a case says: the things that differ, and how."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from genplan.casefile.diagnostics import Path
from genplan.casefile.edit import put_in
from genplan.casefile.keys import CASE
from genplan.casefile.patch import same
from genplan.casefile.tree import Node
from genplan.tables.filled import TAKEN_OUT, Filled
from genplan.tables.meaning import OF_THINGS, means_the_same


@dataclass(frozen=True)
class Difference:
    """A key of the case that is to say something else; None where nothing stood or nothing is to stand."""

    path: Path
    before: Node | None
    after: Node | None


def differences(filled: Filled) -> list[Difference]:
    """Sorted as the keys of a case are, things in the order of their rows. New things come as a whole. Marks of what
    joins a list are added to `filled`."""
    found: dict[Path, Difference] = {}
    for thing in (p for p in filled.marks if len(p) == 2 and p[0] in OF_THINGS):
        if at(filled.tree, thing) is None:
            found[thing] = Difference(thing, None, {})
    for path, node in filled.values.items():
        before = at(filled.tree, path)
        if path == ("travel_minutes", "routes"):
            node = _routes(before, node, filled)
        if node is TAKEN_OUT:
            if before is not None:
                found[path] = Difference(path, before, None)
        elif path[:2] in found and path[0] in OF_THINGS:
            whole = found[path[:2]].after
            assert isinstance(whole, dict)
            found[path[:2]] = Difference(path[:2], None, put_in(whole, path[2:], node))
        elif before is None or not means_the_same(path, before, node):
            found[path] = Difference(path, before, node)
    if more := _changes(filled):
        found["changes",] = more
    order = list(CASE)
    return sorted(found.values(), key=lambda d: order.index(d.path[0]))


def changed_things(tree: Mapping[str, Node], told: list[Difference]) -> dict[Path, Node | None]:
    """The whole things, and keys at the top of the case, that differ."""
    changed: dict[Path, Node | None] = {}
    for one in told:
        whole = one.path[: 2 if one.path[0] in OF_THINGS else 1]
        rest = one.path[len(whole) :]
        if not rest:
            changed[whole] = one.after
            continue
        there = changed.get(whole, at(tree, whole))
        changed[whole] = put_in(there if isinstance(there, dict) else {}, rest, one.after)
    return changed


def at(tree: Mapping[str, Node], path: Path) -> Node | None:
    node: Any = tree
    for part in path:
        node = node.get(part) if isinstance(node, Mapping) else None
    return node  # type: ignore[no-any-return]


def _routes(before: Node | None, rows: Node, filled: Filled) -> Node:
    """The routes that are there, with the minutes of those in the rows, and what is new behind them."""
    routes = [*before] if isinstance(before, list) else []
    ends = [_ends(route) for route in routes]
    for i, row in enumerate(rows if isinstance(rows, list) else [], 1):
        mark = filled.marks["travel_minutes", "routes", str(i)]
        if _ends(row) in ends:
            number = ends.index(_ends(row))
            routes[number] = {**routes[number], "minutes": row["minutes"]}  # type: ignore[dict-item,call-overload]
        else:
            number = len(routes)
            routes.append(row)
        filled.marks["travel_minutes", "routes", f"at {number + 1}"] = mark
    for i in range(1, len(routes) + 1):
        filled.marks.pop(("travel_minutes", "routes", str(i)), None)
        if mark_ := filled.marks.pop(("travel_minutes", "routes", f"at {i}"), None):
            filled.marks["travel_minutes", "routes", str(i)] = mark_
    return routes


def _ends(route: Node) -> frozenset[str]:
    between = route.get("between") if isinstance(route, dict) else None
    return frozenset(getattr(n, "text", "") for n in between) if isinstance(between, list) else frozenset()


def _changes(filled: Filled) -> Difference | None:
    before = filled.tree.get("changes")
    listed = [*before] if isinstance(before, list) else []
    there = len(listed)
    for i, row in enumerate(filled.new_rows, 1):
        if not any(same(row, one) for one in listed):
            listed.append(row)
            of_row = ("changes", f"row {i}")
            filled.marks |= {
                ("changes", str(len(listed)), *path[2:]): mark
                for path, mark in filled.marks.items()
                if path[:2] == of_row
            }
            filled.refused |= {
                ("changes", str(len(listed)), *path[2:]) for path in filled.refused if path[:2] == of_row
            }
    return Difference(("changes",), before, listed) if len(listed) > there else None
