"""What a new plan changes for people as files, ready to send to each of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from genplan.case import Case, Week
from genplan.folders import LAST_OF_CHANGES
from genplan.keeping.differences import Difference
from genplan.language import N_, _, said
from genplan.report.names_and_words import day_words, long_date
from genplan.report.plain_characters import clock
from genplan.report.week_changes import PersonChanges, changes_of_people

AGAIN = N_(
    "Nobody writes down here whether earlier changes were sent. So these texts end with what is different for whoever"
    " did not get them."
)


def change_texts(
    case: Case,
    week: Week,
    now: datetime,
    differences: Sequence[Difference],
    again: Sequence[Difference] = (),
) -> dict[str, bytes]:
    """A file for each person who has to be told something, ready to send: plain text, and no word of what does not
    concern that person. `again` is for whoever missed what was told before, and stands below."""
    new, old = ({p.file: p for p in changes_of_people(case, some)} for some in (differences, again))
    return {
        file: _text(case, week, now, new.get(file), old.get(file)).encode()
        for file in dict.fromkeys((*new, *old))
    }


def _text(case: Case, week: Week, now: datetime, new: PersonChanges | None, old: PersonChanges | None) -> str:
    person = new or old
    assert person is not None
    again = (
        (_("If you did not get the changes sent before, this is different for you too:"), *_listed(old))
        if old
        else ()
    )
    head = _(
        "What changes in the week from {monday} to {sunday} for {name}",
        monday=day_words(week.monday),
        sunday=long_date(week.sunday),
        name=person.name,
    )
    return "\n".join(
        (
            head,
            _(
                "As of {day}, {time}; times of {timezone}",
                day=day_words(now.date()),
                time=clock(now),
                timezone=case.timezone,
            ),
            "",
            *_listed(new),
            *([""] if new and old else []),
            *again,
            "",
            said(LAST_OF_CHANGES),
            "",
        )
    )


def _listed(person: PersonChanges | None) -> list[str]:
    return [f"- {line}" for line in person.lines] if person else []
