"""A row named by what it says, and rows that speak of one probe: a line number holds only until the file is sorted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from hashlib import sha256
from operator import attrgetter

from genplan.case import Case, Target
from genplan.evidence.effective_rows import corrected_by
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.procedure import STEPS_KEPT, as_written
from genplan.evidence.row_counts import COUNTS
from genplan.language import _, said
from genplan.language.dates import date_words

said_by = attrgetter(*(f.name for f in fields(Result) if f.name != "line"))
"""All that a row says, wherever it stands: equal for one that was written down twice."""

_run_and_counted = attrgetter("target", "combination", "date", "trials", "correct")
_beside = attrgetter(
    "prompted", "observer", "observer_correct", "marks", "observer_marks", STEPS_KEPT, "note"
)


def is_same_but_for_the_time(one: Result, other: Result) -> bool:
    """Whether two rows are one as far as can be known: only one has a time, and what both say is the same. A probe may
    have been written down as the kind that was planned."""
    return (
        (one.time is None) is not (other.time is None)
        and (one.kind.is_probe or one.kind) == (other.kind.is_probe or other.kind)
        and _run_and_counted(one) == _run_and_counted(other)
        and all(
            a == b or not _is_said(a) or not _is_said(b)
            for a, b in zip(_beside(one), _beside(other), strict=True)
        )
    )


def denies(one: Result, other: Result) -> bool:
    """Whether one of two rows says that a check or teaching was run, and the other that it was not. One without a time
    may be of any of its day."""
    return (
        (one.kind is ResultKind.NOT_RUN) is not (other.kind is ResultKind.NOT_RUN)
        and (one.target, one.combination, one.date) == (other.target, other.combination, other.date)
        and (one.time == other.time or one.time is None or other.time is None)
    )


def _is_said(value: object) -> bool:
    return value is not None and value != "" and value != ()


def cells_of(target: Target, result: Result) -> dict[str, str]:
    """The cells of a row that was read."""
    cells = {name: "" if getattr(result, name) is None else str(getattr(result, name)) for name in COUNTS}
    return cells | {
        "date": result.date.isoformat(),
        "time": f"{result.time:%H:%M}" if result.time else "",
        "target": result.target,
        "kind": result.kind.value,
        "observer": result.observer,
        "note": result.note,
        "marks": result.marks,
        "observer_marks": result.observer_marks,
        STEPS_KEPT: as_written(result.steps_kept),
        **dict(zip(target.dimension_names, result.combination, strict=True)),
    }


def digest_of(target: Target, result: Result) -> str:
    """The same for two rows that say the same, on whatever line; another one else."""
    cells = sorted(cells_of(target, result).items())
    return sha256("\0".join(f"{name}\0{cell}" for name, cell in cells).encode()).hexdigest()[:20]


def in_words(result: Result) -> str:
    """In ids and as the file writes days: `2026-12-01 16:30, zips-jacket, mum, home, jackets: 3 of 5 correct`."""
    when = f"{result.date} {result.time:%H:%M}" if result.time else f"{result.date}"
    return f"{when}, {result.target}, {', '.join(result.combination)}: {_counts(result)}"


def in_names(case: Case, result: Result) -> str:
    """For whoever reads a sentence: `1 December 2026, 16:30, Zips jacket, Mum, home, jackets: 3 of 5 correct`."""
    when = date_words(result.date) + (f", {result.time:%H:%M}" if result.time else "")
    target = case.targets[result.target]
    values = ", ".join(map(case.called, target.dimension_names, result.combination))
    return f"{when}, {target.name}, {values}: {_counts(result)}"


def _counts(result: Result) -> str:
    counts = (
        _("{correct} of {trials} correct", correct=result.correct, trials=result.trials)
        if result.correct is not None
        else ""
    )
    return counts if result.kind.is_test else ", ".join(filter(None, (said(result.kind.value), counts)))


def rows_that_say(log: Log, targets: Mapping[str, Target], cells: Mapping[str, str]) -> tuple[Result, ...]:
    """The rows that hold all these cells, in the order of their lines."""
    found = (r for r in log.results if cells.items() <= cells_of(targets[r.target], r).items())
    return tuple(sorted(found, key=lambda r: r.line))


@dataclass(frozen=True)
class Replaced:
    """Two rows of one probe: `new` counts in the place of `old`, which stays in the file."""

    old: Result
    new: Result


def replaced(log: Log, new: Sequence[Result]) -> tuple[Replaced, ...]:
    """Rows that count no more once the new ones stand behind all others; a new one may be among them."""
    targets = {r.target for r in new}  # a row counts in the place of none of another target
    known = [r for r in log.results if r.target in targets]
    before = corrected_by(known)
    rows = {r.line: r for r in (*known, *new)}
    after = corrected_by(rows.values())
    return tuple(Replaced(rows[line], rows[by]) for line, by in sorted(after.items()) if line not in before)
