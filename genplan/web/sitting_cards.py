"""Sittings as the screens show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from urllib.parse import urlencode

from genplan.case import Case, Combination, Target
from genplan.evidence.log import Log, Result, ResultKind, not_run_of
from genplan.evidence.planned_probes import PLANNED_KINDS
from genplan.keeping.past_of_week import starts_of
from genplan.language import _
from genplan.plan import Probe, Sitting
from genplan.report.day_cards import DayCard, ProbeLine, day_cards, probe_line
from genplan.report.names_and_words import Names
from genplan.text.short_checks import short_text


@dataclass(frozen=True)
class ProbeView(ProbeLine):
    """`record` is the address of the form to write it down; `done` what a row says of it already. `ahead`: it has not
    begun. `tap` holds the fields of the form that writes a teaching down with one tap, where that is enough."""

    record: str
    done: str
    ahead: bool
    tap: tuple[tuple[str, str], ...]


def days(case: Case, log: Log, sittings: Sequence[Sitting], now: datetime) -> tuple[DayCard, ...]:
    """The days that hold a sitting, in order; `now` is aware."""
    names = Names(case)
    card = partial(probe_view, log, sittings, now)
    return day_cards(names, sittings, lambda s: names.adult(s.adult), card, now.date())


def probe_view(
    log: Log, sittings: Sequence[Sitting], now: datetime, names: Names, s: Sitting, probe: Probe
) -> ProbeView:
    target, kind = names.case.targets[probe.target], PLANNED_KINDS[probe.kind.value]
    observer = s.observer if probe.kind.is_probe else ""
    asked = record_fields(target, probe.combination, s.start, kind, probe.trials, observer)
    return ProbeView(
        **vars(probe_line(names, s, probe)),
        record=record_address(asked),
        done=_done(target, row_of(log, sittings, s, probe)),
        ahead=s.start > now,
        tap=one_tap(log, asked, target, s.start > now),
    )


def record_address(asked: Mapping[str, str]) -> str:
    """The address of the form, filled in with what the plan says."""
    return f"/record/row?{urlencode(asked)}"


def one_tap(log: Log, asked: Mapping[str, str], target: Target, ahead: bool) -> tuple[tuple[str, str], ...]:
    """The fields that write a planned teaching down as done, without counts; none for a probe, for what has not begun,
    and where a teaching without counts would not count."""
    if asked["kind"] != ResultKind.TEACHING or ahead or target.taught_when is not None:
        return ()
    return (*asked.items(), ("rows", str(len(log.all_of_target(target.id)))))


def record_fields(
    target: Target,
    combination: Combination,
    start: datetime,
    kind: ResultKind,
    trials: int,
    observer: str = "",
) -> dict[str, str]:
    """What the plan says of a row, by the fields of the form."""
    asked = fields_of_combination(target, combination, kind)
    asked |= {"date": start.date().isoformat(), "time": f"{start:%H:%M}", "trials": str(trials)}
    return asked | ({"observer": observer} if observer else {})


def fields_of_combination(target: Target, combination: Combination, kind: ResultKind) -> dict[str, str]:
    """What a row of a combination says of it, whenever it was run."""
    values = zip(target.dimension_names, combination, strict=True)
    return {"target": target.id, "kind": kind.value} | {f"with-{name}": value for name, value in values}


def of_the_whole(sitting: str, planned: int, left: int, off: int = 0) -> tuple[str, str]:
    """The address of the form that says of a sitting which has begun that it fell through, or that it was held after
    all, with the words that lead there; empty where each thing speaks for itself. `off` is how much of it was not
    run."""
    if left:
        words = (
            _("The whole sitting fell through") if left == planned else _("What is left of it was not run")
        )
    elif off:
        words = _("Was it held after all?") if off == planned else _("Was the rest of it held after all?")
    else:
        return "", ""
    return f"/record/fell-through?{urlencode({'sitting': sitting})}", words


def whole_sittings(log: Log, sittings: Sequence[Sitting], now: datetime) -> dict[str, tuple[str, str]]:
    """The same of each sitting that has begun, by its id."""
    found = {}
    for s in sittings:
        rows = [row_of(log, sittings, s, p) for p in s.probes]
        off = sum(row is not None and row.kind is ResultKind.NOT_RUN for row in rows)
        if s.start <= now and (whole := of_the_whole(s.id, len(rows), rows.count(None), off))[0]:
            found[s.id] = whole
    return found


def _done(target: Target, row: Result | None) -> str:
    """What a row says, in a few words; nothing if there is none."""
    if row is None:
        return ""
    if row.kind is ResultKind.NOT_RUN:
        return _("not run")
    if row.kind is not ResultKind.TEACHING:
        counted = _("{correct} of {trials} correct", correct=row.correct, trials=row.trials)
        return counted + short_text(target, row)
    return (
        _("taught, {correct} of {trials} correct", correct=row.correct, trials=row.trials)
        if row.correct is not None
        else _("taught")
    )


def row_of(log: Log, sittings: Sequence[Sitting], sitting: Sitting, probe: Probe) -> Result | None:
    """The last row of that day, target and combination, but for those that say of another sitting of the day that it
    was not run; of a teaching the row of this one of the day's."""
    if not probe.kind.is_probe:
        return _row_of_lesson(log, sittings, sitting, probe)
    rows = [
        r
        for r in log.on(probe.target, probe.combination, sitting.start.date())
        if r.kind is not ResultKind.TEACHING
    ]
    off = not_run_of(rows, sitting.start, starts_of(probe, sittings))
    own = [r for r in rows if r.kind is not ResultKind.NOT_RUN or r in off]
    return own[-1] if own else None


def _row_of_lesson(log: Log, sittings: Sequence[Sitting], sitting: Sitting, lesson: Probe) -> Result | None:
    """There may be two of one day."""
    starts = (
        s.start
        for s in sittings
        if s.start.date() == sitting.start.date()
        and any((p.target, p.combination) == (lesson.target, lesson.combination) for p in s.probes)
    )
    return log.tells_of_lessons(lesson.target, lesson.combination, starts).get(sitting.start)
