"""Who was told what is otherwise in a week, as whoever sends the texts says: a dated fact beside what was told. What
changes for that person later is told against it, and it can be taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from genplan.case import Case, Week
from genplan.case.wishes_of_planners import PlannersWish
from genplan.errors import FileError, reason_of
from genplan.files import replace_file
from genplan.keeping.cautions_told import with_cautions
from genplan.keeping.differences import OF_CAUTIONS, Difference, differences
from genplan.keeping.store import FILE, folder_of, kept_bytes, read_kept, week_locked
from genplan.keeping.told import Heard, KeptWeek, Person, Telling
from genplan.language import _
from genplan.plan import Sitting


def people_of(sittings: Sequence[Sitting]) -> tuple[Person, ...]:
    """Who is told of these sittings, adults first."""
    adults = sorted({a for s in sittings for a in s.adults})
    learners = sorted({s.learner for s in sittings})
    return (*(Person("adult", a) for a in adults), *(Person("learner", i) for i in learners))


def concerns(person: Person, difference: Difference) -> bool:
    return any(_is_of(person, s) for s in (difference.before, difference.after) if s is not None)


def _is_of(person: Person, sitting: Sitting) -> bool:
    return person.id in (sitting.adults if person.kind == "adult" else (sitting.learner,))


def since_heard(
    kept: KeptWeek,
    sittings: Sequence[Sitting],
    now: datetime,
    case: Case,
    wishes: Sequence[PlannersWish] = (),
) -> dict[Person, tuple[Difference, ...]]:
    """What is ahead and otherwise for each who was told, since then; `sittings` are what is so now."""
    return {
        person: tuple(
            d
            for d in differences(telling.told, sittings, now, wishes, case)
            if concerns(person, d) and any(s is not None and s.start >= now for s in (d.before, d.after))
        )
        for person, telling in kept.last_heard.items()
    }


def cautions_to_tell(kept: KeptWeek, now: datetime, case: Case) -> tuple[Difference, ...]:
    """The sittings in which there is more or less to look out for than somebody knows who is there."""
    of_all = differences(kept.told, kept.sittings, now, case=case)
    heard = since_heard(kept, kept.sittings, now, case)
    found: dict[str, Difference] = {}
    for person in people_of(kept.sittings):
        for d in heard.get(person, of_all):
            if d.change in OF_CAUTIONS and concerns(person, d):
                found.setdefault(d.sitting.id, d)
    return tuple(sorted(found.values(), key=lambda d: (d.sitting.start, d.sitting.id)))


def to_be_sent_the_week(kept: KeptWeek, now: datetime) -> tuple[Person, ...]:
    """The adults of a week that was kept for the first time and has not begun, of whom it is not written down yet that
    they were told of it."""
    if kept.earlier or any(s.start <= now for s in kept.sittings):
        return ()
    return tuple(p for p in people_of(kept.sittings) if p.kind == "adult" and p not in kept.last_heard)


def write_heard(case_folder: Path, case: Case, in_force: KeptWeek, person: Person, now: datetime) -> None:
    """The person was told the week as it is in force. Raises FileError."""
    own = [t for t in in_force.told if not t.cancelled and _is_of(person, t.sitting)]
    telling = Telling(now, with_cautions(case, [replace(t, handed_out=None) for t in own], now))
    _write(case_folder, case, in_force.week, lambda heard: (*heard, Heard(person, telling)))


def take_heard_back(case_folder: Path, case: Case, week: Week, person: Person) -> None:
    """The person was not told, after all: what was said before that holds. Raises FileError."""

    def without_the_last(heard: tuple[Heard, ...]) -> tuple[Heard, ...]:
        last = max((n for n, one in enumerate(heard) if one.person == person), default=None)
        return tuple(one for n, one in enumerate(heard) if n != last)

    _write(case_folder, case, week, without_the_last)


def _write(
    case_folder: Path, case: Case, week: Week, change: Callable[[tuple[Heard, ...]], tuple[Heard, ...]]
) -> None:
    path = folder_of(case_folder, week) / FILE
    with week_locked(case_folder, week):
        kept = read_kept(case_folder, week, case)
        if kept is None:
            raise FileError(_("{file} is not there any more. Nothing was written.", file=path))
        try:
            replace_file(path, kept_bytes(replace(kept, heard=change(kept.heard)), case))
        except OSError as error:
            raise FileError(
                _(
                    "{file} cannot be written ({problem}). Who was told is as it was.",
                    file=path,
                    problem=reason_of(error),
                )
            ) from error
