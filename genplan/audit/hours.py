"""Rules of one sitting and the clock: free hours, opening times, grid, length, the past, clock changes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, timedelta
from math import ceil, floor

from genplan.audit.context import DAY, AuditContext, of
from genplan.case import Absence, Adult, WeeklyHours
from genplan.language import _
from genplan.plan import Sitting


def free_minutes(matter: AuditContext, hours: WeeklyHours, absences: Iterable[Absence]) -> bytearray:
    """One byte for each minute of the week: 1 where the hours hold it and no absence touches it."""
    free = bytearray(7 * DAY)
    for day, windows in enumerate(hours.days):
        for start, end in windows:
            free[day * DAY + start : day * DAY + end] = b"\x01" * (end - start)
    for absence in absences:
        block(free, floor(matter.minute(absence.start)), ceil(matter.minute(absence.end)))
    return free


def block(free: bytearray, start: int, end: int) -> None:
    """Takes off these minutes, as far as the week has them."""
    start, end = max(0, start), min(7 * DAY, end)
    if start < end:
        free[start:end] = bytes(end - start)


def _outside(matter: AuditContext, sittings: Iterable[Sitting], free: bytearray) -> Iterator[Sitting]:
    """Those with a minute that is not free. One outside the week has a rule of its own."""
    for s in sittings:
        start, end = int(matter.minute(s.start)), int(matter.minute(s.end))
        if start >= 0 and end <= 7 * DAY and 0 in free[start:end]:
            yield s


def learner_is_free(matter: AuditContext) -> Iterator[str]:
    for learner in matter.case.learners.values():
        own = [s for s in matter.by_learner.get(learner.id, []) if not s.begun]
        if own:
            free = free_minutes(matter, learner.free, learner.away)
            for s in _outside(matter, own, free):
                yield of(s, _("it is not inside the free hours of learner {learner}.", learner=learner.id))


def minutes_of_adult(matter: AuditContext, adult: Adult) -> bytearray:
    """When an adult is free, without what the busy calendar takes."""
    return free_minutes(matter, adult.free, (*adult.away, *matter.busy.get(adult.id, ())))


def leave_the_way(matter: AuditContext, free: bytearray, busy: Iterable[Absence], location: str) -> None:
    """Takes off the minutes that an adult needs to get from the location to what is in a busy calendar, and back, on
    the days of that."""
    for absence in busy:
        way = matter.case.travel.minutes(absence.place, location) if absence.place else 0
        first, last = floor(matter.minute(absence.start)), ceil(matter.minute(absence.end))
        if way and max(0, first) < min(7 * DAY, last):
            day, night = max(0, first) // DAY * DAY, ceil(min(7 * DAY, last) / DAY) * DAY
            block(free, max(day, first - way), min(night, last + way))


def adult_is_free(matter: AuditContext) -> Iterator[str]:
    for adult in matter.case.adults.values():
        own = [s for s in matter.by_adult.get(adult.id, []) if not s.begun]
        busy = matter.busy.get(adult.id, ())
        if own:
            free = minutes_of_adult(matter, adult)
            for s in _outside(matter, own, free):
                yield of(s, _("it is not inside the free hours of adult {adult}.", adult=adult.id))
        if any(absence.place for absence in busy):
            yield from _not_on_the_way(matter, adult, own)


def _not_on_the_way(matter: AuditContext, adult: Adult, own: Iterable[Sitting]) -> Iterator[str]:
    for s in own:
        busy, free = matter.busy[adult.id], bytearray(b"\1" * 7 * DAY)
        leave_the_way(matter, free, busy, s.location)
        if any(_outside(matter, [s], free)) and not any(_touches(matter, s, b) for b in busy):
            yield of(
                s, _("adult {adult} has no time for the way to what is in the busy calendar.", adult=adult.id)
            )


def _touches(matter: AuditContext, s: Sitting, busy: Absence) -> bool:
    return matter.minute(s.start) < matter.minute(busy.end) and matter.minute(busy.start) < matter.minute(
        s.end
    )


def location_is_open(matter: AuditContext) -> Iterator[str]:
    for location in matter.case.locations.values():
        own = [s for s in matter.by_location.get(location.id, []) if not s.begun]
        if own:
            free = free_minutes(matter, location.open, location.closed)
            for s in _outside(matter, own, free):
                yield of(
                    s, _("it is not inside the opening times of location {location}.", location=location.id)
                )


def within_one_day_of_the_week(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        start, end = matter.minute(s.start), matter.minute(s.end)
        if start < 0 or end > 7 * DAY:
            yield of(s, _("it is not in week {week}.", week=matter.plan.week))
        elif end <= start or floor(start / DAY) != floor((end - 1) / DAY):
            yield of(s, _("it does not end on the day on which it starts."))
        elif s.start.weekday() not in matter.case.policy.days:
            yield of(s, _("the policy uses no such day of the week."))


def on_the_grid(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        grid, past_midnight = matter.case.policy.start_every_minutes, s.start.hour * 60 + s.start.minute
        if past_midnight % grid or s.start.second or s.start.microsecond:
            yield of(s, _("it does not start on the grid of {grid} minutes.", grid=grid))


def length_is_right(matter: AuditContext) -> Iterator[str]:
    """The settling time and the minutes of what is probed and taught in it."""
    for s in matter.new:
        minutes = matter.case.policy.settle_minutes
        for probe in s.probes:
            target = matter.case.targets[probe.target]
            minutes += target.minutes if probe.kind.is_probe else target.teaching_minutes
        if matter.minute(s.end) - matter.minute(s.start) != minutes:
            yield of(
                s,
                _(
                    "settling and probes take {minutes} minutes, but it ends at {end:%H:%M}.",
                    minutes=minutes,
                    end=s.end,
                ),
            )


def not_in_the_past(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        if s.start < matter.plan.now:
            yield of(s, _("it starts before now."))


def begun_sittings_stay(matter: AuditContext) -> Iterator[str]:
    """A kept sitting that has begun is in the plan as it was; nothing else claims to have begun."""
    planned = {s.id: s for s in matter.plan.sittings}
    begun = {s.id: s for s in matter.kept if s.begun or s.start < matter.plan.now}
    for id_, old in begun.items():
        new = planned.get(id_)
        if new is None:
            yield of(old, _("it has begun, but the plan does not hold it."))
        elif not new.begun or _what_was_told(new) != _what_was_told(old):
            yield of(old, _("it has begun, but the plan changes it."))
    for s in matter.plan.sittings:
        if s.begun and s.id not in begun:
            yield of(s, _("it is marked as begun, but no kept sitting that has begun has its id."))


def _what_was_told(s: Sitting) -> tuple[object, ...]:
    probes = [(p.target, p.combination, p.kind.is_probe) for p in s.probes]
    return s.learner, s.adult, s.beside, s.beside_as, s.location, s.start, s.end, probes


def clock_is_right(matter: AuditContext) -> Iterator[str]:
    """The offset is the zone's, and each wall-clock minute of the sitting exists exactly once."""
    zone = matter.case.timezone
    for s in matter.new:
        wall = s.start.replace(tzinfo=None)
        if s.start.utcoffset() != wall.replace(tzinfo=zone).utcoffset():
            yield of(s, _("{start} has not the offset of {zone}.", start=s.start.isoformat(), zone=zone.key))
            continue
        minutes = s.end.replace(tzinfo=None) - wall
        passed = s.end.astimezone(UTC) - s.start.astimezone(UTC)
        inside = [
            (wall + timedelta(minutes=m)).replace(tzinfo=zone) for m in range(int(minutes.seconds / 60))
        ]
        once = all(moment.utcoffset() == moment.replace(fold=1).utcoffset() for moment in inside)
        if not once or passed != minutes:
            yield of(s, _("the clock changes in it, or its end has not the offset of {zone}.", zone=zone.key))


HOURS = (
    within_one_day_of_the_week,
    learner_is_free,
    adult_is_free,
    location_is_open,
    on_the_grid,
    length_is_right,
    not_in_the_past,
    begun_sittings_stay,
    clock_is_right,
)
