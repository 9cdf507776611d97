"""Two plans of a week side by side: plans that were written, or a week as people were told of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import FileError, UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.saved_plans import PLAN_DOCUMENT, read_saved

if TYPE_CHECKING:
    from genplan.keeping.compared import Compared
    from genplan.keeping.saved_plan import SavedPlan


@dataclass(frozen=True)
class ComparedView:
    """`names`: what the two plans were called when they were asked for."""

    case: Case
    names: tuple[str, str]
    found: Compared
    findings: tuple[Finding, ...]


def compare(folder: Path, first: str, second: str, now: datetime | None) -> ComparedView:
    """What the second plan does otherwise than the first. Each is the folder that a plan was written into, its
    `plan.json`, or a kept week such as `2026-W49`. Raises UsageError for plans of two weeks or of another case,
    FileError and CaseError for what cannot be read."""
    from genplan.case.dated_facts import in_week
    from genplan.keeping.compared import compared

    opened = open_case(folder, now)
    one, other = (_plan_of(opened, typed) for typed in (first, second))
    if one.week != other.week:
        raise UsageError(
            _(
                "The plan {first} is of the week {one}, and {second} is of {other}. Name two plans of one week.",
                first=first,
                second=second,
                one=one.week,
                other=other.week,
            )
        )
    for typed, plan in ((first, one), (second, other)):
        _refuse_strange(opened.case, typed, plan)
    found = compared(in_week(opened.case, one.week), opened.log, one, other)
    return ComparedView(opened.case, (first, second), found, opened.findings)


def _plan_of(opened: Opened, typed: str) -> SavedPlan:
    path = Path(typed)
    if path.is_dir():
        return read_saved(path / PLAN_DOCUMENT, opened.case)
    if path.is_file():
        return read_saved(path, opened.case)
    return _kept(opened, typed)


def _kept(opened: Opened, typed: str) -> SavedPlan:
    from genplan.keeping.saved_plan import SavedPlan
    from genplan.keeping.store import kept_weeks, read_kept

    try:
        week = Week.parse(typed)
    except ValueError:
        raise FileError(
            _(
                "{typed} is no folder, no file and no week. Name the folder that 'genplan plan --out' wrote, its"
                " plan.json, or a kept week such as 2026-W49.",
                typed=typed,
            )
        ) from None
    kept = read_kept(opened.folder, week, opened.case)
    if kept is None:
        known = ", ".join(map(str, kept_weeks(opened.folder))) or _("none")
        raise UsageError(
            _(
                "The week {week} was not kept, so nobody was told of it. Kept weeks: {known}.",
                week=week,
                known=known,
            )
        )
    return SavedPlan(week=week, made=kept.kept, sittings=kept.sittings)


def _refuse_strange(case: Case, typed: str, plan: SavedPlan) -> None:
    """A plan of another case, or of this one as it was before something was taken away."""
    from genplan.keeping.strange import strange_things

    for sitting in plan.sittings:
        if (strange := next(strange_things(sitting, case), None)) is not None:
            raise UsageError(
                _(
                    "The sitting {sitting} of the plan {typed} holds {strange}, which the case does not have: it is a"
                    " plan of another case, or the case has changed since. Plan the week again.",
                    sitting=sitting.id,
                    typed=typed,
                    strange=strange,
                )
            )
