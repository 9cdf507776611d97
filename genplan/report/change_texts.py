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
from genplan.language.sentences import capital
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
    home stands first, and once where a change says it of the same things."""
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
                new[p.file] = replace(p, told=p.told + (new[p.file].told if p.file in new else ()))
    return {
        file: _text(week, now, new.get(file), old.get(file)).encode() for file in dict.fromkeys((*new, *old))
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


def nothing_to_tell(week: Week, now: datetime, person: PersonChanges) -> bytes:
    """In the place of a text of which all is past by now, or told."""
    left = _(
        "in the week from {monday} to {sunday} nothing is different any more in what is still to come, or you were told"
        " of it already.",
        monday=day_words(week.monday),
        sunday=long_date(week.sunday),
    )
    return "\n".join((*_greeting(person), left, "", *_end(now))).encode()


def seen_as(text: str) -> str:
    """The same for two texts that say the same, whenever they were drawn: the last line but one says when."""
    lines = text.splitlines()
    return sha256("\n".join((*lines[:-2], *lines[-1:])).encode()).hexdigest()[:16]


def _text(week: Week, now: datetime, new: PersonChanges | None, old: PersonChanges | None) -> str:
    """What is to be put away first, since it may be in a child's hand while the rest is read."""
    person = new or old
    assert person is not None
    told = [one for some in (new, old) if some for one in some.told]
    away = tuple(f"- {line}" for line in dict.fromkeys(line for one in told for line in one.away))
    missed = (
        _("If you did not get the changes sent before, this is different for you too:")
        if new
        else _("If you did not get the changes sent before, this is different for you:")
    )
    blocks = ((_("this first, please:"), away), (_head(week, person), _listed(new)), (missed, _listed(old)))
    some = [(head, lines) for head, lines in blocks if lines]
    suits = _("If something of it does not suit you, say so: then it is planned again.")
    return "\n".join(
        (
            *_greeting(person),
            *(
                line
                for n, (head, lines) in enumerate(some)
                for line in (capital(head) if n else head, *lines, "")
            ),
            *((suits,) if any(one.asks for one in told) else ()),
            *_end(now),
        )
    )


def _head(week: Week, person: PersonChanges) -> str:
    monday, sunday = day_words(week.monday), long_date(week.sunday)
    if person.kind == "adult":
        return _("in the week from {monday} to {sunday} this changes for you:", monday=monday, sunday=sunday)
    return _(
        "in the week from {monday} to {sunday} this changes for {child}:",
        monday=monday,
        sunday=sunday,
        child=person.name,
    )


def _listed(person: PersonChanges | None) -> tuple[str, ...]:
    """Each change with its parts below it, an empty line between two."""
    told = [one.parts for one in person.told if one.parts] if person else []
    return tuple(
        line
        for n, (first, *rest) in enumerate(told)
        for line in (*([""] if n else ()), f"- {first}", *(f"  {part}" for part in rest))
    )


def _greeting(person: PersonChanges) -> tuple[str, ...]:
    if person.kind == "adult":
        return _("Hello {adult},", adult=person.name), ""
    return _("Hello,"), ""


def _end(now: datetime) -> tuple[str, ...]:
    as_of = _("As of {day}, {time}.", day=day_words(now.date()), time=clock(now))
    return as_of, said(LAST_OF_CHANGES), ""
