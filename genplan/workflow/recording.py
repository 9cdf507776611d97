"""What was run, written down: one row as typed, a filled sheet, a correction, the probes of a day."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.targets import BASE_DIMENSIONS
from genplan.errors import FileError, UsageError
from genplan.findings import Finding
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.planned_kinds import PLAN_FILE, as_planned, kept_plan

if TYPE_CHECKING:
    from genplan.evidence.log import Result
    from genplan.evidence.planned_probes import PlannedProbe

TEXTS = ("target", "kind", *BASE_DIMENSIONS, "observer", "note")
COUNTS = ("correct", "prompted", "observer_correct")
PROBES = ("probe", "maintenance", "baseline")
SIGNS = ("marks", "observer_marks")


@dataclass(frozen=True)
class Doubts:
    """What somebody is asked before rows are added: sentences on those that speak of what is still `ahead`, and on
    those that would count in the place of others (`replaced`)."""

    ahead: tuple[str, ...] = ()
    replaced: tuple[str, ...] = ()

    @property
    def sentences(self) -> tuple[str, ...]:
        return (*self.ahead, *self.replaced)


Sure = Callable[[Doubts], bool]
"""Whether rows about which there are doubts are to be added all the same."""


def unasked(doubts: Doubts) -> bool:
    """Where nobody can be asked: of two rows a warning says which counts, and nothing is lost; what is still ahead was
    not run, and is not written down."""
    return not doubts.ahead


class NotAdded(UsageError):
    """Somebody was asked and did not want it; `sentences` say what was asked."""

    def __init__(self, sentences: Sequence[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__("Nothing was added.")


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
    sentence: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Added:
    """`results` as they are read back; `skipped` are sentences on lines of a sheet that were not added, `said` on what
    was added otherwise than it was typed. `corrected` is the row in whose place a correction counts."""

    results: tuple[Result, ...]
    skipped: tuple[str, ...]
    findings: tuple[Finding, ...]
    said: tuple[str, ...] = ()
    corrected: Result | None = None


@dataclass(frozen=True)
class Proposed:
    """A case ready to be asked about: `probes` are planned for `day` and not written down yet. `source` is
    the plan they come from, None if there is none."""

    opened: Opened
    day: date
    probes: tuple[PlannedProbe, ...]
    source: Path | None


def record(folder: Path, entry: RecordRequest, now: datetime | None, sure: Sure = unasked) -> RecordOutcome:
    """Adds one result to results.csv, or raises and leaves the file as it was."""
    opened = open_case(folder, now)
    added = _add(opened, [_row_of(entry, opened)], sure)
    (result,) = added.results
    counted = (
        str(result.kind.value) if result.correct is None else f"{result.correct} of {result.trials} correct"
    )
    sentence = f"Added to results.csv, line {result.line}: {result.target}, {', '.join(result.combination)}: {counted}."
    return RecordOutcome(" ".join((sentence, *added.said)), added.findings)


def _add(
    opened: Opened, rows: Sequence[Mapping[str, str]], sure: Sure = unasked, corrects: bool = False
) -> Added:
    """Every way to write down ends here. Raises NotAdded if the rows would count in the place of others and that is not
    wanted; `corrects`: it is what they are for."""
    from genplan.evidence.append_rows import append_results

    meant = as_planned(opened, rows)
    if not corrects:
        doubts = to_ask(opened, meant.rows)
        if doubts.sentences and not sure(doubts):
            raise NotAdded(doubts.sentences)
    results, warnings = append_results(opened.folder, opened.case, meant.rows, opened.wall, corrects=corrects)
    return Added(results, (), (*meant.findings, *warnings), (*meant.said, *_what_they_pay(opened, results)))


def _what_they_pay(opened: Opened, added: Sequence[Result]) -> tuple[str, ...]:
    """Of rows of teaching: whether they count and what is still owed; with its line where it is one of several."""
    from genplan.evidence.log import Log
    from genplan.text.teaching_rows import teaching_row_text

    log = Log.of((*opened.log.results, *added))
    said = [(r.line, text) for r in added if (text := teaching_row_text(opened.case, log, r))]
    return tuple(text if len(added) == 1 else f"Line {line}: {text}" for line, text in said)


def to_ask(opened: Opened, rows: Sequence[Mapping[str, str]]) -> Doubts:
    return Doubts(_still_ahead(opened, rows), in_the_place_of(opened, rows))


def _still_ahead(opened: Opened, rows: Sequence[Mapping[str, str]]) -> tuple[str, ...]:
    """That something will not be run may be known before; that it was run cannot."""
    from genplan.evidence.delimited_text import Row
    from genplan.evidence.log import ResultKind
    from genplan.evidence.results import read_row
    from genplan.evidence.row_identity import in_words

    read = (read_row(opened.case, Row(n, row))[0] for n, row in enumerate(rows, 1))
    return tuple(
        f"This is still ahead: {in_words(row)}. Written down now, it counts as run, and what follows is planned on it."
        for row in read
        if row is not None
        and row.kind is not ResultKind.NOT_RUN
        and datetime.combine(row.date, row.time or time()) > opened.wall
    )


def in_the_place_of(opened: Opened, rows: Sequence[Mapping[str, str]]) -> tuple[str, ...]:
    """A sentence for each row that would count no more if these were added, and what to do if it is to count."""
    from genplan.evidence.append_rows import two_of_a_day
    from genplan.evidence.delimited_text import Row
    from genplan.evidence.results import read_results, read_row
    from genplan.evidence.row_identity import in_words, replaced

    log, _ = read_results(opened.folder, opened.case)
    last = max((r.line for r in log.results), default=1)
    read = (read_row(opened.case, Row(last + n, row))[0] for n, row in enumerate(rows, 1))
    sentences, hints = [], {}
    for pair in replaced(log, [r for r in read if r is not None]):
        old = f"Line {pair.old.line}" if pair.old.line <= last else "Another new row"
        what, hint = "probe" if pair.old.kind.is_probe else "teaching", two_of_a_day(pair.old)
        hints[f"{hint[0].upper()}{hint[1:]}."] = True
        sentences.append(
            f"{old} speaks of the same {what}: {in_words(pair.old)}. Both rows stay, and the new one counts:"
            f" {in_words(pair.new)}."
        )
    return (*sentences, *hints)


def _row_of(entry: RecordRequest, opened: Opened) -> dict[str, str]:
    from genplan.evidence.log import ResultKind
    from genplan.evidence.marks import filled_by_marks

    target = opened.case.targets.get(entry.target)
    trials = entry.trials
    seen = {name: given for name in (*SIGNS, "steps_kept") if (given := getattr(entry, name))}
    signs = seen.keys() & set(SIGNS)
    if entry.kind in PROBES and entry.correct is None and "marks" not in signs:
        raise UsageError(
            "How many trials were correct? Nothing was added. If it was not run, say so, with the reason as a note."
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
    numbers = {"trials": trials, **{name: getattr(entry, name) for name in COUNTS}}
    cells |= {name: "" if n is None else str(n) for name, n in numbers.items()}
    cells |= seen
    return cells if entry.kind == ResultKind.NOT_RUN else filled_by_marks(cells)


def record_sheet(folder: Path, file: Path, now: datetime | None, sure: Sure = unasked) -> Added:
    """Adds what was filled in on a sheet: all of it, or nothing with every line that cannot be read."""
    from genplan.evidence.filled_sheet import read_filled

    opened = open_case(folder, now)
    sheet = read_filled(file, opened.case, opened.log)
    skipped = [
        f"Line {line} of {file.name} is in results.csv already, line {there}." for line, there in sheet.known
    ]
    if sheet.empty:
        lines = ", ".join(map(str, sheet.empty))
        skipped.append(f"Nothing is filled in on line {lines} of {file.name}: left out.")
    if not sheet.rows:
        return Added((), tuple(skipped), sheet.warnings)
    added = _add(opened, sheet.rows, sure)
    return replace(added, skipped=tuple(skipped), findings=(*sheet.warnings, *added.findings))


def record_rows(opened: Opened, rows: Sequence[Mapping[str, str]]) -> Added:
    """Adds rows given as text by column, as the questions on a terminal give them, which have asked already."""
    return _add(opened, rows, lambda _: True)


def correct(
    folder: Path,
    line: int,
    changes: Mapping[str, str],
    now: datetime | None,
    says: Mapping[str, str] | None = None,
    digest: str = "",
) -> Added:
    """Adds a row that counts in place of one in results.csv: the same probe or teaching with other counts, or that the
    teaching was not run. What `changes` leaves out stays as it was, and that is said.

    A file may be sorted between a look at its lines and this, so the row is named by what it says too: by cells of it,
    `says`, that no other row has, or by the digest of all of them. Raises UsageError for a row that is not there or is
    not the only one so named, holds no probe, or is corrected already."""
    from genplan.evidence.effective_rows import corrected_by
    from genplan.evidence.log import ResultKind
    from genplan.evidence.row_identity import cells_of

    opened = open_case(folder, now)
    old = _with_digest(opened, digest) if digest else _that_says(opened, line, says or {})
    _refuse_to_correct(old, changes)
    if later := corrected_by(opened.log.results).get(old.line):
        raise UsageError(f"Line {old.line} is corrected by line {later} already. Correct that one.")
    cells = cells_of(opened.case.targets[old.target], old)
    if digest:  # a form shows all cells: what was left as it was is not said anew
        changes = {name: cell for name, cell in changes.items() if cell != cells[name]}
        if not changes:
            raise UsageError(f"Nothing was changed, so nothing was written: line {old.line} stays as it is.")
        if cells["trials"] and any(changes.get(name) for name in SIGNS):  # which are held against it
            changes = {"trials": cells["trials"], **changes}
    if changes.get("kind") == ResultKind.NOT_RUN:
        changes = dict.fromkeys(("trials", *_KEPT, "correct", "observer", *SIGNS, "steps_kept"), "") | dict(
            changes
        )
    changes, gone = _with_marks(old, cells, changes)
    kept = {name: cells[name] for name in _KEPT if name not in changes and cells[name]}
    _ask_for_the_rest(old, cells, changes)
    meant = {**cells, **_marks_that_say_no_more(cells, changes), **changes}
    if meant["kind"] == ResultKind.TEACHING and not meant["trials"] and any(meant[name] for name in COUNTS):
        meant["trials"] = str(opened.case.targets[old.target].trials)
    counts = [meant[n] for n in ("correct", "prompted", "trials")]
    if "prompted" in kept and all(map(str.isdecimal, counts)):
        right, helped, trials = map(int, counts)
        if right + helped > trials >= right:
            raise UsageError(
                f"Line {old.line} has {helped} correct with help (prompted), too many beside {right} of {trials}"
                " correct without. Nothing was written: say how many are correct with help, too."
            )
    added = _add(opened, [meant], corrects=True)
    stays = ", ".join(f"{value} {_KEPT[name]}" for name, value in kept.items())
    said = (f"What was not said anew stays as on line {old.line}: {stays}.",) if kept and not digest else ()
    return replace(added, corrected=old, said=(*added.said, *said, *gone))


def _with_marks(
    old: Result, cells: Mapping[str, str], changes: Mapping[str, str]
) -> tuple[Mapping[str, str], tuple[str, ...]]:
    """The changes with the counts that new marks say, and without old marks that new counts contradict, which is told:
    marks of another count are of no use to anybody."""
    from genplan.evidence.marks import against_counts, filled_by_marks

    new = {name: changes[name] for name in SIGNS if changes.get(name)}
    counted = filled_by_marks({**dict.fromkeys(COUNTS, ""), **new})
    meant = {**{n: c for n, c in counted.items() if c}, **changes}
    numbers = {n: int(c) for n in ("trials", *COUNTS) if (c := {**cells, **meant}.get(n, "")).isdecimal()}
    gone = {
        name: ""
        for name in SIGNS
        if name not in changes and cells[name] and any(against_counts(name, cells[name], numbers))
    }
    words = " and ".join(name.replace("_", "'s ") for name in gone)
    said = (f"The {words} on line {old.line} do not fit these counts and are left out.",) if gone else ()
    return {**meant, **gone}, said


def _ask_for_the_rest(old: Result, cells: Mapping[str, str], changes: Mapping[str, str]) -> None:
    """Counts of another number of trials are none of the new one's."""
    if not changes.get("trials") or changes["trials"] == cells["trials"] or not cells["trials"]:
        return
    words = {"correct": "correct without help", **_KEPT}
    stale = [f"{cells[name]} {what}" for name, what in words.items() if cells[name] and name not in changes]
    if stale:
        raise UsageError(
            f"Line {old.line} has {', '.join(stale)}, of {cells['trials']} trials and not of {changes['trials']}."
            " Nothing was written: say these counts anew, too."
        )


