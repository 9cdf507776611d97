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
    from genplan.keeping.told import Person
    from genplan.workflow.week_as_told import ToldWeek


@for_files()
def texts_to_send(view: ToldWeek) -> dict[str, bytes]:
    """What changes for each, by the name of the file, as all of it stands now and as far as it is still to come:
    against what that person was told last, or, where that is not known, what was told when the week was kept."""
    from genplan.keeping.heard import since_heard
    from genplan.keeping.to_tell import to_tell
    from genplan.report.change_texts import change_texts

    case, told, now = view.opened.case, view.told, view.now
    tell = to_tell(told.tellings, view.kept, now, case.wishes, case)
    if not tell.new:
        tell = to_tell(told.tellings[:-1], view.kept, now, case.wishes, case)
    heard = since_heard(told, view.kept, now, case, case.wishes)
    return change_texts(case, view.week, now, tell.new, tell.again, heard)


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
    person = _person(opened.case, who)
    if seen is not None and seen != seen_as(texts_to_send(view).get(file_of(*person), b"").decode()):
        raise UsageError(
            _(
                "What is to be told has changed meanwhile. Nothing was written down: look at the text once more, and "
                "send it as it is now."
            )
        )
    write_heard(folder, opened.case, view.in_force, person, opened.now)
    return _(
        "Written down: {name} was told what is different in week {number}.",
        name=called(opened.case, person),
        number=view.week.number,
    )


def mark_not_told(folder: Path, week: Week | None, who: str, now: datetime | None) -> str:
    """Takes that back. Raises UsageError where nobody said so."""
    from genplan.keeping.heard import take_heard_back
    from genplan.keeping.store import read_kept

    opened, _unread = open_to_tell(folder, now)
    wanted, person = week or first_told(opened), _person(opened.case, who)
    name = called(opened.case, person)
    kept = read_kept(folder, wanted, opened.case)
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


def _person(case: Case, who: str) -> Person:
    """`adult:ID` and `learner:ID` say which of two of one id is meant."""
    from genplan.keeping.told import Person
    from genplan.workflow.meant_by_name import id_meant

    kind, _colon, id_ = who.rpartition(":")
    there = {"adult": case.adults, "learner": case.learners}
    if not any(id_ in things for things in there.values()):
        id_ = id_meant(case, [f"{k}s" for k in there if kind in ("", k)], id_)
    found = [Person(k, id_) for k, things in there.items() if id_ in things and kind in ("", k)]
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
            ids=", ".join((*case.adults, *case.learners)),
        )
    )
