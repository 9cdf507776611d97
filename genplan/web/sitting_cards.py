"""Sittings as the screens show them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from urllib.parse import urlencode

from genplan.case import Case, Combination, Target
from genplan.case.week import DAYS
from genplan.evidence.log import Log, ResultKind
from genplan.plan import Probe, ProbeKind, Sitting
from genplan.report.text import MONTHS
from genplan.report.wording import KIND_WORDS, Names, hours, set_of


@dataclass(frozen=True)
class ProbeView:
    """`record` is the address of the form to write it down; `done` what a row says of it already."""

    target: str
    material_set: str
    extras: tuple[tuple[str, str], ...]
    kind: str
    record: str
    done: str


@dataclass(frozen=True)
class SittingView:
    hours: str
    learner: str
    adult: str
    place: str
    beside: str
    probes: tuple[ProbeView, ...]


@dataclass(frozen=True)
class DayView:
    weekday: str
    date: str
    today: bool
    sittings: tuple[SittingView, ...]


def days(case: Case, log: Log, sittings: Sequence[Sitting], today: date) -> tuple[DayView, ...]:
    """The days that hold a sitting, in order."""
    names = Names(case)
    dates = sorted({s.start.date() for s in sittings})
    return tuple(
        DayView(
            DAYS[d.weekday()],
            f"{d.day} {MONTHS[d.month - 1]}",
            d == today,
            tuple(sitting(names, log, s) for s in sittings if s.start.date() == d),
        )
        for d in dates
    )


def sitting(names: Names, log: Log, s: Sitting) -> SittingView:
    return SittingView(
        hours(s),
        names.learner(s.learner),
        names.adult(s.adult),
        names.location(s.location),
        names.beside(s),
        tuple(_probe(names, log, s, p) for p in s.probes),
    )


def _probe(names: Names, log: Log, s: Sitting, probe: Probe) -> ProbeView:
    target = names.case.targets[probe.target]
    kind = ResultKind.MAINTENANCE if probe.kind is ProbeKind.MAINTENANCE else ResultKind.PROBE
    return ProbeView(
        names.target(probe.target),
        names.material_set(set_of(names.case, probe)),
        names.extras(target, probe.combination),
        KIND_WORDS[probe.kind],
        record_address(target, probe.combination, s.start, kind, probe.trials, s.observer),
        _done(log, probe, s.start.date()),
    )


def record_address(
    target: Target,
    combination: Combination,
    start: datetime,
    kind: ResultKind,
    trials: int,
    observer: str = "",
) -> str:
    """The address of the form, filled in with what the plan says."""
    values = dict(zip(target.dimension_names, combination, strict=True))
    asked = {
        "target": target.id,
        "kind": kind.value,
        "date": start.date().isoformat(),
        "time": f"{start:%H:%M}",
    }
    asked |= {f"with-{name}": value for name, value in values.items()}
    asked |= {"trials": str(trials)} | ({"observer": observer} if observer else {})
    return f"/record/row?{urlencode(asked)}"


def _done(log: Log, probe: Probe, day: date) -> str:
    """The last row of that day, target and combination, in a few words."""
    rows = [
        r
        for r in log.of_target(probe.target)
        if r.date == day and r.combination == probe.combination and r.kind is not ResultKind.TEACHING
    ]
    if not rows:
        return ""
    last = rows[-1]
    return "not run" if last.kind is ResultKind.NOT_RUN else f"{last.correct} of {last.trials} correct"


def counted_probes(sittings: Iterable[Sitting]) -> int:
    return sum(len(s.probes) for s in sittings)
