"""Filled tables -> keys of a case, each with the cell that it stands in, and everything that is wrong with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain
from pathlib import Path as FilePath

from genplan.casefile.tree import Node
from genplan.findings import Finding
from genplan.language import _, and_list
from genplan.tables.allergen_cells import add_own_allergens
from genplan.tables.filled import Filled
from genplan.tables.grids import read_grids
from genplan.tables.hours_at_most import read_hours_at_most
from genplan.tables.hours_rows import HoursSoFar
from genplan.tables.mastered_cells import read_not_yet
from genplan.tables.naming import Names
from genplan.tables.new_names import ask_of_new_names
from genplan.tables.other_rows import groups_in, read_changes, read_the_case
from genplan.tables.results_rows import with_headings_meant
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
from genplan.tables.sums import without_sums
from genplan.tables.taught_columns import read_taught
from genplan.tables.thing_rows import read_cells, thing_of_each_row
from genplan.tables.understood import tables_of
from genplan.tables.ways_rows import read_ways
from genplan.tables.without_things import add_nothing, tried_with_all


def read_tables(paths: Sequence[FilePath], tree: Mapping[str, Node]) -> Filled:
    """`tree` is the case as it is, empty for a new one: its names and ids count. Raises FileError, UsageError."""
    grids, findings = read_grids(paths)
    tables, wrong = tables_of(grids)
    kinds = frozenset(table.kind.name for table in tables if table.rows)
    names = Names.of(tree)
    names.sheets = {table.kind.name: table.grid.name for table in reversed(tables)}
    filled = Filled(tree, names, findings=findings + wrong, sheets=kinds)
    if not tables and not filled.findings:
        known = ", ".join(kind.name for kind in SHEETS)
        found, hint = (
            _("nothing that is filled in"),
            _("'genplan tables empty' makes a workbook with the headings"),
        )
        filled.findings.append(
            Finding(
                and_list([p.name for p in paths]),
                *(0, "", found),
                _("a sheet such as {names}", names=known),
                hint,
            )
        )
    there = {kind.name: [table for table in tables if table.kind is kind] for kind in SHEETS}
    for table in there[THE_CASE.name]:
        filled.names.groups |= groups_in(table)
    of_things = chain.from_iterable(there[kind.name] for kind in (CHILDREN, ADULTS, PLACES, THINGS))
    rows = [(table, thing_of_each_row(table, filled)) for table in of_things]
    for table, listed in rows:
        ask_of_new_names(table, filled, listed)
    for kind in (SKILLS, HOURS, RESULTS):
        there[kind.name] = [without_sums(table, filled) for table in there[kind.name]]
    skills = [(table, skill_rows(table, filled)) for table in there[SKILLS.name]]
    add_nothing(filled, skills)
    rows += skills
    read_the_case(there[THE_CASE.name], filled)
    hours = HoursSoFar(filled)
    for table, listed in rows:
        read_cells(table, filled, listed)
        read_not_yet(table, filled, listed)
        hours.read_column(table, listed)
        read_taught(table, filled, listed)
        read_hours_at_most(table, filled, listed)
    add_own_allergens(filled)
    for table in there[HOURS.name]:
        hours.read_sheet(table)
    hours.finish()
    read_ways(there[WAYS.name], filled)
    for table in there[CHANGES.name]:
        read_changes(table, filled)
    filled.said += tried_with_all(filled, skills)
    filled.results = next((with_headings_meant(table, filled) for table in there[RESULTS.name]), None)
    return filled
