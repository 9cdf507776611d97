"""What was run, written down: one row as typed, a filled sheet, the probes of a day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.targets import BASE_DIMENSIONS
from genplan.errors import FileError, UsageError
from genplan.findings import Finding
from genplan.language import _, and_list, ngettext, said
from genplan.workflow.doubts import NotAdded, Sure, to_ask, unasked
from genplan.workflow.meant_by_name import id_meant
from genplan.workflow.names_of_things import by_their_names
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.planned_kinds import PLAN_FILE, as_planned, kept_plan, planned_in
from genplan.workflow.what_rows_mean import (
    away_that_day,
    still_planned,
    what_it_means,
    what_they_pay,
    whose_reasons,
    with_rows,
)

if TYPE_CHECKING:
    from genplan.evidence.append_rows import Meanwhile
    from genplan.evidence.filled_sheet import FilledSheet
    from genplan.evidence.log import Log, Result
    from genplan.evidence.planned_probes import PlannedProbe

TEXTS = ("target", "kind", *BASE_DIMENSIONS, "observer", "note")
CALLED = {
    "target": "targets",
    "adult": "adults",
    "observer": "adults",
    "location": "locations",
    "material_set": "material_sets",
}
"""What may be typed by name, with the section of the case that it is in."""
COUNTS = ("correct", "prompted", "observer_correct")
PROBES = ("probe", "maintenance", "baseline")
MOST_LINES = 12
"""Lines of a sheet that one sentence names."""


@dataclass(frozen=True)
class RecordRequest:
    """What was typed of one result; what is None is filled in: the target's trials, today, nothing else."""

    target: str
    adult: str
    location: str
    material_set: str
    extra: Mapping[str, str] = field(default_factory=dict)
    kind: str = "probe"
    date: date | None = None
    time: time | None = None
    trials: int | None = None
    correct: int | None = None
    prompted: int | None = None
    observer: str | None = None
    observer_correct: int | None = None
    note: str | None = None
    marks: str | None = None
    observer_marks: str | None = None
    steps_kept: str | None = None


@dataclass(frozen=True)
class RecordOutcome:
    """`sentence` is in ids, as the file is; `named` is the same in names, for a screen."""

    sentence: str
    findings: tuple[Finding, ...]
    named: str = ""
    maybe_away: tuple[tuple[str, date], ...] = ()
    """Learners who were not well, as it seems, and of whom that day something may still be planned."""


@dataclass(frozen=True)
class Added:
    """`results` are those that count, as they are read back; `skipped` are sentences on lines of a sheet that were not
    added, `said` on what was added otherwise than it was typed. `corrected` is the row in whose place a correction
    counts."""

    results: tuple[Result, ...]
    skipped: tuple[str, ...]
    findings: tuple[Finding, ...]
    said: tuple[str, ...] = ()
    corrected: Result | None = None
    corrected_named: str = ""
    """The same in the words of whoever reads it."""


@dataclass(frozen=True)
class Proposed:
    """A case ready to be asked about: `probes` are planned for `day` and not written down yet. `source` is
    the plan they come from, None if there is none."""

    opened: Opened
    day: date
    probes: tuple[PlannedProbe, ...]
    source: Path | None


def record(
    folder: Path,
    entry: RecordRequest,
    now: datetime | None,
    sure: Sure = unasked,
    meanwhile: Meanwhile | None = None,
) -> RecordOutcome:
    """Adds one result to results.csv, or raises and leaves the file as it was. `meanwhile` as `add_rows` has it."""
    from genplan.text.short_checks import short_text
    from genplan.text.tuple_words import combination_words

    opened = open_case(folder, now)
    added = add_rows(opened, [_row_of(entry, opened)], sure, meanwhile=meanwhile)
    (result,) = added.results
    target = opened.case.targets[result.target]
    counted = (
        said(result.kind.value)
        if result.correct is None
        else _("{correct} of {trials} correct", correct=result.correct, trials=result.trials)
        + short_text(target, result)
    )
    values = combination_words(opened.case, target, result.combination)
    where = _("Added to results.csv, line {line}", line=result.line)
    sentence = f"{where}: {result.target}, {', '.join(result.combination)}: {counted}."
    named = f"{_('Written down')}: {target.name}, {values}: {counted}."
    after = with_rows(opened, added.results)
    maybe_away = away_that_day(after, added.results)
    told = (
        *added.said,
        *whose_reasons(after, added.results),
        *what_it_means(after, result),
        *still_planned(after, maybe_away),
    )
    return RecordOutcome(" ".join((sentence, *told)), added.findings, " ".join((named, *told)), maybe_away)


