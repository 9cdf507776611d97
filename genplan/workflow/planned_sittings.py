"""The sittings of a kept week as `plan.csv` has them, with what of each no row speaks of yet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from hashlib import sha256
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.sitting_ids import SittingId
from genplan.case.targets import ADULT, LOCATION
from genplan.errors import CaseError, FileError, UsageError
from genplan.language import _
from genplan.workflow.opened_case import Opened
from genplan.workflow.planned_kinds import planned_in
from genplan.workflow.told_sittings import cancelled_at

if TYPE_CHECKING:
    from genplan.case import Combination
    from genplan.evidence.log import Result
    from genplan.evidence.planned_probes import PlannedProbe


@dataclass(frozen=True)
class PlannedSitting:
    """A sitting of a kept week: what was planned in it, and what of it no row speaks of yet. Once there is none,
    `not_run` is what of it was not run, as all its rows say, which are `off`."""

    id: str
    probes: tuple[PlannedProbe, ...]
    left: tuple[PlannedProbe, ...]
    not_run: tuple[PlannedProbe, ...]
    off: tuple[Result, ...]

    @property
    def start(self) -> datetime:
        return self.probes[0].start

    @property
    def what_is_left(self) -> str:
        """One word for all that is left; another one where one thing of it is another."""
        return _one_word(self.left)

    @property
    def what_is_off(self) -> str:
        """The same of what was not run."""
        return _one_word(self.not_run)

    @property
    def is_off(self) -> bool:
        """Nothing of it was run."""
        return bool(self.off) and len(self.not_run) == len(self.probes)


def _one_word(probes: Iterable[PlannedProbe]) -> str:
    things = sorted("\0".join((p.target, *p.combination)) for p in probes)
    return sha256("\n".join(things).encode()).hexdigest()[:20]


def sittings_told(opened: Opened, day: date) -> tuple[PlannedSitting, ...]:
    """Those that the kept week has on a day, in order. Raises as `read_planned`."""
    from genplan.evidence.planned_probes import not_recorded, told_by

    planned = planned_in(opened, Week.of(day))
    unwritten, rows = set(not_recorded(planned, opened.log, day)), told_by(planned, opened.log, day)
    by_id: dict[str, list[PlannedProbe]] = {}
    for p in planned:
        if p.start.date() == day:
            by_id.setdefault(p.sitting, []).append(p)
    found = []
    for i, probes in by_id.items():
        left = tuple(p for p in probes if p in unwritten)
        not_run = () if left else tuple(p for p in probes if _was_not_run(rows[p]))
        off = tuple(row for p in not_run for row in rows[p])
        found.append(PlannedSitting(i, tuple(probes), left, not_run, off))
    return tuple(sorted(found, key=lambda s: (s.start, s.id)))


def _was_not_run(rows: Sequence[Result]) -> bool:
    from genplan.evidence.log import ResultKind

    return bool(rows) and all(row.kind is ResultKind.NOT_RUN for row in rows)


def sitting_told(opened: Opened, named: str) -> PlannedSitting:
    """The sitting of this id. Raises UsageError for none that a kept week has."""
    from genplan.keeping.store import read_kept

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
    kept = read_kept(opened.folder, parts.week, opened.case)
    if kept and (off := kept.called_off(named)):
        raise UsageError(_("{off} Nothing was added.", off=cancelled_at(off)))
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


def sitting_words(opened: Opened, told: PlannedSitting) -> str:
    """`Tuesday 1 December 2026, 16:00, L. with Mum, Home`."""
    from genplan.report.names_and_words import Names, long_date

    first, names = told.probes[0], Names(opened.case)
    target = opened.case.targets[first.target]
    values = dict(zip(target.dimension_names, first.combination, strict=True))
    who = names.meeting(target.learner, values[ADULT])
    return f"{long_date(told.start.date())}, {told.start:%H:%M}, {who}, {names.location(values[LOCATION])}"
