"""Sittings as the screens show them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from urllib.parse import urlencode

from genplan.case import Case, Combination, Target
from genplan.evidence.log import Log, ResultKind
from genplan.plan import Probe, ProbeKind, Sitting
from genplan.report.day_cards import DayCard, ProbeLine, day_cards, probe_line
from genplan.report.names_and_words import Names


@dataclass(frozen=True)
class ProbeView(ProbeLine):
    """`record` is the address of the form to write it down; `done` what a row says of it already."""

    record: str
    done: str


def days(case: Case, log: Log, sittings: Sequence[Sitting], today: date) -> tuple[DayCard, ...]:
    """The days that hold a sitting, in order."""
    names = Names(case)
    return day_cards(names, sittings, lambda s: names.adult(s.adult), partial(_probe, log), today)


def _probe(log: Log, names: Names, s: Sitting, probe: Probe) -> ProbeView:
    target = names.case.targets[probe.target]
    kind = ResultKind.MAINTENANCE if probe.kind is ProbeKind.MAINTENANCE else ResultKind.PROBE
    return ProbeView(
        **vars(probe_line(names, s, probe)),
        record=record_address(target, probe.combination, s.start, kind, probe.trials, s.observer),
        done=_done(log, probe, s.start.date()),
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