def _marks_that_say_no_more(cells: Mapping[str, str], changes: Mapping[str, str]) -> dict[str, str]:
    """Signs try by try are not taken over where the counts that they make are others: they are left empty."""
    made_of = {"marks": ("trials", "correct", "prompted"), "observer_marks": ("trials", "observer_correct")}
    return {
        marks: ""
        for marks, counts in made_of.items()
        if cells.get(marks) and any(changes.get(name, cells[name]) != cells[name] for name in counts)
    }


def _refuse_to_correct(old: Result, changes: Mapping[str, str]) -> None:
    """What no later row can speak of for certain."""
    from genplan.evidence.log import ResultKind

    not_run = changes.get("kind") == ResultKind.NOT_RUN
    by_hand = "Open results.csv, write 'not run' there as its kind, empty its counts and give the reason as its note."
    if old.kind is ResultKind.NOT_RUN:
        raise UsageError(
            f"Line {old.line} is 'not run', which no later row can correct. Add what was run as a row of its own."
        )
    if old.kind.is_probe and not_run:
        raise UsageError(f"Line {old.line} is a probe, and only its counts can be corrected. {by_hand}")
    if not old.kind.is_probe and old.time is None:
        raise UsageError(
            f"Line {old.line} is a teaching without a time: a later row could be a second one of that day. If it was"
            f" not held: {by_hand} If its counts are wrong, correct them there."
        )
    if not_run and not changes.get("note"):
        raise UsageError("Why was it not run? Nothing was added: give the reason as the note.")


