"""The plan as iCalendar files (RFC 5545): one for everything, and one for each adult, learner and location.

A learner is called by the alias in all of them. An event has the same UID in every file that holds it, so that
importing two of them makes no double; in an adult's own file it is titled for that adult. A location's file says only
that it is in use, under UIDs of its own. So is the time that a second adult gives, in that adult's file: it may be
cancelled while the sitting is held. The same plan, told before in the same way, gives the same bytes: no moment but
those of the telling is in them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import NAMESPACE_DNS, uuid5

from genplan.case import Case, Target, Week
from genplan.keeping.revision import revise
from genplan.keeping.told import Told, still_expected
from genplan.language import N_, _, and_list_of, ngettext, said
from genplan.language.sentences import capital
from genplan.plan import Beside, Plan, Probe, Sitting
from genplan.report.calendar_bytes import CANCELLED, CONFIRMED, TENTATIVE, CalendarEvent, calendar_of
from genplan.report.messages import cautions_to_mind, place_words
from genplan.report.names_and_words import (
    SPOKEN_DIMENSION,
    Names,
    clean,
    lesson_words,
    probes_words,
)
from genplan.report.value_words import value_word
from genplan.text.cautions import assent_caution

DOMAIN = "genplan.invalid"
"""A name that no host may have (RFC 2606), so that a UID claims nobody's domain."""

_UIDS = uuid5(NAMESPACE_DNS, DOMAIN)


_PARTS = {
    Beside.OBSERVER: N_("Observer beside {adult} with {learner}"),
    Beside.COMPANION: N_("Companion beside {adult} with {learner}"),
    Beside.TEACHER: N_("Teaching beside {adult} with {learner}"),
}
"""How the second adult's own event is titled."""
TITLE_SKILLS = 2
"""So many skills stand in the title of an event, which a phone shows in one line."""
AFTERWARDS = N_(
    "Afterwards: write down how it went, on the sheet or on the page. If it was not held, write why."
)


def calendar_files(
    case: Case, plan: Plan, told: Sequence[Told] | None = None, *, kept: bool = False
) -> dict[str, bytes]:
    """`calendars/NAME.ics` -> bytes, sorted by name; who or what has no sitting has a file all the same.

    `told` is what is told with this plan; without it, nobody was told anything before. Events are TENTATIVE until
    the plan is `kept`, then CONFIRMED; one that was told and dropped is CANCELLED, until no
    calendar can expect it any more."""
    if told is None:
        told = revise((), plan.sittings, plan.now, settled=kept, case_id=case.case_id)
    files = {
        f"calendars/{c.file}.ics": calendar_of(case.timezone, plan.week, c.name, c.entries)
        for c in collections(case, plan.week, tuple(still_expected(told, plan.now)))
    }
    return dict(sorted(files.items()))


@dataclass(frozen=True)
class Collection:
    """One person's or place's events. `kind` is all, adult, learner or location; `id` is empty for all."""

    kind: str
    id: str
    name: str
    entries: tuple[CalendarEvent, ...]

    @property
    def file(self) -> str:
        return f"{self.kind}-{file_id(self.id)}" if self.id else self.kind


def collections(case: Case, week: Week, told: Sequence[Told]) -> Iterator[Collection]:
    """Everybody's events of what was told: each adult's and learner's own, and when each location is in use. Who is not
    in the case any more is told of the cancelled ones too."""
    names, entry = Names(case), {t.event: _sitting_entry(case, t) for t in told}
    run_by, beside = _by(told, lambda t: (t.sitting.adult,)), _by(told, _beside)
    with_, at = _by(told, lambda t: (t.sitting.learner,)), _by(told, _places)
    yield Collection("all", "", _("Week {week}", week=week), tuple(entry.values()))
    for adult in dict.fromkeys((*case.adults, *(a for t in told for a in _adults(t)))):
        own = tuple(replace(entry[t.event], summary=_own_title(names, t)) for t in run_by[adult])
        others = tuple(e for t in beside[adult] for e in _beside_entries(case, t, adult))
        yield Collection("adult", adult, names.adult(adult), (*own, *others))
    for learner in dict.fromkeys((*case.learners, *(t.sitting.learner for t in told))):
        own = tuple(entry[t.event] for t in with_[learner])
        yield Collection("learner", learner, names.learner(learner), own)
    for location in case.locations.values():
        uses = tuple(e for t in at[location.id] for e in _use_entries(case, t, location.id))
        yield Collection("location", location.id, names.location(location.id), uses)


def _by(told: Iterable[Told], whose: Callable[[Told], Iterable[str]]) -> Mapping[str, list[Told]]:
    """What was told by the ids of whom or what it is about, each once."""
    found = defaultdict[str, list[Told]](list)
    for one in told:
        for id_ in dict.fromkeys(whose(one)):
            found[id_].append(one)
    return found


def _adults(told: Told) -> Iterator[str]:
    yield from told.sitting.adults
    yield from (x.id for x in told.released)


def _beside(told: Told) -> Iterator[str]:
    """Who sits beside, and who was to."""
    yield told.sitting.beside
    yield from (x.id for x in told.released)


def _places(told: Told) -> Iterator[str]:
    """Where it is held, and where it was to be."""
    yield told.sitting.location
    yield from (x.id for x in told.left)


def file_id(id_: str) -> str:
    """An id as part of a file's name: what a file system may refuse is written as %XX."""
    return "".join(f"%{ord(c):02X}" if c in '%<>:"/\\|?*' or ord(c) < 32 else c for c in id_)


