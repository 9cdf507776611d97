"""`changes`: dated facts that came up after the case was written, and the case with them."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Any

from genplan.case import Absence, Case
from genplan.casefile import hours
from genplan.casefile.kinds import an_id, parsed, text
from genplan.casefile.notes import Notes, Unclear
from genplan.casefile.shapes import Key, Shape
from genplan.findings import nearest

FACTS = ("away", "closed", "missing", "extra")
A_MOMENT = "a date such as 2026-12-01, or with a time: 2026-12-01 16:00"


def _start(text_: str) -> datetime:
    return _moment(text_, ends=False)


def _end(text_: str) -> datetime:
    return _moment(text_, ends=True)


def _moment(text_: str, *, ends: bool) -> datetime:
    """A date alone is its first minute, or its end."""
    parts = re.split(r"[ T]+", text_.strip(), maxsplit=1)
    try:
        on = datetime.combine(hours.day(parts[0]), time())
        minute = hours.minute_of_day(parts[1], ends=ends) if len(parts) > 1 else 1440 if ends else 0
    except Unclear as problem:
        raise Unclear(f"'{text_.strip()}'", A_MOMENT, problem.hint) from None
    return on + timedelta(minutes=minute)


CHANGE: Shape = {
    "away": Key(an_id(), "the adult or learner who is away"),
    "closed": Key(an_id(), "the location that is closed"),
    "missing": Key(an_id(), "the material set that is not there"),
    "extra": Key(an_id(), "the adult who offers more time, once"),
    "from": Key(parsed(A_MOMENT, _start), "since when", required=True),
    "to": Key(parsed(A_MOMENT, _end), "until when; of a date its end", "the end of the first day"),
    "note": Key(text(), "why, in your words"),
}


def until(change: Mapping[str, Any]) -> datetime:
    """Its end: `to`, or the end of the day on which it starts."""
    given: datetime | None = change.get("to")
    start: datetime = change["from"]
    return given or datetime.combine(start.date(), time()) + timedelta(days=1)


def check_changes(
    changes: Sequence[Mapping[str, Any]], known: Mapping[str, Collection[str]], notes: Notes
) -> None:
    """One fact each, of somebody or something that the case has, in the right order of time."""
    for number, change in enumerate(changes, 1):
        path = ("changes", str(number))
        facts = [f for f in FACTS if f in change]
        if len(facts) != 1:
            named = " and ".join(f"'{f}'" for f in facts)
            found = f"{named} in one change" if facts else "a change that says nothing"
            notes.error(path, found, f"one of {', '.join(FACTS)}", "write each fact as a change of its own")
            continue
        sections = _sections(facts[0])
        holders = [s for s in sections if change[facts[0]] in known[s]]
        if not holders:
            words = " or ".join(f"'{s}'" for s in sections)
            hint = nearest(change[facts[0]], {i for s in sections for i in known[s]})
            found = f"'{change[facts[0]]}', which is not there"
            notes.error(
                (*path, facts[0]), found, f"an id under {words}", hint or "add it there, or correct it here"
            )
        if len(holders) > 1:
            found = f"'{change[facts[0]]}', which is an adult's id and a learner's"
            notes.error((*path, facts[0]), found, "an id of one", "write it under that person's own 'away'")
        if "from" in change and until(change) <= change["from"]:
            found = (
                f"the end {until(change):%Y-%m-%d %H:%M}, which is not after {change['from']:%Y-%m-%d %H:%M}"
            )
            notes.error((*path, "to"), found, "a later moment", "turn the two round, or correct one")
        if facts[0] == "extra" and "from" in change and until(change) - change["from"] >= timedelta(days=1):
            notes.error(path, "an extra stretch of a day or more", "hours of one day, with 'from' and 'to'")


def _sections(fact: str) -> tuple[str, ...]:
    return {"away": ("adults", "learners"), "closed": ("locations",), "missing": ("material_sets",)}.get(
        fact, ("adults",)
    )


def with_changes(case: Case, changes: Sequence[Mapping[str, Any]]) -> Case:
    """The case with checked changes."""
    for change in changes:
        case = _with_change(case, change)
    return case


def _with_change(case: Case, change: Mapping[str, Any]) -> Case:
    note = change.get("note", "")

    def stretch(why: str) -> Absence:
        return Absence(change["from"], until(change), f"{why}: {note}" if note else why)

    if "missing" in change:
        held = case.material_sets[change["missing"]]
        fresh = replace(held, missing=tuple(sorted({*held.missing, stretch("missing")})))
        return replace(case, material_sets={**case.material_sets, held.id: fresh})
    if "closed" in change:
        place = case.locations[change["closed"]]
        shut = replace(place, closed=tuple(sorted({*place.closed, stretch("closed")})))
        return replace(case, locations={**case.locations, place.id: shut})
    if "extra" in change:
        adult = case.adults[change["extra"]]
        more = replace(adult, extra=tuple(sorted({*adult.extra, stretch("extra")})))
        return replace(case, adults={**case.adults, adult.id: more})
    return _away(case, change["away"], stretch("away"))


def _away(case: Case, id_: str, stretch: Absence) -> Case:
    if id_ in case.adults:
        adult = case.adults[id_]
        gone = replace(adult, away=tuple(sorted({*adult.away, stretch})))
        return replace(case, adults={**case.adults, id_: gone})
    learner = case.learners[id_]
    home = replace(learner, away=tuple(sorted({*learner.away, stretch})))
    return replace(case, learners={**case.learners, id_: home})
