"""What is asked of the people that a new row names: an adult or a child who was away, another adult than the planned
one, and a child who refused in a row that would count as not met."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.targets import ADULT
from genplan.errors import CaseError, FileError
from genplan.language import _, or_list
from genplan.language.dates import day_words
from genplan.workflow.opened_case import Opened
from genplan.workflow.planned_kinds import planned_in

if TYPE_CHECKING:
    from genplan.case import Adult, Learner
    from genplan.evidence.log import Result
    from genplan.evidence.planned_probes import PlannedProbe


def unlikely(opened: Opened, rows: Sequence[Result]) -> tuple[str, ...]:
    """Of what was run; each may be true all the same."""
    from genplan.evidence.log import ResultKind

    run = [row for row in rows if row.kind is not ResultKind.NOT_RUN and not row.planned]
    found = (s for row in run for s in (*_away(opened, row), *_refused(opened, row)))
    return tuple(dict.fromkeys((*found, *_planned_with_another(opened, run))))


def _away(opened: Opened, row: Result) -> Iterator[str]:
    """At its time; of a row without one, all that day."""
    case, target = opened.case, opened.case.targets[row.target]
    start = datetime.combine(row.date, row.time or time())
    end = start + (timedelta(minutes=1) if row.time else timedelta(days=1))
    adult = case.adults[target.value(row.combination, ADULT)]
    learner = case.learners[target.learner]
    people: tuple[tuple[str, Adult | Learner], ...] = ((adult.name, adult), (learner.alias, learner))
    for name, person in people:
        if any(a.start <= start and end <= a.end for a in person.away):
            yield _(
                "{person} was away then by what is written down, on {day}. Look once more at the day, the time and who "
                "ran '{target}'.",
                person=name,
                day=day_words(row.date),
                target=target.name,
            )


def _refused(opened: Opened, row: Result) -> Iterator[str]:
    from genplan.evidence.sittings_written import begins_with_childs_reason

    target = opened.case.targets[row.target]
    if row.kind.is_probe and begins_with_childs_reason(row.note) and not row.meets(target.pass_mark):
        yield _(
            "The note of '{target}' is '{note}', and the row counts as not met. If {learner} refused or was ill, write "
            "'not run' instead: whoever refuses has not failed.",
            target=target.name,
            note=row.note,
            learner=opened.case.learners[target.learner].alias,
        )


def _planned_with_another(opened: Opened, rows: Sequence[Result]) -> Iterator[str]:
    """The same but for the adult was planned that day and is not written down: it stays open. A plan that cannot be
    read keeps nobody from writing down what was run."""
    from genplan.evidence.planned_probes import not_recorded

    planned: dict[Week, tuple[PlannedProbe, ...]] = {}
    for week in {Week.of(row.date) for row in rows}:
        with suppress(CaseError, FileError):
            planned[week] = planned_in(opened, week)
    for row in rows:
        case, target = opened.case, opened.case.targets[row.target]
        there = planned.get(Week.of(row.date), ())
        own = [p for p in there if p.target == row.target and p.start.date() == row.date]
        place = target.dimension_names.index(ADULT)
        others = [
            p
            for p in not_recorded(own, opened.log, row.date)
            if _without(p.combination, place) == _without(row.combination, place)
        ]
        if others and all(p.combination != row.combination for p in own):
            yield _(
                "{planned} was planned for '{target}' on {day}, not {adult}. Written down so, what was planned stays "
                "open: look once more at who ran it.",
                planned=or_list([case.adults[p.combination[place]].name for p in others]),
                target=target.name,
                day=day_words(row.date),
                adult=case.adults[row.combination[place]].name,
            )


def _without(combination: Sequence[str], place: int) -> tuple[str, ...]:
    return (*combination[:place], *combination[place + 1 :])
