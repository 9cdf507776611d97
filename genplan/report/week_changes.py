"""What a new plan changes for people, person by person in words."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby

from genplan.case import Case, Week
from genplan.keeping.deeper import Deeper
from genplan.keeping.differences import Difference
from genplan.language import N_, _, and_list, said
from genplan.language.sentences import capital
from genplan.report.change_words import ChangeTold, change_for_adult, change_for_family
from genplan.report.names_and_words import Names, day_words
from genplan.report.people_told import bringer, people_called
from genplan.report.plain_characters import ended
from genplan.text.tuple_words import common_words

NOTHING = N_("Nothing changes for anybody.")
FOLDER = "changes"
NAMED = N_(
    "The case has an id of its own from now on, so that no other case's events are"
    " taken for these. Whoever took over a calendar of this plan before it was kept takes those events out."
)
"""Said once, when `keep` gave the case its id."""


def changes_summary(case: Case, differences: Sequence[Difference]) -> str:
    """A heading for each person who has to be told something, adults first, and a line for each change."""
    return "\n".join(change_lines(case, differences)) + "\n"


def deeper_lines(case: Case, deeper: Deeper | None) -> tuple[str, ...]:
    """What the deeper search costs and brings."""
    if deeper is None:
        return ()
    if not deeper.taken:
        return (
            _(
                "The deeper search found no week that shows more, so this is the one in which the fewest "
                "people have to be told."
            ),
        )
    return (
        _(
            "The deeper search, against the week with the fewest people told: {figures}.",
            figures=_figures(case, deeper),
        ),
    )


def price_lines(case: Case, week: Week, price: Deeper, told: Sequence[tuple[str, str]] = ()) -> Iterator[str]:
    """What a wish costs, or brings, in a week; `told` are those who are told something for it alone."""
    if figures := _figures(case, price):
        yield _(
            "Week {week}, planned again with it, against the same without it: {figures}.",
            week=week,
            figures=figures,
        )
    else:
        yield _("Week {week}, planned again with it, has no more and no less than without it.", week=week)
    if told:
        yield ended(
            _(
                "Because of it these would have to be told: {people}",
                people=and_list(people_called(Names(case), told)),
            )
        )


def _figures(case: Case, deeper: Deeper) -> str:
    word, words = common_words(case.mastered)
    counts: tuple[tuple[int, str, str], ...] = (
        (deeper.people, N_("person told"), N_("people told")),
        (deeper.rather, N_("sitting that was wished for"), N_("sittings that were wished for")),
        (deeper.due, N_("check that is due"), N_("checks that are due")),
        (deeper.wished, N_("{word} wanted before the rest"), N_("{words} wanted before the rest")),
        (deeper.new, N_("{word}"), N_("{words}")),
        (deeper.teachings, N_("teaching"), N_("teachings")),
        (deeper.observed, N_("probe with a second observer"), N_("probes with a second observer")),
    )
    return ", ".join(
        _more_or_fewer(n, said(one if abs(n) == 1 else many, word=word, words=words))
        for n, one, many in counts
        if n
    )


def _more_or_fewer(n: int, things: str) -> str:
    return (
        _("{n} more {things}", n=n, things=things) if n > 0 else _("{n} fewer {things}", n=-n, things=things)
    )


def change_lines(case: Case, differences: Sequence[Difference]) -> tuple[str, ...]:
    """The lines of it, an empty one between two people."""
    if not differences:
        return (said(NOTHING),)
    people = changes_of_people(case, differences)
    return tuple(
        line for person in people for line in ("", person.name, *(f"  - {change}" for change in person.lines))
    )[1:]


@dataclass(frozen=True)
class PersonChanges:
    """What has to be told to an adult, or to a learner's family.

    - `kind`: adult or learner
    - `id`, `name`: whose, and how that person is called where others read
    - `told`: each change in sentences"""

    kind: str
    id: str
    name: str
    told: tuple[ChangeTold, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """Each change in one line."""
        return tuple(one.line for one in self.told)

    @property
    def whom(self) -> str:
        """Who is told it."""
        return self.name if self.kind == "adult" else bringer(self.name)

    @property
    def file(self) -> str:
        """The file with what changes for this person, below the folder of results."""
        return file_of(self.kind, self.id)


def file_of(kind: str, id_: str) -> str:
    return f"{FOLDER}/{kind}-{id_}.txt"


def changes_of_people(
    case: Case, differences: Sequence[Difference], above: Collection[str] = ()
) -> tuple[PersonChanges, ...]:
    """Each person who has to be told something, adults first; what is first comes first. Learners are called by their
    aliases. Of what is `above`, ids of sittings that another line tells something of, it is said that it is no second
    one."""
    names = Names(case)
    adults = sorted({a for d in differences for a in d.adults})
    learners = sorted({d.sitting.learner for d in differences if d.is_of_learner})
    return (
        *(
            PersonChanges("adult", a, names.adult(a), _told_of(names, "adult", a, differences, above))
            for a in adults
        ),
        *(
            PersonChanges("learner", i, names.learner(i), _told_of(names, "learner", i, differences, above))
            for i in learners
        ),
    )


def _no_second(told: ChangeTold, difference: Difference, above: Collection[str]) -> ChangeTold:
    if difference.after is None or difference.after.id not in above:
        return told
    return replace(told, parts=(*told.parts, _("This is the same sitting as above, and no second one.")))


def _told_of(
    names: Names, kind: str, id_: str, differences: Sequence[Difference], above: Collection[str]
) -> tuple[ChangeTold, ...]:
    own = sorted(_told_to(names, kind, id_, differences), key=lambda one: _moment_of(kind, id_, one[0]))
    return tuple(_no_second(told, difference, above) for difference, told in own)


def _moment_of(kind: str, id_: str, difference: Difference) -> datetime:
    """From when on it is another thing to this person."""
    return difference.first_moment_of(id_) if kind == "adult" else difference.first_moment


def _told_to(
    names: Names, kind: str, id_: str, differences: Sequence[Difference]
) -> Iterator[tuple[Difference, ChangeTold]]:
    """What one person is told of each."""
    if kind == "adult":
        yield from ((d, change_for_adult(names, d, id_)) for d in differences if id_ in d.adults)
        return
    own = [d for d in differences if d.sitting.learner == id_ and d.is_of_learner]
    yield from ((d, change_for_family(names, d)) for d in _with_stand_ins(own))


@dataclass(frozen=True)
class DayChanges:
    """What is told of one day: each change with whom it is told, in order of time. What moves to another day stands on
    the earlier of the two, unless that is nothing to the one who is told."""

    day: date
    lines: tuple[tuple[str, str], ...]


def changes_by_day(case: Case, differences: Sequence[Difference]) -> tuple[DayChanges, ...]:
    """The same as `changes_of_people`, so that a reader finds a day."""
    names = Names(case)
    found = [
        ((_moment_of(person.kind, person.id, d), d.sitting.id, number), person.whom, told.line)
        for number, person in enumerate(changes_of_people(case, differences))
        for d, told in _told_to(names, person.kind, person.id, differences)
    ]
    days = groupby(sorted(found), key=lambda one: one[0][0].date())
    return tuple(DayChanges(day, tuple((whom, line) for _, whom, line in some)) for day, some in days)


def lines_by_day(case: Case, differences: Sequence[Difference], today: date) -> tuple[str, ...]:
    """A heading for each day, and below it each change with whom it is told; an empty line between two days."""
    return tuple(
        line
        for found in changes_by_day(case, differences)
        for line in (
            "",
            day_of_changes(found, today),
            *(f"  - {capital(whom)}: {change}" for whom, change in found.lines),
        )
    )[1:] or (said(NOTHING),)


def day_of_changes(found: DayChanges, today: date) -> str:
    day = day_words(found.day)
    return _("Today, {day}", day=day) if found.day == today else day


def _with_stand_ins(own: Sequence[Difference]) -> Iterator[Difference]:
    """The differences of one learner. That one adult is not there and another is at that time is one thing to a family;
    each of the two is told by itself."""
    dropped = {d.before.start: d.before for d in own if d.before and not d.after}
    stands_in = {d.after.start for d in own if d.after and not d.before} & dropped.keys()
    for d in own:
        if d.sitting.start not in stands_in or (d.before and d.after):
            yield d
        elif d.after:
            yield replace(d, before=dropped[d.after.start])
