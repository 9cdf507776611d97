"""One id changed everywhere in the files of a case: where the table of keys says that ids stand, and nowhere else."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace

from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import sitting_id
from genplan.casefile.domain_types import SECTION_OF, WITH
from genplan.casefile.edit import BOM, readable_tree, saying
from genplan.casefile.keys import CASE
from genplan.casefile.patch import same
from genplan.casefile.privacy import How
from genplan.casefile.record_types import Key, Shape
from genplan.casefile.source_spans import source_spans
from genplan.casefile.tree import Leaf, Node
from genplan.language import _


@dataclass(frozen=True)
class Renaming:
    """`learners` are the ids of all children, of whom two may have one mark in the ids of sittings; `ambiguous`: a
    thing of another section has the old id, too."""

    section: str
    old: str
    new: str
    learners: Collection[str] = ()
    ambiguous: bool = False

    def id(self, section: str, text: str) -> str:
        return self.new if section == self.section and text == self.old else text

    def member(self, text: str) -> str:
        """Of a group, which may hold ids of any section: the one that is meant, unless another thing has the id too."""
        return self.new if text == self.old and not self.ambiguous else text

    def sitting(self, text: str) -> str:
        """The id of a sitting, in which the adult's own and a mark of the learner stand."""
        named = sitting_id(text)
        if named is None:
            return self.id("targets", text)
        adult, mark = self.id("adults", named.adult), named.mark
        alone = [i for i in self.learners if mark_of(i) == mark] == [self.old]
        if self.section == "learners" and alone:
            mark = mark_of(self.new)
        if (adult, mark) == (named.adult, named.mark):
            return text
        return replace(named, adult=adult, mark=mark).text


def renamed_file(file: str, data: bytes, renaming: Renaming) -> bytes:
    """A file of the case with the id changed; remarks and order stay. Raises CaseError for a file that cannot be read,
    FileError for one that is written in a way in which it cannot be changed."""
    tree = readable_tree(file, data)
    there = tree.root.get(renaming.section)
    if isinstance(there, dict) and renaming.old in there:
        data = _with_key(data, renaming)
        tree = readable_tree(file, data)
    wanted = _record(CASE, tree.root, renaming)
    assert isinstance(wanted, dict)
    return saying(file, data, tree, wanted, _("the id {old}", old=renaming.old))


def _with_key(data: bytes, renaming: Renaming) -> bytes:
    """The key of the thing itself, where it is in this file."""
    bom, text = BOM if data.startswith(BOM) else b"", data.removeprefix(BOM).decode("utf-8")
    spot = source_spans(text)
    section = next((e for e in spot.entries if e.key == renaming.section), None) if spot else None
    for entry in section.value.entries if section else ():
        if entry.key == renaming.old:
            return bom + f"{text[: entry.start]}{renaming.new}{text[entry.after :]}".encode()
    return data


def _record(keys: Shape, node: Node, renaming: Renaming) -> Node:
    if not isinstance(node, dict):
        return node
    return {k: _said(k, keys[k], part, renaming) if k in keys else part for k, part in node.items()}


def _said(name: str, key: Key, node: Node, renaming: Renaming) -> Node:
    """What is said once for several things is in no copy without names, so the table does not say what it holds."""
    keys = key.kind.keys or {}
    if key.copy.how is not How.OUT or not isinstance(node, dict):
        return _value(key, node, renaming)
    match name:
        case "groups":
            return {group: _leaves(part, renaming.member) for group, part in node.items()}
        case "skills":
            return {skill: _record(keys, part, renaming) for skill, part in node.items()}
    found: dict[str, Node] = {}
    for part, held in node.items():
        inner = keys[part].kind.keys if part in keys else None
        found[part] = _record(inner or {}, held, renaming)
    return found


def _value(key: Key, node: Node, renaming: Renaming) -> Node:
    how, of = key.copy.how, key.copy.of
    match how:
        case How.IDS if renaming.section in of:
            return _leaves(node, lambda text: renaming.id(renaming.section, text))
        case How.SITTINGS:
            return _leaves(node, renaming.sitting)
        case How.PATTERNS:
            return _patterns(node, renaming)
        case How.COUNTS if isinstance(node, dict) and WITH in node:
            return {**node, WITH: _patterns(node[WITH], renaming)}
        case How.GROUP | How.GROUPS_MIXED:
            return _each(node, lambda part: _record(key.kind.keys or {}, part, renaming))
        case How.SECTION if isinstance(node, dict):
            return {id_: _record(key.kind.keys or {}, part, renaming) for id_, part in node.items()}
    return node


def _patterns(node: Node, renaming: Renaming) -> Node:
    """Values that go together: each under the name of its dimension."""

    def one(part: Node) -> Node:
        if not isinstance(part, dict):
            return part
        return {name: _of_dimension(name, value, renaming) for name, value in part.items()}

    return _each(node, one)


def _of_dimension(name: str, node: Node, renaming: Renaming) -> Node:
    return _leaves(node, lambda text: renaming.id(SECTION_OF.get(name, ""), text))


def _each(node: Node, change: Callable[[Node], Node]) -> Node:
    return [change(part) for part in node] if isinstance(node, list) else change(node)


def _leaves(node: Node, change: Callable[[str], str]) -> Node:
    def one(part: Node) -> Node:
        return part._replace(text=change(part.text)) if isinstance(part, Leaf) else part

    return _each(node, one)


def _mentions(node: Node, text: str) -> bool:
    """Whether the text stands in any value of it: most things name few others."""
    if isinstance(node, Leaf):
        return text in node.text
    return any(_mentions(part, text) for part in (node.values() if isinstance(node, dict) else node))


def used_by(tree: Mapping[str, Node], section: str, id_: str) -> tuple[tuple[str, str], ...]:
    """What names a thing: section and id, or a key at the top of the case and nothing."""
    renaming = Renaming(section, id_, f"{id_}-")
    found: list[tuple[str, str]] = []
    for top, node in tree.items():
        key = CASE.get(top)
        if key is None:
            continue
        if key.copy.how is How.SECTION and isinstance(node, dict):
            may_be = {thing: part for thing, part in node.items() if _mentions(part, id_)}
            fresh = _value(key, may_be, renaming)
            assert isinstance(fresh, dict)
            found += [(top, thing) for thing, part in may_be.items() if not same(part, fresh[thing])]
        elif not same(node, _said(top, key, node, renaming)):
            found.append((top, ""))
    return tuple(found)
