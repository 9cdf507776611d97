"""Children who are written down as ill on a day that is not over: nothing is planned with them then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from genplan.case import Absence, Week
from genplan.workflow.opened_case import Opened

if TYPE_CHECKING:
    from genplan.plan import Note


def days_ill(opened: Opened) -> dict[str, tuple[date, ...]]:
    """Learner -> days from today on of which some row says that something was not run since the child was ill."""
    from genplan.evidence.sittings_written import child_was_ill

    found: dict[str, set[date]] = {}
    for row in opened.log.results:
        if (
            row.date >= opened.wall.date()
            and row.target in opened.case.targets
            and child_was_ill(opened.case, row)
        ):
            found.setdefault(opened.case.targets[row.target].learner, set()).add(row.date)
    return {learner: tuple(sorted(days)) for learner, days in sorted(found.items())}


def kept_free(opened: Opened) -> Opened:
    """The case to plan by: whoever is ill on a day is away for what is left of it. What plans passes here by itself,
    whoever opened the case; a second time changes nothing."""
    ill = days_ill(opened)
    if not ill:
        return opened
    learners = dict(opened.case.learners)
    for who, days in ill.items():
        learner = learners[who]
        away = {*learner.away, *(_rest_of(day, opened.wall) for day in days)}
        learners[who] = replace(learner, away=tuple(sorted(away)))
    return replace(opened, case=replace(opened.case, learners=learners))


def _rest_of(day: date, now: datetime) -> Absence:
    midnight = datetime.combine(day, time())
    return Absence(max(midnight, now), midnight + timedelta(days=1))


def ill_notes(opened: Opened, week: Week) -> Iterator[Note]:
    """Whom a plan of the week keeps free, and on which days."""
    from genplan.plan import Note, NoteKind

    for learner, ill in days_ill(opened).items():
        if days := tuple(n for n, day in enumerate(week.days) if day in ill):
            yield Note(kind=NoteKind.ILL, learner=learner, days=days)
