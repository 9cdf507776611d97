"""A fact that changes a week: somebody away, a place closed, a set missing, an extra hour."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week, Window
from genplan.errors import UsageError
from genplan.language import _
from genplan.language.dates import long_moment
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import open_case, wall_clock

if TYPE_CHECKING:
    from genplan.casefile.change_entries import ChangeEntry

SECTIONS: Mapping[str, tuple[str, ...]] = {
    "away": ("adults", "learners"),
    "closed": ("locations",),
    "missing": ("material_sets",),
    "extra": ("adults",),
}
"""By what is said of them, the sections of those who may be meant."""


@dataclass(frozen=True)
class ChangeRequest:
    """One dated fact as typed: `what` is away, closed, missing or extra, `id` an id or a name. `start` and
    `end` are naive and local; without a start it holds from now, without an end to the end of that day. For `extra`
    instead of both the hours: "tue 16:00-17:00" of `week` (the week of now if left out), or "2026-12-01 16:00-17:00".
    """

    what: str
    id: str
    start: datetime | None = None
    end: datetime | None = None
    hours: str = ""
    week: Week | None = None
    note: str = ""


def change(folder: Path, request: ChangeRequest, now: datetime | None) -> str:
    """Adds a fact to `changes.yaml`, or where `changes` stand, and says so in a sentence. Raises CaseError, UsageError
    or FileError with the file as it was."""
    from genplan.casefile.change_entries import add_change
    from genplan.casefile.earlier import undoable
    from genplan.text.facts import fact_text

    opened = open_case(folder, now, with_results=False)
    fact = entry_of(opened.case, request, opened.now)
    words = fact_text(opened.case, fact)
    with undoable(folder, words, wall_clock(opened.now)):
        file = add_change(folder, fact)
    return _("Added to {file}: {fact}.", file=file, fact=words)


def fact_in_words(case: Case, request: ChangeRequest, now: datetime) -> str:
    """What came up, by names, without a full stop. Raises UsageError as `change`."""
    from genplan.text.facts import fact_text

    return fact_text(case, entry_of(case, request, now))


def entry_of(case: Case, request: ChangeRequest, now: datetime) -> ChangeEntry:
    """The fact with its moments and the id that is meant. Raises UsageError for one that is over or makes no sense, and
    for a name that several have."""
    from genplan.casefile.change_entries import ChangeEntry

    local = now.replace(tzinfo=None, second=0)
    start, end = _hours_of(request, local) if request.what == "extra" else _span(request, local)
    if end <= local:
        raise UsageError(
            _(
                "It would end on {end}, and that is over, so it would change nothing. Give a later day, or for an "
                "extra hour a later date or week.",
                end=long_moment(end, ends=True),
            )
        )
    id_ = known_id(case, SECTIONS[request.what], request.id)
    return ChangeEntry(what=request.what, id=id_, start=start, end=end, note=request.note)


def _span(request: ChangeRequest, now: datetime) -> tuple[datetime, datetime]:
    start = request.start or now
    end = request.end or datetime.combine(start.date(), time()) + timedelta(days=1)
    if end <= start:
        raise UsageError(
            _(
                "It would end on {end}, and begin only later, on {start}. Give an end that is not before the "
                "beginning.",
                end=long_moment(end, ends=True),
                start=long_moment(start),
            )
        )
    return start, end


def _hours_of(request: ChangeRequest, now: datetime) -> tuple[datetime, datetime]:
    """`tue 16:00-17:00`, `10.12.2026 4-5pm`, `tomorrow 16 to 17`: one day, and one stretch of it."""
    from genplan.casefile.diagnostics import InvalidValue
    from genplan.language.typed_days import date_of, day_near
    from genplan.start.hours_text import read_hours, read_hours_of_a_day
    from genplan.start.reading import sentence_of

    problem = ""
    try:
        days = [(n, windows) for n, windows in enumerate(read_hours(request.hours)) if windows]
        if len(days) == 1 and len(days[0][1]) == 1:
            on = (request.week or Week.of(now.date())).days[days[0][0]]
            return _moments(on, days[0][1][0])
    except InvalidValue as unclear:
        problem = sentence_of(unclear)
    words = request.hours.split()
    for n in range(1, len(words)):
        with suppress(ValueError):
            typed = " ".join(words[:n])
            if on_day := date_of(typed) or day_near(typed, now.date()):
                (window,) = read_hours_of_a_day(" ".join(words[n:]))
                return _moments(on_day, window)
    raise UsageError(
        _(
            "'{hours}' is not clear: write a day and hours, such as 'tue 16:00-17:00'. {problem}",
            hours=request.hours,
            problem=problem,
        ).rstrip()
    )


def _moments(on: date, window: Window) -> tuple[datetime, datetime]:
    midnight = datetime.combine(on, time())
    return midnight + timedelta(minutes=window.start), midnight + timedelta(minutes=window.end)
