"""Names in a filled sheet of results -> ids, as tables take them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.delimited_text import Row
from genplan.tables.naming import Names
from genplan.tables.sheets import OF_CHILD

_SECTIONS = {OF_CHILD.heading: "learners", **SECTION_OF, "target": "targets"}


def ids_for_names(tree: Mapping[str, Node]) -> Callable[[Row], Row]:
    """`tree` is the case. Of a skill that several children have the one of the child that the row names is meant. What
    no name stands for, or several do, stays as it is: the reader of the rows tells of it."""
    names = Names.of(tree)

    def with_ids(row: Row) -> Row:
        cells = dict(row.cells)
        for heading, section in _SECTIONS.items():
            text = " ".join(cells.get(heading, "").split())
            if text and text not in names.called[section]:
                found = names.ids_meant(section, text)
                if heading == "target" and len(found) > 1:
                    found = [i for i in found if _learner(tree, i) == cells.get(OF_CHILD.heading)]
                cells[heading] = found[0] if len(found) == 1 else cells[heading]
        return replace(row, cells=cells)

    return with_ids


def _learner(tree: Mapping[str, Node], target: str) -> str:
    targets = tree.get("targets")
    record = targets.get(target) if isinstance(targets, dict) else None
    learner = record.get("learner") if isinstance(record, dict) else None
    return learner.text if isinstance(learner, Leaf) else ""
