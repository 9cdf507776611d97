"""A dated fact that came up, in words: the same where it is written down, on the page and in the list of changes."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.casefile.change_entries import ChangeEntry
from genplan.language import _
from genplan.language.dates import clock, day_words


def fact_text(case: Case, fact: ChangeEntry) -> str:
    """`Nan is away, Thursday 3 December to Friday 4 December (a cold)`, without a full stop."""
    when = _when(fact.start, fact.end) + (f" ({fact.note})" if fact.note else "")
    match fact.what:
        case "missing":
            return _("{thing} is not there, {when}", thing=_called(case, MATERIAL_SET, fact.id), when=when)
        case "extra":
            return _("{adult} is here an extra hour, {when}", adult=_called(case, ADULT, fact.id), when=when)
        case "closed":
            return _("{place} is closed, {when}", place=_called(case, LOCATION, fact.id), when=when)
    return _("{who} is away, {when}", who=_called(case, ADULT, fact.id), when=when)


def _called(case: Case, dimension: str, id_: str) -> str:
    """By name; a learner by the alias, and what the case does not know by the id that was typed."""
    if dimension == ADULT and id_ in case.learners:
        return case.learners[id_].alias
    try:
        return case.called(dimension, id_)
    except KeyError:
        return id_


def _when(start: datetime, end: datetime) -> str:
    """Whole days without their hours, one day once."""
    last = (end - timedelta(minutes=1)).date()
    if start.date() == last:
        day = day_words(last)
        if end.time() != time():
            return _("{day}, {start} to {end}", day=day, start=clock(start), end=clock(end))
        return day if start.time() == time() else _("{day} from {start}", day=day, start=clock(start))
    first = day_words(start.date())
    if start.time() != time():
        first = _("{day} from {start}", day=first, start=clock(start))
    until = day_words(last)
    if end.time() != time():
        until = _("{day}, {end}", day=until, end=clock(end))
    return _("{first} to {last}", first=first, last=until)