def uid(kind: str, event: str) -> str:
    """The same for the same sitting in every plan, and opaque: no learner's id is in it (RFC 7986, 5.3)."""
    return f"{uuid5(_UIDS, f'{kind}:{event}')}@{DOMAIN}"


def _status(told: Told) -> str:
    if told.cancelled:
        return CANCELLED
    return CONFIRMED if told.settled else TENTATIVE


def _sitting_entry(case: Case, told: Told) -> CalendarEvent:
    names, sitting, status = Names(case), told.sitting, _status(told)
    summary = names.meeting(sitting.learner, sitting.adult)
    summary = (
        _("Cancelled: {summary}", summary=summary)
        if told.cancelled
        else f"{summary}: {probes_words(sitting.probes)}"
    )
    lines = (
        (_("This sitting is not held."),) if told.cancelled else _description(names, sitting, told.settled)
    )
    return CalendarEvent(
        uid("sitting", told.event),
        sitting.start,
        sitting.end,
        summary,
        place_words(names, sitting.location),
        told.sequence,
        told.changed,
        status,
        "\n".join(lines),
        None if told.cancelled else case.policy.alarm_minutes,
        sitting.learner,
    )


def _own_title(names: Names, told: Told) -> str:
    """What the adult who runs it reads: the child and the skills, not the own name."""
    skills = list(dict.fromkeys(names.target(p.target) for p in told.sitting.probes))
    title = f"{names.learner(told.sitting.learner)}: {and_list_of(skills, TITLE_SKILLS)}"
    if not any(p.kind.is_probe for p in told.sitting.probes):
        title = _("{title} (teaching)", title=title)
    return _("Cancelled: {title}", title=title) if told.cancelled else title


def _beside_entries(case: Case, told: Told, adult: str) -> Iterator[CalendarEvent]:
    """The event of a second adult, or a cancelled one of an adult who was to be it."""
    names, sitting = Names(case), told.sitting
    id_, place = uid("beside", f"{told.event}:{adult}"), place_words(names, sitting.location)
    ran_by, learner = names.adult(sitting.adult), names.learner(sitting.learner)
    off = _("Cancelled: beside {adult} with {learner}", adult=ran_by, learner=learner)
    for x in told.released:
        if x.id == adult:
            words, lines = off, _("You are not asked for any more.")
            main = CalendarEvent(id_, x.start, x.end, words, place, x.sequence, x.changed, CANCELLED, lines)
            yield replace(main, learner=sitting.learner)
    if sitting.beside == adult:
        main = _sitting_entry(case, told)
        words = off if told.cancelled else said(_PARTS[sitting.beside_as], adult=ran_by, learner=learner)
        yield replace(main, uid=id_, summary=words)


def _use_entries(case: Case, told: Told, location: str) -> Iterator[CalendarEvent]:
    """The event of a location where the sitting is held, or a cancelled one where it was to be held."""
    sitting = told.sitting
    place = Names(case).location(location)
    id_ = uid("use", f"{told.event}:{location}")
    for x in told.left:
        if x.id == location:
            words = _("{place}: not in use", place=place)
            yield CalendarEvent(id_, x.start, x.end, words, place, x.sequence, x.changed, CANCELLED)
    if sitting.location == location:
        words = _("{place}: not in use", place=place) if told.cancelled else _("{place}: in use", place=place)
        yield CalendarEvent(
            id_, sitting.start, sitting.end, words, place, told.use_sequence, told.use_changed, _status(told)
        )


def _description(names: Names, sitting: Sitting, kept: bool) -> Iterator[str]:
    """The lines of an event's text: each probe, then what to look out for."""
    if not kept:
        yield from (_("Not settled yet: this time may still change."), "")
    if sitting.beside:
        yield from (f"{names.beside(sitting)}.", "")
    for number, probe in enumerate(sitting.probes, start=1):
        yield from _probe_lines(names, number, probe)
        yield ""
    yield _("Take care")
    yield from (f"- {caution}" for caution in cautions_to_mind(names, sitting))
    yield f"- {clean(assent_caution(names.learner(sitting.learner)))}"
    yield _("- An adult who is responsible stays within sight and reach.")
    yield ""
    yield said(AFTERWARDS)


def _probe_lines(names: Names, number: int, probe: Probe) -> Iterator[str]:
    target = names.case.targets[probe.target]
    yield f"{number}. {names.target(target.id)} ({value_word(probe.kind)})"
    for thing in names.things_of(probe):
        yield _("- With: {material_set}", material_set=thing)
    for name, value in names.extras(target, probe.combination):
        if name != SPOKEN_DIMENSION:
            yield f"- {capital(name)}: {value}"
    if cue := names.cue(probe):
        yield f"- {cue}"
    yield f"- {_measure(target, probe)}"
    if target.correct_when:
        yield _("- Counts as correct: {correct_when}", correct_when=clean(target.correct_when))


def _measure(target: Target, probe: Probe) -> str:
    if not probe.kind.is_probe:
        return lesson_words(target, probe)
    needed = target.pass_mark.needed(probe.trials)
    trials = ngettext("{n} trial", "{n} trials", probe.trials)
    if needed == probe.trials > 1:
        return _(
            "{trials} without help or teaching; met with all {needed} correct", trials=trials, needed=needed
        )
    return _(
        "{trials} without help or teaching; met with {needed} or more correct", trials=trials, needed=needed
    )
