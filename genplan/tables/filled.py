"""What was read out of tables so far, and what is wrong in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from genplan.casefile.diagnostics import InvalidValue, Path, SourceLocation
from genplan.casefile.tree import Leaf, Node
from genplan.findings import Finding
from genplan.language import _
from genplan.tables.grids import MOST_FAULTS, Grid, Table
from genplan.tables.naming import Names

TAKEN_OUT = Leaf("-", False)
"""What a cell with a hyphen alone says: the key is not to be there any more."""


@dataclass
class Filled:
    """`tree` is the case as it is. `values` are keys of a case by their path; `marks` say in which cell each was filled
    in, and of a thing in which row. `made` are ids that were made of names. `refused` are paths whose cells cannot be
    read. `new_rows` are changes that are added to the list. `results` is the sheet of them."""

    tree: Mapping[str, Node]
    names: Names
    values: dict[Path, Node] = field(default_factory=dict)
    marks: dict[Path, SourceLocation] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    refused: set[Path] = field(default_factory=set)
    made: list[Path] = field(default_factory=list)
    new_rows: list[dict[str, Node]] = field(default_factory=list)
    results: Table | None = None

    def put(self, path: Path, node: Node, grid: Grid, row: int, column: int) -> None:
        self.values[path] = node
        self.marks[path] = grid.place(row, column)

    def refuse(
        self, path: Path, problem: InvalidValue, grid: Grid, row: int, column: int, expected: str = ""
    ) -> None:
        self.refused.add(path)
        self.tell(grid, row, column, problem.found, problem.expected or expected, problem.hint)

    def tell(self, grid: Grid, row: int, column: int, found: str, expected: str, hint: str = "") -> None:
        if len(self.findings) < MOST_FAULTS:
            self.findings.append(grid.finding(row, column, found, expected, hint))

    def tell_of_gap(self, table: Table, row: int, column: int, found: str, expected: str) -> None:
        """A cell that is empty; where a heading is not known that is told, and not each row once more."""
        if not table.partly:
            self.tell(table.grid, row, column, found, expected, _("fill it in"))
