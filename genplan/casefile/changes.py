"""`changes`: dated facts that came up after the case was written, and the case with them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Any

from genplan.case import Absence, Case
from genplan.case.people import AbsenceKind
from genplan.casefile import time_texts
from genplan.casefile.diagnostics import Diagnostics, InvalidValue
from genplan.casefile.privacy import DATES, InCopy, ids, said
from genplan.casefile.record_types import BY_HAND, Key, NoField, Shape
from genplan.casefile.scalar_types import FieldType, an_id, parsed, text
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
        on = datetime.combine(time_texts.day(parts[0]), time())
        minute = time_texts.minute_of_day(parts[1], ends=ends) if len(parts) > 1 else 1440 if ends else 0
    except InvalidValue as problem:
        raise InvalidValue(f"'{text_.strip()}'", A_MOMENT, problem.hint) from None
    return on + timedelta(minutes=minute)


A_MOMENT_TEXT = rf"{time_texts.A_DAY}(?:[ T]+{time_texts.TIME_TEXT})?"
TOLD = NoField("a change is told on the page's 'Something changed', and written with 'genplan change'")


def _row(kind: FieldType, words: str, copy: InCopy, default: str = "none", *, required: bool = False) -> Key:
    return Key(kind, words, copy=copy, form=TOLD, default=default, required=required, lands=BY_HAND)


CHANGE: Shape = {
    "away": _row(an_id(), "the adult or learner who is away", ids("adults", "learners")),
    "closed": _row(an_id(), "the location that is shut", ids("locations")),
    "missing": _row(
        an_id(), "the material set that is not there, such as one left at school", ids("material_sets")
    ),
    "extra": _row(an_id(), "the adult who offers more time, once: hours of one day", ids("adults")),
    "from": _row(parsed(A_MOMENT, _start, A_MOMENT_TEXT), "since when", DATES, required=True),
    "to": _row(
        parsed(A_MOMENT, _end, A_MOMENT_TEXT),
        "until when; of a date its end",
        DATES,
        "the end of the first day",
    ),
    "note": _row(text(), "why, in your words", said("note ")),
}


def until(change: Mapping[str, Any]) -> datetime:
    """Its end: `to`, or the end of the day on which it starts."""
    given: datetime | None = change.get("to")
    start: datetime = change["from"]
    return given or datetime.combine(start.date(), time()) + timedelta(days=1)


def check_changes(
    changes: Sequence[Mapping[str, Any]], known: Mapping[str, Collection[str]], notes: Diagnostics
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
    stretches: dict[tuple[str, str], set[Absence]] = defaultdict(set)
    for change in changes:
        what = next(f for f in FACTS if f in change)
        stretches[what, change[what]].add(
            Absence(change["from"], until(change), AbsenceKind(what), change.get("note", ""))
        )

    def joined(what: str, id_: str, there: tuple[Absence, ...]) -> tuple[Absence, ...]:
        more = stretches.get((what, id_))
        return tuple(sorted({*there, *more})) if more else there

    return replace(
        case,
        learners={i: replace(p, away=joined("away", i, p.away)) for i, p in case.learners.items()},
        adults={
            i: replace(p, away=joined("away", i, p.away), extra=joined("extra", i, p.extra))
            for i, p in case.adults.items()
        },
        locations={i: replace(p, closed=joined("closed", i, p.closed)) for i, p in case.locations.items()},
        material_sets={
            i: replace(m, missing=joined("missing", i, m.missing)) for i, m in case.material_sets.items()
        },
    )
