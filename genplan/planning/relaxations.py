"""Small changes that people could make to a week, each as the week would be with it: what would help is found by
planning with them, never by guessing.

Half an hour more of a learner or an adult on a day, beside hours that are there or, on a day without any, where the
others are free; a place open an hour longer; one more of a limit; one copy more of a set; an adult briefed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeVar

from genplan.case import Case, Target
from genplan.case.people import Adult, AdultLimits, Learner, LearnerLimits
from genplan.case.targets import ADULT, MATERIAL_SET
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Window, Windows, holds, intersect, merge, subtract
from genplan.coverage.briefing import briefed, briefings_wanted
from genplan.planning.needs import TargetNeed, need_of
from genplan.planning.openings import Hours, Opening, absences_in, openings_of, usable_minutes
from genplan.planning.week_context import WeekContext
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount

Person = TypeVar("Person", Adult, Learner)

Present = Mapping[str, frozenset[Opening]]
"""Learner -> the openings that there are without a change."""

PERSON_MINUTES = 30
PLACE_MINUTES = 60


class RelaxationKind(StrEnum):
    """What a change eases. Those of hours come first, then limits, copies, briefings, as they are tried."""

    ADULT_HOURS = "hours of an adult"
    LEARNER_HOURS = "hours of a learner"
    LOCATION_HOURS = "hours of a location"
    TARGET_WEEK = "probes of a target per week"
    TARGET_DAY = "probes of a target per day"
    TEACHINGS_WEEK = "teachings of a target per week"
    TEACHINGS_DAY = "teachings of a target per day"
    LEARNER_LIMIT = "limit of a learner"
    ADULT_LIMIT = "limit of an adult"
    CAPACITY = "capacity of a location"
    COPIES = "copies of a set"
    BRIEFING = "briefing of an adult"
    TEACHES = "a target that an adult teaches"


@dataclass(frozen=True)
class Easing:
    """A change as a value.

    - `kind`: what is eased
    - `subject`: the id of whom or what it is about; empty for all
    - `figure`: what a limit would be then
    - `key`: the name of that limit, of a person
    - `target`: what an adult is briefed on, or teaches"""

    kind: RelaxationKind
    subject: str = ""
    figure: int = 0
    key: str = ""
    target: str = ""

    @property
    def order(self) -> tuple[int, str, str, str]:
        """The order among changes that bring the same."""
        return list(RelaxationKind).index(self.kind), self.subject, self.key, self.target


@dataclass(frozen=True, kw_only=True)
class Relaxation:
    """One change, and the week with it.

    - `easing`: the change
    - `piece`: minutes of the week, half-open, if it is about one stretch; None: it is about every day
    - `case`, `free`: the case and everybody's hours with it
    - `learners`: whom it could help
    - `needs`: those of targets whose choices it changes"""

    easing: Easing
    piece: Window | None
    case: Case
    free: Hours
    learners: tuple[str, ...]
    needs: tuple[TargetNeed, ...] = ()


@dataclass(frozen=True)
class RelaxationGroup:
    """Changes of one kind to one person, place or thing; `together` is all of them at once. What does not help
    together helps in no part."""

    parts: tuple[Relaxation, ...]
    together: Relaxation


def relaxation_groups(ground: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Every change that could let a probe more of these learners be run."""
    for changes in (_more_hours, _longer_places, _higher_limits, _more_copies, _briefings, _teachers):
        yield from changes(ground, learners)


