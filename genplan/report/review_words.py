"""A review for the school, in sentences: what the team needs first, what was done, what it cannot show, what is asked
of whom. Nothing here decides, and nothing is a reason to treat: what was not met waits for teaching or a decision."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, TargetState
from genplan.coverage.asked import Asked, AskedKind
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.dates_ahead import DateAhead
from genplan.coverage.review import Happened, Review, TargetReview
from genplan.evidence.agreement import SHARE_WANTED
from genplan.evidence.maintenance import CheckState
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.evidence.phases import PointKind
from genplan.evidence.standing import Status
from genplan.report.breaks_words import found_sentences
from genplan.report.evidence_words import interval_words, percent
from genplan.report.names_and_words import Names, clean, day_short, tuple_word
from genplan.report.plain_characters import counted
from genplan.text.mastery import mastery_text

DECIDERS = "The practitioner in charge and the family"
PLANNERS = "Whoever plans the weeks"
NOTHING_FIRST = (
    "By what was written down nothing lapsed, nothing waits, no value stands out and no date is open."
)


@dataclass(frozen=True)
class FirstThing:
    """`kind` in a word; `place` is the number of its target on the page from 1, or 0 for what is of no one target."""

    kind: str
    sentence: str
    place: int = 0


def first_things(names: Names, review: Review) -> Iterator[FirstThing]:
    """What lapsed, what else was not met and waits, what is met less often, which date is at risk, what is to be
    decided: in that order."""
    numbered = list(enumerate(review.targets, 1))
    for place, found in numbered:
        yield from (FirstThing("Lapsed", s, place) for s in _lapsed(names, found))
    for place, found in numbered:
        yield from (FirstThing("Not met", s, place) for s in _not_met(names, found))
    yield from (FirstThing("Where it breaks", s) for s in found_sentences(names, review.breaks))
    yield from _dates(names, numbered)
    for place, found in numbered:
        yield from _checks(names, found, place)
    for place, found in numbered:
        if found.criterion_met:
            yield FirstThing("To decide", clean(mastery_text(names.case, found.criterion_met)), place)


def _dates(names: Names, numbered: Sequence[tuple[int, TargetReview]]) -> Iterator[FirstThing]:
    """Those at risk first, each part by day."""
    dated = [(_is_at_risk(found, d), d.by, place, found, d) for place, found in numbered for d in found.dates]
    for at_risk, _, place, found, ahead in sorted(dated, key=lambda one: (not one[0], *one[1:3])):
        yield FirstThing(
            "Date at risk" if at_risk else "Date ahead", date_sentence(names, found, ahead), place
        )


def _is_at_risk(found: TargetReview, ahead: DateAhead) -> bool:
    return ahead.cannot_hold or found.target.state is not TargetState.MASTERED


def _lapsed(names: Names, found: TargetReview) -> Iterator[str]:
    """Where it was mastered first; then what was met before and is not met now, by a probe in the span."""
    yield from (clean(mastery_text(names.case, one)) for one in found.lapses)
    told = {one.combination for one in found.lapses}
    for event in reversed(found.events_of(Happened.BROKE, Happened.LAPSED)):
        row = event.entry.result
        standing = found.tally.standing(row.combination)
        if row.combination in told or standing.status is Status.MET:
            continue
        told.add(row.combination)
        yield (
            f"'{names.target(found.target.id)}' had been met and was not on {day_short(row.date)}:"
            f" {names.combination(found.target, row.combination)}, {row.correct or 0} of {row.trials}."
        )


def _not_met(names: Names, found: TargetReview) -> Iterator[str]:
    """What waits, beside what lapsed; the earliest failure first."""
    target, lapsed = found.target, {one.combination for one in found.lapses}
    lapsed |= {e.entry.result.combination for e in found.events_of(Happened.BROKE, Happened.LAPSED)}
    if target.state is not TargetState.MASTERED:
        return
    waiting = ((c, found.tally.standing(c)) for c in found.waiting if c not in lapsed)
    dated = [(s.last_date or found.points[-1].day, c, s) for c, s in waiting]
    for day, combination, standing in sorted(dated, key=lambda one: one[:2]):
        yield (
            f"'{names.target(target.id)}' waits for teaching or a decision since {day_short(day)}:"
            f" {names.combination(target, combination)}, {standing.correct or 0} of {standing.trials}."
        )


def date_sentence(names: Names, found: TargetReview, ahead: DateAhead) -> str:
    """By counting alone: what is open, how long there is, whether the policy's own limits leave room."""
    lead = (
        f"'{names.target(found.target.id)}', {names.pattern(ahead.wish.pattern)}, by {day_short(ahead.by)}: "
        f"{counted(ahead.open, tuple_word(found.target))} open"
    )
    if ahead.is_over:
        return f"{lead}; the date is over."
    left = "the date is today" if ahead.days == 0 else f"{counted(ahead.days, 'day')} left"
    if found.target.state is not TargetState.MASTERED:
        return f"{lead}, {left}; at risk: the skill is {_STATE[found.target.state]}, so no probe is planned."
    if ahead.cannot_hold:
        least, room = counted(ahead.fewest, "probe"), ahead.room
        return f"{lead}, {left}; it cannot hold: that takes {least} at the least, the policy allows {room or 'none'}."
    return f"{lead}, {left}: {counted(ahead.fewest, 'probe')} at the least."


