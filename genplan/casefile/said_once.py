"""What a case says once -> the tree with it written out in each place, before anything is checked.

A thing's own keys go before those of the skill that it is like, these before the defaults of its section; lists are
replaced, and groups of known keys such as `limits` joined key by key. What is written out keeps the line, and in
findings the key, under which it stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from genplan.casefile.diagnostics import Diagnostics, Path
from genplan.casefile.domain_types import one_of
from genplan.casefile.keys import DEFAULTS, SECTIONS, SKILL
from genplan.casefile.record_types import Shape
from genplan.casefile.scalar_types import ID
from genplan.casefile.tree import MOST_NODES, Leaf, Node
from genplan.findings import nearest
from genplan.language import _, said

Tree = Mapping[str, Node]
Table = dict[str, Node]


class _TooMuch(Exception):
    """Written out, the case has more keys and values than one may have."""


@dataclass(frozen=True)
class SaidElsewhere:
    """Keys that a thing has from another place, such as ("skills", "zips")."""

    path: Path
    keys: Table


def written_out(tree: Tree, notes: Diagnostics) -> Table:
    """The tree with skills, defaults and groups written out. They stay in it for checks of their own; what a target is
    like is no key any more where that is known."""
    try:
        return _WritingOut(tree, notes).whole()
    except _TooMuch:
        found = _(
            "more than {most} keys and values once skills, defaults and groups are written out",
            most=MOST_NODES,
        )
        notes.error((), found, _("a case of a caseload at most"), _("look at what is said for how many"))
        return dict(tree)


def said_elsewhere(tree: Tree, section: str, record: Node | None) -> list[SaidElsewhere]:
    """Where else keys of a thing may be said, what goes first being first."""
    found = []
    like = record.get("like") if isinstance(record, dict) else None
    if section == "targets" and isinstance(like, Leaf):
        found.append(SaidElsewhere(("skills", like.text), _table(_table(tree.get("skills")).get(like.text))))
    found.append(SaidElsewhere(("defaults", section), _table(_table(tree.get("defaults")).get(section))))
    return [place for place in found if place.keys]


def with_what_is_said_elsewhere(tree: Tree, section: str, record: Node | None) -> Table:
    """A thing with the keys that it leaves out."""
    whole, shape = _table(record), SECTIONS[section].keys or {} if section in SECTIONS else {}
    for place in said_elsewhere(tree, section, record):
        whole = joined_keys(whole, place.keys, shape)
    return whole


def groups_of(tree: Tree) -> dict[str, list[str]]:
    """The ids that each group stands for, as far as they can be read."""
    return {
        name: [n.text for n in (members if isinstance(members, list) else [members]) if isinstance(n, Leaf)]
        for name, members in _table(tree.get("groups")).items()
    }


def _table(node: Node | None) -> Table:
    return node if isinstance(node, dict) else {}


def _known(keys: Table, shape: Shape) -> Table:
    """Without keys that nothing of the kind has: that is told where they stand, and not once more of each thing."""
    return {
        name: _known(value, below) if (below := shape[name].kind.keys) and isinstance(value, dict) else value
        for name, value in keys.items()
        if name in shape
    }


def joined_keys(own: Table, other: Table, shape: Shape) -> Table:
    """The keys of `own`, and those of `other` that it leaves out; groups of known keys are joined key by key."""
    joined = dict(own)
    for name, value in other.items():
        keys = shape[name].kind.keys if name in shape else None
        there = joined.get(name)
        if there is None:
            joined[name] = value
        elif keys and isinstance(there, dict) and isinstance(value, dict):
            joined[name] = joined_keys(there, value, keys)
    return joined


class _WritingOut:
    def __init__(self, tree: Tree, notes: Diagnostics) -> None:
        self.tree, self.notes, self.size = tree, notes, 0
        self.ids = {s: _table(tree.get(s)).keys() for s in SECTIONS}
        self.everything = {i for ids in self.ids.values() for i in ids}
        self.groups = groups_of(tree)

    def whole(self) -> Table:
        self._check_groups()
        tree = dict(self.tree)
        if self.groups:
            tree |= {s: self._all_grouped(tree[s], (s,), SECTIONS[s].keys) for s in SECTIONS if s in tree}
            if "skills" in tree:
                tree["skills"] = self._all_grouped(tree["skills"], ("skills",), SKILL)
            if isinstance(defaults := tree.get("defaults"), dict):
                tree["defaults"] = {
                    s: self._grouped(part, ("defaults", s), DEFAULTS[s]) if s in DEFAULTS else part
                    for s, part in defaults.items()
                }
        for section in SECTIONS:
            if isinstance(things := tree.get(section), dict):
                tree[section] = {i: self._completed(tree, section, i, r) for i, r in things.items()}
        return tree

    def _check_groups(self) -> None:
        for name, members in self.groups.items():
            if home := next((s for s, ids in self.ids.items() if name in ids), ""):
                found = _("'{name}', which is also the id of a thing under '{home}'", name=name, home=home)
                self.notes.error(("groups", name), found, _("a name of its own"), _("choose another name"))
            for i, member in enumerate(members, 1):
                if member in self.everything or not ID.fullmatch(member):
                    continue
                hint = nearest(member, self.everything) or _(
                    "add '{member}' to the case, or take it out here", member=member
                )
                if member in self.groups:
                    hint = _("write out the ids: a group does not hold another one")
                known = ", ".join(said(one_of(s)) for s in SECTIONS)
                path = self.notes.item(("groups", name), i)
                self.notes.error(
                    path,
                    _("the unknown id '{member}'", member=member),
                    _("the id of a thing of this case ({known})", known=known),
                    hint,
                )

    def _all_grouped(self, things: Node, path: Path, shape: Shape | None) -> Node:
        if not isinstance(things, dict):
            return things
        return {i: self._grouped(r, (*path, i), shape or {}) for i, r in things.items()}

    def _grouped(self, record: Node, path: Path, shape: Shape) -> Node:
        """The record with the ids of groups in place of their names."""
        if not isinstance(record, dict):
            return record
        return {
            k: self._ids(n, (*path, k)) if k in shape and shape[k].kind.many_ids else n
            for k, n in record.items()
        }

    def _ids(self, node: Node, path: Path) -> Node:
        items: list[Node] = node if isinstance(node, list) else [node]
        if not any(isinstance(n, Leaf) and n.text in self.groups for n in items):
            return node
        found: list[tuple[Node, Path]] = []
        for i, part in enumerate(items, 1):
            at = (*path, str(i)) if isinstance(node, list) else path
            there = {n.text for n, _at in found if isinstance(n, Leaf)}
            grouped = self._members(part)
            if grouped is not None:
                found += [(Leaf(member, True), at) for member in grouped if member not in there]
            elif not (isinstance(part, Leaf) and part.text in there and part.text in self._brought(items)):
                found.append((part, at))
            self._count(len(grouped or ()))
        marks = {
            (*path, str(i)): self.notes.mark(at)._replace(written=at)
            for i, (_part, at) in enumerate(found, 1)
        }
        self.notes.marks.update(marks)
        return [part for part, _at in found]

    def _members(self, node: Node) -> list[str] | None:
        """The ids of a group that is named, without those that nothing has: that is told of the group."""
        if not isinstance(node, Leaf) or node.text not in self.groups:
            return None
        members = self.groups[node.text]
        return [m for m in members if m in self.everything] or members

    def _brought(self, items: list[Node]) -> set[str]:
        return {m for part in items for m in self._members(part) or ()}

    def _completed(self, tree: Tree, section: str, id_: str, record: Node) -> Node:
        if not isinstance(record, dict) and not (isinstance(record, Leaf) and record.is_empty):
            return record
        path, shape = (section, id_), SECTIONS[section].keys or {}
        whole = dict(_table(record))
        for place in said_elsewhere(tree, section, record):
            whole = self._with(whole, path, _known(place.keys, shape), place.path, shape)
        if section == "targets" and isinstance(like := whole.get("like"), Leaf):
            known = _table(tree.get("skills"))
            if like.text in known:
                del whole["like"]
            elif ID.fullmatch(like.text):
                listed = ", ".join(known) if 0 < len(known) <= 12 else _("an id under 'skills'")
                hint = nearest(like.text, known) or _(
                    "add '{skill}' under 'skills', or take the line out", skill=like.text
                )
                found, expected = (
                    _("the unknown skill '{skill}'", skill=like.text),
                    _("a skill of this case ({listed})", listed=listed),
                )
                self.notes.error((*path, "like"), found, expected, hint)
        return whole or record

    def _with(self, own: Table, path: Path, other: Table, at: Path, shape: Shape) -> Table:
        """`joined_keys`, with the lines of what is taken over."""
        for name, value in other.items():
            keys, there = shape[name].kind.keys if name in shape else None, own.get(name)
            if there is None:
                self._take_over((*path, name), (*at, name), value)
            elif keys and isinstance(there, dict) and isinstance(value, dict):
                self._with(there, (*path, name), value, (*at, name), keys)
        return joined_keys(own, other, shape)

    def _take_over(self, path: Path, at: Path, node: Node) -> None:
        self._count(1)
        if mark := self.notes.marks.get(at):
            self.notes.marks[path] = mark if mark.written else mark._replace(written=at)
        parts = (
            _table(node) if not isinstance(node, list) else {str(i): part for i, part in enumerate(node, 1)}
        )
        for key, part in parts.items():
            self._take_over((*path, key), (*at, key), part)

    def _count(self, more: int) -> None:
        self.size += more
        if self.size > MOST_NODES:
            raise _TooMuch
