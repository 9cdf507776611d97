"""Series in UTC inside a calendar that names a zone of its own (X-WR-TIMEZONE).

By RFC 5545 (3.3.5, form 2) such a series stays at its hour in UTC, so on the wall it moves by an hour when the clocks
change. Many programs that write X-WR-TIMEZONE mean the hour on the wall of that zone, and the library for recurrences
reads it so. Nothing in the file says which is meant: unless the adult's `utc_series` does, both hours are busy.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import datetime
from typing import Any, NamedTuple

from genplan.casefile.busy_reading import UtcSeries

ZONE = "X-WR-TIMEZONE"


class Readings(NamedTuple):
    """`main` is the calendar with each series in the reading that was chosen. `by_wall` and `by_utc` hold the series in
    doubt, once in each reading; None where nobody has to be told of any."""

    main: Any
    by_wall: Any | None = None
    by_utc: Any | None = None


def readings_of(calendar: Any, chosen: str) -> Readings:
    uids = _in_doubt(calendar)
    if not uids or chosen == UtcSeries.LOCAL:
        return Readings(calendar)
    series, rest = _part(calendar, uids.__contains__), _part(calendar, lambda uid: uid not in uids)
    in_utc = _part(series, uids.__contains__)
    del in_utc[ZONE]
    if chosen == UtcSeries.UTC:
        # what the library would turn into the calendar's zone is read apart from it
        return Readings(rest, None, in_utc)
    return Readings(rest, series, in_utc)


def _part(calendar: Any, wanted: Callable[[str], bool]) -> Any:
    """The calendar with those of its events whose UID is wanted."""
    part = calendar.copy()
    part.subcomponents = [
        c for c in calendar.subcomponents if c.name != "VEVENT" or wanted(str(c.get("UID", "")))
    ]
    return part


def _in_doubt(calendar: Any) -> Collection[str]:
    """The UIDs of the series whose first time is in UTC, in a calendar with another zone."""
    if str(calendar.get(ZONE, "UTC")).upper() in ("UTC", "ETC/UTC", "GMT", "ETC/GMT"):
        return ()
    events = (e for e in calendar.walk("VEVENT") if "RRULE" in e and _is_utc(e["DTSTART"].dt))
    return {str(e.get("UID", "")) for e in events}


def _is_utc(moment: Any) -> bool:
    return isinstance(moment, datetime) and moment.tzinfo is not None and moment.tzname() == "UTC"
