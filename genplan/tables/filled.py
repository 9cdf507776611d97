"""What was read out of tables so far, and what is wrong in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from genplan.casefile.diagnostics import InvalidValue, Path, SourceLocation
from genplan.casefile.tree import Leaf, Node
from genplan.findings import Finding, Severity
from genplan.language import _
from genplan.tables.grids import Grid
from genplan.tables.meaning import means_the_same
from genplan.tables.naming import Names, NoneThere
from genplan.tables.sheets import THINGS
from genplan.tables.understood import MOST_FAULTS, Table

HYPHENS = ("-", "–", "—")
"""As programs put a longer one in its place."""
TAKEN_OUT = Leaf("-", False)
"""What a cell with a hyphen alone says: the key is not to be there any more."""


def stands(place: SourceLocation, beside: SourceLocation) -> str:
    """Where something stands, told at another place."""
    where = _("line {line}", line=place.line) if place.line else place.written[0]
    return where if place.file == beside.file else f"{place.file}: {where}"


def another_value(place: SourceLocation, first: SourceLocation) -> InvalidValue:
    found = _("another value than in {first}", first=stands(first, place))
    return InvalidValue(found, _("one value"), _("make them the same, or empty one of the two cells"))


@dataclass
class Filled:
    """`tree` is the case as it is. `values` are keys of a case by their path; `marks` say in which cell each was filled
    in, and of a thing in which row. `made` are ids that were made of names. `refused` are paths whose cells cannot be
    read. `new_rows` are changes that are added to the list. `results` is the sheet of them. `sheets` are the kinds of
    which rows were read. `lacking` are the sections of which there is nothing at all, and of which that was told.
    `own_allergens` are names in cells that no list has yet, `quoted_allergens` those in quotation marks; `said` is what
    else a new case got."""

    tree: Mapping[str, Node]
    names: Names
    values: dict[Path, Node] = field(default_factory=dict)
    marks: dict[Path, SourceLocation] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    refused: set[Path] = field(default_factory=set)
    made: list[Path] = field(default_factory=list)
    new_rows: list[dict[str, Node]] = field(default_factory=list)
    results: Table | None = None
    sheets: frozenset[str] = frozenset()
    lacking: set[str] = field(default_factory=set)
    own_allergens: dict[str, None] = field(default_factory=dict)
    quoted_allergens: set[str] = field(default_factory=set)
    said: list[str] = field(default_factory=list)

    @property
    def has_no_things(self) -> bool:
        """Whether a new case gets a set that is none, since no sheet is about things."""
        return not self.tree and THINGS.name not in self.sheets

    def put(self, path: Path, node: Node, grid: Grid, row: int, column: int) -> None:
        self.values[path] = node
        self.marks[path] = grid.place(row, column)

    def refuse(
        self, path: Path, problem: InvalidValue, grid: Grid, row: int, column: int, expected: str = ""
    ) -> None:
        self.refused.add(path)
        self.tell_problem(problem, grid, row, column, expected)

    def tell_problem(
        self, problem: InvalidValue, grid: Grid, row: int, column: int, expected: str = ""
    ) -> None:
        if isinstance(problem, NoneThere):
            if problem.section in self.lacking:
                return
            self.lacking.add(problem.section)
        self.tell(grid, row, column, problem.found, problem.expected or expected, problem.hint)

    def put_once(self, path: Path, node: Node, grid: Grid, row: int, column: int) -> None:
        """Several cells may say the same. Raises InvalidValue if another said something else."""
        if path not in self.values or path not in self.marks:
            self.put(path, node, grid, row, column)
        elif not means_the_same(path, self.values[path], node):
            raise another_value(grid.place(row, column), self.marks[path])

    def tell(self, grid: Grid, row: int, column: int, found: str, expected: str, hint: str = "") -> None:
        """Once of a cell, however many others ask for what it says."""
        finding = grid.finding(row, column, found, expected, hint)
        if len(self.findings) < MOST_FAULTS and finding not in self.findings:
            self.findings.append(finding)

    def warn(self, grid: Grid, row: int, column: int, found: str, hint: str) -> None:
        finding = replace(grid.finding(row, column, found, "", hint), severity=Severity.WARNING)
        if len(self.findings) < MOST_FAULTS:
            self.findings.append(finding)

    def tell_of_gap(self, table: Table, row: int, column: int, found: str, expected: str) -> None:
        """A cell that is empty; where a heading is not known that is told, and not each row once more."""
        if not table.partly:
            self.tell(table.grid, row, column, found, expected, _("fill it in"))
