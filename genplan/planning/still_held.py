"""Which of the sittings that people were told of can still be held, and what stands against the others.

Everything is read from the case as it is now: who is away, what is shut or missing, what was run meanwhile. Of two that
cannot both be held any more, because a limit or a way has changed, the later one gives way: what in it does not fit
beside those before it, or, where nothing does, all of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time
from enum import StrEnum

from genplan.case import Case
from genplan.case.possible import Obstacle, obstacle
from genplan.case.second_adults import may_be_there
from genplan.case.targets import MATERIAL_SET, TargetState
from genplan.case.windows import Windows, holds
from genplan.plan import Beside, sitting_minutes
from genplan.planning.openings import hours
from genplan.planning.week_context import WeekContext
from genplan.rules.clashes import set_missing
from genplan.rules.limits import Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.rules.together import everything_between, is_barred_from


class AgainstKind(StrEnum):
    """What stands against a told sitting: those before `OTHERS` and the last two against all of it, `OTHERS` against
    all or one probe of it, the rest against one probe, or against who sits beside. The last two are what people said of
    the sitting itself, and are not found here."""

    GONE = "not in the case any more"
    LEARNER = "learner not free"
    ADULT = "adult not free"
    LOCATION = "location shut"
    SECOND_ADULT = "second adult not there"
    NO_SECOND_ADULT = "nobody beside"
    TIMES = "other times or lengths"
    OTHERS = "other sittings"
    SET = "set missing"
    TARGET = "target not planned"
    COMBINATION = "combination not possible"
    NOT_OWED = "not owed any more"
    OBSERVER = "observer not there"
    NOT_NEEDED = "second adult not needed"
    LEFT_OUT = "left out by somebody"
    NOT_RUN = "written down as not run"


OF_THE_SITTING = frozenset({AgainstKind.LEFT_OUT, AgainstKind.NOT_RUN})
"""What somebody said of it, whoever is there."""
OF_ADULTS = frozenset({AgainstKind.ADULT, AgainstKind.SECOND_ADULT, AgainstKind.NO_SECOND_ADULT})
OF_ALL = frozenset({AgainstKind.GONE, AgainstKind.LEARNER, AgainstKind.LOCATION, *OF_ADULTS, *OF_THE_SITTING})
OF_PRESENCE = frozenset(
    {AgainstKind.LEARNER, AgainstKind.ADULT, AgainstKind.SECOND_ADULT, AgainstKind.LOCATION}
)
"""By these it is called off whatever the results say."""
OF_PROBES = frozenset({AgainstKind.SET, AgainstKind.TARGET, AgainstKind.COMBINATION})
"""By `OF_ALL` it is called off, by these a probe of it is: somebody changed the case. The rest is what the program
works out by its limits and the results."""


@dataclass(frozen=True)
class Against:
    """One thing that stands against a sitting: `id` is whom or what it is about, `target` the probe's, if it is about
    one; `limit` is what other sittings stand in the way of, `obstacle` why a combination is not possible any more."""

    kind: AgainstKind
    id: str = ""
    target: str = ""
    limit: Limit | None = None
    obstacle: Obstacle | None = None

    @property
    def is_for_its_thing(self) -> bool:
        """The material set alone forbids it: no other adult, place or time is any help."""
        return self.obstacle is not None and {name for name, _ in self.obstacle.values} == {MATERIAL_SET}


@dataclass(frozen=True)
class StillHeld:
    """A sitting as people were told of it, what of it can still be held (None: nothing), and what stands against the
    rest."""

    seat: PlacedSitting
    left: PlacedSitting | None
    against: tuple[Against, ...] = ()


def still_held(context: WeekContext, seats: Iterable[PlacedSitting]) -> tuple[StillHeld, ...]:
    """What can still be held of these sittings, which have not begun, in order of time."""
    found, beside = [], list(context.begun_seats)
    for seat in sorted(seats, key=lambda s: (s.start, s)):
        one = _with_whom_it_needs(context, _beside_others(context, _by_itself(context, seat), beside))
        if one.left is not None:
            beside.append(one.left)
        found.append(one)
    return tuple(found)


def _beside_others(context: WeekContext, one: StillHeld, beside: Sequence[PlacedSitting]) -> StillHeld:
    """As much of it as fits beside these sittings, its probes in their order: a limit of one skill is no reason to
    leave out the others."""
    case, free = context.case, context.free

    def limit_of(seat: PlacedSitting) -> Limit | None:
        return next(everything_between(case, seat, beside, free.recorded, free.recorded_teachings), None)

    if one.left is None or (whole := limit_of(one.left)) is None:
        return one
    probes, parts = tuple[PlacedProbe, ...](), []
    for probe in one.left.probes:
        limit = limit_of(_with_probes(case, one.left, (*probes, probe)))
        if limit is None:
            probes += (probe,)
        else:
            parts.append(Against(AgainstKind.OTHERS, target=probe.target, limit=limit))
    if not probes:
        return replace(one, left=None, against=(*one.against, Against(AgainstKind.OTHERS, limit=whole)))
    return replace(one, left=_with_probes(case, one.left, probes), against=(*one.against, *parts))


def _by_itself(context: WeekContext, seat: PlacedSitting) -> StillHeld:
    """As if there were no other sitting."""
    if whole := tuple(_against_all(context, seat)):
        return StillHeld(seat, None, whole)
    probes, parts = [], []
    for probe in seat.probes:
        against = next(_against_probe(context, seat, probe), None)
        if against is None:
            probes.append(probe)
        else:
            parts.append(against)
    left: PlacedSitting | None = seat
    if parts:
        left = _with_probes(context.case, seat, tuple(probes)) if probes else None
    if left is not None and (gone := _observer_gone(context, left)):
        parts.append(gone)
        left = replace(left, beside="", beside_as=Beside.NOBODY)
    return StillHeld(seat, left, tuple(parts))


def _with_whom_it_needs(context: WeekContext, one: StillHeld) -> StillHeld:
    """Without a second adult for whom nothing is left to do."""
    seat = one.left
    if seat is None or seat.beside_as in (Beside.NOBODY, needed := _needed_beside(context, seat)):
        return one
    # a companion may be needed to teach
    stays = needed is Beside.TEACHER and seat.beside_as is Beside.COMPANION
    left = replace(seat, beside=seat.beside if stays else "", beside_as=needed if stays else Beside.NOBODY)
    if stays:
        return replace(one, left=left)
    return replace(one, left=left, against=(*one.against, Against(AgainstKind.NOT_NEEDED, seat.beside)))


def _needed_beside(context: WeekContext, seat: PlacedSitting) -> Beside:
    """As what somebody has to sit beside, or may, to observe."""
    adult = context.case.adults[seat.adult]
    if context.free.needs_companion(seat.adult, seat.learner):
        return Beside.COMPANION
    if any(not p.is_probe and not adult.may_teach(p.target) for p in seat.probes):
        return Beside.TEACHER
    observed = seat.beside_as is Beside.OBSERVER and context.case.policy.observed_share and seat.tests
    return Beside.OBSERVER if observed else Beside.NOBODY


def _with_probes(case: Case, seat: PlacedSitting, probes: tuple[PlacedProbe, ...]) -> PlacedSitting:
    """The seat with these probes alone."""
    return replace(seat, end=seat.start + sitting_minutes(case, probes), probes=probes)


def with_all_of_the_week(context: WeekContext) -> WeekContext:
    """The same with the hours of what is over already, too."""
    monday = datetime.combine(context.week.monday, time(), context.case.timezone)
    return replace(context, free=hours(context.case, context.week, monday, context.busy))


def not_there(context: WeekContext, seat: PlacedSitting) -> tuple[Against, ...]:
    """Who, and which place or material set, is not there for a sitting, whatever else stands against it."""
    missing = (
        Against(AgainstKind.SET, name, p.target)
        for p in seat.probes
        if set_missing(name := p.combination[2], seat, context.free.missing.get(name, ()))
    )
    return (*(a for a in _against_all(context, seat) if a.kind in OF_PRESENCE), *missing)


def _against_all(context: WeekContext, seat: PlacedSitting) -> Iterator[Against]:
    case, free = context.case, context.free
    if not _is_there(free.learners.get(seat.learner, ()), seat):
        yield Against(AgainstKind.LEARNER, seat.learner)
    if not _can_be_there(context, seat, seat.adult):
        yield Against(AgainstKind.ADULT, seat.adult)
    place = case.locations[seat.location]
    if not place.takes(seat.learner) or not _is_there(free.locations[seat.location], seat):
        yield Against(AgainstKind.LOCATION, seat.location)
    if seat.beside_as.is_needed:
        if not _can_be_beside(context, seat):
            yield Against(AgainstKind.SECOND_ADULT, seat.beside)
    elif free.needs_companion(seat.adult, seat.learner):
        yield Against(AgainstKind.NO_SECOND_ADULT, seat.adult)
    of_day = seat.start % (24 * 60)
    if of_day % case.policy.start_every_minutes or seat.minutes != sitting_minutes(case, seat.probes):
        yield Against(AgainstKind.TIMES)


def _against_probe(context: WeekContext, seat: PlacedSitting, probe: PlacedProbe) -> Iterator[Against]:
    case, target = context.case, context.case.targets[probe.target]
    wanted = (TargetState.MASTERED,) if probe.is_test else (TargetState.MASTERED, TargetState.TEACHING)
    if target.state not in wanted:
        yield Against(AgainstKind.TARGET, target=probe.target)
    if found := obstacle(case, target, probe.combination, context.now.date()):
        yield Against(AgainstKind.COMBINATION, target=probe.target, obstacle=found)
    name = probe.combination[2]
    if set_missing(name, seat, context.free.missing.get(name, ())):
        yield Against(AgainstKind.SET, name, probe.target)
    if not any(n.choice_for(probe, seat.day) for n in context.needs if n.id == probe.target):
        yield Against(AgainstKind.NOT_OWED, target=probe.target)


def _observer_gone(context: WeekContext, seat: PlacedSitting) -> Against | None:
    """An observer who cannot come costs nothing but the count."""
    if seat.beside_as is not Beside.OBSERVER or _can_be_beside(context, seat):
        return None
    return Against(AgainstKind.OBSERVER, seat.beside)


def _can_be_beside(context: WeekContext, seat: PlacedSitting) -> bool:
    there = _can_be_there(context, seat, seat.beside)
    known = seat.beside_as is not Beside.COMPANION or not context.free.needs_companion(
        seat.beside, seat.learner
    )
    return there and known and not is_barred_from(context.case, seat.beside, seat)


def _can_be_there(context: WeekContext, seat: PlacedSitting, adult: str) -> bool:
    """Whether an adult may be there, has the hours, and is not on the way to or from something elsewhere."""
    may = may_be_there(context.case, adult, seat.learner, seat.location)
    return may and _is_there(context.free.adult_at(adult, seat.location), seat)


def _is_there(windows: Windows, seat: PlacedSitting) -> bool:
    return holds(windows, seat.start, seat.end)