def add_rows(
    opened: Opened,
    rows: Sequence[Mapping[str, str]],
    sure: Sure = unasked,
    corrects: bool = False,
    places: Sequence[str] = (),
    meanwhile: Meanwhile | None = None,
) -> Added:
    """Every way to write down ends here. `places`: the file and line from which each of the rows was read. Raises
    NotAdded if the rows would count in the place of others and that is not wanted; `corrects`: it is what they are
    for. `meanwhile` refuses what came since they were wanted, once nothing more can come, and is asked before a row
    that came since and says the same is refused."""
    from genplan.evidence.append_rows import append_results

    def refuse(log: Log, new: Sequence[Result]) -> None:
        if meanwhile:
            meanwhile(log, new)
        _refuse_the_same(opened, log, new)

    meant = as_planned(opened, rows)
    if not corrects:
        doubts = to_ask(opened, meant.rows, places)
        if doubts.sentences and not sure(doubts):
            raise NotAdded(doubts.each)
    results, warnings = append_results(
        opened.folder, opened.case, meant.rows, opened.wall, corrects=corrects, meanwhile=refuse
    )
    away = len(meant.rows) - len(results)
    as_it_is = ngettext(
        "{n} row that was taken back is added as it is, and counts for nothing.",
        "{n} rows that were taken back are added as they are, and count for nothing.",
        away,
    )
    return Added(
        results,
        (),
        (*meant.findings, *warnings),
        (
            *meant.said,
            *([as_it_is] if away else ()),
            *what_they_pay(with_rows(opened, results), results),
            *by_their_names(opened, results),
        ),
    )


def _refuse_the_same(opened: Opened, log: Log, new: Sequence[Result]) -> None:
    """Two who send one form at once, or one who sends it from two pages: what says the same and was not there when the
    results were looked at is not written down once more."""
    from genplan.evidence.row_identity import in_names, said_by

    wanted = {said_by(row): row for row in new}
    targets = {row.target for row in new}

    def there(rows: Log) -> Counter[tuple[object, ...]]:
        return Counter(s for t in targets for r in rows.all_of_target(t) if (s := said_by(r)) in wanted)

    for said_twice in there(log) - there(opened.log):
        raise UsageError(
            _(
                "The same was written down a moment ago: {row}. Nothing was added. If it was run twice that day, give "
                "each of the two its time.",
                row=in_names(opened.case, wanted[said_twice]),
            )
        )


def _row_of(entry: RecordRequest, opened: Opened) -> dict[str, str]:
    from genplan.evidence.log import ResultKind
    from genplan.evidence.marks import MARKS, filled_by_marks

    target = opened.case.targets.get(id_meant(opened.case, ("targets",), entry.target))
    trials = entry.trials
    seen = {name: given for name in (*MARKS, "steps_kept") if (given := getattr(entry, name))}
    signs = seen.keys() & set(MARKS)
    if entry.kind in PROBES and entry.correct is None and "marks" not in signs:
        raise UsageError(
            _("How many trials were correct? Nothing was added. If it was not run, say so, and why.")
        )
    counted = entry.kind == "teaching" and any(getattr(entry, name) is not None for name in COUNTS)
    if trials is None and target is not None and not signs and (entry.kind in PROBES or counted):
        trials = target.trials
    cells = {
        "date": (entry.date or opened.now.date()).isoformat(),
        "time": entry.time.strftime("%H:%M") if entry.time else "",
        **{name: getattr(entry, name) or "" for name in TEXTS},
        **entry.extra,
    }
    cells |= {name: id_meant(opened.case, (of,), cells[name]) for name, of in CALLED.items() if cells[name]}
    numbers = {"trials": trials, **{name: getattr(entry, name) for name in COUNTS}}
    cells |= {name: "" if n is None else str(n) for name, n in numbers.items()}
    cells |= seen
    return cells if entry.kind == ResultKind.NOT_RUN else filled_by_marks(cells)


