"""A told sitting that fell through as a whole, written down at once: a row 'not run' for each thing that was planned in
it and is not written down yet; and taken back at once, where it was held after all."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import N_, _, ngettext, said
from genplan.workflow.doubts import Sure, unasked
from genplan.workflow.opened_case import open_case
from genplan.workflow.planned_sittings import sitting_told, sitting_words
from genplan.workflow.recording import RecordOutcome, add_rows
from genplan.workflow.what_rows_mean import away_that_day, still_planned, whose_reasons, with_rows

if TYPE_CHECKING:
    from genplan.evidence.log import Log

NO_REASON = N_("no reason given")
AFTER_ALL = N_("it was held after all")


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

    opened = open_case(folder, now)
    told = sitting_told(opened, sitting)
    if not told.left:
        raise UsageError(_("All of this sitting is written down already. Nothing was added."))
    seen = told.what_is_left if left is None else left

    def refuse_another(log: Log, _rows: object = ()) -> None:
        if seen != sitting_told(replace(opened, log=log), sitting).what_is_left:
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
    after = with_rows(opened, added.results)
    maybe_away = away_that_day(after, added.results)
    told_more = (
        *added.said,
        *(whose_reasons(after, added.results) if note else ()),
        *still_planned(after, maybe_away),
    )
    where = ngettext(
        "{n} row was added to results.csv: not run.", "{n} rows were added to results.csv: not run.", number
    )
    return RecordOutcome(
        " ".join((what, where, *told_more)), added.findings, " ".join((what, count, *told_more)), maybe_away
    )


def held_after_all(
    folder: Path, sitting: str, now: datetime | None, not_run: str | None = None
) -> RecordOutcome:
    """Takes back the rows by which a sitting, or the rest of it, was not run, all of them or none: that is to be
    written down again. `not_run`: what was not run, in its one word, as whoever says it saw it. Raises UsageError where
    that is not what they say."""
    from genplan.evidence.change_rows import change_rows
    from genplan.evidence.taken_back import TAKEN_BACK, with_reason

    opened = open_case(folder, now)
    told = sitting_told(opened, sitting)

    def wanted(log: Log, _sheet: object) -> dict[int, dict[str, str]]:
        there = sitting_told(replace(opened, log=log), sitting)
        if not there.off:
            raise UsageError(
                _(
                    "It is not written down of anything in this sitting that it was not run. Nothing was changed."
                )
            )
        if not_run not in (None, there.what_is_off):
            raise UsageError(
                _(
                    "Something of this sitting was written down otherwise meanwhile. Nothing was changed: look at what "
                    "was not run, and send it once more."
                )
            )
        return {
            r.line: {"kind": f"{TAKEN_BACK}{r.kind.value}", "note": with_reason(r.note, said(AFTER_ALL))}
            for r in there.off
        }

    rows, findings = change_rows(folder, opened.case, wanted, opened.wall)
    words = sitting_words(opened, told)
    what = (
        _("{sitting}: it was held after all. What was run is to be written down now.", sitting=words)
        if len(rows) >= len(told.probes)
        else _("{sitting}: the rest of it was held after all. It is to be written down now.", sitting=words)
    )
    where = ngettext(
        "{n} row of results.csv was taken back.", "{n} rows of results.csv were taken back.", len(rows)
    )
    return RecordOutcome(f"{what} {where}", findings, what)
