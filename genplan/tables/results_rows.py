"""The sheet of results -> rows for results.csv."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import lru_cache

from genplan.case import Case
from genplan.case.targets import ADULT, MATERIAL_SET
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.domain_types import SECTION_OF
from genplan.errors import CaseError
from genplan.evidence.filled_sheet import FilledSheet, rows_of_filled
from genplan.evidence.formula_cells import escape_formula
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.results import NEEDED, OPTIONAL, columns_of
from genplan.evidence.sheet_faults import quoted
from genplan.evidence.taken_back import TAKEN_BACK
from genplan.findings import Finding, Severity, nearest_word
from genplan.language import _, pgettext
from genplan.start.case_text import NOTHING
from genplan.tables.filled import Filled
from genplan.tables.headings import apart_in_every_language, plain
from genplan.tables.naming import NoneThere
from genplan.tables.sheets import OF_CHILD, RESULTS
from genplan.tables.skill_rows import learner_of
from genplan.tables.thing_rows import Cells
from genplan.tables.understood import Table

WITH = (ADULT, MATERIAL_SET)
IDS = {**SECTION_OF, "target": "targets", OF_CHILD.heading: "learners"}


def with_headings_meant(table: Table, filled: Filled) -> Table:
    """A heading that is nearly one of a column that every sheet needs is told, and read as that: else what is wrong in
    its cells, and in all others, would be told in the next round."""
    table = _with_whom_or_what(table, filled)
    missing = {name for name in NEEDED if name not in _headings(table)}
    known = [column.heading for column in (*RESULTS.columns, *RESULTS.read_too)]
    meant: dict[str, str] = {}
    for number, column in table.columns.items():
        near = "" if column.heading in known else nearest_word(plain(column.heading), missing)
        if near and near not in meant.values():
            meant[column.heading] = near
            found = _("the unknown heading {heading}", heading=quoted(column.heading))
            hint = _("did you mean '{word}'?", word=near)
            filled.tell(
                table.grid,
                table.headings,
                number,
                found,
                _("one of {headings}", headings=", ".join(known)),
                hint,
            )
    return _headed(table, meant)


def _with_whom_or_what(table: Table, filled: Filled) -> Table:
    """`learned with` stands above adults or above things: what its cells name decides, or which of the two has no
    column."""
    meant: dict[str, str] = {}
    for column in table.columns.values():
        lacking = [name for name in WITH if name not in (*_headings(table), *meant.values())]
        if plain(column.heading) not in _words_for_either() or not lacking:
            continue
        texts = {_text(cells, column.heading) for _, cells in table.rows if column.heading in cells}
        named = [n for n in lacking if texts and all(filled.names.is_known(SECTION_OF[n], t) for t in texts)]
        if len(named or lacking) == 1:
            meant[column.heading] = (named or lacking)[0]
    return _headed(table, meant)


@lru_cache
def _words_for_either() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext(
            "headings of columns, apart by commas",
            "learned with, learnt with, taught with, run with, done with",
        )
    )


def _headed(table: Table, meant: Mapping[str, str]) -> Table:
    """The table with other headings."""
    if not meant:
        return table
    columns = {n: replace(c, heading=meant.get(c.heading, c.heading)) for n, c in table.columns.items()}
    rows = ((row, {meant.get(h, h): cell for h, cell in cells.items()}) for row, cells in table.rows)
    return replace(table, columns=columns, rows=tuple(rows))


def rows_of_results(table: Table, filled: Filled, case: Case, log: Log, today: date) -> FilledSheet:
    """Rows that results.csv has not got. Raises CaseError with every row that cannot be read, by its cell."""
    found, wrong = _read(table, filled, case, log, today)
    if wrong or found is None:
        raise CaseError(wrong)
    told = _without_kind(table) if "kind" in _assumed(table, filled) else ()
    return replace(found, warnings=(*told, *(_in_cell(table, f) for f in found.warnings)))


def faults_of_results(table: Table, filled: Filled, case: Case | None, today: date) -> list[Finding]:
    """What is wrong with its rows, to be told with what else is wrong in the tables; of a case that cannot be made yet
    as far as the tables themselves say it."""
    return _read(table, filled, case, Log.of(()), today)[1]


def _read(
    table: Table, filled: Filled, case: Case | None, log: Log, today: date
) -> tuple[FilledSheet | None, list[Finding]]:
    """The rows, or what is wrong with them, by the cell; of a cell with a name in it what is wrong with the name."""
    of_names = _about_names(table, filled)
    told = {(f.file, f.line, f.key) for f in of_names}
    try:
        found = rows_of_filled(
            table.grid.file, _as_text(table, filled, _assumed(table, filled)), case, log, today
        )
    except CaseError as problem:
        others = (_in_cell(table, f) for f in problem.findings)
        return None, [*of_names, *(f for f in others if (f.file, f.line, f.key) not in told)]
    return found, of_names


def _about_names(table: Table, filled: Filled) -> list[Finding]:
    """But for what is told already: that there is nothing at all of a kind."""
    found: list[Finding] = []
    for row, cells in table.rows:
        if "kind" in cells and _text(cells, "kind").startswith(TAKEN_BACK):
            continue  # it counts for nothing, and is kept as it is
        wrong_child = False
        for heading in sorted(cells, key=lambda heading: heading != OF_CHILD.heading):
            column, text = cells[heading]
            try:
                if heading == "target" and wrong_child:
                    if not filled.names.is_known("targets", text):
                        filled.names.id_of("targets", text)
                elif heading == "target":
                    _target(cells, filled)
                elif heading in IDS:
                    filled.names.id_of(IDS[heading], text)
            except InvalidValue as problem:
                wrong_child = wrong_child or heading == OF_CHILD.heading
                if not (isinstance(problem, NoneThere) and problem.section in filled.lacking):
                    found.append(
                        table.grid.finding(row, column, problem.found, problem.expected, problem.hint)
                    )
    return found


def _assumed(table: Table, filled: Filled) -> dict[str, str]:
    """What a sheet without these columns says of each row."""
    assumed = {"kind": ResultKind.PROBE.value} | ({"material_set": NOTHING} if filled.has_no_things else {})
    return {name: text for name, text in assumed.items() if name not in _headings(table)}


def _headings(table: Table) -> list[str]:
    return [column.heading for column in table.columns.values() if column is not OF_CHILD]


def _without_kind(table: Table) -> tuple[Finding, ...]:
    found = _("no column 'kind', so each row is read as a probe")
    hint = _("where some are of teaching or were not run, add the column")
    first = table.grid.finding(table.headings, min(table.columns, default=0), found, "", hint)
    return (replace(first, severity=Severity.WARNING),)


def _as_text(table: Table, filled: Filled, assumed: Mapping[str, str]) -> bytes:
    """The rows as CSV in which line n is row n of the sheet."""
    headings = _headings(table)
    lines = {table.headings: [*headings, *assumed]}
    for row, cells in table.rows:
        told = [_cell(h, cells, filled) if h in cells else "" for h in headings]
        lines[row] = [*told, *assumed.values()]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for number in range(1, max(lines) + 1):
        if number in lines:
            writer.writerow(lines[number])
        else:
            out.write("\n")
    return out.getvalue().encode("utf-8", "replace")


def _cell(heading: str, cells: Cells, filled: Filled) -> str:
    """Ids in place of names; what no row has is told by the reader of results."""
    text = _text(cells, heading)
    if heading in IDS:
        try:
            return _target(cells, filled) if heading == "target" else filled.names.id_of(IDS[heading], text)
        except InvalidValue:
            return text
    return escape_formula(text)


def _text(cells: Cells, heading: str) -> str:
    """On one line, as results.csv holds it."""
    return " ".join(cells[heading][1].split())


def _target(cells: Cells, filled: Filled) -> str:
    """The one of the child that the row names, where it names one. Raises InvalidValue."""
    text = _text(cells, "target")
    if OF_CHILD.heading not in cells:
        return filled.names.id_of("targets", text)
    child = filled.names.id_of("learners", _text(cells, OF_CHILD.heading))
    called = [text] if text in filled.names.called["targets"] else filled.names.ids_called("targets", text)
    own = [target for target in called if learner_of(filled, target) == child]
    if called and not own:
        raise InvalidValue(
            _(
                "{skill}, which {child} has not",
                skill=quoted(text),
                child=filled.names.called["learners"][child],
            ),
            _("a skill of that child"),
            _("mend one of the two, or add a row for it to the sheet of skills"),
        )
    return own[0] if len(own) == 1 else filled.names.id_of("targets", text)


def _in_cell(table: Table, finding: Finding) -> Finding:
    columns = [number for number, c in table.columns.items() if c.heading == finding.key]
    if not finding.line:
        return finding
    column = columns[0] if columns else min(table.columns, default=0)
    place = table.grid.place(finding.line, column)
    return replace(finding, file=place.file, line=place.line, key=place.written[0])


def text_of_results(case: Case, rows: FilledSheet | None) -> bytes:
    """A results.csv that holds these rows."""
    held = rows.rows if rows else ()
    columns = [c for c in columns_of(case) if c not in OPTIONAL or any(row.get(c) for row in held)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([escape_formula(row.get(c, "")) for c in columns] for row in held)
    return out.getvalue().encode("utf-8")
