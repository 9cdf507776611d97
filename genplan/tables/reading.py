"""Filled tables -> keys of a case, each with the cell that it stands in, and everything that is wrong with them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath

from genplan.casefile.tree import Node
from genplan.findings import Finding
from genplan.language import _
from genplan.tables.filled import Filled
from genplan.tables.grids import read_grids, tables_of
from genplan.tables.hours_rows import HoursSoFar
from genplan.tables.naming import Names
from genplan.tables.new_names import ask_of_new_names
from genplan.tables.other_rows import groups_in, read_changes, read_the_case, read_ways
from genplan.tables.sheets import (
    ADULTS,
    CHANGES,
    CHILDREN,
    HOURS,
    PLACES,
    RESULTS,
    SHEETS,
    SKILLS,
    THE_CASE,
    THINGS,
    WAYS,
)
from genplan.tables.skill_rows import skill_rows
from genplan.tables.thing_rows import read_cells, thing_of_each_row


def read_tables(path: FilePath, tree: Mapping[str, Node]) -> Filled:
    """`tree` is the case as it is, empty for a new one: its names and ids count. Raises FileError, UsageError."""
    grids, findings = read_grids(path)
    tables, wrong = tables_of(grids)
    filled = Filled(tree, Names.of(tree), findings=findings + wrong)
    if not tables and not filled.findings:
        names = ", ".join(kind.name for kind in SHEETS)
        found, hint = (
            _("nothing that is filled in"),
            _("'genplan tables empty' makes a workbook with the headings"),
        )
        filled.findings.append(
            Finding(path.name, 0, "", found, _("a sheet such as {names}", names=names), hint)
        )
    there = {table.kind.name: table for table in tables}
    if case := there.get(THE_CASE.name):
        filled.names.groups |= groups_in(case)
    of_things = [there[kind.name] for kind in (CHILDREN, ADULTS, PLACES, THINGS) if kind.name in there]
    rows = [(table, thing_of_each_row(table, filled)) for table in of_things]
    for table, listed in rows:
        ask_of_new_names(table, filled, listed)
    if skills := there.get(SKILLS.name):
        rows.append((skills, skill_rows(skills, filled)))
    if case:
        read_the_case(case, filled)
    hours = HoursSoFar(filled)
    for table, listed in rows:
        read_cells(table, filled, listed)
        hours.read_column(table, listed)
    if sheet := there.get(HOURS.name):
        hours.read_sheet(sheet)
    hours.finish()
    if sheet := there.get(WAYS.name):
        read_ways(sheet, filled)
    if sheet := there.get(CHANGES.name):
        read_changes(sheet, filled)
    filled.results = there.get(RESULTS.name)
    return filled
