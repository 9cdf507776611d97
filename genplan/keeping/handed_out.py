"""What calendars were given otherwise than people were told when the week was kept: an event that was called off since,
or is on again after that. It is remembered beside the event, so that its sequence never falls (RFC 5546, 2.1.4)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from genplan.case import Week
from genplan.errors import FileError, reason_of
from genplan.files import read_file, replace_file
from genplan.keeping.json_fields import as_written, document_of
from genplan.keeping.same_sittings import content
from genplan.keeping.store import FILE, HANDED_OUT, MOST_BYTES, as_bytes, folder_of, week_locked
from genplan.keeping.told import HandedOut, KeptWeek, Told
from genplan.language import _

Telling = Callable[[Sequence[Told]], tuple[Told, ...]]
"""What is told now, of what was told before."""


def beyond_handed_out(before: Sequence[Told], telling: Telling, step: int) -> tuple[Told, ...]:
    """What is told now, each event that says something else than calendars were given last at least a `step` above
    that, and one that says the same no lower."""
    now = telling(before)
    if not any(t.handed_out for t in before):
        return now
    rise = {t.event: _rise(t.handed_out, new, step) for t in before for new in now if new.event == t.event}
    return telling([_raised(t, rise.get(t.event, 0)) for t in before])


def _rise(last: HandedOut | None, now: Told, step: int) -> int:
    if last is None:
        return 0
    more = 0 if last.says == _says(now) else step
    return max(0, last.sequence + more - now.sequence, last.use_sequence + more - now.use_sequence)


def _raised(told: Told, rise: int) -> Told:
    return replace(
        told, sequence=told.sequence + rise, use_sequence=told.use_sequence + rise, handed_out=None
    )


def _says(told: Told) -> str:
    """The same for two events that say the same of their sitting, whenever that was told."""
    withdrawn = tuple((x.id, x.start.isoformat(), x.end.isoformat()) for x in (*told.left, *told.released))
    sitting = told.sitting
    all_of_it = (
        told.cancelled,
        *(
            sitting.start.isoformat(),
            sitting.end.isoformat(),
            sitting.location,
            sitting.learner,
            sitting.adult,
        ),
        *content(sitting)[1:],
        withdrawn,
    )
    return sha256(repr(all_of_it).encode()).hexdigest()[:16]


def handed_out(told: KeptWeek, in_force: KeptWeek) -> dict[str, HandedOut]:
    """What is to be remembered once calendars are given what is in force: by event, and only what is not yet."""
    before = {t.event: t for t in told.told}
    found = {}
    for one in in_force.told:
        was = before[one.event]
        now = HandedOut(one.sequence, one.use_sequence, _says(one))
        if was.handed_out != now and (was.handed_out or one != was):
            found[one.event] = now
    return found


def remember_handed_out(case_folder: Path, week: Week, given: dict[str, HandedOut]) -> None:
    """Writes it beside each event of the kept week, all else as it was. Raises FileError, and then nothing may be given
    to calendars: the next sequence could fall."""
    path = folder_of(case_folder, week) / FILE
    with week_locked(case_folder, week):
        try:
            document: dict[str, Any] = document_of(read_file(path, MOST_BYTES))
            for sitting in document["sittings"]:
                if (event := sitting["event"]) in given:
                    sitting["handed_out"] = as_written(given[event], *HANDED_OUT)
            replace_file(path, as_bytes(document))
        except OSError as error:
            raise FileError(
                _(
                    "{file} cannot be written ({problem}). What calendars are given of a sitting that was called off "
                    "is remembered there, so nothing was handed out.",
                    file=path,
                    problem=reason_of(error),
                )
            ) from error
