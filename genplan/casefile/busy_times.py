"""The busy times of all adults: which calendars are read, and what is told of those that are not.

Each calendar is read by `busy`, in a process of its own (`apart`).
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import NamedTuple

from genplan.case import Absence, Case, Week
from genplan.casefile.apart import read_apart
from genplan.casefile.busy_reading import reading_for
from genplan.casefile.calendar_limits import MOST_BYTES, CalendarRefused, too_big
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, in_order
from genplan.casefile.loading import Loaded
from genplan.casefile.paths import inside
from genplan.errors import reason_of
from genplan.findings import Finding
from genplan.language import _


class Busy(NamedTuple):
    """`absences` holds every adult with a calendar; times are naive and local, merged, inside the week. A
    finding that is an error means that the times of that adult are not known: nothing should be planned on
    them."""

    absences: Mapping[str, tuple[Absence, ...]]
    findings: tuple[Finding, ...]


def busy_times(loaded: Loaded | FilePath, case: Case, week: Week, until: Week | None = None) -> Busy:
    """The busy times of all adults with `busy`, by id, in the week, or from it to the end of `until`. `loaded` is what
    `load` returned, or the case folder."""
    folder, marks = (loaded.folder, loaded.marks) if isinstance(loaded, Loaded) else (loaded, {})
    notes = Diagnostics(str(folder), dict(marks))
    adults = {a.id: a.busy for a in case.adults.values() if a.busy is not None}
    first = {name: id_ for id_, name in reversed(adults.items())}
    readable = {name for name, id_ in sorted(first.items()) if _is_readable(folder, id_, name, notes)}
    asked = {i: (name, reading_for(case, case.adults[i])) for i, name in adults.items() if name in readable}
    answers = read_apart(folder, sorted(set(asked.values())), case.timezone, week, until or week)
    for (name, _reading), answer in sorted(answers.items()):
        notes.findings.extend(answer.findings)
        if answer.refused is not None:
            notes.findings.append(_refused(name, answer.refused))
    absences = {id_: answers[asked[id_]].absences if id_ in asked else () for id_ in adults}
    return Busy(absences, in_order(list(dict.fromkeys(notes.findings))))


def _is_readable(folder: FilePath, adult: str, name: str, notes: Diagnostics) -> bool:
    """Whether the file is there, may be read, and is not too big to look at."""
    path = ("adults", adult, "busy")
    try:
        with inside(folder, name).open("rb") as file:
            size = os.fstat(file.fileno()).st_size
    except InvalidValue as problem:
        notes.unclear(path, problem, "")
        return False
    except OSError as problem:
        notes.error(
            path,
            _("'{name}', which cannot be read ({problem})", name=name, problem=reason_of(problem)),
            _("a calendar file"),
        )
        return False
    if size > MOST_BYTES:
        notes.findings.append(_refused(name, too_big(size)))
    return size <= MOST_BYTES


def _refused(name: str, problem: CalendarRefused) -> Finding:
    return Finding(name, problem.line, "", problem.found, problem.expected, problem.hint)
