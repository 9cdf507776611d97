"""What people are still to be told of a kept week, and that somebody was told it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import _, for_files
from genplan.workflow.week_as_told import first_told, open_to_tell, told_week_in_force

if TYPE_CHECKING:
    from genplan.case import Case, Week
    from genplan.keeping.told import KeptWeek, Person
    from genplan.workflow.week_as_told import ToldWeek


@for_files()
def texts_to_send(view: ToldWeek) -> dict[str, bytes]:
    """What changes for each, by the name of the file, as all of it stands now and as far as it is still to come:
    against what that person was told last, or, where that is not known, what was told when the week was kept."""
    from genplan.keeping.heard import since_heard, to_put_away
    from genplan.keeping.to_tell import to_tell
    from genplan.report.change_texts import change_texts

    case, told, now = view.opened.case, view.told, view.now
    tell = to_tell(told.tellings, view.so, now, case.wishes, case)
    if not tell.new:
        tell = to_tell(told.tellings[:-1], view.so, now, case.wishes, case)
    heard = since_heard(told, view.so, now, case, case.wishes)
    put_away = to_put_away(told, now, case)
    return change_texts(case, view.week, now, tell.new, tell.again, heard, put_away)


def people_to_tell(view: ToldWeek) -> tuple[Person, ...]:
    """Who is still to be told something."""
    from genplan.keeping.heard import may_be_told
    from genplan.report.week_changes import file_of

    texts = texts_to_send(view)
    return tuple(p for p in may_be_told(view.opened.case, view.told) if file_of(*p) in texts)


def mark_told(
    folder: Path, week: Week | None, who: str, now: datetime | None, seen: str | None = None
) -> str:
    """Writes down that somebody, by id, was told all that is different in a kept week. `seen`: what the text said, in
    its one word, to whoever says so. Returns that in a sentence. Raises UsageError where the text says something else
    by now, or nobody is called so."""
    from genplan.keeping.heard import write_heard
    from genplan.report.change_texts import seen_as
    from genplan.report.week_changes import file_of

    opened, unread = open_to_tell(folder, now)
    view = told_week_in_force(opened, week or first_told(opened), unread)
    person = _person(opened.case, who, view.told)
    text = texts_to_send(view).get(file_of(*person), b"").decode()
    if seen is not None and seen != seen_as(text):
        raise UsageError(
            _(
                "What is to be told has changed meanwhile. Nothing was written down: look at the text once more, and "
                "send it as it is now."
            )
        )
    write_heard(folder, opened.case, view.in_force, person, opened.now)
    name, number = called(opened.case, person), view.week.number
    return (
        _("Written down: {name} was told what is different in week {number}.", name=name, number=number)
        if text
        else _("Written down: {name} was told of week {number}.", name=name, number=number)
    )


def mark_not_told(folder: Path, week: Week | None, who: str, now: datetime | None) -> str:
    """Takes that back. Raises UsageError where nobody said so."""
    from genplan.keeping.heard import take_heard_back
    from genplan.keeping.store import read_kept

    opened, _unread = open_to_tell(folder, now)
    wanted = week or first_told(opened)
    kept = read_kept(folder, wanted, opened.case)
    person = _person(opened.case, who, kept)
    name = called(opened.case, person)
    if kept is None or person not in kept.last_heard:
        raise UsageError(
            _(
                "It is not written down that {name} was told of week {number}.",
                name=name,
                number=wanted.number,
            )
        )
    take_heard_back(folder, opened.case, wanted, person)
    return _("Taken back: {name} is to be told of week {number}.", name=name, number=wanted.number)


def called(case: Case, person: Person) -> str:
    """Whom somebody tells it to."""
    from genplan.report.names_and_words import Names
    from genplan.report.people_told import bringer

    names = Names(case)
    return names.adult(person.id) if person.kind == "adult" else bringer(names.learner(person.id))


def _person(case: Case, who: str, kept: KeptWeek | None) -> Person:
    """`adult:ID` and `learner:ID` say which of two of one id is meant. Whoever was told of the week can be named, also
    who is not in the case any more."""
    from genplan.keeping.heard import may_be_told
    from genplan.workflow.meant_by_name import id_meant

    kind, _colon, id_ = who.rpartition(":")
    there = may_be_told(case, kept)
    ids = ", ".join(dict.fromkeys(p.id for p in there))
    if not id_.strip():
        raise UsageError(_("Nobody is named, so nothing was written. There are: {ids}.", ids=ids))
    if not any(p.id == id_ for p in there):
        kinds = dict.fromkeys(p.kind for p in there if kind in ("", p.kind))
        id_ = id_meant(case, [f"{k}s" for k in kinds], id_)
    found = [p for p in there if p.id == id_ and kind in ("", p.kind)]
    if len(found) == 1:
        return found[0]
    if found:
        raise UsageError(
            _("An adult and a learner are both called {id}: say adult:{id} or learner:{id}.", id=id_)
        )
    raise UsageError(
        _(
            "The case has no adult and no learner called {id}. There are: {ids}.",
            id=who,
            ids=ids,
        )
    )
