"""What a calendar file must not do to the computer that reads it: limits on its size and on its repetitions.

Measured with the library that expands recurrences: a rule by the second or minute, or one with an interval of
0, keeps a processor busy for as long as one waits; so such files are refused with a sentence before anything
is expanded.
"""

from __future__ import annotations

import re
from datetime import date
from math import prod
from typing import Any

from genplan.case import Week
from genplan.casefile.visible import cut

MOST_BYTES = 20_000_000
MOST_EVENTS = 20_000
MOST_STEPS = 5_000_000
"""Dates that all rules together may run through up to the week: some ten seconds of work."""

OLDEST = 1900
STEPS_A_YEAR = {"DAILY": 366, "WEEKLY": 53, "MONTHLY": 12, "YEARLY": 1}
FINEST = "an event that repeats daily, weekly, monthly or yearly"


class Refused(ValueError):
    """A calendar file that is not read at all; the parts are those of a `Finding`."""

    def __init__(self, found: str, expected: str, hint: str = "", line: int = 0) -> None:
        self.found, self.expected, self.hint, self.line = found, expected, hint, line
        super().__init__(found)


def refuse_hostile(data: bytes) -> None:
    """Looks at the bare text. Raises Refused for too big a file and for rules that cannot be expanded."""
    if len(data) > MOST_BYTES:
        raise too_big(len(data))
    events = len(begin_lines(data, "VEVENT"))
    if events > MOST_EVENTS:
        raise Refused(f"{events} events", f"at most {MOST_EVENTS}", "export a shorter span of time")
    text = data.decode("utf-8", "replace")
    # A long line goes on in the next one behind a blank (RFC 5545, 3.1).
    for rule in re.finditer(
        r"^(?:RRULE|EXRULE)\b(?:.*(?:\r?\n[ \t].*)*)", text, re.MULTILINE | re.IGNORECASE
    ):
        whole = re.sub(r"\r?\n[ \t]", "", rule[0]).upper()
        line = text.count("\n", 0, rule.start()) + 1
        fine = re.search(r"FREQ=(SECONDLY|MINUTELY|HOURLY)", whole)
        if fine:
            raise Refused(
                f"an event that repeats {fine[1].lower()}", FINEST, "take it out of the calendar", line
            )
        interval = re.search(r"INTERVAL=([^;\r\n]*)", whole)
        if interval and not re.fullmatch(r"0*[1-9][0-9]{0,5}", interval[1].strip()):
            found = f"an event that repeats with the interval '{cut(interval[1].strip())}'"
            raise Refused(found, "an interval of 1 or more", "take it out of the calendar", line)


def too_big(size: int) -> Refused:
    """For a file of so many bytes."""
    most = f"at most {MOST_BYTES // 1_000_000} MB"
    return Refused(f"a calendar of {size // 1_000_000} MB", most, "export a shorter span of time")


def begin_lines(data: bytes, name: str) -> list[int]:
    """The 1-based lines on which components of this name begin."""
    found = re.finditer(rb"^BEGIN:" + name.encode() + rb"[ \t]*\r?$", data, re.MULTILINE | re.IGNORECASE)
    lines, counted, line = [], 0, 1
    for match in found:
        line += data.count(b"\n", counted, match.start())
        counted = match.start()
        lines.append(line)
    return lines


def refuse_long_repeats(calendar: Any, week: Week) -> None:
    """Raises Refused if the rules of a parsed calendar run through too many dates before the week ends."""
    steps = 0
    for event in calendar.walk("VEVENT"):
        rules = event.get("RRULE")
        start: date = event["DTSTART"].dt
        if rules is None:
            continue
        if start.year < OLDEST:
            hint = "take it out of the calendar"
            raise Refused(f"an event that repeats since the year {start.year}", f"a year from {OLDEST}", hint)
        for rule in rules if isinstance(rules, list) else [rules]:
            steps += _steps(rule, max(1, week.year + 1 - start.year))
    if steps > MOST_STEPS:
        found = f"repetitions that run through {steps // 1_000_000} million dates up to {week}"
        raise Refused(
            found, f"at most {MOST_STEPS // 1_000_000} million", "export without old repeating events"
        )


def _steps(rule: Any, years: int) -> int:
    a_year = STEPS_A_YEAR.get(str(rule.get("FREQ", ["DAILY"])[0]).upper(), 366)
    within = prod(max(1, len(rule.get(part, []))) for part in ("BYHOUR", "BYMINUTE", "BYSECOND"))
    return years * a_year * within // int(rule.get("INTERVAL", [1])[0]) + 1
