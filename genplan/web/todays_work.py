"""What there is to do today, from a case and a moment: what is next, what is not written down, what asks for a
decision."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from genplan import workflow
from genplan.case import Absence, TargetState, Week
from genplan.case.people import AbsenceKind
from genplan.case.targets import MATERIAL_SET
from genplan.coverage.asked import Asked, AskedKind
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.dates_ahead import DateAhead
from genplan.coverage.review import TargetReview
from genplan.evidence.log import ResultKind
from genplan.language import N_, _, ngettext, said
from genplan.language.lists import and_list
from genplan.language.sentences import capital
from genplan.plan import ProbeKind, Sitting
from genplan.report.asked_words import asked_sentence
from genplan.report.day_cards import mind_what_is_brought
from genplan.report.first_things import date_sentence
from genplan.report.names_and_words import Names, clean, day_words, hours
from genplan.report.plain_characters import clock, ended, in_order
from genplan.report.sheets import sheet_of
from genplan.report.skill_bars import skill_bars
from genplan.report.told_week_lines import (
    CALLED_OFF,
    PARTLY,
    again_words,
    otherwise_counted,
)
from genplan.report.week_picture import week_picture
from genplan.report.week_table import State
from genplan.web import sitting_cards
from genplan.web.params import plan_words
from genplan.web.today_values import (
    ChildToday,
    Facts,
    Fallen,
    NextSitting,
    Step,
    Today,
    ToTell,
    Unwritten,
    Wanted,
)

AHEAD = timedelta(days=7)
"""So far ahead somebody who is away is spoken of."""
LATELY = timedelta(days=1)
"""So long what fell through is shown, to be taken back."""
FRIDAY = 4
TO_SEND = "to-send"
"""Where the screen of a week has its texts to send."""
UP_TO_DATE = N_("Everything is written down, and the week is planned.")
NOTHING_YET = N_("The week is planned, and nothing is to be written down yet.")


def today_of(facts: Facts) -> Today:
    names, at = Names(facts.case), facts.now
    unwritten = tuple(_unwritten(facts, names))
    off = {f.sitting.id for f in facts.fallen if not f.in_part}
    ahead = sorted(
        (s for s in facts.sittings if s.end > at and s.id not in off), key=lambda s: (s.start, s.id)
    )
    first = ahead[0].start if ahead else None
    own = [s for s in facts.sittings if Week.of(s.start.date()) == facts.week]
    return Today(
        day_words(at.date()),
        _tell(facts),
        _step(facts, [u for _, u in unwritten], ahead),
        tuple(_next(facts, names, s) for s in ahead if s.start == first),
        tuple(_of_fallen(names, f) for f in facts.fallen),
        tuple(_away(facts, names)),
        tuple(
            _child(facts, names, n, i, ahead, unwritten)
            for n, i in enumerate(in_order(facts.case.learners), 1)
        ),
        week_picture(names, facts.week, own, at.date(), _state(facts, unwritten)) if own else None,
        _week_of(ahead[0]) if ahead else facts.week,
        _about(facts.fallen),
        _not_kept(facts),
        tuple(_written_off(facts, names)),
        tuple(_wished(facts)),
    )


def _wished(facts: Facts) -> Iterator[Wanted]:
    today = facts.now.date()
    for week, words in facts.wished:
        plan = again_words(week, today) if week in facts.kept else plan_words(week, today)
        yield Wanted(ended(clean(words)), f"/plan/{week}", plan)


def _about(fallen: Sequence[Fallen]) -> str:
    if all(f.off for f in fallen):
        return capital(said(CALLED_OFF))
    if all(f.in_part for f in fallen):
        return capital(said(PARTLY))
    if any(f.in_part for f in fallen):
        return _("Not as people were told")
    if any(f.off for f in fallen):
        return _("Called off, or can no longer be held")
    return _("Can no longer be held")


def _child(
    facts: Facts,
    names: Names,
    number: int,
    learner: str,
    ahead: Sequence[Sitting],
    unwritten: Sequence[tuple[Sitting, Unwritten]],
) -> ChildToday:
    following = next((s for s in ahead if s.learner == learner), None)
    found = [t for r in facts.reviews if r.learner == learner for t in r.targets]
    return ChildToday(
        number,
        names.learner(learner),
        _next(facts, names, following) if following else None,
        tuple(u for s, u in unwritten if s.learner == learner),
        tuple(w for t in found for w in _wanted(facts, names, t)),
        skill_bars(names, found),
    )


def _next(facts: Facts, names: Names, sitting: Sitting) -> NextSitting:
    place = facts.case.locations[sitting.location]
    fallen = next((f for f in facts.fallen if f.sitting.id == sitting.id), None)
    return NextSitting(
        _when(sitting, facts.now),
        sheet_of(names, sitting),
        clean(place.address),
        mind_what_is_brought(names, sitting),
        f"{': '.join(filter(None, (capital(fallen.words), fallen.why)))}." if fallen else "",
        fallen.sign if fallen else "",
        _instead(sitting) if fallen and fallen.elsewhere else "",
    )


def _when(sitting: Sitting, now: datetime) -> str:
    """`now, until 16:20`, `today, 16:00 to 16:20`, `tomorrow, …`, `Thursday 3 December, …`."""
    if sitting.start <= now:
        return _("now, until {time}", time=clock(sitting.end))
    days = (sitting.start.date() - now.date()).days
    day = {0: _("today"), 1: _("tomorrow")}.get(days) or day_words(sitting.start.date())
    return f"{day}, {hours(sitting)}"


def _unwritten(facts: Facts, names: Names) -> Iterator[tuple[Sitting, Unwritten]]:
    """Each with its sitting, the earliest first."""
    today = facts.now.date()
    since = workflow.asked_since(today)
    begun = [s for s in facts.sittings if s.start <= facts.now and s.start.date() >= since]
    whole = sitting_cards.whole_sittings(facts.log, begun, facts.now)
    for sitting in sorted(begun, key=lambda s: (s.start, s.id)):
        day = sitting.start.date()
        word = {0: _("Today"), 1: _("Yesterday")}.get((today - day).days) or day_words(day)
        for probe in sitting.probes:
            view = sitting_cards.probe_view(facts.log, facts.sittings, facts.now, names, sitting, probe)
            if not view.done:
                who = f"{names.adult(sitting.adult)}, {names.location(sitting.location)}"
                when = f"{word}, {clock(sitting.start)}"
                yield (
                    sitting,
                    Unwritten(
                        when, names.learner(sitting.learner), who, view, whole.get(sitting.id, ("", ""))
                    ),
                )


def _written_off(facts: Facts, names: Names) -> Iterator[Wanted]:
    """What of today and yesterday is written down as not run, all of a sitting or the rest: it may have been held after
    all."""
    today = facts.now.date()
    late = [s for s in facts.sittings if s.start <= facts.now and today - s.start.date() <= LATELY]
    whole = sitting_cards.whole_sittings(facts.log, late, facts.now)
    for s in sorted(late, key=lambda s: (s.start, s.id)):
        rows = [sitting_cards.row_of(facts.log, facts.sittings, s, p) for p in s.probes]
        if all(rows) and s.id in whole:
            is_off = all(row and row.kind is ResultKind.NOT_RUN for row in rows)
            visit = _who(names, s)
            yield Wanted(f"{visit}." if is_off else _("{visit}: the rest of it.", visit=visit), *whole[s.id])


def _who(names: Names, s: Sitting) -> str:
    return _(
        "{day}, {hours}, {learner} with {adult}",
        day=day_words(s.start.date()),
        hours=hours(s),
        learner=names.learner(s.learner),
        adult=names.adult(s.adult),
    )


def _state(facts: Facts, unwritten: Iterable[tuple[Sitting, Unwritten]]) -> Callable[[Sitting], State]:
    """What the picture says of a sitting of this week beside who, where and what."""
    fallen, asked = {f.sitting.id: f for f in facts.fallen}, {s.id for s, _ in unwritten}

    def state(sitting: Sitting) -> State:
        if one := fallen.get(sitting.id):
            return State(f"{one.sign} {one.words}", not one.in_part)
        if sitting.start > facts.now:
            return State()
        if sitting.id in asked:
            return State(_("… not written down"))
        rows = [sitting_cards.row_of(facts.log, facts.sittings, sitting, p) for p in sitting.probes]
        held = any(row and row.kind is not ResultKind.NOT_RUN for row in rows)
        return State(_("✓ written down")) if held else State(_("✗ not held"), is_struck=True)

    return state


def _of_fallen(names: Names, fallen: Fallen) -> Wanted:
    s = fallen.sitting
    sentence = f"{_who(names, s)}: {fallen.words}." + (f" {capital(fallen.why)}." if fallen.why else "")
    way = (_instead(s), _("Find another place")) if fallen.elsewhere else ("", "")
    return Wanted(sentence, *way, fallen.sign)


def _instead(sitting: Sitting) -> str:
    return f"/week/{Week.of(sitting.start.date())}/alternatives/{sitting.id}"


def _away(facts: Facts, names: Names) -> Iterator[str]:
    """Who and what is not there in the next days, as the case says, those of one stretch in one line; busy calendars
    are not looked at."""
    case = facts.case
    things: list[tuple[str, Iterable[Absence]]] = [
        *((names.learner(i), x.away) for i, x in case.learners.items()),
        *((names.adult(i), x.away) for i, x in case.adults.items()),
        *((names.location(i), x.closed) for i, x in case.locations.items()),
    ]
    since = facts.now.replace(tzinfo=None)
    found: dict[tuple[bool, str], list[str]] = {}
    for name, stretches in things:
        for x in stretches:
            if x.start < since + AHEAD and x.end > since and x.kind is not AbsenceKind.OUTSIDE_TERM:
                when = f"{_stretch(x)} ({clean(x.note)})" if x.note else _stretch(x)
                found.setdefault((x.kind in (AbsenceKind.CLOSED, AbsenceKind.HOLIDAY), when), []).append(name)
    for (closed, when), names_of_it in found.items():
        name = and_list(names_of_it)
        yield (
            _("{name}: closed {when}", name=name, when=when)
            if closed
            else _("{name}: away {when}", name=name, when=when)
        )


def _stretch(x: Absence) -> str:
    """Half-open stretches in the words of days: what ends at midnight ends the day before."""
    last = (x.end - timedelta(minutes=1)).date()
    if x.start.date() != last:
        return _("from {first} to {last}", first=day_words(x.start.date()), last=day_words(last))
    if x.end - x.start >= timedelta(days=1):
        return _("on {day}", day=day_words(last))
    if x.end.date() != last:
        return _("on {day}, from {start} on", day=day_words(last), start=clock(x.start))
    return _("on {day}, {start} to {end}", day=day_words(last), start=clock(x.start), end=clock(x.end))


def _wanted(facts: Facts, names: Names, found: TargetReview) -> Iterator[Wanted]:
    """What a skill waits for, with the way to where it can be answered; not what the kept weeks hold already."""
    again = {one.combination for one in found.again}
    for one in found.asked:
        if one.kind is AskedKind.WAITING and one.combination in again:
            continue  # said with what it is about
        if isinstance(one.about, DateAhead):
            if one.about.cannot_hold or found.target.state is not TargetState.MASTERED:
                sentence = date_sentence(names, found, one.about)
                yield Wanted(sentence, "/forecast", _("How long will it take?"))
        elif one.kind is not AskedKind.RETEST and not _is_planned(facts, one):
            address, words = _answer(names, one, _same_day(facts, found, one))
            yield Wanted(asked_sentence(names, replace(one, adults=())), address, words)


def _is_planned(facts: Facts, one: Asked) -> bool:
    """Whether a sitting is for it of which no row speaks yet: what was called off is not planned any more, and
    what has begun and is not written down is asked for elsewhere."""
    since = workflow.asked_since(facts.now.date())
    off = {f.sitting.id for f in facts.fallen}
    probes = [
        p
        for s in facts.sittings
        if s.start.date() >= since and s.id not in off
        for p in s.probes
        if p.target == one.target and sitting_cards.row_of(facts.log, facts.sittings, s, p) is None
    ]
    if one.kind is AskedKind.MAINTENANCE:
        return any(p.kind is ProbeKind.MAINTENANCE for p in probes)
    taught = [p for p in probes if p.kind is ProbeKind.TEACHING]
    return one.kind is AskedKind.WAITING and any(
        one.combination in (p.combination, *p.instead_of) for p in taught
    )


def _same_day(facts: Facts, found: TargetReview, one: Asked) -> dict[str, str]:
    """The time of teaching on the day on which it failed, as the form has it: without one it would count as taught
    before that."""
    failed_today = one.combination and found.tally.standing(one.combination).last_date == facts.now.date()
    return {"time": f"{facts.now:%H:%M}"} if failed_today else {}


def _answer(names: Names, one: Asked, at: Mapping[str, str]) -> tuple[str, str]:
    match one.kind:
        case AskedKind.WAITING | AskedKind.AGAIN if not names.case.targets[one.target].is_held_out(
            one.combination
        ):
            target = names.case.targets[one.target]
            asked = sitting_cards.fields_of_combination(target, one.combination, ResultKind.TEACHING)
            return sitting_cards.record_address({**asked, **at}), _("It was taught")
        case AskedKind.HELD_BACK:
            thing = names.case.targets[one.target].value(one.combination, MATERIAL_SET)
            return f"/case/material_sets/{thing}", _("To the thing")
        case AskedKind.MAINTENANCE:
            return "/plan", _("Plan it")
        case AskedKind.BRIEFING:
            about = one.about
            address = f"/case/adults/{about.adult}" if isinstance(about, BriefingWanted) else "/case"
            return address, _("To the adult")
    return f"/case/targets/{one.target}", _("Decide")


def _step(facts: Facts, unwritten: Sequence[Unwritten], ahead: Sequence[Sitting]) -> Step:
    """The first of these that there is: what fell through, a plan to keep, rows to write, a week to plan."""
    week, following = facts.week, facts.week.next()
    if not facts.case.planned:
        return Step(_("Put in a target"), "/case/targets/new", _("There is no target to check yet."))
    if facts.fallen:
        off, partly = sum(f.off for f in facts.fallen), sum(f.in_part and not f.off for f in facts.fallen)
        why = " ".join(
            sentence for _sign, sentence in otherwise_counted(off, len(facts.fallen) - off - partly, partly)
        )
        first = _week_of(facts.fallen[0].sitting)
        return Step(again_words(first, facts.now.date()), f"/plan/{first}", why)
    if found := _not_kept(facts):
        return Step(
            _("Look at the plan"),
            f"/plan/{found}",
            _("Week {number} is planned again, and that plan is not kept yet.", number=found.number)
            if found in facts.kept
            else _("Week {number} is planned and not kept yet.", number=found.number),
        )
    if unwritten:
        why = ngettext(
            "{n} thing of the last days is not written down yet.",
            "{n} things of the last days are not written down yet.",
            len(unwritten),
        )
        return Step(_("Write the first one down"), unwritten[0].probe.record, why)
    untold = week not in facts.kept and following not in facts.kept
    if untold and facts.now.weekday() < FRIDAY:
        return Step(_("Plan this week"), f"/plan/{week}", _("Nobody was told of a plan of this week."))
    if following not in facts.kept and (facts.now.weekday() >= FRIDAY or not ahead):
        return Step(_("Plan next week"), f"/plan/{following}", _("Nobody was told of a plan of next week."))
    begun = any(s.start <= facts.now for s in facts.sittings)
    why = said(UP_TO_DATE if begun else NOTHING_YET)
    if ahead:
        return Step(_("Print the sheets"), f"/week/{_week_of(ahead[0])}/files/sheets.html", why)
    return Step(_("Look at the week"), f"/week/{week}", why)


def _tell(facts: Facts) -> Step | None:
    """That people are still to be told something, until each is marked told; of the very first week that, too."""
    if not facts.to_tell:
        return _tell_first(facts.first_to_tell) if facts.first_to_tell else None
    n = sum(one.people for one in facts.to_tell)
    why = [
        ngettext(
            "{n} person still has to be told something.", "{n} people still have to be told something.", n
        )
    ]
    if any(one.of_cautions for one in facts.to_tell):
        why.append(_("It is about what to look out for, too."))
    return Step(_("To the texts to send"), f"/week/{facts.to_tell[0].week}#{TO_SEND}", " ".join(why))


def _tell_first(first: ToTell) -> Step:
    why = ngettext(
        "Week {number} is kept, and a message for {n} person is ready to be sent.",
        "Week {number} is kept, and messages for {n} people are ready to be sent.",
        first.people,
        number=first.week.number,
    )
    return Step(_("To the messages to send"), f"/week/{first.week}#{TO_SEND}", why)


def _not_kept(facts: Facts) -> Week | None:
    return next((one for one in (facts.week, facts.week.next()) if one in facts.drafted), None)


def _week_of(sitting: Sitting) -> Week:
    return Week.of(sitting.start.date())
