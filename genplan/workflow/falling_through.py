"""A told sitting that fell through as a whole, written down at once: a row 'not run' for each thing that was planned in
it and is not written down yet; and taken back at once, where it was held after all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.sitting_ids import SittingId
from genplan.case.targets import ADULT, LOCATION
from genplan.errors import CaseError, FileError, UsageError
from genplan.language import N_, _, ngettext, said
from genplan.workflow.doubts import Sure, unasked
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.planned_kinds import kept_plan
from genplan.workflow.recording import RecordOutcome, add_rows, away_that_day, still_planned, whose_reasons

if TYPE_CHECKING:
    from genplan.case import Combination
    from genplan.evidence.log import Log, Result
    from genplan.evidence.planned_probes import PlannedProbe

NO_REASON = N_("no reason given")
AFTER_ALL = N_("it was held after all")


@dataclass(frozen=True)
class PlannedSitting:
    """A sitting of a kept week: what was planned in it, and what of it no row speaks of yet. `off` are its rows, where
    every one says that it was not run."""

    id: str
    probes: tuple[PlannedProbe, ...]
    left: tuple[PlannedProbe, ...]
    off: tuple[Result, ...]

    @property
    def start(self) -> datetime:
        return self.probes[0].start

    @property
    def what_is_left(self) -> str:
        """One word for all that is left; another one where one thing of it is another."""
        return what_is_left(self.left)


def what_is_left(probes: Sequence[PlannedProbe]) -> str:
    things = sorted("\0".join((p.target, *p.combination)) for p in probes)
    return sha256("\n".join(things).encode()).hexdigest()[:20]


def sittings_told(opened: Opened, day: date) -> tuple[PlannedSitting, ...]:
    """Those that the kept week has on a day, in order. Raises as `read_planned`."""
    from genplan.evidence.planned_probes import not_recorded, told_by

    planned = _planned(opened, day)
    unwritten, rows = set(not_recorded(planned, opened.log, day)), told_by(planned, opened.log, day)
    by_id: dict[str, list[PlannedProbe]] = {}
    for p in planned:
        if p.start.date() == day:
            by_id.setdefault(p.sitting, []).append(p)
    found = (
        PlannedSitting(
            i,
            tuple(probes),
            tuple(p for p in probes if p in unwritten),
            _rows_off(probes, rows) if not unwritten.intersection(probes) else (),
        )
        for i, probes in by_id.items()
    )
    return tuple(sorted(found, key=lambda s: (s.start, s.id)))


def _planned(opened: Opened, day: date) -> tuple[PlannedProbe, ...]:
    from genplan.evidence.planned_probes import read_planned

    file = kept_plan(opened, Week.of(day))
    return read_planned(file, opened.case) if file.is_file() else ()


def _rows_off(
    probes: Sequence[PlannedProbe], rows: Mapping[PlannedProbe, Sequence[Result]]
) -> tuple[Result, ...]:
    """The rows of all of these, or none where one of them was run."""
    from genplan.evidence.log import ResultKind

    if not all(rows[p] for p in probes):
        return ()
    own = tuple(row for p in probes for row in rows[p])
    return own if all(row.kind is ResultKind.NOT_RUN for row in own) else ()


def sitting_told(opened: Opened, named: str) -> PlannedSitting:
    """The sitting of this id. Raises UsageError for none that a kept week has."""
    try:
        parts = SittingId.parse(named)
        day = parts.week.days[parts.weekday]
    except ValueError:
        raise UsageError(
            _("'{text}' is not the id of a sitting, such as 2026-W49-tue-mum-1a2.", text=named[:60])
        ) from None
    there = sittings_told(opened, day)
    if found := next((s for s in there if s.id == named), None):
        return found
    if not there:
        raise UsageError(_("No week that was kept has a sitting on {day}. Nothing was added.", day=day))
    raise UsageError(
        _(
            "The kept week has no sitting {id}. That day it has: {ids}. Nothing was added.",
            id=named,
            ids=", ".join(s.id for s in there),
        )
    )


def sitting_of(
    opened: Opened, target: str, combination: Combination, day: date, at: time | None
) -> PlannedSitting | None:
    """The told sitting in which this was planned, if it can be told. A plan that cannot be read keeps nobody from
    writing down what was run: whoever asks for the whole day is told."""
    try:
        there = sittings_told(opened, day)
    except (CaseError, FileError):
        return None
    holding = [s for s in there if any((p.target, p.combination) == (target, combination) for p in s.probes)]
    found = [s for s in holding if s.start.time() == at] or holding
    return found[0] if len(found) == 1 else None


def fell_through(
    folder: Path,
    sitting: str,
    note: str,
    now: datetime | None,
    sure: Sure = unasked,
    left: str | None = None,
) -> RecordOutcome:
    """Writes down as not run what is left of a sitting, all of it or nothing. `note` is why, empty where nobody said;
    `left`: what was left of it, in its one word, as whoever says it saw it. Raises UsageError where nothing is left, or
    something else than that; else as `add_rows`."""
    from genplan.evidence.log import ResultKind
    from genplan.evidence.planned_probes import not_recorded

    opened = open_case(folder, now)
    told = sitting_told(opened, sitting)
    if not told.left:
        raise UsageError(_("All of this sitting is written down already. Nothing was added."))
    seen = told.what_is_left if left is None else left
    day, planned = told.start.date(), _planned(opened, told.start.date())

    def refuse_another(log: Log, _rows: object = ()) -> None:
        unwritten = set(not_recorded(planned, log, day))
        if seen != what_is_left([p for p in told.probes if p in unwritten]):
            raise UsageError(
                _(
                    "Something of this sitting was written down or planned otherwise meanwhile. Nothing was added: "
                    "look at what is left of it, and send it once more if all of that was not run."
                )
            )

    refuse_another(opened.log)
    case = opened.case
    rows = [
        {
            "date": p.start.date().isoformat(),
            "time": f"{p.start:%H:%M}",
            "target": p.target,
            "kind": ResultKind.NOT_RUN.value,
            **dict(zip(case.targets[p.target].dimension_names, p.combination, strict=True)),
            "note": note or said(NO_REASON),
        }
        for p in told.left
    ]
    added = add_rows(opened, rows, sure, meanwhile=refuse_another)
    number = len(added.results)
    whole = number == len(told.probes)
    what = (
        _("{sitting}: it fell through, and is written down.", sitting=sitting_words(opened, told))
        if whole
        else _("{sitting}: what was left of it is written down.", sitting=sitting_words(opened, told))
    )
    count = ngettext("{n} thing was not run.", "{n} things were not run.", number)
    maybe_away = away_that_day(opened, added.results)
    told_more = (
        *added.said,
        *(whose_reasons(opened, added.results) if note else ()),
        *still_planned(opened, maybe_away),
    )
    where = ngettext(
        "{n} row was added to results.csv: not run.", "{n} rows were added to results.csv: not run.", number
    )
    return RecordOutcome(
        " ".join((what, where, *told_more)), added.findings, " ".join((what, count, *told_more)), maybe_away
    )


def held_after_all(folder: Path, sitting: str, now: datetime | None) -> RecordOutcome:
    """Takes back the rows by which a whole sitting was not run, all of them or none: it is to be written down again.
    Raises UsageError where that is not what they say."""
    from genplan.evidence.change_rows import change_rows
    from genplan.evidence.planned_probes import told_by
    from genplan.evidence.taken_back import TAKEN_BACK, with_reason

    opened = open_case(folder, now)
    told = sitting_told(opened, sitting)
    day, planned = told.start.date(), _planned(opened, told.start.date())

    def wanted(log: Log, _sheet: object) -> dict[int, dict[str, str]]:
        rows = _rows_off(told.probes, told_by(planned, log, day))
        if not rows:
            raise UsageError(
                _("It is not written down that all of this sitting was not run. Nothing was changed.")
            )
        return {
            r.line: {"kind": f"{TAKEN_BACK}{r.kind.value}", "note": with_reason(r.note, said(AFTER_ALL))}
            for r in rows
        }

    rows, findings = change_rows(folder, opened.case, wanted, opened.wall)
    what = _(
        "{sitting}: it was held after all. What was run is to be written down now.",
        sitting=sitting_words(opened, told),
    )
    where = ngettext(
        "{n} row of results.csv was taken back.", "{n} rows of results.csv were taken back.", len(rows)
    )
    return RecordOutcome(f"{what} {where}", findings, what)


def sitting_words(opened: Opened, told: PlannedSitting) -> str:
    """`Tuesday 1 December 2026, 16:00, L. with Mum, Home`."""
    from genplan.report.names_and_words import Names, long_date

    first, names = told.probes[0], Names(opened.case)
    target = opened.case.targets[first.target]
    values = dict(zip(target.dimension_names, first.combination, strict=True))
    who = names.meeting(target.learner, values[ADULT])
    return f"{long_date(told.start.date())}, {told.start:%H:%M}, {who}, {names.location(values[LOCATION])}"