def _checks(names: Names, found: TargetReview, place: int) -> Iterator[FirstThing]:
    """Due since some day and not run; or given way unanswered within the span."""
    name, first = names.target(found.target.id), found.points[0].day
    if found.target.state is not TargetState.MASTERED:
        return
    for check in found.maintenance:
        if check.state is CheckState.DUE:
            until = f"; from {day_short(check.until)} on the next stands in its place" if check.until else ""
            said = f"'{name}': a maintenance probe is due since {day_short(check.due)}{until}."
            yield FirstThing("Check due", said, place)
        elif check.state is CheckState.MISSED and check.due > first:
            said = f"'{name}': the maintenance probe of {day_short(check.due)} was not run before the next."
            yield FirstThing("Check missed", said, place)


_STATE = {
    TargetState.TEACHING: "still in teaching",
    TargetState.PAUSED: "paused",
    TargetState.MASTERED: "mastered",
}


def target_facts(names: Names, found: TargetReview) -> tuple[tuple[str, str], ...]:
    """What counts as correct, the criterion, the day of mastery, what a probe is."""
    target = found.target
    days = f" on {counted(target.criterion_days, 'day')} in a row" if target.criterion_days > 1 else ""
    mastered = day_short(target.mastered_on) if target.mastered_on else "the case does not say"
    needed = target.pass_mark.needed(target.trials)
    taught = "; ".join(map(names.pattern, target.taught))
    return (
        ("State", _STATE[target.state]),
        ("Correct when", clean(target.correct_when) or "the case does not say"),
        (
            "Criterion of mastery",
            f"{target.criterion}{days}" if target.criterion else "the case does not say",
        ),
        ("Day of mastery", "not mastered yet" if target.state is TargetState.TEACHING else mastered),
        ("A probe", f"{counted(target.trials, 'trial')}, met with {needed} correct without help"),
        ("Taught", taught or "the case does not say in which combination"),
    )


def shares(found: TargetReview) -> Iterator[str]:
    """How many probes of each kind were met, up to the end of the span, with the exact interval of the share."""
    for kind, what in _SHARES.items():
        own = found.course.of_kind(kind)
        if own:
            met = sum(p.met is True for p in own)
            interval = interval_words(met, len(own))
            yield f"{met} of {counted(len(own), what)} met; exact 95 % interval of the share: {interval}."


_SHARES = {
    PointKind.FIRST: "first probe",
    PointKind.AGAIN: "repeated probe",
    PointKind.MAINTENANCE: "maintenance probe",
}


def done_sentences(names: Names, review: Review) -> Iterator[str]:
    """What was run in the span, of all targets: how many of each kind, with whom, where and with what."""
    points = [(t.target, p) for t in review.targets for p in t.course.points if p.result.date >= review.first]
    if not points:
        yield "Nothing was run in these days."
        return
    each = ((kind, sum(p.kind is kind for _, p in points)) for kind in PointKind)
    parts = [f"{number} {_PLURAL[kind] if number > 1 else kind}" for kind, number in each if number]
    yield f"Run in these days: {', '.join(parts)}."
    for dimension, words in ((ADULT, "With"), (LOCATION, "In"), (MATERIAL_SET, "Materials")):
        values = dict.fromkeys(
            t.value(p.result.combination, dimension) for t, p in points if p.kind is not PointKind.NOT_RUN
        )
        if values:
            yield f"{words}: {'; '.join(names.value(dimension, v) for v in values)}."
    idle = [names.target(t.target.id) for t in review.targets if not t.events]
    if idle:
        yield f"Nothing was run of: {'; '.join(idle)}."


