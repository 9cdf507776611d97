"""The verbs about a week that people are told of: keeping it, changing it, planning on from it, publishing it.

Like `workflow`: each function reads what it needs and gives back plain values; none of them prints.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.case import Case, Week
from genplan.errors import CaseError, FileError, UsageError
from genplan.findings import Finding
from genplan.workflow import (
    Opened,
    PlanOutcome,
    Progress,
    open_case,
    plan,
    plan_opened,
    refuse_past,
    write_plan,
)

if TYPE_CHECKING:
    from genplan.keeping.differences import Difference
    from genplan.keeping.told import KeptWeek
    from genplan.plan import Sitting

PLAN_DOCUMENT = "plan.json"
LOCK_SECONDS = 10.0


@dataclass(frozen=True)
class Kept:
    """`differences` are what people have to be told, against what they were told before; `first`: they were told
    nothing. `folder` holds the week's files."""

    case: Case
    week: Week
    folder: Path
    first: bool
    differences: tuple[Difference, ...]
    findings: tuple[Finding, ...]


def keep(
    folder: Path, week: Week | None, source: Path | None, now: datetime | None, progress: Progress
) -> Kept:
    """Makes a plan what people are told: the one in the folder `source`, or else a new one of the week.

    Raises UsageError for a week that is over, or a plan that was made before what is kept; as `plan` does else."""
    if source is None:
        outcome = plan(folder, week, now, None, progress)
        return keep_sittings(
            open_case(folder, now), outcome.plan.week, outcome.plan.sittings, outcome.plan.now
        )
    opened = open_case(folder, now)
    planned, made, sittings = _read_plan(source, opened.case)
    if week is not None and week != planned:
        raise UsageError(f"The plan in {source} is of the week {planned}, not of {week}.")
    return keep_sittings(opened, planned, sittings, made)


def keep_sittings(opened: Opened, week: Week, sittings: Sequence[Sitting], made: datetime) -> Kept:
    """Puts these sittings, planned at the moment `made`, under `weeks/`; all files of the week or none."""
    from genplan.keeping.differences import differences
    from genplan.keeping.store import folder_of, read_kept, unknown_ids
    from genplan.keeping.telling import retell
    from genplan.keeping.told import KeptWeek
    from genplan.report.folder import write_folder

    case, now = opened.case, opened.now
    refuse_past(week, now)
    target = folder_of(opened.folder, week)
    with _locked(target):
        before = read_kept(opened.folder, week, case)
        told_before = before.told if before else ()
        changed = differences(told_before, sittings, now)
        _refuse_outdated(before, made, changed)
        told = retell(told_before, sittings, now, settled=True)
        since = before.kept if before and told == told_before else now
        kept = KeptWeek(week, since, told)
        if strange := next(unknown_ids(kept, case), None):
            raise UsageError(
                f"The sitting {strange[0].id} of that plan holds {strange[1]}: the case has changed since. "
                "Plan the week again, and keep that plan."
            )
        write_folder(target, _files(case, kept))
    return Kept(case, week, target, before is None, changed, opened.findings)


def _refuse_outdated(before: KeptWeek | None, made: datetime, changed: Sequence[Difference]) -> None:
    if before is not None and changed and made < before.kept:
        raise UsageError(
            f"That plan was made at {made:%Y-%m-%d %H:%M}, before what people were told at "
            f"{before.kept:%Y-%m-%d %H:%M}. Plan the week again: then it starts from what they know."
        )


def _files(case: Case, kept: KeptWeek) -> dict[str, bytes]:
    from genplan.keeping.store import FILE, kept_bytes
    from genplan.plan import Plan
    from genplan.report.calendars import calendar_files
    from genplan.report.tables import csv_bytes, plan_table

    bare = Plan(kept.week, kept.kept, kept.sittings, (), (), (), ())
    return {
        FILE: kept_bytes(kept, case),
        "plan.csv": csv_bytes(plan_table(case, bare)),
        **calendar_files(case, bare, kept.told),
    }


