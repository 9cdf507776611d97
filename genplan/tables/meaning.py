"""The key at a path of a case, and whether two values of it mean the same."""

from __future__ import annotations

from genplan.casefile.diagnostics import Diagnostics, Path
from genplan.casefile.keys import CASE, SECTIONS
from genplan.casefile.patch import same
from genplan.casefile.record_types import Key
from genplan.casefile.scalar_types import MISSING
from genplan.casefile.tree import Node

OF_THINGS = (*SECTIONS, "skills")


def means_the_same(path: Path, one: Node, other: Node) -> bool:
    """Whether two values are read as one value, however they are written."""
    if same(one, other):
        return True
    key = key_at(path)
    if key is None:
        return False
    values = [key.kind.read(node, (), Diagnostics("")) for node in (one, other)]
    return MISSING not in values and values[0] == values[1]


def key_at(path: Path) -> Key | None:
    """What is known of the key at a path."""
    keys, key = CASE, None
    parts = (path[0], *path[2:]) if path[0] in OF_THINGS else path
    for part in parts:
        key = (keys or {}).get(part)
        keys = (key.kind.keys or {}) if key else {}
    return key