_KEPT = {
    "prompted": "correct with help (prompted)",
    "observer_correct": "correct by the observer",
    "steps_kept": "steps kept",
}
"""Counts that a correction may leave out, with their words."""


def _with_digest(opened: Opened, digest: str) -> Result:
    """The row that was looked at, wherever it stands now; of two that say the same, the one that counts."""
    from genplan.evidence.row_identity import digest_of

    found = [r for r in opened.log.results if digest_of(opened.case.targets[r.target], r) == digest]
    if not found:
        raise UsageError(
            "The row that was to be corrected is not in results.csv any more, or says something else now. Nothing was"
            " written: look at the rows again."
        )
    return max(found, key=lambda r: r.line)


def _that_says(opened: Opened, line: int, says: Mapping[str, str]) -> Result:
    """The row on a line, if it and no other probe says so."""
    from genplan.evidence.effective_rows import corrected_by, probe_of
    from genplan.evidence.row_identity import in_words, rows_that_say

    old = next((r for r in opened.log.results if r.line == line), None)
    if old is None:
        raise UsageError(
            f"results.csv has no row that starts on line {line}. 'genplan history' shows the lines."
        )
    now = f"Line {line} says: {in_words(old)}."
    gone = corrected_by(opened.log.results)
    found = [
        r for r in rows_that_say(opened.log, opened.case.targets, says) if r.line not in gone or r == old
    ]
    if old not in found:
        there = f" What you say is on line {found[0].line}." if len(found) == 1 else ""
        raise UsageError(f"{now} That is not what you say of it, so nothing was written.{there}")
    if not {"target", "date"} <= says.keys():
        raise UsageError(
            f"{now} Lines move when the file is sorted: if that is the row you mean, say so with its target and its"
            " date too. Nothing was written."
        )
    others = [
        r
        for r in found
        if (r.kind.is_test, r.kind.is_probe) == (old.kind.is_test, old.kind.is_probe)
        and probe_of(r) != probe_of(old)
    ]
    if others:
        raise UsageError(
            f"{now} Line {others[0].line} fits what you say of it too: {in_words(others[0])}. Say more of the row that"
            " you mean: its adult, location, material set or time. Nothing was written."
        )
    return old


def propose(folder: Path, day: date | None, plan_folder: Path | None, now: datetime | None) -> Proposed:
    """The probes of a day that a plan holds and of which no row speaks: of the plan in `plan_folder`, or else
    of the kept plan of the day's week. Raises FileError if a plan that was named is not there."""
    from genplan.evidence.planned_probes import not_recorded, read_planned

    opened = open_case(folder, now)
    on = day or opened.now.date()
    file = plan_folder / PLAN_FILE if plan_folder else kept_plan(opened, Week.of(on))
    if not file.is_file():
        if plan_folder is not None:
            raise FileError(f"There is no {file}: name the folder that 'genplan plan --out' wrote.")
        return Proposed(opened, on, (), None)
    return Proposed(opened, on, not_recorded(read_planned(file, opened.case), opened.log, on), file)
