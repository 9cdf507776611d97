"""What a calendar file must not do to the computer that reads it: limits on its size and on its repetitions.

Measured with the library that expands recurrences: a rule by the second or minute, or one with an interval of
0, keeps a processor busy for as long as one waits; so such files are refused with a sentence before anything
is expanded.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Sequence
from datetime import date
from math import prod
from typing import Any

from genplan.case import Week
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.invisible_characters import cut
from genplan.language import N_, _, said

MOST_BYTES = 20_000_000
MOST_EVENTS = 20_000
MOST_WORK = 7_000_000
"""Of all events together, in about a microsecond: some seconds on a slow machine."""
LINE, PERIOD, ZONE, EXPANDING = 35, 40, 1300, 1000
"""The work of a line, of a busy period and a time zone beside their lines, and of looking for the dates of an event
that can lie in the week."""
STEP = {"DAILY": 10, "WEEKLY": 10, "MONTHLY": 15, "YEARLY": 55}
"""The work of each date that a rule runs through up to the week. All measured with the library that does it."""

OLDEST = 1900
STEPS_A_YEAR = {"DAILY": 366, "WEEKLY": 53, "MONTHLY": 12, "YEARLY": 1}
FINEST = N_("an event that repeats daily, weekly, monthly or yearly")


class CalendarRefused(InvalidValue):
    """A calendar file that is not read at all."""


def check_size(data: bytes) -> None:
    """Looks at the bare text. Raises Refused for too big a file, or one of too many events."""
    if len(data) > MOST_BYTES:
        raise too_big(len(data))
    events = len(begin_lines(data, "VEVENT"))
    if events > MOST_EVENTS:
        raise CalendarRefused(
            _("{events} events", events=events),
            _("at most {most}", most=MOST_EVENTS),
            _("export a shorter span of time"),
        )


def check_work(data: bytes) -> None:
    """Looks at the bare text that is going to be parsed. Raises Refused for too much work, and for rules that cannot
    be expanded."""
    events = len(begin_lines(data, "VEVENT"))
    lines, periods, rules = (
        len(re.findall(part, data, re.MULTILINE | re.IGNORECASE))
        for part in (rb"^[^ \t\r\n]", rb"^FREEBUSY\b", rb"^R(?:RULE|DATE)\b")
    )
    zones = len(begin_lines(data, "VTIMEZONE"))
    work = lines * LINE + periods * PERIOD + zones * ZONE + min(rules, events) * EXPANDING
    _refuse_work(
        work,
        _(
            "{lines} lines, {events} events, {rules} repetitions and {zones} time zones",
            lines=lines,
            events=events,
            rules=rules,
            zones=zones,
        ),
    )
    text = data.decode("utf-8", "replace")
    # A long line goes on in the next one behind a blank (RFC 5545, 3.1).
    for rule in re.finditer(
        r"^(?:RRULE|EXRULE)\b(?:.*(?:\r?\n[ \t].*)*)", text, re.MULTILINE | re.IGNORECASE
    ):
        whole = re.sub(r"\r?\n[ \t]", "", rule[0]).upper()
        line = text.count("\n", 0, rule.start()) + 1
        fine = re.search(r"FREQ=(SECONDLY|MINUTELY|HOURLY)", whole)
        if fine:
            raise CalendarRefused(
                _("an event that repeats {frequency}", frequency=fine[1].lower()),
                said(FINEST),
                _("take it out of the calendar"),
                line,
            )
        interval = re.search(r"INTERVAL=([^;\r\n]*)", whole)
        if interval and not re.fullmatch(r"0*[1-9][0-9]{0,5}", interval[1].strip()):
            found = _(
                "an event that repeats with the interval '{interval}'", interval=cut(interval[1].strip())
            )
            raise CalendarRefused(
                found, _("an interval of 1 or more"), _("take it out of the calendar"), line
            )


def too_big(size: int) -> CalendarRefused:
    """For a file of so many bytes."""
    most = _("at most {most} MB", most=MOST_BYTES // 1000000)
    return CalendarRefused(
        _("a calendar of {size} MB", size=size // 1000000), most, _("export a shorter span of time")
    )


def begin_lines(data: bytes, name: str) -> list[int]:
    """The 1-based lines on which components of this name begin."""
    found = re.finditer(rb"^BEGIN:" + name.encode() + rb"[ \t]*\r?$", data, re.MULTILINE | re.IGNORECASE)
    lines, counted, line = [], 0, 1
    for match in found:
        line += data.count(b"\n", counted, match.start())
        counted = match.start()
        lines.append(line)
    return lines


def refuse_long_repeats(events: Sequence[Any], week: Week) -> None:
    """Raises Refused if the dates of these parsed events are too much work up to the week."""
    steps, work = 0, len(events) * EXPANDING
    for event in events:
        start: date = event["DTSTART"].dt
        rules = event.get("RRULE")
        for rule in rules if isinstance(rules, list) else [rules] if rules else []:
            if start.year < OLDEST:
                found, hint = (
                    _("an event that repeats since the year {year}", year=start.year),
                    _("take it out of the calendar"),
                )
                raise CalendarRefused(found, _("a year from {oldest}", oldest=OLDEST), hint)
            frequency = str(rule.get("FREQ", ["DAILY"])[0]).upper()
            dates = _steps(rule, frequency, max(1, _last_year(rule, week) + 1 - start.year))
            steps += dates
            work += dates * STEP.get(frequency, STEP["YEARLY"])
    _refuse_work(
        work,
        _(
            "{number} events that run through {steps} dates up to {week}",
            number=len(events),
            steps=steps,
            week=week,
        ),
    )


def names_no_day(rule: Any) -> bool:
    """Whether a rule is for days that no year has, such as the 30th of February: whoever looks for its dates day by day
    looks up to the year 9999."""
    if rule is None or isinstance(rule, list):
        return False
    months, days = rule.get("BYMONTH", []), rule.get("BYMONTHDAY", [])
    in_a_leap_year = [monthrange(2000, int(m))[1] for m in months if 1 <= int(m) <= 12]
    return bool(months and days) and not any(abs(int(d)) <= last for d in days for last in in_a_leap_year)


def _refuse_work(work: int, found: str) -> None:
    if work > MOST_WORK:
        raise CalendarRefused(
            found,
            _("what can be worked out in seconds"),
            _("export a shorter span of time, without old repeating events"),
        )


def _last_year(rule: Any, week: Week) -> int:
    until = rule.get("UNTIL", [None])[0]
    return min(week.year, until.year) if isinstance(until, date) else week.year


def _steps(rule: Any, frequency: str, years: int) -> int:
    a_year = STEPS_A_YEAR.get(frequency, 366)
    if any(rule.get(part) for part in ("BYDAY", "BYMONTHDAY", "BYYEARDAY")):
        a_year = max(a_year, 53 * min(7, max(1, len(rule.get("BYDAY", [])))))
    within = prod(max(1, len(rule.get(part, []))) for part in ("BYHOUR", "BYMINUTE", "BYSECOND"))
    steps = years * a_year * within // int(rule.get("INTERVAL", [1])[0]) + 1
    count = rule.get("COUNT", [None])[0]
    return min(steps, int(count)) if count else steps
