"""The plan as iCalendar files (RFC 5545): one for everything, and one for each adult, learner and location.

A learner is called by the alias in all of them. An event is the same in every file that holds it, so that
importing two of them makes no double. A location's file says only that it is in use, under UIDs of its own.
The same plan gives the same bytes: no moment but `plan.now` is in them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_DNS, uuid5

from icalendar import Calendar, Event, Timezone
from icalendar.prop import vText

from genplan.case import Case
from genplan.case.cautions import STANDING_CAUTIONS, cautions_for
from genplan.plan import Plan, Probe, Sitting
from genplan.report.text import counted
from genplan.report.vtimezone import zone_component
from genplan.report.wording import SPOKEN_DIMENSION, Names, clean, set_of

PRODID = "-//genplan//weekly plan//EN"
DOMAIN = "genplan.invalid"
"""A name that no host may have (RFC 2606), so that a UID claims nobody's domain."""

_UIDS = uuid5(NAMESPACE_DNS, DOMAIN)


@dataclass(frozen=True)
class Entry:
    """One event before it is written. All text is clean; only `description` may hold line ends."""

    uid: str
    start: datetime
    end: datetime
    summary: str
    location: str
    description: str = ""


def calendar_files(case: Case, plan: Plan, *, kept: bool = False) -> dict[str, bytes]:
    """`calendars/NAME.ics` -> bytes, sorted by name; who or what has no sitting has a file all the same.

    Events are TENTATIVE until the plan is `kept`, then CONFIRMED."""
    draw = _Drawing(plan.now, kept, zone_component(case.timezone, plan.week))
    full = {s.id: _sitting_entry(case, s, kept) for s in plan.sittings}
    files = {"all": draw.calendar(f"Week {plan.week}", full.values())}
    for adult in case.adults.values():
        own = [full[s.id] for s in plan.sittings if s.adult == adult.id]
        files[f"adult-{file_id(adult.id)}"] = draw.calendar(adult.name, own)
    for learner in case.learners.values():
        own = [full[s.id] for s in plan.sittings if s.learner == learner.id]
        files[f"learner-{file_id(learner.id)}"] = draw.calendar(learner.alias, own)
    for location in case.locations.values():
        uses = [_use_entry(case, s) for s in plan.sittings if s.location == location.id]
        files[f"location-{file_id(location.id)}"] = draw.calendar(location.name, uses)
    return {f"calendars/{name}.ics": files[name] for name in sorted(files)}


def file_id(id_: str) -> str:
    """An id as part of a file's name: what a file system may refuse is written as %XX."""
    return "".join(f"%{ord(c):02X}" if c in '%<>:"/\\|?*' or ord(c) < 32 else c for c in id_)


def uid(kind: str, sitting: Sitting) -> str:
    """The same for the same sitting in every plan, and opaque: no learner's id is in it (RFC 7986, 5.3)."""
    return f"{uuid5(_UIDS, f'{kind}:{sitting.id}')}@{DOMAIN}"


def _sitting_entry(case: Case, sitting: Sitting, kept: bool) -> Entry:
    names = Names(case)
    who = f"{names.learner(sitting.learner)} with {names.adult(sitting.adult)}"
    return Entry(
        uid("sitting", sitting),
        sitting.start,
        sitting.end,
        f"{who}: {counted(len(sitting.probes), 'probe')}",
        names.location(sitting.location),
        "\n".join(_description(names, sitting, kept)),
    )


def _use_entry(case: Case, sitting: Sitting) -> Entry:
    place = Names(case).location(sitting.location)
    return Entry(uid("use", sitting), sitting.start, sitting.end, f"{place}: in use", place)


def _description(names: Names, sitting: Sitting, kept: bool) -> Iterator[str]:
    """The lines of an event's text: each probe, then what to look out for."""
    if not kept:
        yield from ("Not settled yet: this time may still change.", "")
    for number, probe in enumerate(sitting.probes, start=1):
        yield from _probe_lines(names, number, probe)
        yield ""
    yield "Take care"
    case, day = names.case, sitting.start.date()
    sets = [set_of(case, p) for p in sitting.probes]
    cautions = cautions_for(case, case.learners[sitting.learner], sets, sitting.location, day)
    yield from (f"- {clean(caution)}" for caution in (*cautions, *STANDING_CAUTIONS))


