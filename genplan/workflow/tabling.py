"""A case from tables: what a workbook would change is shown first, and written whole or not at all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import CaseError, UsageError
from genplan.findings import Finding, Severity
from genplan.language import _, and_list, ngettext
from genplan.text.obstacles import allergens_text
from genplan.workflow.doubts import as_read, is_year_doubted, named, of_long_ago, still_ahead
from genplan.workflow.opened_case import Opened, errors_of, local, wall_clock
from genplan.workflow.recording import add_rows, not_added_again

if TYPE_CHECKING:
    from genplan.case import Case
    from genplan.casefile import Loaded
    from genplan.casefile.edit_many import Changed
    from genplan.evidence.filled_sheet import FilledSheet
    from genplan.tables.changed import Difference
    from genplan.tables.filled import Filled
    from genplan.workflow.cautions_lost import Whose

CASE_FILE, RESULTS_FILE = "case.yaml", "results.csv"
CAUTIONS = frozenset(
    {
        "allergens", "born", "mouths", "name", "small_parts", "dimensions_mm", "min_age_months", "hazards", "free_of",
        "never",
    }
)  # fmt: skip
"""Keys of children, things and skills that a caution stands in, or is judged by."""
TABLES = (".xlsx", ".ods", ".csv")


@dataclass(frozen=True)
class Tabled:
    """What tables say beside a case. `made` are ids made of names; `rows` how many results are new, `known` how many
    were there already; `untouched` the things of the case that the tables do not speak of. `is_new`: there was no
    case; `assumed` is what it got that no table says. `said` tells of added results, `cautions` of what children would
    lose by a table that is older than the case."""

    differences: tuple[Difference, ...]
    made: tuple[tuple[str, ...], ...]
    assumed: tuple[str, ...]
    rows: int
    known: int
    untouched: int
    is_new: bool
    written: bool
    findings: tuple[Finding, ...]
    said: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def read_tables(
    folder: Path,
    files: Sequence[Path],
    now: datetime | None,
    *,
    write: bool,
    timezone: str = "",
    policy: str = "",
    cautions_too: bool = False,
) -> Tabled:
    """What the tables of all these files would change in the case; with `write` it is changed, whole or not at all. A
    folder that is not there becomes a case, in `timezone` and with `policy` unless a sheet says another. Raises
    CaseError with everything that is wrong in the tables, FileError, UsageError, CautionsWouldGo where an allergy or
    another caution of the case would be written over, unless those are to go."""
    from genplan.casefile import edit
    from genplan.casefile.earlier import undoable
    from genplan.casefile.invisible_characters import escape_invisible
    from genplan.casefile.policies import policy_names

    if folder.is_file() or folder.suffix.lower() in TABLES:
        raise UsageError(
            _(
                "{folder} is no folder of a case. Name the files first, and the case folder, or "
                "one to make, behind them. Nothing was read.",
                folder=folder,
            )
        )
    if policy and policy not in policy_names():
        raise UsageError(
            _(
                "'{policy}' is no policy that comes with the program; these are {names}. Nothing was read.",
                policy=policy,
                names=and_list(policy_names()),
            )
        )
    if not _is_case(folder):
        return _of_new_case(folder, files, now, write=write, timezone=timezone, policy=policy)
    if not write:
        return _of_case(folder, files, now, write=False)
    names = and_list([escape_invisible(file.absolute().name) for file in files])
    words = _("tables read from {file}", file=names)
    with edit.locked(folder), undoable(folder, words, wall_clock(now), locked=True):
        return _of_case(folder, files, now, write=True, cautions_too=cautions_too)


def _is_case(folder: Path) -> bool:
    return folder.is_dir() and any(p.suffix == ".yaml" for p in folder.iterdir())


def _of_case(
    folder: Path, files: Sequence[Path], now: datetime | None, *, write: bool, cautions_too: bool = False
) -> Tabled:
    from genplan.casefile import edit, load
    from genplan.casefile.edit_many import with_all
    from genplan.evidence.results import read_results
    from genplan.folders import replaced
    from genplan.tables.changed import changed_things, differences
    from genplan.tables.reading import read_tables as read
    from genplan.workflow.cautions_lost import CautionsWouldGo, cautions_of_things

    before = load(folder)
    tree = edit.things(folder)
    filled = read(files, tree)
    told = differences(filled)
    fresh = with_all(folder, changed_things(tree, told))
    after = load(folder, fresh) if fresh else before
    findings = _judged(filled, after, before, now)
    case = _built(after)
    moment = local(case, now)
    log, wrong = read_results(folder, case, moment)
    if errors := errors_of(wrong):
        raise CaseError(errors)
    rows = _results(filled, Opened(folder, after, case, log, moment, ()))
    if before.case is None:
        _refuse_unread(before, told)
    lost = _by_their_cells(cautions_of_things(before.case, case), told, filled) if before.case else ()
    if write and lost and not cautions_too:
        raise CautionsWouldGo(lost)
    added_said: tuple[str, ...] = ()
    if write:
        with replaced(folder, fresh):
            if rows and rows.rows:
                added = add_rows(Opened(folder, after, case, log, moment, ()), rows.rows)
                findings, added_said = (*findings, *added.findings), added.said
    if write and lost:
        findings = (*findings, _gone(lost, files))
    added_said = (*_allergies_kept(case, filled), *(_not_added(rows) if rows else ()), *added_said)
    done = _tabled(filled, told, rows, findings, tree, said=added_said, is_new=False, written=write)
    return replace(done, cautions=lost)


def _refuse_unread(before: Loaded, told: Sequence[Difference]) -> None:
    """Of a case that cannot be read the tables may mend what is wrong, and not write over what a caution stands in:
    nobody could say whether one goes. Raises UsageError."""
    over = [
        ".".join(d.path) for d in told if d.before is not None and (len(d.path) < 3 or d.path[2] in CAUTIONS)
    ]
    if over:
        raise UsageError(
            _(
                "{error} So the case cannot be read as it is, and nobody can say whether a caution goes with what the "
                "tables change: {keys}. Nothing was changed. Mend the case first, or empty these cells, and read the "
                "tables again.",
                error=errors_of(before.findings)[0],
                keys=and_list(over),
            )
        )


def _by_their_cells(
    lost: Iterable[tuple[Whose, str]], told: Sequence[Difference], filled: Filled
) -> tuple[str, ...]:
    """Each caution with the cells that would take it away: those that change one of whom it is about."""
    cells: dict[tuple[str, ...], dict[str, None]] = defaultdict(dict)
    for one in told:
        if len(one.path) > 2 and one.path[2] in CAUTIONS and (mark := filled.marks.get(one.path)):
            at = _("{file}, line {line}", file=mark.file, line=mark.line) if mark.line else mark.file
            cells[one.path[:2]][f"{at}, {mark.written[0]}" if mark.written else at] = None
    return tuple(
        dict.fromkeys(
            f"{said} ({and_list(list(cells[whose]))})" if whose in cells else said for whose, said in lost
        )
    )


def _gone(lost: Sequence[str], files: Sequence[Path]) -> Finding:
    found = _("cautions that went: {cautions}", cautions="; ".join(lost))
    hint = _("if one was still true, take the change back with 'genplan earlier'")
    return Finding(and_list([file.name for file in files]), 0, "", found, "", hint, Severity.WARNING)


def _allergies_kept(case: Case, filled: Filled) -> tuple[str, ...]:
    """Of the children of whom the tables have a row: a sheet without a word of an allergy may be older than it."""
    kept = [
        f"{child.name} ({and_list([allergens_text((a,)) for a in sorted(child.allergens)])})"
        for child in case.learners.values()
        if child.allergens
        and ("learners", child.id) in filled.marks
        and ("learners", child.id, "allergens") not in filled.values
    ]
    told = _(
        "The tables say nothing of these allergies, which stay as the case has them: {names}.",
        names=and_list(kept),
    )
    return (told,) if kept else ()


def _of_new_case(
    folder: Path, files: Sequence[Path], now: datetime | None, *, write: bool, timezone: str, policy: str
) -> Tabled:
    from genplan.casefile import identity, load
    from genplan.casefile.edit_many import new_case
    from genplan.casefile.starter import refuse_what_is_there
    from genplan.casefile.tree import Leaf
    from genplan.evidence.log import Log
    from genplan.tables.assumed import assumed_of
    from genplan.tables.changed import changed_things, differences
    from genplan.tables.reading import read_tables as read
    from genplan.tables.results_rows import text_of_results
    from genplan.tables.told import of_new_case

    filled = read(files, {})
    refuse_what_is_there(folder, besides="busy")
    assumed = assumed_of(filled, timezone, policy)
    told = differences(filled)
    changed: Changed = {("format",): Leaf("1", True), **changed_things({}, told)}
    if ("case_id",) not in changed:
        changed = {**changed, ("case_id",): Leaf(identity.drawn(), True)}
    text = new_case(changed)
    after = load(folder, {CASE_FILE: text})
    told_of = tuple(of_new_case(after.findings, filled, files, folder))
    findings = _judged(filled, replace(after, findings=told_of), None, now)
    case = _built(after)
    rows = _results(filled, Opened(folder, after, case, Log.of(()), local(case, now), ()))
    if write:
        _make(folder, {CASE_FILE: text, RESULTS_FILE: text_of_results(case, rows)})
    said = _not_added(rows) if rows else ()
    return _tabled(filled, told, rows, findings, {}, said=said, assumed=assumed, is_new=True, written=write)


def _make(folder: Path, files: Mapping[str, bytes]) -> None:
    """A new case; also in a folder that has calendars in it already, and no case. Raises FileError."""
    from genplan.casefile.starter import make_case_folder
    from genplan.folders import add_files

    if folder.is_dir() and any(folder.iterdir()):
        add_files(folder, files)
    else:
        make_case_folder(folder, files)


def _judged(
    filled: Filled, after: Loaded, before: Loaded | None, now: datetime | None
) -> tuple[Finding, ...]:
    """The warnings that are new. Raises CaseError with the faults of the tables, and all that the case would have by
    them, and beside these what the cells give warning of whatever the case will be."""
    from genplan.casefile.edit import brought_errors
    from genplan.casefile.unlikely_dates import about_dates
    from genplan.tables.births import unlikely_births
    from genplan.tables.results_rows import faults_of_results
    from genplan.tables.told import in_cells, once_a_column

    brought = brought_errors(before.findings, after.findings) if before else list(errors_of(after.findings))
    today = wall_clock(now).date()
    births = tuple(unlikely_births(filled, today))
    faults = [*filled.findings, *births, *in_cells(brought, filled)]
    if filled.results and errors_of(tuple(faults)):  # else their reader tells of them
        faults += faults_of_results(filled.results, filled, after.case, today)
    if errors := [f for f in faults if f.severity is Severity.ERROR]:
        warnings = dict.fromkeys(f for f in faults if f.severity is Severity.WARNING)
        raise CaseError(list(once_a_column(dict.fromkeys(errors))), list(once_a_column(warnings)))
    known = set(before.findings) if before else set()
    fresh = [f for f in after.findings if f.severity is Severity.WARNING and f not in known]
    days = [f for f in about_dates(after, _built(after), today) if not f.key.endswith(".born")]
    sheets = {mark.file for mark in filled.marks.values()}
    typed = once_a_column(f for f in in_cells(days, filled) if f.file in sheets)
    return (*filled.findings, *births, *in_cells(fresh, filled), *typed)


def _built(after: Loaded) -> Case:
    if after.case is None:
        raise CaseError(errors_of(after.findings))
    return after.case


def _results(filled: Filled, opened: Opened) -> FilledSheet | None:
    """The rows that results.csv has not got. Raises CaseError, and UsageError for what cannot have been run yet."""
    from genplan.tables.results_rows import rows_of_results

    if filled.results is None:
        return None
    found = rows_of_results(filled.results, filled, opened.case, opened.log, opened.now.date())
    if ahead := still_ahead(opened, as_read(opened, found.rows), named(opened.case, found.places)):
        raise UsageError(" ".join((*ahead, _("Nothing was written."))))
    read = as_read(opened, found.rows)
    if is_year_doubted(opened, opened.log, read):
        sure = _(
            "Nothing was written. If it is the right one, hand the results in with 'genplan record --from' and "
            "--long-ago."
        )
        raise UsageError(" ".join((*of_long_ago(opened, read, found.places), sure)))
    return found


def _not_added(rows: FilledSheet) -> tuple[str, ...]:
    empty = ngettext(
        "Nothing is filled in on row {rows} of the results: left out.",
        "Nothing is filled in on rows {rows} of the results: left out.",
        len(rows.empty),
        rows=and_list([str(row) for row in rows.empty]),
    )
    return (*([empty] if rows.empty else ()), *not_added_again(rows))


def _own_allergens(filled: Filled) -> tuple[str, ...]:
    if not filled.own_allergens:
        return ()
    told = _(
        "No known allergen is called so, so each is one of the case's own: {names}. A thing is kept from a child if "
        "both name it.",
        names=and_list([*filled.own_allergens]),
    )
    return (told,)


def _by_first_name(filled: Filled) -> tuple[str, ...]:
    called = [f"{first} ({whole})" for first, whole in sorted(filled.names.by_first_name.items())]
    if not called:
        return ()
    return (_("Called by the first name, which nobody else has: {names}.", names=and_list(called)),)


def _tabled(
    filled: Filled,
    told: list[Difference],
    rows: FilledSheet | None,
    findings: tuple[Finding, ...],
    tree: Mapping[str, object],
    *,
    said: tuple[str, ...],
    assumed: tuple[str, ...] = (),
    is_new: bool,
    written: bool,
) -> Tabled:
    from genplan.tables.meaning import OF_THINGS

    there = {(s, i) for s in OF_THINGS if isinstance(things := tree.get(s), dict) for i in things}
    return Tabled(
        differences=tuple(told),
        made=tuple(filled.made),
        assumed=(*assumed, *filled.said, *_by_first_name(filled), *_own_allergens(filled)),
        rows=len(rows.rows) if rows else 0,
        known=len(rows.known) + len(rows.but_time) if rows else 0,
        untouched=len(there - {path[:2] for path in filled.marks}),
        is_new=is_new,
        written=written,
        findings=(*findings, *(rows.warnings if rows else ())),
        said=said,
    )