_PLURAL = {
    PointKind.TEACHING: "teachings",
    PointKind.BASELINE: "baseline probes",
    PointKind.FIRST: "first probes",
    PointKind.AGAIN: "probes again",
    PointKind.MAINTENANCE: "maintenance probes",
    PointKind.NOT_RUN: "not run",
}


def limits_sentences(names: Names, review: Review) -> Iterator[str]:
    """What the results cannot show, whatever they are, and what these ones in particular leave open."""
    yield "A probe is a small sample: the interval beside it is the range of true rates that go with it."
    yield (
        "These are checks in everyday hours and no experiment: they do not show what brought a change about, nor that"
        " teaching did. A value that is met less often need not be the cause of it: one"
        " that was probed before the others looks weaker where the skill has grown since."
    )
    untried = [
        f"{names.target(t.target.id)}: {len(t.tally.possible - t.tally.tested)} of"
        f" {counted(len(t.tally.possible), tuple_word(t.target))}"
        for t in review.targets
        if t.target.state is TargetState.MASTERED and t.tally.possible - t.tally.tested
    ]
    if untried:
        yield f"Nothing is known of what was not probed. {'; '.join(untried)}."
    seen = review.agreement
    if seen.probes and seen.share < SHARE_WANTED:
        yield (
            f"Most probes were counted by one person alone: {seen.observed} of {seen.probes} were observed"
            f" ({percent(seen.share)})."
        )
    not_run = sum(len(t.events_of(Happened.NOT_RUN)) for t in review.targets)
    if not_run:
        yield f"{counted(not_run, 'planned thing')} did not take place. That counts neither for nor against."
    if any(t.dates for t in review.targets):
        yield "Dates are counted here, not foretold: 'genplan forecast' says how likely each is to hold."
    yield "What nobody wrote down is not in here."


def asked_by_person(names: Names, review: Review) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A name or a role, and what is asked of it: first those who decide, then adults in the case's order."""
    asked = [a for t in review.targets for a in t.asked]
    deciding = [a for a in asked if not a.adults and a.kind is not AskedKind.DATE]
    groups = [(DECIDERS, deciding)]
    adults = dict.fromkeys((*names.case.adults, *(a for x in asked for a in x.adults)))
    groups += [(names.adult(a), [x for x in asked if a in x.adults]) for a in adults]
    groups.append((PLANNERS, [a for a in asked if a.kind is AskedKind.DATE]))
    for who, things in groups:
        if things:
            yield who, tuple(asked_sentence(names, one) for one in things)


def asked_sentence(names: Names, one: Asked) -> str:
    """`Coat on: waits for teaching or a decision, Theo, Home, A fleece.`"""
    target = names.case.targets[one.target]
    where = f": {names.combination(target, one.combination)}" if one.combination else ""
    shared = " (one of those who may)" if len(one.adults) > 1 else ""
    return f"{names.target(one.target)}: {_asked(one, names)}{where}{shared}."


def _asked(one: Asked, names: Names) -> str:
    about = one.about
    if isinstance(about, Lapse):
        return f"was not met on {day_short(about.on)} where it was taught, to be decided what follows"
    if isinstance(about, CriterionMet):
        return f"meets its criterion since {day_short(about.since)}, to be decided whether it is mastered"
    if isinstance(about, BriefingWanted):
        return f"a briefing of {names.adult(about.adult)}, or a decision that it is not wanted"
    if isinstance(about, DateAhead):
        return f"the date {day_short(about.by)} ({names.pattern(about.wish.pattern)})"
    since = f" since {day_short(one.since)}" if one.since else ""
    return {
        AskedKind.WAITING: "waits for teaching or a decision",
        AskedKind.RETEST: f"may be probed again{since}",
        AskedKind.MAINTENANCE: f"a maintenance probe, due{since}",
    }[one.kind]