def _probe_lines(names: Names, number: int, probe: Probe) -> Iterator[str]:
    target = names.case.targets[probe.target]
    needed = target.pass_mark.needed(probe.trials)
    yield f"{number}. {names.target(target.id)} ({probe.kind.value})"
    yield f"- With: {names.material_set(set_of(names.case, probe))}"
    for name, value in names.extras(target, probe.combination):
        if name != SPOKEN_DIMENSION:
            yield f"- {name.capitalize()}: {value}"
    if names.say(probe):
        yield f"- Say: {names.say(probe)}"
    yield f"- {counted(probe.trials, 'trial')} without help or teaching; met with {needed} or more correct"
    if target.correct_when:
        yield f"- Counts as correct: {clean(target.correct_when)}"


@dataclass(frozen=True)
class _Drawing:
    """What all files of one plan share."""

    now: datetime
    kept: bool
    zone: Timezone

    def calendar(self, name: str, entries: Iterable[Entry]) -> bytes:
        calendar = Calendar()
        calendar.add("prodid", PRODID)
        calendar.add("version", "2.0")
        for key in ("name", "x-wr-calname"):
            calendar.add(key, vText(clean(name)))
        calendar.add_component(self.zone)
        for entry in sorted(entries, key=lambda e: (e.start.astimezone(UTC), e.uid)):
            calendar.add_component(self.event(entry))
        faults = complaints(calendar)
        if faults:
            raise ValueError("; ".join(faults))
        return calendar.to_ical()  # type: ignore[no-any-return]

    def event(self, entry: Entry, sequence: int = 0) -> Event:
        event = Event()
        event.add("uid", entry.uid)
        event.add("sequence", sequence)
        for key in ("dtstamp", "last-modified"):
            event.add(key, self.now.astimezone(UTC))
        for key, moment in zip(("dtstart", "dtend"), _writable(entry.start, entry.end), strict=True):
            event.add(key, moment)
        event.add("summary", entry.summary)
        event.add("location", entry.location)
        if entry.description:
            event.add("description", entry.description)
        event.add("status", "CONFIRMED" if self.kept else "TENTATIVE")
        return event


def _writable(start: datetime, end: datetime) -> tuple[datetime, datetime]:
    """Local times, or UTC for both where one falls into an hour that the clocks skip or repeat: a local time
    in a calendar cannot say which of the two is meant."""
    if _is_plain(start) and _is_plain(end):
        return start, end
    return start.astimezone(UTC), end.astimezone(UTC)


def _is_plain(moment: datetime) -> bool:
    return moment.replace(fold=0).utcoffset() == moment.replace(fold=1).utcoffset()


def complaints(calendar: Calendar) -> tuple[str, ...]:
    """What RFC 5545 would not forgive in a calendar of ours, in words; empty if nothing."""
    found = [f"the calendar lacks {key}" for key in ("PRODID", "VERSION") if key not in calendar]
    if not calendar.subcomponents:
        found.append("the calendar is empty")
    events = [c for c in calendar.subcomponents if c.name == "VEVENT"]
    zones = {str(c["TZID"]) for c in calendar.subcomponents if c.name == "VTIMEZONE"}
    for event in events:
        found += _event_complaints(event, zones)
    uids = [str(e.get("UID")) for e in events]
    found += [f"UID {u} is there twice" for u in sorted({u for u in uids if uids.count(u) > 1})]
    return tuple(found)


def _event_complaints(event: Event, zones: set[str]) -> list[str]:
    needed = ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE")
    found = [f"an event lacks {key}, or has it twice" for key in needed if _is_no_single(event.get(key))]
    if found:
        return found
    start, end = event["DTSTART"].dt, event["DTEND"].dt
    if end.astimezone(UTC) - start.astimezone(UTC) <= timedelta():
        found.append(f"event {event['UID']} ends before it has begun")
    for key in ("DTSTART", "DTEND"):
        zone = event[key].params.get("TZID")
        if zone is not None and zone not in zones:
            found.append(f"event {event['UID']} has no VTIMEZONE for {zone}")
    return found


def _is_no_single(value: object) -> bool:
    return value is None or isinstance(value, list)
