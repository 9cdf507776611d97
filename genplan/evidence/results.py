"""results.csv -> the log, with every problem found at once.

A row that cannot be read is an error with its line, never dropped in silence.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from itertools import chain
from operator import attrgetter
from pathlib import Path

from genplan.case import Case, Combination, Target
from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.cycles import no_search_for_cycles
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.invisible_characters import alike
from genplan.casefile.near_ids import ids_called, which_of
from genplan.casefile.scalar_types import lookalike_hint
from genplan.errors import unreadable
from genplan.evidence.delimited_text import Row, Sheet, read_sheet
from genplan.evidence.faultless_rows import FaultlessRows
from genplan.evidence.log import Log, Result
from genplan.evidence.marks import MARKS
from genplan.evidence.moments import day_of, is_year_first
from genplan.evidence.observer_names import one_name_each
from genplan.evidence.procedure import STEPS_KEPT
from genplan.evidence.row_by_itself import ReaderOfCells
from genplan.evidence.row_warnings import row_warnings, rows_ahead
from genplan.evidence.sheet_faults import MOST_FAULTS, quoted, read_as, too_many
from genplan.evidence.taken_back import apart
from genplan.files import read_file
from genplan.findings import Finding, Severity, nearest, told_once
from genplan.language import N_, Speech, _, said, speech

FILE_NAME = "results.csv"
MOST_BYTES = 20_000_000
COLUMNS = (
    "date",
    "time",
    "target",
    "kind",
    *BASE_DIMENSIONS,
    "trials",
    "correct",
    "prompted",
    "observer",
    "observer_correct",
    "note",
)
OPTIONAL = (*MARKS, STEPS_KEPT)
"""Columns that a file has only once one of its rows says something in them: at its end."""
NEEDED = ("date", "target", "kind", *BASE_DIMENSIONS, "trials", "correct")
FEW = 8
"""Up to so many ids are all named where none is spelt like what was typed."""
ADD_IT = N_("correct the row, or add the value to the case")
STAYS = {
    "target": N_(
        "correct the row; a target that is over stays in the case "
        "with 'state: paused', so that its rows are read"
    ),
    "adult": N_("correct the row; who does not come any more stays in the case, without hours"),
    "location": N_("correct the row; a place of the past stays in the case, and no target names it"),
    "material_set": N_("correct the row; a set of the past stays in the case, and no target names it"),
}
"""What to do where nothing is spelt like it: mostly it was taken out of the case after it had been recorded."""


def columns_of(case: Case) -> tuple[str, ...]:
    """The columns a results file of this case may have, in the order in which a new file gets them."""
    return (*COLUMNS, *_extra_of(case), *OPTIONAL)


def _extra_of(case: Case) -> dict[str, None]:
    return dict.fromkeys(d.name for t in case.targets.values() for d in t.extra_dimensions)


def read_results(folder: Path, case: Case, now: datetime | None = None) -> tuple[Log, tuple[Finding, ...]]:
    """The log of a case folder and what is wrong or odd in its results file; no file is an empty log.

    The log holds every row that could be read, whether or not others could not. `now` (aware, or naive in
    the case's zone) lets later rows be warned of. Raises FileError if the file cannot be opened."""
    path = folder / FILE_NAME
    try:
        data = read_file(path, MOST_BYTES)
    except FileNotFoundError:
        return Log(), ()
    except OSError as error:
        raise unreadable(path, error) from error
    _sheet, log, findings = parse_results(data, case, now)
    return log, told_once(findings)


def parse_results(
    data: bytes, case: Case, now: datetime | None = None
) -> tuple[Sheet, Log, tuple[Finding, ...]]:
    """The same for the bytes of a file, with its form."""
    with no_search_for_cycles():
        sheet, log, found = _read_once(data, case)
        found = [*found, *rows_ahead(FILE_NAME, case, log.results, now)]
    return sheet, log, tuple(sorted(found, key=lambda f: (f.line, f.severity, f.key)))


_last: tuple[bytes, Case, Speech, tuple[Sheet, Log, list[Finding]]] | None = None


def _read_once(data: bytes, case: Case) -> tuple[Sheet, Log, list[Finding]]:
    """What was read last is kept: a row is added to what was just read, and a page asks for the same rows again and
    again. Held against the bytes themselves, the whole case and the language of what is said, it cannot be out of
    date."""
    global _last
    last = _last
    if last is None or (last[0], last[1], last[2]) != (data, case, speech()):
        sheet, log, found = _parsed(data, case)
        if last is not None and last[3][1] == log:
            log = last[3][
                1
            ]  # what was asked of its targets is known; only that of a target that changed is asked anew
        last = _last = data, case, speech(), (sheet, log, found)
    return last[3]


def _parsed(data: bytes, case: Case) -> tuple[Sheet, Log, list[Finding]]:
    sheet, findings = read_sheet(FILE_NAME, data, columns_of(case), NEEDED)
    counting, away = apart(sheet)
    reader = _RowReader(FILE_NAME, findings, case)
    results = one_name_each(case, reader.results(counting))
    findings += _about_times(results, reader.odd_times) + about_dates(FILE_NAME, counting)
    findings += row_warnings(FILE_NAME, case, results)
    taken_back, unread, told = _taken_back(case, away)
    return sheet, Log.of(results, taken_back, unread), [*findings, *told]


def _taken_back(case: Case, sheet: Sheet) -> tuple[list[Result], list[Row], list[Finding]]:
    """Rows that count for nothing, and those of them that cannot be read: what is wrong with them is in nobody's way,
    and is told."""
    reader = _RowReader(FILE_NAME, [], case)
    results = reader.results(sheet)
    found = [*reader.findings, *(finding for _result, finding in reader.odd_times)]
    if not found:
        return results, [], []
    hint = _("the row was taken back and counts for nothing")
    read = {r.line for r in results}
    return (
        results,
        [row for row in sheet.rows if row.line not in read],
        [replace(f, hint="; ".join(filter(None, (hint, f.hint))), severity=Severity.WARNING) for f in found],
    )


def _about_times(results: list[Result], odd: list[tuple[Result, Finding]]) -> list[Finding]:
    """A row whose time cannot be read counts by its day, unless another row of the same combination on that day makes
    it matter which came first: then it is an error."""
    of_a_day = Counter((r.date, r.target, r.combination) for r in results) if odd else Counter()
    found = []
    for result, finding in odd:
        if of_a_day[result.date, result.target, result.combination] > 1:
            hint = _("another row of that day has this combination, and which came first decides")
            found.append(replace(finding, hint=hint))
        else:
            found.append(
                replace(finding, hint=_("the row counts without its time"), severity=Severity.WARNING)
            )
    return found


def about_dates(file: str, sheet: Sheet, key: str = "date") -> list[Finding]:
    """One warning for all dates in a column that are not year first and can be read all the same."""
    written = sheet.column(key)
    odd = {cell: text for cell in set(written) if not is_year_first(text := cell.partition(" ")[0])}
    other: list[tuple[int, str, date]] = []
    for line, cell in zip(sheet.lines, written, strict=True) if odd else ():
        if text := odd.get(cell, ""):
            with suppress(InvalidValue):
                other.append((line, text, day_of(text)))
    return [read_as(file, key, other)] if other else []


def read_row(case: Case, row: Row) -> tuple[Result | None, list[Finding]]:
    """One row on its own: the value, or None with what is wrong. A column that is needed and not there is empty."""
    row = replace(row, cells={**dict.fromkeys(NEEDED, ""), **row.cells})
    reader = _RowReader(FILE_NAME, [], case)
    result = reader.result(row)
    if reader.odd_time:
        return None, sorted([*reader.findings, reader.odd_time])
    return result, reader.findings


def _proposal(text: str, known: Iterable[str]) -> str:
    """A hint at what an unknown value may stand for: by its name, in other capitals, or nearly."""
    by_form = {alike(k): k for k in known}
    if alike(text) not in by_form and isinstance(known, Mapping):
        called = ids_called(text, {id_: str(getattr(thing, "name", id_)) for id_, thing in known.items()})
        if len(called) > 1:
            return which_of(called, {i: t.learner for i, t in known.items() if isinstance(t, Target)})
        by_form |= {alike(text): id_ for id_ in called}
    meant = by_form.get(alike(text))
    return _("did you mean '{word}'?", word=meant) if meant else nearest(text, known) or lookalike_hint(text)


@dataclass
class _RowReader(ReaderOfCells):
    """Of rows that speak of what the case has."""

    case: Case
    hints: dict[tuple[str, str], str] = field(default_factory=dict)
    """What was proposed for an unknown value of a column: looked for once, however many rows have it."""
    known: dict[str, Mapping[str, Collection[str]]] = field(default_factory=dict)
    """What a target's columns may hold, for all rows."""
    odd_times: list[tuple[Result, Finding]] = field(default_factory=list)

    @cached_property
    def extra(self) -> frozenset[str]:
        return frozenset(_extra_of(self.case))

    def results(self, sheet: Sheet) -> list[Result]:
        """The rows that can be read, until there are too many faults."""
        faultless = FaultlessRows(sheet, self.case.targets, self._known, sorted(self.extra))
        singly: list[Result] = []
        end = len(sheet.lines)
        for at in chain([-1], faultless.others):
            if at >= 0 and (result := self.result(sheet.row(at))):
                singly.append(result)
                if self.odd_time:
                    self.odd_times.append((result, self.odd_time))
            if len(self.findings) >= MOST_FAULTS and at + 1 < end:
                end = at + 1
                self.findings.append(too_many(FILE_NAME, sheet.lines[end]))
                break
        read = [*faultless.results(end), *singly]
        return sorted(read, key=attrgetter("line")) if singly else read

    def result(self, row: Row) -> Result | None:
        """The row as a value, or None if anything in it is an error."""
        before = len(self.findings)
        day, moment, kind, counted = self.by_itself(row)
        target = self._target()
        combination = self._combination(target) if target else None
        if len(self.findings) > before or not (day and kind and target and combination):
            return None
        cell = row.cells.get
        return Result(
            line=row.line,
            date=day,
            time=moment,
            target=target.id,
            kind=kind,
            combination=combination,
            observer=cell("observer", ""),
            note=cell("note", ""),
            planned=False,
            **counted,
        )

    def _target(self) -> Target | None:
        text = self.row.cells["target"]
        target = self.case.targets.get(text)
        if target is None:
            self._unknown("target", text, self.case.targets, _("a target of the case"))
        return target

    def _combination(self, target: Target) -> Combination | None:
        """None if a value is unknown; a person, place or set that the target does not vary is let through."""
        known = self._known(target)
        told = tuple(self.row.cells.get(name, "") for name in target.dimension_names)
        faults = len(self.findings)
        for name, values in known.items():
            text = self.row.cells.get(name, "")
            if text not in values:
                expected = _("one that the case names")
                if name not in BASE_DIMENSIONS:
                    expected = _("one that the target '{target}' names", target=target.id)
                self._unknown(name, text, values, expected)
        for name, text in self.row.cells.items():
            if text and name in self.extra and name not in known:
                hint = _("empty the cell, or let '{target}' vary {name} again", target=target.id, name=name)
                expected = _("an empty cell: '{target}' does not vary {name}", target=target.id, name=name)
                self.complain(name, _("found {text}", text=quoted(text)), expected, hint)
        if len(self.findings) > faults:
            return None
        return told

    def _known(self, target: Target) -> Mapping[str, Collection[str]]:
        """What may stand in the columns of the target's dimensions."""
        if target.id not in self.known:
            known: dict[str, Collection[str]] = {d.name: d.values for d in target.dimensions}
            of_case = (self.case.adults, self.case.locations, self.case.material_sets)
            self.known[target.id] = known | dict(zip(BASE_DIMENSIONS, of_case, strict=True))
        return self.known[target.id]

    def _unknown(self, key: str, text: str, known: Iterable[str], expected: str) -> None:
        if (key, text) not in self.hints:
            otherwise = said(STAYS.get(key, ADD_IT)) if text else _("correct the row: fill the cell in")
            if text and 0 < len(ids := tuple(known)) <= FEW:
                otherwise = _("there are {ids}; {otherwise}", ids=", ".join(ids), otherwise=otherwise)
            self.hints[key, text] = _proposal(text, known) or otherwise
        self.complain(key, _("found {text}", text=quoted(text)), expected, self.hints[key, text])
