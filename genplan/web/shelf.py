"""What a plan has to hand out: what lies in its folder, and what is drawn of a kept week as it is in force."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path
from typing import Protocol

from starlette.exceptions import HTTPException

from genplan import workflow
from genplan.case import Case, Week
from genplan.keeping.heard import cautions_to_tell, ever_told, people_of, to_put_away
from genplan.keeping.store import folder_of
from genplan.keeping.strange import is_known
from genplan.keeping.told import KeptWeek, Person
from genplan.language import for_files
from genplan.plan import Plan, Sitting
from genplan.report.adult_page import adult_page
from genplan.report.calendars import calendar_files
from genplan.report.change_texts import nothing_to_tell
from genplan.report.fridge_page import fridge_page
from genplan.report.messages import message
from genplan.report.names_and_words import Names
from genplan.report.sheets import sheets_page
from genplan.report.tables import csv_bytes, plan_table
from genplan.report.timetable import FILES as TIMETABLE
from genplan.report.week_changes import PersonChanges, file_of
from genplan.web.files_listed import names_in
from genplan.workflow.week_as_told import ToldWeek, told_week_in_force


@dataclass(frozen=True)
class FileListing:
    """The files of one plan: those of a folder, and what is drawn when it is asked for, be it in the place of one."""

    folder: Path
    drawn: Mapping[str, Callable[[], bytes]] = field(default_factory=dict)
    to_send: Callable[[], Mapping[str, bytes]] = dict
    """What changes for each and is still to be told, by the name of its file."""

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*names_in(self.folder), *self.drawn)))

    def read(self, name: str) -> bytes:
        """Raises HTTPException (404) for what is not among the names."""
        if name in self.drawn:
            return self.drawn[name]()
        if name not in names_in(self.folder):
            raise HTTPException(404)
        return (self.folder / name).read_bytes()


def shelf_of_kept(
    opened: workflow.Opened,
    week: Week,
    kept: KeptWeek | None,
    standing: ToldWeek | None = None,
    unread: tuple[str, ...] = (),
) -> FileListing:
    """What a kept week left in the case folder, and the sheets, pages, messages and timetable of it, all as it is in
    force: what was called off since is called off in it. Empty for a week that was not kept.
    `standing` is the week as it stands, where that was read already; with `unread` the case was opened without its
    results, and it says why."""
    case, folder = opened.case, folder_of(opened.folder, week)
    if kept is None:
        return FileListing(folder)
    known = known_sittings(case, kept.sittings)
    told = cache(lambda: standing or told_week_in_force(opened, week, unread))
    timetable = cache(lambda: workflow.timetable_of(told()))
    calendars = cache(lambda: _calendars(told()))
    changes = cache(lambda: workflow.texts_to_send(told()))
    drawn: dict[str, Callable[[], bytes]] = {
        "sheets.html": lambda: _sheets(told()),
        "plan.csv": lambda: _plan_table(told()),
    }
    drawn |= {name: partial(_one_of, timetable, name) for name in TIMETABLE}
    known = (*known, *known_sittings(case, [t.sitting for t in kept.told if t.cancelled]))
    for adult in sorted({a for s in known for a in s.adults}):
        drawn[f"pages/adult-{adult}.html"] = partial(_drawn, adult_page, told, adult)
        drawn[f"messages/adult-{adult}.txt"] = partial(_message, told, adult)
    for learner in sorted({s.learner for s in known}):
        drawn[f"pages/fridge-{learner}.html"] = partial(_drawn, fridge_page, told, learner)
    for name in names_in(folder):
        if name.startswith("calendars/"):
            drawn[name] = partial(_renewed, calendars, folder / name, name)
    minded = {file_of(*person) for person in to_put_away(kept, opened.now, case)} | {
        file_of(*person)
        for d in cautions_to_tell(kept, opened.now, case)
        for person in people_of([d.sitting])
    }
    for person in ever_told(kept):
        name = file_of(*person)
        if name in minded or person in kept.last_heard or (folder / name).is_file():
            drawn[name] = partial(_text_to_send, changes, told, person, folder / name)
    return FileListing(folder, drawn, changes)


Told = Callable[[], ToldWeek]


def _one_of(made: Callable[[], Mapping[str, bytes]], name: str) -> bytes:
    return made()[name]


def _text_to_send(
    changes: Callable[[], Mapping[str, bytes]], told: Told, person: Person, there: Path
) -> bytes:
    """What there is to tell a person by now; where that is nothing, to somebody whom the case does not have any more,
    and of whom nobody knows what that person was told, as it was told."""
    if text := changes().get(file_of(*person)):
        return text
    case = told().opened.case
    gone = person.id not in (case.adults if person.kind == "adult" else case.learners)
    if gone and person not in told().told.last_heard:
        return there.read_bytes()
    return _nothing_to_tell(told(), person)


def _renewed(made: Callable[[], Mapping[str, bytes]], there: Path, name: str) -> bytes:
    """The file as it is in force; as it was told, where nothing of it is otherwise, and for somebody whom the case does
    not have any more."""
    return made().get(name) or there.read_bytes()


@for_files()
def _calendars(told: ToldWeek) -> dict[str, bytes]:
    """None where nothing was called off: what was told is what is in force."""
    now = told.hand_out()
    return calendar_files(told.opened.case, told.plan, now.told) if now != told.told else {}


@for_files()
def _plan_table(told: ToldWeek) -> bytes:
    return csv_bytes(plan_table(told.opened.case, told.plan))


@for_files()
def _sheets(told: ToldWeek) -> bytes:
    return sheets_page(told.opened.case, told.plan, off=told.off).encode("utf-8")


class OfSomebody(Protocol):
    """Draws what one adult or one learner gets of a week."""

    def __call__(self, case: Case, plan: Plan, whose: str, /, *, off: Sequence[Sitting]) -> str: ...


@for_files()
def _drawn(draw: OfSomebody, told: Told, whose: str) -> bytes:
    week = told()
    return draw(week.opened.case, week.plan, whose, off=week.off).encode("utf-8")


@for_files()
def _message(told: Told, adult: str) -> bytes:
    """What is past needs no calling off."""
    week = told()
    off = [s for s in week.off if s.start >= week.now]
    case, ever = week.opened.case, (t.sitting for telling in week.told.tellings for t in telling.told)
    told_of = [s for s in ever if is_known(s, case)]
    return message(case, week.plan, adult, week.now, off=off, told=told_of).encode("utf-8")


@for_files()
def _nothing_to_tell(week: ToldWeek, person: Person) -> bytes:
    case = week.opened.case
    names = Names(case)
    name = names.adult(person.id) if person.kind == "adult" else names.learner(person.id)
    return nothing_to_tell(week.week, week.now, PersonChanges(person.kind, person.id, name, ()))


def known_sittings(case: Case, sittings: Iterable[Sitting]) -> tuple[Sitting, ...]:
    """Those of which the case still knows everything."""
    return tuple(
        s
        for s in sittings
        if s.learner in case.learners
        and set(s.adults) <= set(case.adults)
        and s.location in case.locations
        and all(p.target in case.targets for p in s.probes)
    )
