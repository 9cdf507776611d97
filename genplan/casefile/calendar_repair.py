"""Events of a busy calendar as they must be before anything is worked out from them: what decides when somebody is
busy is of its kind, or is taken out and told of. So one odd event does not cost the rest of the calendar."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import MAXYEAR, MINYEAR, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from genplan.casefile.diagnostics import SourceLocation
from genplan.casefile.invisible_characters import cut
from genplan.findings import Finding, Severity
from genplan.language import N_, _, said

UTC = ZoneInfo("UTC")

DECISIVE = {
    "DTSTART": N_("the event is not counted"),
    "DTEND": N_("the event is not counted"),
    "DURATION": N_("the event is not counted"),
    "RRULE": N_("only its first date is counted"),
    "RDATE": N_("the further dates are not counted"),
    "EXDATE": N_("the dates taken out are counted as busy"),
    "RECURRENCE-ID": N_("it is counted beside the event that it changes"),
}
"""The properties that decide when somebody is busy, and what comes of an event where one cannot be read."""

SINGLE: Mapping[str, type] = {"DTSTART": date, "DTEND": date, "RECURRENCE-ID": date, "DURATION": timedelta}
"""Of these an event has one at most (RFC 5545, 3.6.1), and of this kind."""


def repair(event: Any, mark: SourceLocation, zone: ZoneInfo, findings: list[Finding]) -> None:
    """Takes the properties out that cannot be read, so that the rest of the calendar can, and tells of
    each."""

    def tell(key: str, found: str, hint: str) -> None:
        findings.append(Finding(mark.file, mark.line, key, found, "", hint, Severity.WARNING))

    broken = {str(key or "") for key, _why in event.errors}
    broken |= {k for k in DECISIVE if k in event and k not in broken and not _is_meant(k, event[k])}
    for key in sorted(broken & DECISIVE.keys()):
        event.pop(key, None)
        tell(key, _("an event whose {key} cannot be read", key=key), said(DECISIVE[key]))
    if "" in broken:
        tell("", _("an event with a line that cannot be read"), _("compare this event with the calendar"))
    if broken & {"DTEND", "DURATION"}:
        event.pop("DTSTART", None)
    elif "DTSTART" not in event and "DTSTART" not in broken:
        tell("DTSTART", _("an event without a start"), said(DECISIVE["DTSTART"]))
    unknown = sorted({z for key in DECISIVE for z in _unknown_zones(event.get(key))})
    if unknown:
        tell(
            "TZID",
            _("an event in the unknown time zone '{zone}'", zone=cut(unknown[0])),
            _("its times are read as {other}", other=zone.key),
        )
    start, end = getattr(event.get("DTSTART"), "dt", None), getattr(event.get("DTEND"), "dt", None)
    if start is not None and end is not None and moment(end, zone) < moment(start, zone):
        tell("DTEND", _("an event that ends before it starts"), _("the time between is counted as busy"))
    if "DURATION" in event and event["DURATION"].dt < timedelta(0):
        tell(
            "DURATION",
            _("an event of less than no time"),
            _("it is not counted: enter these hours under 'away'"),
        )
    if "DURATION" in event and end is not None:
        event.pop("DURATION")
        tell("DURATION", _("an event with an end and a length"), _("it is counted up to its end"))


def _listed(values: Any) -> list[Any]:
    """A property that may be there several times, or not at all."""
    return values if isinstance(values, list) else [] if values is None else [values]


def _is_meant(key: str, value: Any) -> bool:
    """Whether a property that was read has the kind of value that it is for."""
    if key in SINGLE:
        given = getattr(value, "dt", None)
        # at either end of what a date can be its zone would lead beyond it
        at_the_end = isinstance(given, date) and not MINYEAR < given.year < MAXYEAR
        return isinstance(given, SINGLE[key]) and not at_the_end
    if key == "RRULE":
        return all(_is_rule(rule) for rule in _listed(value))
    kinds = (date, tuple) if key == "RDATE" else date
    return all(isinstance(part.dt, kinds) for listed in _listed(value) for part in getattr(listed, "dts", ()))


def _is_rule(rule: Any) -> bool:
    """Whether a recurrence says how often, and a count of it is one."""
    try:
        return bool(rule.get("FREQ")) and all(int(n) > 0 for n in rule.get("COUNT", []))
    except (TypeError, ValueError):
        return False


def _unknown_zones(values: Any) -> Iterator[str]:
    """The TZIDs that were given and that no zone was found for."""
    for value in _listed(values):
        zone = getattr(value, "params", {}).get("TZID")
        moments = [getattr(value, "dt", None), *(d.dt for d in getattr(value, "dts", ()))]
        if zone and any(isinstance(m, datetime) and m.tzinfo is None for m in moments):
            yield str(zone)


def flatten(calendar: Any, events: list[Any]) -> None:
    """Leaves these events in the calendar, and no others inside them or elsewhere in it."""
    for part in calendar.walk():
        part.subcomponents = [c for c in part.subcomponents if c.name != "VEVENT"]
    calendar.subcomponents.extend(events)


def moment(value: date, zone: ZoneInfo) -> datetime:
    """A DATE or DATE-TIME as an instant in UTC; what has no zone is of the case's."""
    if not isinstance(value, datetime):
        value = datetime.combine(value, time())
    return (value if value.tzinfo else value.replace(tzinfo=zone)).astimezone(UTC)
