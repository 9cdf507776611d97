"""Whoever was told a week, and is told what is otherwise since then, knows of what is ahead as much as there is, and of
what was there for nothing."""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from genplan.case.sitting_ids import LETTERS
from genplan.keeping.differences import Difference
from genplan.keeping.heard import concerns, people_of, since_heard
from genplan.keeping.revision import revise
from genplan.keeping.same_sittings import content
from genplan.keeping.to_tell import to_tell
from genplan.keeping.told import Heard, KeptWeek, Person, Telling, Told
from genplan.plan import Sitting
from tests.fixtures.tiny import WEEK, at, sitting, tiny_case

CASE = tiny_case()
BASE = sitting()
PEOPLE = people_of([replace(BASE, adult=a) for a in CASE.adults])
CLOCKS = ("09:00", "09:30", "10:00", "15:30", "16:00")
SEEDS = 150


def _week(draw: random.Random, begun: Iterable[Sitting], now: datetime) -> tuple[Sitting, ...]:
    """What has begun, and drawn ones ahead, called as the planner calls them."""
    found = list(begun)
    for __ in range(draw.randint(0, 4)):
        day, adult = draw.randint(0, 1), draw.choice(list(CASE.adults))
        start = at(day, draw.choice(CLOCKS))
        stem = f"{WEEK}-{day}-{adult}"
        name = next(n for n in (stem, *(f"{stem}-{x}" for x in LETTERS)) if n not in {s.id for s in found})
        if start >= now and all(s.start != start for s in found):
            place = draw.choice(list(CASE.locations))
            made = replace(BASE, id=name, adult=adult, location=place, start=start, probes=())
            found.append(replace(made, end=start + timedelta(minutes=25)))
    return tuple(found)


def _kept(draw: random.Random) -> Iterator[Telling]:
    """Some keepings, one after the other, each of which leaves what has begun."""
    told: tuple[Told, ...] = ()
    for now in (at(0, "08:00"), at(0, "09:40"), at(0, "12:00"))[: draw.randint(1, 3)]:
        begun = [t.sitting for t in told if not t.cancelled and t.sitting.start < now]
        told = revise(told, _week(draw, begun, now), now, settled=True)
        yield Telling(now, told)


def _known(sittings: Iterable[Sitting], person: Person, now: datetime) -> set[object]:
    return {
        (s.learner, s.adult, content(s))
        for s in sittings
        if s.start >= now and person.id in (*s.adults, s.learner)
    }


def _applied(told: Iterable[Told], found: Iterable[Difference], person: Person, now: datetime) -> set[object]:
    known = _known([t.sitting for t in told if not t.cancelled], person, now)
    some = [d for d in found if concerns(person, d)]
    known -= _known([d.before for d in some if d.before], person, now)
    return known | _known([d.after for d in some if d.after], person, now)


def _for_nothing(told: Iterable[Told], so: Iterable[Sitting], person: Person, now: datetime) -> set[str]:
    """The events of what somebody believed to be by then, and of which nobody was there, then, with the other."""
    there = {
        (s.start, s.location, s.learner, s.adult if person.kind == "adult" else "")
        for s in so
        if person.id in (*s.adults, s.learner)
    }
    return {
        t.event
        for t in told
        if not t.cancelled
        and t.sitting.start < now
        and person.id in (*t.sitting.adults, t.sitting.learner)
        and (
            t.sitting.start,
            t.sitting.location,
            t.sitting.learner,
            t.sitting.adult if person.kind == "adult" else "",
        )
        not in there
    }


def _said_of(told: Iterable[Told], found: Iterable[Difference], person: Person) -> set[str]:
    """The events of which it is told what became of them."""
    events = {t.sitting: t.event for t in told if not t.cancelled}
    return {events[d.before] for d in found if d.before and concerns(person, d)}


@pytest.mark.parametrize("later", [at(0, "12:10"), at(0, "15:40"), at(1, "09:10")], ids=str)
def test_who_is_told_of_the_differences_knows_what_is_ahead(later: datetime) -> None:
    moved = 0
    for seed in range(SEEDS):
        tellings = tuple(_kept(random.Random(seed)))
        *earlier, last = tellings
        first = tellings[0]
        heard = tuple(Heard(p, first) for p in PEOPLE)
        kept = KeptWeek(WEEK, last.kept, last.told, tuple(earlier), heard)
        since = since_heard(kept, kept.sittings, later, CASE)
        alone = to_tell([first], kept.sittings, later, case=CASE)
        for person in PEOPLE:
            so = _known(kept.sittings, person, later)
            for found in (since[person], alone.new):
                assert _applied(first.told, found, person, later) == so, (seed, person)
                said = _said_of(first.told, found, person)
                for_nothing = _for_nothing(first.told, kept.sittings, person, later)
                assert for_nothing <= said, (seed, person)
                off = _said_of(first.told, [d for d in found if d.past and d.after is None], person)
                assert off <= for_nothing, (seed, person)
                assert all(d.past == (d.sitting.start < later) for d in found)
        moved += sum(d.before is not None and d.before.start < later for d in alone.new)
    assert moved  # of those that were told as begun by then


def test_a_sitting_is_told_as_moved_after_its_old_start() -> None:
    """Told at 16:30, and moved before that: whoever waits is told, and whoever waited is, too."""
    now = at(0, "16:40")
    was = replace(BASE, start=at(0, "16:30"), end=at(0, "16:55"))
    first = revise((), (was,), at(0, "08:00"), settled=True)
    for start, moment, is_told in (
        ("17:00", now, True),
        ("17:00", at(0, "17:05"), True),
        ("16:35", now, True),
        ("16:30", now, False),
        ("08:30", now, True),
        ("08:30", at(0, "16:56"), True),
        ("08:30", at(6, "16:30"), True),
    ):
        so = replace(was, start=at(0, start), end=at(0, start) + timedelta(minutes=25))
        told = revise(first, (so,), at(0, "08:10"), settled=True)
        kept = KeptWeek(WEEK, now, told, (), tuple(Heard(p, Telling(now, first)) for p in PEOPLE))
        found = since_heard(kept, kept.sittings, moment, CASE)[Person("learner", was.learner)]
        assert [d.after for d in found] == ([so] if is_told else []), (start, moment)
        assert to_tell([Telling(now, first)], kept.sittings, moment).new == found
