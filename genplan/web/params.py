"""What an address asks for, as values; what makes no sense is a UsageError with a sentence."""

from __future__ import annotations

import re
from datetime import date, time, timedelta
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request

from genplan.case import Week
from genplan.case.week import MOST_WEEKS, YEARS
from genplan.casefile.diagnostics import InvalidValue
from genplan.errors import UsageError
from genplan.language import _
from genplan.language.typed_days import UnclearDate, date_of
from genplan.report.names_and_words import day_short, day_words, week_words
from genplan.start.hours_times import minute_of
from genplan.start.reading import sentence_of
from genplan.workflow import Opened

WEEKS_OFFERED = 13


def week(text: str) -> Week:
    try:
        return Week.parse(text)
    except ValueError as problem:
        raise UsageError(f"{problem}.") from None


def day(text: str) -> date:
    try:
        found = date_of(text)
    except UnclearDate as unclear:
        raise UsageError(f"{unclear}.") from None
    except ValueError:
        found = None
    if found is None:
        raise UsageError(_("'{text}' is not a date such as 2026-12-01.", text=text[:40]))
    if found.year not in YEARS:
        raise UsageError(
            _(
                "'{text}' is not in the years {first} to {last}.",
                text=text[:40],
                first=YEARS[0],
                last=YEARS[-1],
            )
        )
    return found


def clock(text: str) -> time | None:
    if not text.strip():
        return None
    try:
        minute = minute_of(re.sub(r"(?<=:[0-9]{2}):00$", "", text.strip()))
    except InvalidValue as problem:
        raise UsageError(sentence_of(problem)) from None
    return time(minute // 60, minute % 60)


def count(text: str, what: str) -> int | None:
    """A whole number, None for nothing."""
    if not text.strip():
        return None
    if not (text.strip().isascii() and text.strip().isdecimal() and len(text.strip()) < 6):
        raise UsageError(
            _("'{text}' is no number for {what}: a whole number, 0 or more.", text=text[:40], what=what)
        )
    return int(text)


def weeks_to_look_at(text: str) -> int:
    """How many weeks a long job looks at. Raises UsageError for none, or for more than there may be."""
    weeks = count(text, _("the weeks"))
    if weeks is None or not 1 <= weeks <= MOST_WEEKS:
        raise UsageError(
            _("So many weeks cannot be looked at: 1 to {most}. Nothing was started.", most=MOST_WEEKS)
        )
    return weeks


def number_of(request: Request) -> int:
    """The number named in the address. Raises HTTPException (404) for what is none."""
    named = request.path_params["number"]
    if not (named.isascii() and named.isdecimal() and len(named) < 8):
        raise HTTPException(404)
    return int(named)


def week_of(request: Request, opened: Opened) -> Week:
    """The week named in the address, else the one that is looked at first: the present one."""
    named = request.path_params.get("week") or request.query_params.get("week")
    return week(named) if named else Week.of(opened.now.date())


def turning(shown: Week) -> dict[str, Any]:
    """What a screen of a week says of it, with the weeks before and after it."""
    return {**week_words(shown), "earlier": Week.of(shown.monday - timedelta(7)), "later": shown.next()}


def plan_words(shown: Week, today: date) -> str:
    """What the button says that plans a week: which one."""
    if shown == Week.of(today):
        return _("Plan this week")
    return _("Plan the week of {day}", day=day_words(shown.monday))


def weeks_ahead(opened: Opened, wanted: Week | None = None) -> tuple[tuple[Week, str], ...]:
    """The weeks that a form offers, with their words: the present one and those after it, and the one wanted."""
    weeks = Week.of(opened.now.date()).run(WEEKS_OFFERED)
    offered = sorted({*weeks, *([wanted] if wanted else [])}, key=lambda w: w.monday)
    return tuple(
        (w, _("week {number}, from {day}", number=w.number, day=day_short(w.monday))) for w in offered
    )
