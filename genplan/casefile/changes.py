"""`changes`: dated facts that came up after the case was written, wishes for a week, and the case with them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Any, TypeVar

from genplan.case import Absence, Case
from genplan.case.people import AbsenceKind
from genplan.case.wishes_of_planners import WishKind
from genplan.casefile import time_texts
from genplan.casefile.composite_types import list_of, table_of
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.planners_wishes import (
    BESIDE,
    TWO,
    WISHES,
    Known,
    a_sitting,
    a_time_of_a_day,
    an_id_of_either,
    check_wish,
    wishes_of,
)
from genplan.casefile.privacy import DATES, GROUP, PATTERNS, SITTINGS, InCopy, ids
from genplan.casefile.privacy import said as a_text
from genplan.casefile.record_types import BY_HAND, Key, NoField, Shape, shape
from genplan.casefile.scalar_types import FieldType, an_id, parsed, text
from genplan.findings import nearest
from genplan.language import N_, _, and_list, or_list, said

FACTS = ("away", "closed", "missing", "extra")
A_MOMENT = N_("a date such as 2026-12-01, or with a time: 2026-12-01 16:00")


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
        raise InvalidValue(f"'{text_.strip()}'", said(A_MOMENT), problem.hint) from None
    return on + timedelta(minutes=minute)


A_MOMENT_TEXT = rf"{time_texts.A_DAY}(?:[ T]+{time_texts.TIME_TEXT})?"
TOLD = NoField(N_("a change is told on the page's 'Something changed', and written with 'genplan change'"))


def _row(
    kind: FieldType, words: str, copy: InCopy, default: str = N_("none"), *, required: bool = False
) -> Key:
    return Key(kind, words, copy=copy, form=TOLD, default=default, required=required, lands=BY_HAND)


A_START = parsed(A_MOMENT, _start, A_MOMENT_TEXT)
AN_END = parsed(A_MOMENT, _end, A_MOMENT_TEXT)
A_TIME = a_time_of_a_day(_start)

ADDED: Shape = {
    "learner": _row(an_id(), N_("whose sitting it is"), ids("learners"), required=True),
    "adult": _row(an_id(), N_("who runs it"), ids("adults"), required=True),
    "location": _row(an_id(), N_("where"), ids("locations"), required=True),
    "start": _row(A_TIME, N_("when it begins"), DATES, required=True),
    "target": _row(an_id(), N_("what is probed"), ids("targets"), required=True),
    "material_set": _row(an_id(), N_("with which set"), ids("material_sets"), required=True),
    "values": _row(
        table_of(text(), N_("values of further dimensions, such as {wording: Zip it up}")),
        N_("the values of the target's further dimensions"),
        PATTERNS,
        N_("the first that can be probed"),
    ),
}

CHANGE: Shape = {
    "away": _row(an_id(), N_("the adult or learner who is away"), ids("adults", "learners")),
    "closed": _row(an_id(), N_("the location that is shut"), ids("locations")),
    "missing": _row(
        an_id(), N_("the material set that is not there, such as one left at school"), ids("material_sets")
    ),
    "extra": _row(an_id(), N_("the adult who offers more time, once: hours of one day"), ids("adults")),
    "hold": _row(a_sitting(), N_("a wish: this sitting stays as people were told of it"), SITTINGS),
    "not": _row(a_sitting(), N_("a wish: this sitting is not to be"), SITTINGS),
    "move": _row(a_sitting(), N_("a wish: this sitting is to begin at the moment `to`"), SITTINGS),
    "rather": _row(
        an_id(),
        N_("a wish: a sitting with this adult between `from` and `to`, rather than another"),
        ids("adults"),
    ),
    "add": _row(shape(N_("an added sitting"), ADDED), N_("a wish: a sitting that is decided by hand"), GROUP),
    "apart": _row(
        list_of(an_id_of_either(), least=1, one_alone=False, expects=TWO),
        N_("a wish: these two are not to be on one day: targets, or sittings of a learner with an adult"),
        SITTINGS,
    ),
    "from": _row(
        A_START,
        N_("since when"),
        DATES,
        N_("none: it must be given with away, closed, missing, extra and rather"),
    ),
    "to": _row(
        AN_END,
        N_("until when; of a date its end. Of `move` when the sitting is to begin"),
        DATES,
        N_("the end of the first day"),
    ),
    "learner": _row(
        an_id(), N_("of `rather`: whose sitting"), ids("learners"), N_("each child of that adult")
    ),
    "adult": _row(an_id(), N_("of `move`: who runs it then"), ids("adults"), N_("who was to")),
    "location": _row(an_id(), N_("of `move`: where it is then"), ids("locations"), N_("where it was to be")),
    "at": _row(
        A_TIME,
        N_(
            "of `hold`, `not` and `move`: when the sitting was to begin; the program writes "
            "it, since an id may be another sitting's once the week was told anew"
        ),
        DATES,
        N_("as people were told"),
    ),
    "note": _row(text(), N_("why, in your words"), a_text("note ")),
}


DATED_BY = ("from", "hold", "not", "move", "add", "apart")
"""Each change has one of these: a sitting's id has its week in it."""