def _more_hours(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
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


def _longer_places(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    usable, free, present = usable_minutes(g.case, g.week, g.now), g.free, _present(g, learners)
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


def _higher_limits(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    case, policy = g.case, g.case.policy
    for kind, most in (
        (RelaxationKind.TARGET_WEEK, policy.probes_per_target_per_week + 1),
        (RelaxationKind.TARGET_DAY, policy.probes_per_target_per_day + 1),
    ):
        yield _single(g, Easing(kind, figure=most), learners)
    taught = {n.target.learner for n in g.needs if n.teachings}
    if whom := tuple(i for i in learners if i in taught):
        for kind, most in (
            (RelaxationKind.TEACHINGS_WEEK, policy.teachings_per_target_per_week + 1),
            (RelaxationKind.TEACHINGS_DAY, policy.teachings_per_target_per_day + 1),
        ):
            yield _single(g, Easing(kind, figure=most), whom)
    for i in learners:
        for amount, most in _raised(LEARNER_AMOUNTS, case.learners[i].limits):
            yield _single(g, Easing(RelaxationKind.LEARNER_LIMIT, i, most, amount.key), (i,))
    for adult in case.adults.values():
        whom = tuple(i for i in learners if adult.works_with(i))
        for amount, most in _raised(ADULT_AMOUNTS, adult.limits) if whom else ():
            yield _single(g, Easing(RelaxationKind.ADULT_LIMIT, adult.id, most, amount.key), whom)
    for place in case.locations.values():
        whom = tuple(i for i in learners if place.takes(i))
        if sum(map(place.takes, case.learners)) > place.capacity and whom:
            yield _single(g, Easing(RelaxationKind.CAPACITY, place.id, place.capacity + 1), whom)


def _raised(amounts: Iterable[Amount], limits: LearnerLimits | AdultLimits) -> Iterator[tuple[Amount, int]]:
    """The limits that are set and that people might raise, each with what it would be."""
    for amount in amounts:
        most = amount.most(limits)
        if most is not None and amount.more:
            yield amount, most + amount.more


def _more_copies(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Of sets that more than one learner varies, or is still taught with: alone a learner is in one sitting at a
    time."""
    users: dict[str, set[str]] = {}
    for target in (n.target for n in g.needs if n.is_owed_something):
        for dimension in target.dimensions:
            for value in dimension.values if dimension.name == MATERIAL_SET else ():
                users.setdefault(value, set()).add(target.learner)
    for name, varying in sorted(users.items()):
        whom = tuple(i for i in learners if i in varying)
        copies = g.case.material_sets[name].copies
        if len(varying) > copies and whom:
            yield _single(g, Easing(RelaxationKind.COPIES, name, copies + 1), whom)


def _briefings(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    for target in g.case.mastered:
        if target.learner in learners:
            for wanted in briefings_wanted(g.case, target, g.log, g.now.date()):
                easing = Easing(RelaxationKind.BRIEFING, wanted.adult, target=target.id)
                need = _need_with(g, eased(g.case, easing), target)
                yield _single(g, easing, (target.learner,), (need,))


def _teachers(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Where something is to be taught by an adult who may not teach it: each who works with the learner and may not."""
    for target in g.case.targets.values() if g.case.policy.plan_teaching else ():
        if target.learner not in learners or not _wants_a_teacher(g, target):
            continue
        for adult in g.case.adults.values():
            if adult.works_with(target.learner) and not adult.may_teach(target.id):
                easing = Easing(RelaxationKind.TEACHES, adult.id, target=target.id)
                need = _need_with(g, eased(g.case, easing), target)
                if need.teachings:
                    yield _single(g, easing, (target.learner,), (need,))


def _wants_a_teacher(g: WeekContext, target: Target) -> bool:
    for need in (n for n in g.needs if n.id == target.id):
        waiting = (c for c in need.tally.possible_combinations if need.tally.standing(c).waits_for_teaching)
        to_teach = (c.combination for c in need.choices if not c.kind.is_probe)
        adults = {target.value(c, ADULT) for c in (*waiting, *to_teach)}
        return any(not g.case.adults[a].may_teach(target.id) for a in adults)
    return False


def _need_with(g: WeekContext, case: Case, target: Target) -> TargetNeed:
    """What the target is owed in the changed case; which wishes have their last chance, or their turn, is as it was."""
    need = need_of(case, target, g.log, g.week, g.now.date(), g.begun_seats, g.told)
    last = [w.wish for n in g.needs if n.id == target.id for w in n.wishes if w.last_chance]
    turns = next((n.turns for n in g.needs if n.id == target.id), None)
    wishes = tuple(replace(w, last_chance=w.wish in last) for w in need.wishes)
    return replace(need, wishes=wishes, turns=turns)


def _single(
    g: WeekContext, easing: Easing, whom: tuple[str, ...], needs: tuple[TargetNeed, ...] = ()
) -> RelaxationGroup:
    case = eased(g.case, easing)
    lift = Relaxation(easing=easing, piece=None, case=case, free=g.free, learners=whom, needs=needs)
    return RelaxationGroup((lift,), lift)


def eased(case: Case, easing: Easing) -> Case:
    """The case with a change that is not one of hours."""
    match easing.kind:
        case RelaxationKind.TARGET_WEEK:
            return replace(case, policy=replace(case.policy, probes_per_target_per_week=easing.figure))
        case RelaxationKind.TARGET_DAY:
            return replace(case, policy=replace(case.policy, probes_per_target_per_day=easing.figure))
        case RelaxationKind.TEACHINGS_WEEK:
            return replace(case, policy=replace(case.policy, teachings_per_target_per_week=easing.figure))
        case RelaxationKind.TEACHINGS_DAY:
            return replace(case, policy=replace(case.policy, teachings_per_target_per_day=easing.figure))
        case RelaxationKind.LEARNER_LIMIT:
            return replace(case, learners=_higher(case.learners, easing))
        case RelaxationKind.ADULT_LIMIT:
            return replace(case, adults=_higher(case.adults, easing))
        case RelaxationKind.CAPACITY:
            place = replace(case.locations[easing.subject], capacity=easing.figure)
            return replace(case, locations={**case.locations, place.id: place})
        case RelaxationKind.COPIES:
            copied = replace(case.material_sets[easing.subject], copies=easing.figure)
            return replace(case, material_sets={**case.material_sets, copied.id: copied})
        case RelaxationKind.BRIEFING:
            return briefed(case, easing.subject, easing.target)
        case RelaxationKind.TEACHES:
            adult = case.adults[easing.subject]
            # who may teach more is briefed on no more, so what may be taught by default is written out
            taught = adult.briefed_on or frozenset() if adult.teaches is None else adult.teaches
            more = replace(adult, teaches=taught | {easing.target})
            return replace(case, adults={**case.adults, adult.id: more})
        case _:
            return case


def _higher(people: Mapping[str, Person], easing: Easing) -> dict[str, Person]:
    one = people[easing.subject]
    limits = replace(one.limits, **{easing.key: easing.figure})
    return {**people, one.id: replace(one, limits=limits)}


def with_all(case: Case, free: Hours, lifts: Iterable[Relaxation]) -> tuple[Case, Hours]:
    """Case and hours with all of these changes at once: a week that is possible with one of them is with all. They must
    be changes of this case and these hours, and briefings are not among them: these change what is owed too."""
    for lift in lifts:
        own = _hours_of(lift.free, lift.easing) or {}
        free = _with_hours(free, lift.easing, own.get(lift.easing.subject, ()))
        case = eased(case, lift.easing)
    return case, free
