"""A row with a new name that may be the new name of somebody whom no row speaks of: asked, not decided."""

from __future__ import annotations

import re
from dataclasses import replace

from genplan.casefile.domain_types import one_of
from genplan.evidence.sheet_faults import quoted
from genplan.findings import Severity, nearest
from genplan.language import _, said
from genplan.tables.filled import Filled
from genplan.tables.thing_rows import Rows
from genplan.tables.understood import Table

PEOPLE = ("learners", "adults")


def ask_of_new_names(table: Table, filled: Filled, rows: Rows) -> None:
    """A warning at each name that an id was made of and that is like the name of what has no row in any sheet."""
    section = table.kind.section
    there = filled.tree.get(section)
    spoken_of = {path[1] for path in filled.marks if len(path) == 2 and path[0] == section}
    called = filled.names.called[section]
    left = {i: called[i] for i in (there if isinstance(there, dict) else ()) if i not in spoken_of}
    made = set(filled.made)
    for row, path, cells in rows if left else ():
        if path not in made:
            continue
        column, name = cells["name"]
        if like := next((i for i, other in left.items() if _may_be(name, other, section)), ""):
            what = said("child" if section == "learners" else one_of(section))
            found = _(
                "{name}, which is new, and no row speaks of {old_name}",
                name=quoted(name),
                old_name=quoted(left[like]),
            )
            hint = _(
                "is it a new name for the same {what}? Then write {like} into the column id, else there are two",
                what=what,
                like=like,
            )
            asked = table.grid.finding(row, column, found, "", hint)
            filled.findings.append(replace(asked, severity=Severity.WARNING))


def _may_be(name: str, other: str, section: str) -> bool:
    """Whether one name may have become the other: `Room 2` is no new name for `Room 1`."""
    if re.findall(r"\d+", name) != re.findall(r"\d+", other):
        return False
    one, two = name.lower().split(), other.lower().split()
    is_of_one = section in PEOPLE and len(one[0]) > 1 and one[:1] == two[:1]
    return is_of_one or nearest(name.lower(), [other.lower()]) != ""
