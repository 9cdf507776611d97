"""What a new plan changes for people as files, ready to send to each of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from hashlib import sha256
from types import MappingProxyType

from genplan.case import Case, Week
from genplan.folders import LAST_OF_CHANGES
from genplan.keeping.banned import things_of
from genplan.keeping.differences import Difference
from genplan.keeping.heard import concerns
from genplan.keeping.told import Person
from genplan.language import N_, _, said
from genplan.report.names_and_words import day_words, long_date
from genplan.report.plain_characters import clock
from genplan.report.week_changes import PersonChanges, changes_of_people, file_of

AGAIN = N_(
    "Of some it is not written down whether they were told of earlier changes. So their texts end with what is"
    " different for whoever was not."
)


def change_texts(
    case: Case,
    week: Week,
    now: datetime,
    differences: Sequence[Difference],
    again: Sequence[Difference] = (),
    heard: Mapping[Person, Sequence[Difference]] = MappingProxyType({}),
    put_away: Mapping[Person, Sequence[Difference]] = MappingProxyType({}),
) -> dict[str, bytes]:
    """A file for each person who has to be told something, ready to send: plain text, and no word of what does not
    concern that person. `again` is for whoever missed what was told before, and stands below; of those of whom it is
    known what they `heard`, what is otherwise since then stands alone. What is to be `put_away` at
    home stands first, unless a change says it of the same things."""
    new = {p.file: p for p in changes_of_people(case, differences)}
    above = {d.after.id for d in differences if d.after}
    old = {p.file: p for p in changes_of_people(case, again, above)}
    for person, since in heard.items():
        file = file_of(*person)
        old.pop(file, None)
        new.pop(file, None)
        new |= {p.file: p for p in changes_of_people(case, since) if p.file == file}
    for person, found in put_away.items():
        said_of = heard.get(person, (*differences, *again))
        own = tuple(_not_said(case, person, found, said_of))
        for p in changes_of_people(case, own):
            if p.file == file_of(*person):
                new[p.file] = replace(p, lines=p.lines + (new[p.file].lines if p.file in new else ()))
    return {
        file: _text(case, week, now, new.get(file), old.get(file)).encode()
        for file in dict.fromkeys((*new, *old))
    }


def _not_said(
    case: Case, person: Person, found: Sequence[Difference], said_of: Sequence[Difference]
) -> Iterator[Difference]:
    """What of it no change says: each says what is not to be there any more of what was."""
    out = {
        (d.before.learner, thing)
        for d in said_of
        if d.before and not d.past and concerns(person, d)
        for thing in things_of(case, d.before)
    }
    for d in found:
        if not any((d.sitting.learner, c.material_set) in out for c in d.more):
            yield d


def nothing_to_tell(case: Case, week: Week, now: datetime, name: str) -> bytes:
    """In the place of a text of which all is past by now, or told."""
    left = _("Nothing is different any more in what is still to come, or you were told of it already.")
    return "\n".join((*_head(case, week, now, name), f"- {left}", "", said(LAST_OF_CHANGES), "")).encode()


def seen_as(text: str) -> str:
    """The same for two texts that say the same, whenever they were drawn."""
    lines = text.splitlines()
    return sha256("\n".join((*lines[:1], *lines[2:])).encode()).hexdigest()[:16]


def _text(case: Case, week: Week, now: datetime, new: PersonChanges | None, old: PersonChanges | None) -> str:
    person = new or old
    assert person is not None
    again = (
        _("If you did not get the changes sent before, this is different for you too:")
        if new
        else _("If you did not get the changes sent before, this is different for you:")
    )
    return "\n".join(
        (
            *_head(case, week, now, person.name),
            *_listed(new),
            *([""] if new and old else []),
            *((again, *_listed(old)) if old else ()),
            "",
            said(LAST_OF_CHANGES),
            "",
        )
    )


def _head(case: Case, week: Week, now: datetime, name: str) -> tuple[str, ...]:
    head = _(
        "What changes in the week from {monday} to {sunday} for {name}",
        monday=day_words(week.monday),
        sunday=long_date(week.sunday),
        name=name,
    )
    as_of = _(
        "As of {day}, {time}; times of {timezone}",
        day=day_words(now.date()),
        time=clock(now),
        timezone=case.timezone,
    )
    return head, as_of, ""


def _listed(person: PersonChanges | None) -> list[str]:
    return [f"- {line}" for line in person.lines] if person else []