def record_sheet(folder: Path, file: Path, now: datetime | None, sure: Sure = unasked) -> Added:
    """Adds what was filled in on a sheet: all of it, or nothing with every line that cannot be read."""
    from genplan.casefile import edit
    from genplan.evidence.filled_sheet import AsWritten, read_filled
    from genplan.tables.headings import is_a_sum
    from genplan.tables.kinds import is_of_children
    from genplan.tables.named_rows import ids_for_names
    from genplan.tables.sheets import OF_CHILD, RESULTS

    def column(heading: str, below: Set[str]) -> str:
        found = RESULTS.column(heading)
        if found and is_of_children(RESULTS, found, heading, below):
            found = OF_CHILD
        return found.heading if found else heading

    opened = open_case(folder, now)
    written = AsWritten(column, ids_for_names(edit.things(folder)), is_a_sum)
    sheet = read_filled(file, opened.case, opened.log, opened.now.date(), written)
    skipped = [
        _(
            "Line {line} of {file} is in results.csv already, line {there}.",
            line=line,
            file=file.name,
            there=there,
        )
        for line, there in sheet.known
    ]
    skipped += not_added_again(sheet)
    if sheet.empty:
        lines = ", ".join(map(str, sheet.empty))
        skipped.append(
            _("Nothing is filled in on line {lines} of {file}: left out.", lines=lines, file=file.name)
        )
    if not sheet.rows:
        return Added((), tuple(skipped), sheet.warnings)
    added = add_rows(opened, sheet.rows, sure, places=sheet.places)
    told = (*added.said, *whose_reasons(opened, added.results))
    return replace(added, skipped=tuple(skipped), findings=(*sheet.warnings, *added.findings), said=told)


def not_added_again(sheet: FilledSheet) -> tuple[str, ...]:
    """Of rows that were written down before, and taken back or changed since, or with or without a time."""
    taken_back = ngettext(
        "{n} row was taken back before and is not added again. If it counts after all, put it back on the page.",
        "{n} rows were taken back before and are not added again. If they count after all, put them back on the page.",
        len(sheet.taken_back),
    )
    put_right = ngettext(
        "{n} row was put right since and is not added again as it was. If it was run once more, write it down by "
        "itself.",
        "{n} rows were put right since and are not added again as they were. If one was run once more, write it down "
        "by itself.",
        len(sheet.put_right),
    )
    return (
        *([taken_back] if sheet.taken_back else ()),
        *([put_right] if sheet.put_right else ()),
        *([_there_but_for_the_time(sheet.but_time)] if sheet.but_time else ()),
    )


def _there_but_for_the_time(lines: Sequence[tuple[int, int]]) -> str:
    pairs = [_("line {line} (there line {there})", line=line, there=there) for line, there in lines]
    more = len(pairs) - MOST_LINES
    if more > 0:
        pairs = [*pairs[:MOST_LINES], ngettext("{n} more", "{n} more", more)]
    return ngettext(
        "{n} row is in results.csv already, as far as can be known, for only one of the two has a time, and is not "
        "added: {lines}. If it was another one of that day, give each of the two its time.",
        "{n} rows are in results.csv already, as far as can be known, for only one of each two has a time, and are not "
        "added: {lines}. If one was another one of that day, give each of the two its time.",
        len(lines),
        lines=and_list(pairs),
    )


def record_rows(opened: Opened, rows: Sequence[Mapping[str, str]]) -> Added:
    """Adds rows given as text by column, as the questions on a terminal give them, which have asked already."""
    return add_rows(opened, rows, lambda _: True)


def propose(folder: Path, day: date | None, plan_folder: Path | None, now: datetime | None) -> Proposed:
    """The probes of a day that a plan holds and of which no row speaks: of the plan in `plan_folder`, or else
    of the kept plan of the day's week. Raises FileError if a plan that was named is not there."""
    from genplan.evidence.planned_probes import not_recorded, read_planned

    opened = open_case(folder, now)
    on = day or opened.now.date()
    file = plan_folder / PLAN_FILE if plan_folder else kept_plan(opened, Week.of(on))
    if not file.is_file():
        if plan_folder is not None:
            raise FileError(
                _("There is no {file}: name the folder that 'genplan plan --out' wrote.", file=file)
            )
        return Proposed(opened, on, (), None)
    return Proposed(opened, on, not_recorded(read_planned(file, opened.case), opened.log, on), file)


def begun_and_unwritten(opened: Opened, days: Sequence[date]) -> dict[date, int]:
    """How many things of the kept plans have begun on each of these days and are not written down; only days that have
    some. Raises as `propose`."""
    from genplan.evidence.planned_probes import not_recorded

    counts = {}
    planned = {w: planned_in(opened, w) for w in dict.fromkeys(map(Week.of, days))}
    for day in days:
        left = not_recorded(planned[Week.of(day)], opened.log, day)
        if number := sum(p.start <= opened.now for p in left):
            counts[day] = number
    return counts
