"""More hours, where others are free who could use them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from genplan.case import Case
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Window, Windows, holds, intersect, merge, subtract
from genplan.planning.openings import Hours, Opening, absences_in, openings_of, usable_minutes
from genplan.planning.relaxation import Easing, Relaxation, RelaxationGroup, RelaxationKind, eased
from genplan.planning.week_context import WeekContext

Present = Mapping[str, frozenset[Opening]]
"""Learner -> the openings that there are without a change."""

PERSON_MINUTES = 30
PLACE_MINUTES = 60


def more_hours(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Half an hour more of an adult or a learner on a day; a place open an hour longer."""
    usable, free, present = usable_minutes(g.case, g.week, g.now), g.free, _present(g, learners)
    places = _any(free.locations.values())
    for adult in g.case.adults.values():
        whom = tuple(i for i in learners if adult.works_with(i))
        gone = absences_in(g.week, (*adult.away, *g.busy.get(adult.id, ())))
        others = intersect(_any(free.learners[i] for i in whom), places)
        pieces = _pieces(free.adults[adult.id], others, subtract(usable, gone), PERSON_MINUTES)
        yield from _idea(g, Easing(RelaxationKind.ADULT_HOURS, adult.id), whom, pieces, present)
    for i in learners:
        learner = g.case.learners[i]
        others = intersect(_any(free.adults[a.id] for a in g.case.adults.values() if a.works_with(i)), places)
        allowed = subtract(usable, absences_in(g.week, learner.away))
        pieces = _pieces(free.learners[i], others, allowed, PERSON_MINUTES)
        yield from _idea(g, Easing(RelaxationKind.LEARNER_HOURS, i), (i,), pieces, present)
    for place in g.case.locations.values():
        whom = tuple(i for i in learners if place.takes(i))
        allowed = subtract(usable, absences_in(g.week, place.closed))
        # nobody opens a place that is shut all day for an hour
        pieces = _pieces(free.locations[place.id], (), allowed, PLACE_MINUTES)
        yield from _idea(g, Easing(RelaxationKind.LOCATION_HOURS, place.id), whom, pieces, present)


def _any(several: Iterable[Windows]) -> Windows:
    return merge(w for windows in several for w in windows)


def _pieces(own: Windows, others: Windows, allowed: Windows, minutes: int) -> list[Window]:
    """Stretches of so many minutes beside the own windows of a day, or on a day without any at the ends of the
    others', if there are any; each whole inside what is allowed."""
    found: set[Window] = set()
    for day in range(7):
        today = Window(day * MINUTES_PER_DAY, (day + 1) * MINUTES_PER_DAY)
        mine, theirs = intersect(own, (today,)), intersect(others, (today,))
        for start, end in mine:
            found |= {Window(start - minutes, start), Window(end, end + minutes)}
        for start, end in () if mine else theirs:
            found |= {Window(start, start + minutes), Window(end - minutes, end)}
    return sorted(w for w in found if holds(allowed, *w) and not intersect(own, (w,)))


def _idea(
    g: WeekContext, easing: Easing, whom: tuple[str, ...], pieces: Sequence[Window], present: Present
) -> Iterator[RelaxationGroup]:
    """The pieces that open something to somebody, one change each; nothing if there is none."""
    parts = []
    for piece in pieces:
        free = _with_hours(g.free, easing, [piece])
        helped = tuple(i for i in whom if _opens_something(g, free, i, present, easing))
        if helped:
            parts.append(Relaxation(easing=easing, piece=piece, case=g.case, free=free, learners=helped))
    if len(parts) == 1:
        yield RelaxationGroup((parts[0],), parts[0])
    elif parts:
        everything = _with_hours(g.free, easing, pieces)
        helped = tuple(i for i in whom if any(i in p.learners for p in parts))
        whole = Relaxation(easing=easing, piece=None, case=g.case, free=everything, learners=helped)
        yield RelaxationGroup(tuple(parts), whole)


def _with_hours(free: Hours, easing: Easing, pieces: Iterable[Window]) -> Hours:
    own = _hours_of(free, easing)
    if own is None:
        return free
    more = {**own, easing.subject: merge([*own[easing.subject], *pieces])}
    match easing.kind:
        case RelaxationKind.ADULT_HOURS:
            return replace(free, adults=more)
        case RelaxationKind.LEARNER_HOURS:
            return replace(free, learners=more)
        case _:
            return replace(free, locations=more)


def _hours_of(free: Hours, easing: Easing) -> Mapping[str, Windows] | None:
    """Whose hours a change is about; None: it is about no hours."""
    match easing.kind:
        case RelaxationKind.ADULT_HOURS:
            return free.adults
        case RelaxationKind.LEARNER_HOURS:
            return free.learners
        case RelaxationKind.LOCATION_HOURS:
            return free.locations
        case _:
            return None


def _present(g: WeekContext, learners: tuple[str, ...]) -> Present:
    return {i: frozenset(openings_of(g.case, g.free, i)) for i in learners}


def _opens_something(g: WeekContext, free: Hours, learner: str, present: Present, easing: Easing) -> bool:
    """Only openings of the adult or the place that has more hours can be new; an adult can be a companion in others',
    too, where these are asked for."""
    adult = easing.subject if easing.kind is RelaxationKind.ADULT_HOURS and free.acquainted is None else ""
    location = easing.subject if easing.kind is RelaxationKind.LOCATION_HOURS else ""
    own = [n for n in g.needs if n.target.learner == learner]
    lengths = [n.target.minutes for n in own if n.is_probed or n.baseline.times]
    lengths += [n.target.teaching_minutes for n in own if n.teachings]
    shortest = min(lengths, default=MINUTES_PER_DAY)
    return any(
        o.end - o.start >= g.case.policy.settle_minutes + shortest
        for o in openings_of(g.case, free, learner, adult=adult, location=location)
        if o not in present[learner]
    )


def with_all(case: Case, free: Hours, lifts: Iterable[Relaxation]) -> tuple[Case, Hours]:
    """Case and hours with all of these changes at once: a week that is possible with one of them is with all. They must
    be changes of this case and these hours, and briefings are not among them: these change what is owed too."""
    for lift in lifts:
        own = _hours_of(lift.free, lift.easing) or {}
        free = _with_hours(free, lift.easing, own.get(lift.easing.subject, ()))
        case = eased(case, lift.easing)
    return case, free
