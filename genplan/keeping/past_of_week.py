"""What of a kept week is past, and what of it the planner has to know."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from genplan.case import Case
from genplan.errors import CaseError
from genplan.evidence.log import Log, ResultKind, not_run_of
from genplan.findings import Finding
from genplan.keeping.store import FILE, FOLDER, unknown_ids
from genplan.keeping.told import KeptWeek
from genplan.language import _
from genplan.plan import Probe, Sitting, sitting_minutes


def to_plan_from(kept: KeptWeek, case: Case, log: Log, now: datetime) -> tuple[Sitting, ...]:
    """The kept sittings that a new plan starts from, in order of time.

    One ahead that names what the case does not have any more is left out: it cannot be held. Raises CaseError if it
    has begun. Probes of begun sittings that were written down as not run are left out too: they are owed again, and the
    sitting is as long as settling and what is left of it."""
    strange = dict(unknown_ids(kept, case))
    begun = [(s, what) for s, what in strange.items() if s.start < now]
    if begun:
        raise CaseError([_unknown_in_begun(kept, s, what) for s, what in begun])
    return tuple(without_not_run((s for s in kept.sittings if s not in strange), case, log, now))


def _unknown_in_begun(kept: KeptWeek, sitting: Sitting, what: str) -> Finding:
    found = _("the sitting {id}, which has begun, with {what}", id=sitting.id, what=what)
    hint = _("leave it in the case until the week is over; 'state: paused' keeps a target from being planned")
    return Finding(f"{FOLDER}/{kept.week}/{FILE}", 0, "", found, _("what the case has"), hint)


def without_not_run(sittings: Iterable[Sitting], case: Case, log: Log, now: datetime) -> Iterator[Sitting]:
    """What of them a new plan counts too: all but probes of begun ones that were written down as not run."""
    sittings = tuple(sittings)
    for s in sittings:
        probes = tuple(p for p in s.probes if s.start >= now or not _was_not_run(s, p, log, sittings))
        if probes == s.probes:
            yield s
        elif probes:
            yield replace(s, probes=probes, end=min(s.end, _end(s, probes, case)))


def _end(sitting: Sitting, probes: Iterable[Probe], case: Case) -> datetime:
    """When a sitting with these of its probes is over."""
    minutes = timedelta(minutes=sitting_minutes(case, probes))
    return (sitting.start.astimezone(UTC) + minutes).astimezone(case.timezone)


def starts_of(probe: Probe, sittings: Iterable[Sitting]) -> list[datetime]:
    """When else of these sittings the same is planned."""
    same = (probe.target, probe.combination)
    return [s.start for s in sittings if any((p.target, p.combination) == same for p in s.probes)]


def _was_not_run(sitting: Sitting, probe: Probe, log: Log, sittings: Iterable[Sitting]) -> bool:
    """Whether a row of that day says that it was not run, and none that it was."""
    done = {k for k in ResultKind if k.is_probe} if probe.kind.is_probe else {ResultKind.TEACHING}
    rows = log.on(probe.target, probe.combination, sitting.start.date())
    if any(r.kind in done for r in rows):
        return False
    return bool(not_run_of(rows, sitting.start, starts_of(probe, sittings)))


def written_of(sitting: Sitting, log: Log, sittings: Iterable[Sitting] = ()) -> tuple[bool, bool]:
    """Whether a row of its day says that something of it was run, and whether rows say of all of it that it was not. Of
    these a row with a time speaks of what is held then, and one without a time of one alone of `sittings`."""
    start, end, sittings = sitting.start.time(), sitting.end.time(), tuple(sittings)
    run, not_run = False, []
    for p in sitting.probes:
        rows = [r for r in log.on(p.target, p.combination, sitting.start.date()) if not r.planned]
        run = run or any(r.kind is not ResultKind.NOT_RUN for r in rows)
        times = [r.time for r in not_run_of(rows, sitting.start, starts_of(p, sittings))]
        not_run.append(any(t is None or (start <= t and (t < end or end < start)) for t in times))
    return run, all(not_run)


def is_written_off(sitting: Sitting, log: Log, sittings: Iterable[Sitting] = ()) -> bool:
    """Whether somebody wrote down of all of it that it is not run."""
    run, not_run = written_of(sitting, log, sittings)
    return not_run and not run
