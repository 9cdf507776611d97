"""Who was told what is otherwise in a week, as whoever sends the texts says: a dated fact beside what was told. What
changes for that person later is told against it, and it can be taken back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from genplan.case import Case, Week
from genplan.case.wishes_of_planners import PlannersWish
from genplan.errors import FileError, reason_of
from genplan.files import replace_file
from genplan.keeping.banned import bans, things_of, with_bans
from genplan.keeping.cautions_told import with_cautions
from genplan.keeping.differences import OF_CAUTIONS, Change, Difference, differences, still_to_tell
from genplan.keeping.store import FILE, folder_of, kept_bytes, read_kept, week_locked
from genplan.keeping.told import CautionTold, Heard, KeptWeek, Person, Telling, Told
from genplan.language import _
from genplan.plan import Sitting

MOST_HEARD = 2


def people_of(sittings: Sequence[Sitting]) -> tuple[Person, ...]:
    """Who is told of these sittings, adults first."""
    adults = sorted({a for s in sittings for a in s.adults})
    learners = sorted({s.learner for s in sittings})
    return (*(Person("adult", a) for a in adults), *(Person("learner", i) for i in learners))


def ever_told(kept: KeptWeek) -> tuple[Person, ...]:
    """Whoever was told anything of the week: also who has no sitting any more, or whom the case does not have."""
    sittings = [t.sitting for telling in kept.tellings for t in telling.told]
    return tuple(dict.fromkeys((*people_of(sittings), *kept.last_heard)))


def may_be_told(case: Case, kept: KeptWeek | None) -> tuple[Person, ...]:
    """Everybody in the case, and whoever else was told of the week."""
    there = (*(Person("adult", i) for i in case.adults), *(Person("learner", i) for i in case.learners))
    return tuple(dict.fromkeys((*there, *(ever_told(kept) if kept else ()))))


def concerns(person: Person, difference: Difference) -> bool:
    if person.kind == "adult":
        return person.id in difference.adults
    return person.id == difference.sitting.learner and difference.is_of_learner


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
            d for d in still_to_tell(telling.told, sittings, now, wishes, case) if concerns(person, d)
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


def to_put_away(kept: KeptWeek, now: datetime, case: Case) -> dict[Person, tuple[Difference, ...]]:
    """What anybody who was ever told of a thing in the week may still have at home, and the child is kept from by now,
    until that person is marked told: each thing of a child with the last sitting that it was told for, be it past."""
    found: dict[Person, dict[tuple[str, str], Difference]] = {}
    for t in (t for telling in kept.tellings for t in telling.told if not t.cancelled):
        learner, on = t.sitting.learner, max(now.date(), t.sitting.start.date())
        for ban in bans(case, learner, things_of(case, t.sitting), on):
            one = Difference(Change.PUT_AWAY, t.sitting, t.sitting, more=(ban,))
            for person in people_of([t.sitting]):
                if not _was_told(kept, person, learner, ban):
                    found.setdefault(person, {})[learner, ban.material_set] = one
    return {person: tuple(of.values()) for person, of in found.items()}


def _was_told(kept: KeptWeek, person: Person, learner: str, ban: CautionTold) -> bool:
    heard = kept.last_heard.get(person)
    return heard is not None and any(
        t.sitting.learner == learner and c.material_set == ban.material_set
        for t in heard.told
        for c in t.banned
    )


def to_be_sent_the_week(kept: KeptWeek, now: datetime) -> tuple[Person, ...]:
    """The adults of a week that was kept for the first time and has not begun, of whom it is not written down yet that
    they were told of it."""
    if kept.earlier or any(s.start <= now for s in kept.sittings):
        return ()
    return tuple(p for p in people_of(kept.sittings) if p.kind == "adult" and p not in kept.last_heard)


def write_heard(case_folder: Path, case: Case, in_force: KeptWeek, person: Person, now: datetime) -> None:
    """The person was told the week as it is in force, and what of it to put away; nothing is written where nothing is
    otherwise since the last time. Raises FileError."""
    ever = [
        t
        for telling in (*in_force.tellings, *(x.telling for x in in_force.heard if x.person == person))
        for t in telling.told
        if _is_of(person, t.sitting)
    ]
    last = in_force.last_heard[person].told if person in in_force.last_heard else in_force.told
    events = {t.event for t in ever}
    now_told = [replace(t, handed_out=None) for t in in_force.told if t.event in events]
    told = with_bans(case, with_cautions(case, now_told, now), now, last, ever, past=True)
    own = tuple(t for t in told if t.banned or (not t.cancelled and _is_of(person, t.sitting)))
    heard = Heard(person, Telling(now, own))
    _write(case_folder, case, in_force.week, lambda before: _with(before, heard))


def take_heard_back(case_folder: Path, case: Case, week: Week, person: Person) -> None:
    """The person was not told, after all: what was said before that holds. Raises FileError."""

    def without_the_last(heard: tuple[Heard, ...]) -> tuple[Heard, ...]:
        last = max((n for n, one in enumerate(heard) if one.person == person), default=None)
        return tuple(one for n, one in enumerate(heard) if n != last)

    _write(case_folder, case, week, without_the_last)


def _with(heard: tuple[Heard, ...], last: Heard) -> tuple[Heard, ...]:
    """As they are, where the person was told the same last."""
    before = next((one for one in reversed(heard) if one.person == last.person), None)
    now = last.telling.kept
    return heard if before and _says(before, now) == _says(last, now) else (*heard, last)


def _says(heard: Heard, now: datetime) -> list[Told]:
    """What there was to look out for in what has begun does not count."""
    return [replace(t, cautions=None) if t.sitting.start < now else t for t in heard.telling.told]


def _without_the_first(heard: Sequence[Heard]) -> tuple[Heard, ...]:
    """The last two of each person: what holds, and what holds again once that is taken back. With all of them the file
    would grow without end."""
    later = Counter[Person]()
    found = []
    for one in reversed(heard):
        later[one.person] += 1
        if later[one.person] <= MOST_HEARD:
            found.append(one)
    return tuple(reversed(found))


def _write(
    case_folder: Path, case: Case, week: Week, change: Callable[[tuple[Heard, ...]], tuple[Heard, ...]]
) -> None:
    path = folder_of(case_folder, week) / FILE
    with week_locked(case_folder, week):
        kept = read_kept(case_folder, week, case)
        if kept is None:
            raise FileError(_("{file} is not there any more. Nothing was written.", file=path))
        try:
            heard = _without_the_first(change(kept.heard))
            if heard != kept.heard:
                replace_file(path, kept_bytes(replace(kept, heard=heard), case), alone=True)
        except OSError as error:
            raise FileError(
                _(
                    "{file} cannot be written ({problem}). Who was told is as it was.",
                    file=path,
                    problem=reason_of(error),
                )
            ) from error