def _read_plan(source: Path, case: Case) -> tuple[Week, datetime, tuple[Sitting, ...]]:
    """Week, moment and sittings of a folder that `plan` wrote."""
    import json

    from genplan.keeping.store import sitting_from

    path = source / PLAN_DOCUMENT
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(
            f"{path} could not be read ({error.strerror}). Name the folder that 'genplan plan --out' wrote."
        ) from error
    try:
        document: Any = json.loads(data)
        sittings = tuple(sitting_from(d, case) for d in document["sittings"])
        made = datetime.fromisoformat(document["now"]).astimezone(case.timezone)
        return Week.parse(document["week"]), made, sittings
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        finding = Finding(str(path), 0, "", "a file that cannot be understood", "what 'genplan plan' wrote")
        raise CaseError([finding]) from None


def plan_weeks(
    folder: Path, week: Week | None, count: int, now: datetime | None, out: Path | None, progress: Progress
) -> tuple[PlanOutcome, ...]:
    """Plans `count` weeks, each as if every probe of the week before were met; with `out` each is written into a
    folder of its own there, named by the week, once all are planned. Raises as `plan` does."""
    from genplan.keeping.ahead import as_if_met
    from genplan.planning.jobs import process_pool

    opened = open_case(folder, now)
    wanted = week or Week.of(opened.now.date()).next()
    refuse_past(wanted, opened.now)
    outcomes: list[PlanOutcome] = []
    with process_pool() as executor:
        for _ in range(count):
            progress(f"planning {wanted}")
            outcome = plan_opened(opened, wanted, executor, progress, [o.plan.week for o in outcomes])
            if outcomes:
                outcome = _with_note(
                    outcome, f"The probes planned for {outcomes[-1].plan.week} are counted as met."
                )
            outcomes.append(outcome)
            opened = replace(opened, log=as_if_met(opened.log, outcome.plan.sittings))
            wanted = wanted.next()
    for outcome in outcomes if out is not None else ():
        assert out is not None
        progress(f"writing {outcome.plan.week}")
        write_plan(out / str(outcome.plan.week), outcome)
    return tuple(outcomes)


def _with_note(outcome: PlanOutcome, note: str) -> PlanOutcome:
    return replace(outcome, plan=replace(outcome.plan, notes=(*outcome.plan.notes, note)))


@contextmanager
def _locked(target: Path) -> Iterator[None]:
    """One run at a time writes what was told of a week."""
    from filelock import FileLock, Timeout

    try:
        target.parent.mkdir(exist_ok=True)
        lock = FileLock(target.parent / f".{target.name}.lock", timeout=LOCK_SECONDS).acquire()
    except Timeout:
        raise FileError(f"{target} is in use by another run of the program. Try again in a moment.") from None
    except OSError as error:
        raise FileError(
            f"{target.parent} cannot be written to ({error.strerror}). Nothing was kept."
        ) from error
    with lock:
        yield


def replan(
    folder: Path, week: Week | None, now: datetime | None, out: Path | None, keeping: bool, progress: Progress
) -> tuple[PlanOutcome, Kept | None]:
    """Plans a kept week again from now on; `keeping`: and tells it. Without a week, the first kept one that is not
    over. Raises UsageError if none was kept, and as `plan` does."""
    from genplan.keeping.store import kept_weeks
    from genplan.planning.jobs import process_pool

    opened = open_case(folder, now)
    ahead = [w for w in kept_weeks(folder) if w.sunday >= opened.now.date()]
    wanted = week or next(iter(ahead), None)
    if wanted is None:
        raise UsageError(
            "No week was kept that is not over. Plan one and keep it: 'genplan keep CASE --week WEEK'."
        )
    refuse_past(wanted, opened.now)
    if wanted not in ahead:
        raise UsageError(
            f"The week {wanted} was not kept, so nobody was told of it. 'genplan plan' plans it."
        )
    with process_pool() as executor:
        outcome = plan_opened(opened, wanted, executor, progress)
    if out is not None:
        progress("writing")
        write_plan(out, outcome)
    kept = keep_sittings(opened, wanted, outcome.plan.sittings, opened.now) if keeping else None
    return outcome, kept