def until(change: Mapping[str, Any]) -> datetime:
    """Its end: `to`, or the end of the day on which it starts."""
    given: datetime | None = change.get("to")
    start: datetime = change["from"]
    return given or datetime.combine(start.date(), time()) + timedelta(days=1)


def _moment_words(moment: datetime) -> str:
    """As the file writes it; a date where the day begins."""
    return f"{moment:%Y-%m-%d}" if moment.time() == time() else f"{moment:%Y-%m-%d %H:%M}"


def _end_words(end: datetime) -> str:
    """An end at midnight was mostly written as the date of the day before, and is its end in any case."""
    if end.time() == time():
        return _("the end of {day}", day=f"{end - timedelta(days=1):%Y-%m-%d}")
    return _("the end {moment}", moment=_moment_words(end))


def check_changes(changes: Sequence[Mapping[str, Any]], known: Known, notes: Diagnostics) -> None:
    """One fact or wish each, of somebody or something that the case has, in the right order of time."""
    for number, change in enumerate(changes, 1):
        path = ("changes", str(number))
        facts = [f for f in (*FACTS, *WISHES) if f in change]
        if not facts and any((*path, f) in notes.marks for f in (*FACTS, *WISHES)):
            continue  # why it cannot be read is told already
        if len(facts) != 1:
            named = and_list([f"'{f}'" for f in facts])
            found = _("{named} in one change", named=named) if facts else _("a change that says nothing")
            expected = _("one of {kinds}", kinds=", ".join((*FACTS, *WISHES)))
            notes.error(path, found, expected, _("write each fact as a change of its own"))
            continue
        if "from" in change and until(change) <= change["from"]:
            end, start = until(change), change["from"]
            found = _("{end}, which is not after {start}", end=_end_words(end), start=_moment_words(start))
            notes.error((*path, "to"), found, _("a later moment"), _("turn the two round, or correct one"))
        if facts[0] in WISHES:
            check_wish(change, WishKind(facts[0]), path, known, notes)
        else:
            _check_fact(change, facts[0], path, known, notes)


def _check_fact(change: Mapping[str, Any], fact: str, path: Path, known: Known, notes: Diagnostics) -> None:
    sections = _sections(fact)
    holders = [s for s in sections if change[fact] in known.ids[s]]
    if "from" not in change and (*path, "from") not in notes.marks:
        notes.error((*path, "from"), _("no 'from'"), said(A_MOMENT), _("add 'from: …'"))
    for key in sorted(change.keys() & {k for keys in BESIDE.values() for k in keys} - {"from", "to"}):
        notes.error(
            (*path, key),
            _("'{key}' in a change with '{fact}'", key=key, fact=fact),
            _("no more than {fact}, from, to, note", fact=fact),
        )
    if not holders:
        words = or_list([f"'{s}'" for s in sections])
        hint = nearest(change[fact], {i for s in sections for i in known.ids[s]})
        found = _("'{id}', which is not there", id=change[fact])
        notes.error(
            (*path, fact),
            found,
            _("an id under {words}", words=words),
            hint or _("add it there, or correct it here"),
        )
    if len(holders) > 1:
        found = _("'{id}', which is an adult's id and a learner's", id=change[fact])
        notes.error((*path, fact), found, _("an id of one"), _("write it under that person's own 'away'"))
    if fact == "extra" and "from" in change and until(change) - change["from"] >= timedelta(days=1):
        notes.error(path, _("an extra stretch of a day or more"), _("hours of one day, with 'from' and 'to'"))


def _sections(fact: str) -> tuple[str, ...]:
    return {"away": ("adults", "learners"), "closed": ("locations",), "missing": ("material_sets",)}.get(
        fact, ("adults",)
    )


T = TypeVar("T", bound=Any)


def with_changes(case: Case, changes: Sequence[Mapping[str, Any]], known: Known) -> Case:
    """The case with checked changes."""
    stretches: dict[tuple[str, str], set[Absence]] = defaultdict(set)
    for change in changes:
        what = next((f for f in FACTS if f in change), "")
        if not what:
            continue
        stretches[what, change[what]].add(
            Absence(change["from"], until(change), AbsenceKind(what), change.get("note", ""))
        )

    def joined(things: Mapping[str, T], what: str) -> dict[str, T]:
        """The things, of which few have changes."""
        fresh = dict(things)
        for of, id_ in stretches:
            if of == what and id_ in fresh:
                thing, more = fresh[id_], stretches[of, id_]
                there = getattr(thing, what)
                fresh[id_] = replace(thing, **{what: tuple(sorted({*there, *more}))})
        return fresh

    return replace(
        case,
        learners=joined(case.learners, "away"),
        adults=joined(joined(case.adults, "away"), "extra"),
        locations=joined(case.locations, "closed"),
        material_sets=joined(case.material_sets, "missing"),
        wishes=wishes_of(changes, known),
    )
