"""Who can meet where and when.

An opening is a stretch of one day in which a learner, an adult and a location are all free: a sitting of these may lie
anywhere in it. Whether two sittings get in each other's way is not looked at here; that is the solver's part.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from genplan.case import Absence, Adult, Case, Learner, Location, Week, Windows
from genplan.case.dated_facts import missing_in, reasons_in
from genplan.case.people import Reason
from genplan.case.week import MINUTES_PER_DAY, MINUTES_PER_WEEK
from genplan.case.windows import Window, intersect, merge, subtract
from genplan.planning.companions import CompanionWindow, adult_at, anybody, company, company_in
from genplan.rules.clashes import kept_from
from genplan.rules.placed_sittings import PlacedSitting, Seated, of_learner

Busy = Mapping[str, tuple[Absence, ...]]
"""Adult id -> busy times read from exported calendars."""


@dataclass(frozen=True, order=True, kw_only=True)
class Opening:
    """A stretch of one day in which learner, adult and location are all free.

    - `learner`, `adult`, `location`: whose, by id
    - `start`, `end`: minutes of the week from Monday 00:00, half-open"""

    learner: str
    adult: str
    location: str
    start: int
    end: int

    @property
    def day(self) -> int:
        return self.start // MINUTES_PER_DAY


def absences_in(week: Week, absences: Iterable[Absence]) -> Windows:
    """The parts of absences that fall into the week, in minutes of it. A start is rounded down, an end up."""
    return merge(
        (max(0, week.minute_before(a.start)), min(MINUTES_PER_WEEK, week.minute_of(a.end))) for a in absences
    )


def clock_changes(week: Week, zone: ZoneInfo) -> Windows:
    """The wall-clock minutes of the week that do not exist or exist twice: nobody can be asked to come then."""
    bad = []
    for index, day in enumerate(week.days):
        midnight = datetime.combine(day, time(), zone)
        if midnight.utcoffset() == (midnight + timedelta(days=1)).utcoffset():
            continue
        for minute in range(MINUTES_PER_DAY):
            moment = midnight + timedelta(minutes=minute)
            if moment.utcoffset() != moment.replace(fold=1).utcoffset():
                bad.append((index * MINUTES_PER_DAY + minute, index * MINUTES_PER_DAY + minute + 1))
    return merge(bad)


def usable_minutes(case: Case, week: Week, now: datetime) -> Windows:
    """The minutes of the week that are still ahead, on days the policy uses, and exist once on the wall clock."""
    days = merge((d * MINUTES_PER_DAY, (d + 1) * MINUTES_PER_DAY) for d in case.policy.days)
    ahead = merge([(max(0, week.minute_of(now)), MINUTES_PER_WEEK)])
    return subtract(intersect(days, ahead), clock_changes(week, case.timezone))


def learner_free(learner: Learner, week: Week) -> Windows:
    return subtract(learner.free.in_week(), absences_in(week, learner.away))


def adult_free(adult: Adult, week: Week, busy: Busy) -> Windows:
    return subtract(adult.free.in_week(), absences_in(week, (*adult.away, *busy.get(adult.id, ()))))


def ways_of(case: Case, week: Week, absences: Iterable[Absence]) -> Mapping[str, Windows]:
    """Location -> the minutes in which somebody cannot be there, since they are on the way to, or from, what they have
    at another location; as far as the day goes. Only those where there is a way."""
    found: dict[str, list[tuple[int, int]]] = {}
    for a in absences:
        start, end = max(0, week.minute_before(a.start)), min(MINUTES_PER_WEEK, week.minute_of(a.end))
        for location in case.locations if a.place and start < end else ():
            if way := case.travel.minutes(a.place, location):
                first = start // MINUTES_PER_DAY * MINUTES_PER_DAY
                last = ceil(end / MINUTES_PER_DAY) * MINUTES_PER_DAY
                found.setdefault(location, []).append((max(start - way, first), min(end + way, last)))
    return {location: merge(stretches) for location, stretches in found.items()}


def location_open(location: Location, week: Week) -> Windows:
    return subtract(location.open.in_week(), absences_in(week, location.closed))


@dataclass(frozen=True, kw_only=True)
class Hours:
    """The minutes of the week that can be used, before anything is planned.

    - `learners`, `adults`, `locations`: id -> when each is free, or open
    - `ways`: adult -> location -> the minutes that the way to what is in a busy calendar takes, for those with any
    - `missing`: material set -> when it is not there; only sets that are missing at some time
    - `shut`: location -> why it is closed on whole days, where there is more to say than that it is
    - `acquainted`: learner -> the adults who have worked with it; all others need a companion. None: nobody needs one
    - `begun`: the week has begun, and these are the minutes that are left
    - `recorded`, `recorded_teachings`: target -> the days of the week on which a probe of it, or a teaching, was run
      that no kept sitting holds
    - `barred`: learner and adult -> when somebody wishes no sitting of theirs
    - `decided`: sittings that are as somebody wished them: none grows by a probe"""

    learners: Mapping[str, Windows]
    adults: Mapping[str, Windows]
    locations: Mapping[str, Windows]
    ways: Mapping[str, Mapping[str, Windows]] = field(default_factory=dict)
    missing: Mapping[str, Windows] = field(default_factory=dict)
    shut: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)
    acquainted: Mapping[str, frozenset[str]] | None = None
    begun: bool = False
    recorded: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    recorded_teachings: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    barred: Mapping[tuple[str, str], Windows] = field(default_factory=dict)
    decided: frozenset[PlacedSitting] = frozenset()

    def adult_at(self, adult: str, location: str) -> Windows:
        """When an adult can be at a location."""
        ways = self.ways.get(adult, {}).get(location, ())
        return subtract(self.adults[adult], ways) if ways else self.adults[adult]

    def adults_at(self, location: str) -> Mapping[str, Windows]:
        """The same of all."""
        return {a: self.adult_at(a, location) for a in self.adults} if self.ways else self.adults

    def needs_companion(self, adult: str, learner: str) -> bool:
        return self.acquainted is not None and adult not in self.acquainted[learner]


def hours(
    case: Case, week: Week, now: datetime, busy: Busy, acquainted: Mapping[str, frozenset[str]] | None = None
) -> Hours:
    """`acquainted` counts only where the policy asks for companions."""
    usable = usable_minutes(case, week, now)
    return Hours(
        learners={i: intersect(usable, learner_free(x, week)) for i, x in case.learners.items()},
        adults={i: intersect(usable, adult_free(x, week, busy)) for i, x in case.adults.items()},
        locations={i: intersect(usable, location_open(x, week)) for i, x in case.locations.items()},
        ways={i: ways for i, times in busy.items() if (ways := ways_of(case, week, times))},
        missing={i: missing_in(x, week) for i, x in case.material_sets.items() if x.missing},
        shut={i: why for i, x in case.locations.items() if (why := reasons_in(x, week))},
        acquainted=acquainted if case.policy.accompany_new_adults else None,
        begun=week.minute_of(now) > 0,
    )


def openings_of(
    case: Case,
    free: Hours,
    learner: str,
    taken: Iterable[PlacedSitting] = (),
    *,
    adult: str = "",
    location: str = "",
) -> tuple[Opening, ...]:
    """All openings of one learner, sorted; only those with `adult` or at `location`, where one is named. They leave
    out:

    - the sittings in `taken`, the way to and from those at other places, and the learner's rest beside them;
    - minutes in which the location is full;
    - where the adult needs a companion, minutes in which nobody can be it;
    - minutes in which somebody wishes no sitting of the two.

    None spans midnight."""
    taken = tuple(taken)
    own = of_learner(taken, learner)
    theirs = Seated(taken).by_adult
    found = []
    for place in (case.locations[location],) if location else case.locations.values():
        if not place.takes(learner):
            continue
        here = intersect(
            _learner_at(case, free.learners[learner], own, place.id),
            subtract(free.locations[place.id], saturated_windows(place, taken)),
        )
        if not here:
            continue
        for who in (case.adults[adult],) if adult else case.adults.values():
            if who.works_with(learner) and who.goes_to(place.id):
                hers = free.adult_at(who.id, place.id)
                together = intersect(here, adult_at(case, hers, theirs.get(who.id, ()), place.id))
                if free.needs_companion(who.id, learner):
                    beside = company_of(case, free, learner, place.id, taken)
                    together = intersect(together, anybody(beside))
                together = subtract(together, free.barred.get((learner, who.id), ()))
                found += [
                    Opening(learner=learner, adult=who.id, location=place.id, start=w.start, end=w.end)
                    for w in split_at_midnight(together)
                ]
    return tuple(sorted(found))


def _learner_at(case: Case, windows: Windows, own: tuple[PlacedSitting, ...], location: str) -> Windows:
    return subtract(windows, [kept_from(case, s, location, case.policy.rest_minutes) for s in own])


def company_of(
    case: Case, free: Hours, learner: str, location: str, taken: Iterable[PlacedSitting]
) -> dict[str, Windows]:
    """When each adult who has worked with the learner can sit beside a sitting of it at the location."""
    known = free.acquainted[learner] if free.acquainted is not None else ()
    return company(case, free.adults_at(location), known, learner, location, taken)


def companions_for(
    case: Case, free: Hours, openings: Iterable[Opening], taken: Iterable[PlacedSitting]
) -> dict[Opening, tuple[CompanionWindow, ...]]:
    """For each opening that needs a companion who can be it, and when."""
    taken = tuple(taken)
    return {
        o: company_in(company_of(case, free, o.learner, o.location, taken), o.start, o.end)
        for o in openings
        if free.needs_companion(o.adult, o.learner)
    }


def saturated_windows(location: Location, taken: Iterable[PlacedSitting]) -> Windows:
    """When the location already holds as many sittings as it can."""
    edges = sorted(
        (moment, step)
        for seat in taken
        if seat.location == location.id
        for moment, step in ((seat.start, 1), (seat.end, -1))
    )
    full, inside, since = [], 0, 0
    for moment, step in edges:
        if inside >= location.capacity:
            full.append((since, moment))
        inside, since = inside + step, moment
    return merge(full)


def starts_in(stretch: Opening | Window, minutes: int, grid: int) -> range:
    """The minutes of the week at which something of so many minutes can begin within a stretch of one day, on the grid
    that each day begins anew."""
    midnight = stretch.start // MINUTES_PER_DAY * MINUTES_PER_DAY
    first = midnight + grid * ceil((stretch.start - midnight) / grid)
    return range(first, stretch.end - minutes + 1, grid)


def split_at_midnight(windows: Windows) -> list[Window]:
    """The same minutes, cut at each midnight: a sitting lies within one day."""
    parts = []
    for start, end in windows:
        while start < end:
            midnight = (start // MINUTES_PER_DAY + 1) * MINUTES_PER_DAY
            parts.append(Window(start, min(end, midnight)))
            start = min(end, midnight)
    return parts


def starts_beside(gaps: Windows, starts: Iterable[int], minutes: int) -> list[int]:
    """Those at which something of so many minutes touches none of the gaps."""
    return [s for s in starts if not any(s < gap.end and gap.start < s + minutes for gap in gaps)]