@dataclass(frozen=True)
class ChangeRequest:
    """One dated fact as typed: `what` is away, closed, missing or extra. `start` and `end` are naive and local; without
    a start it holds from now, without an end to the end of that day. For `extra` instead of both the hours:
    "tue 16:00-17:00" of `week` (the week of now if left out), or "2026-12-01 16:00-17:00"."""

    what: str
    id: str
    start: datetime | None = None
    end: datetime | None = None
    hours: str = ""
    week: Week | None = None
    note: str = ""


def change(folder: Path, request: ChangeRequest, now: datetime | None) -> str:
    """Adds a fact to `changes.yaml` and says so in a sentence. Raises CaseError, UsageError or FileError with the file
    as it was."""
    from genplan.casefile.facts import FILE, Fact, add_fact

    opened = open_case(folder, now)
    local = opened.now.replace(tzinfo=None, second=0)
    start, end = _hours_of(request, local) if request.what == "extra" else _span(request, local)
    fact = Fact(request.what, request.id, start, end, request.note)
    add_fact(folder, fact)
    return f"Added to {FILE}: {fact.line().strip().removeprefix('- ')}"


def _span(request: ChangeRequest, now: datetime) -> tuple[datetime, datetime]:
    start = request.start or now
    end = request.end or datetime.combine(start.date(), time()) + timedelta(days=1)
    if end <= start:
        raise UsageError(f"It would end ({end:%Y-%m-%d %H:%M}) before it starts ({start:%Y-%m-%d %H:%M}).")
    return start, end


def _hours_of(request: ChangeRequest, now: datetime) -> tuple[datetime, datetime]:
    from genplan.casefile import hours
    from genplan.casefile.notes import Unclear

    day_text, _, span = request.hours.strip().partition(" ")
    try:
        window = hours.window(span)
        if day_text[:1].isdigit():
            on = hours.day(day_text)
        else:
            (number,) = hours.day_numbers(day_text)
            on = (request.week or Week.of(now.date())).days[number]
    except (Unclear, ValueError) as problem:
        raise UsageError(
            f"'{request.hours}' is not clear ({problem}): write a day and hours, such as 'tue 16:00-17:00'."
        ) from None
    midnight = datetime.combine(on, time())
    return midnight + timedelta(minutes=window.start), midnight + timedelta(minutes=window.end)


@dataclass(frozen=True)
class Published:
    """`lines` tell for each calendar what was done."""

    lines: tuple[str, ...]
    findings: tuple[Finding, ...]


def publish(
    folder: Path, url: str | None, user: str | None, now: datetime | None, progress: Progress
) -> Published:
    """Puts each person's calendar of the kept weeks that are not over on a CalDAV server. Raises UsageError where the
    address, the name, the password or the library is lacking, FileError where the server will not have it."""
    from genplan.keeping.store import kept_weeks, read_kept
    from genplan.publishing.access import access_from
    from genplan.publishing.server import publish_all
    from genplan.publishing.shelf import shelves

    opened = open_case(folder, now)
    weeks = [w for w in kept_weeks(folder) if w.sunday >= opened.now.date()]
    if not weeks:
        raise UsageError(
            "No week was kept that is not over, so there is nothing to publish. 'genplan keep' keeps one."
        )
    access = access_from(url, user)
    kept = [k for w in weeks if (k := read_kept(folder, w, opened.case))]
    progress(f"publishing to {access.host}")
    lines = publish_all(access, shelves(opened.case, kept, opened.now), weeks[0], opened.now)
    return Published(lines, opened.findings)
