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
from genplan.language import N_, _, ngettext, said
from genplan.report.breaks_words import found_sentences
from genplan.report.evidence_words import interval_words, percent
from genplan.report.names_and_words import Names, clean, day_short
from genplan.report.value_words import value_word
from genplan.text.mastery import mastery_text
from genplan.text.tuple_words import counted_tuples

DECIDERS = N_("The practitioner in charge and the family")
PLANNERS = N_("Whoever plans the weeks")
NOTHING_FIRST = N_(
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
        yield from (FirstThing(_("Lapsed"), s, place) for s in _lapsed(names, found))
    for place, found in numbered:
        yield from (FirstThing(_("Not met"), s, place) for s in _not_met(names, found))
    yield from (FirstThing(_("Where it breaks"), s) for s in found_sentences(names, review.breaks))
    yield from _dates(names, numbered)
    for place, found in numbered:
        yield from _checks(names, found, place)
    for place, found in numbered:
        if found.criterion_met:
            yield FirstThing(_("To decide"), clean(mastery_text(names.case, found.criterion_met)), place)


def _dates(names: Names, numbered: Sequence[tuple[int, TargetReview]]) -> Iterator[FirstThing]:
    """Those at risk first, each part by day."""
    dated = [(_is_at_risk(found, d), d.by, place, found, d) for place, found in numbered for d in found.dates]
    for at_risk, __, place, found, ahead in sorted(dated, key=lambda one: (not one[0], *one[1:3])):
        yield FirstThing(
            _("Date at risk") if at_risk else _("Date ahead"), date_sentence(names, found, ahead), place
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
            _(
                "'{target}' had been met and was not on {date}: {combination}, {correct} of {trials}.",
                target=names.target(found.target.id),
                date=day_short(row.date),
                combination=names.combination(found.target, row.combination),
                correct=row.correct or 0,
                trials=row.trials,
            )
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
            _(
                "'{target}' waits for teaching or a decision since {day}:"
                " {combination}, {correct} of {trials}.",
                target=names.target(target.id),
                day=day_short(day),
                combination=names.combination(target, combination),
                correct=standing.correct or 0,
                trials=standing.trials,
            )
        )


def date_sentence(names: Names, found: TargetReview, ahead: DateAhead) -> str:
    """By counting alone: what is open, how long there is, whether the policy's own limits leave room."""
    lead = _(
        "'{target}', {pattern}, by {by}: {tuples} open",
        target=names.target(found.target.id),
        pattern=names.pattern(ahead.wish.pattern),
        by=day_short(ahead.by),
        tuples=counted_tuples(found.target, ahead.open),
    )
    if ahead.is_over:
        return _("{lead}; the date is over.", lead=lead)
    left = (
        _("the date is today") if ahead.days == 0 else ngettext("{n} day left", "{n} days left", ahead.days)
    )
    if found.target.state is not TargetState.MASTERED:
        return _(
            "{lead}, {left}; at risk: the skill is {state}, so no probe is planned.",
            lead=lead,
            left=left,
            state=said(_STATE[found.target.state]),
        )
    if ahead.cannot_hold:
        least, room = ngettext("{n} probe", "{n} probes", ahead.fewest), ahead.room
        return _(
            "{lead}, {left}; it cannot hold: that takes {least} at the least, the policy allows {room}.",
            lead=lead,
            left=left,
            least=least,
            room=room or _("none"),
        )
    return _(
        "{lead}, {left}: {probes} at the least.",
        lead=lead,
        left=left,
        probes=ngettext("{n} probe", "{n} probes", ahead.fewest),
    )


def _checks(names: Names, found: TargetReview, place: int) -> Iterator[FirstThing]:
    """Due since some day and not run; or given way unanswered within the span."""
    name, first = names.target(found.target.id), found.points[0].day
    if found.target.state is not TargetState.MASTERED:
        return
    for check in found.maintenance:
        if check.state is CheckState.DUE:
            until = (
                _("; from {until} on the next stands in its place", until=day_short(check.until))
                if check.until
                else ""
            )
            sentence = _(
                "'{name}': a maintenance probe is due since {due}{until}.",
                name=name,
                due=day_short(check.due),
                until=until,
            )
            yield FirstThing(_("Check due"), sentence, place)
        elif check.state is CheckState.MISSED and check.due > first:
            sentence = _(
                "'{name}': the maintenance probe of {due} was not run before the next.",
                name=name,
                due=day_short(check.due),
            )
            yield FirstThing(_("Check missed"), sentence, place)


_STATE = {
    TargetState.TEACHING: N_("still in teaching"),
    TargetState.PAUSED: N_("paused"),
    TargetState.MASTERED: N_("mastered"),
}


def target_facts(names: Names, found: TargetReview) -> tuple[tuple[str, str], ...]:
    """What counts as correct, the criterion, the day of mastery, what a probe is."""
    target = found.target
    days = (
        ngettext(" on {n} day in a row", " on {n} days in a row", target.criterion_days)
        if target.criterion_days > 1
        else ""
    )
    mastered = day_short(target.mastered_on) if target.mastered_on else _("the case does not say")
    needed = target.pass_mark.needed(target.trials)
    taught = "; ".join(map(names.pattern, target.taught))
    return (
        (_("State"), said(_STATE[target.state])),
        (_("Correct when"), clean(target.correct_when) or _("the case does not say")),
        (
            _("Criterion of mastery"),
            f"{target.criterion}{days}" if target.criterion else _("the case does not say"),
        ),
        (_("Day of mastery"), _("not mastered yet") if target.state is TargetState.TEACHING else mastered),
        (
            _("A probe"),
            _(
                "{trials}, met with {needed} correct without help",
                trials=ngettext("{n} trial", "{n} trials", target.trials),
                needed=needed,
            ),
        ),
        (_("Taught"), taught or _("the case does not say in which combination")),
    )


def shares(found: TargetReview) -> Iterator[str]:
    """How many probes of each kind were met, up to the end of the span, with the exact interval of the share."""
    for kind in (PointKind.FIRST, PointKind.AGAIN, PointKind.MAINTENANCE):
        own = found.course.of_kind(kind)
        if own:
            met = sum(p.met is True for p in own)
            yield _(
                "{met} of {probes} met; exact 95 % interval of the share: {interval}.",
                met=met,
                probes=_counted(kind, len(own)),
                interval=interval_words(met, len(own)),
            )


def _counted(kind: PointKind, n: int) -> str:
    if kind is PointKind.FIRST:
        return ngettext("{n} first probe", "{n} first probes", n)
    if kind is PointKind.AGAIN:
        return ngettext("{n} repeated probe", "{n} repeated probes", n)
    return ngettext("{n} maintenance probe", "{n} maintenance probes", n)


def done_sentences(names: Names, review: Review) -> Iterator[str]:
    """What was run in the span, of all targets: how many of each kind, with whom, where and with what."""
    points = [(t.target, p) for t in review.targets for p in t.course.points if p.result.date >= review.first]
    if not points:
        yield _("Nothing was run in these days.")
        return
    each = ((kind, sum(p.kind is kind for __, p in points)) for kind in PointKind)
    parts = [
        f"{number} {said(_PLURAL[kind]) if number > 1 else value_word(kind)}"
        for kind, number in each
        if number
    ]
    yield _("Run in these days: {parts}.", parts=", ".join(parts))
    for dimension, words in ((ADULT, _("With")), (LOCATION, _("In")), (MATERIAL_SET, _("Materials"))):
        values = dict.fromkeys(
            t.value(p.result.combination, dimension) for t, p in points if p.kind is not PointKind.NOT_RUN
        )
        if values:
            yield f"{words}: {'; '.join(names.value(dimension, v) for v in values)}."
    idle = [names.target(t.target.id) for t in review.targets if not t.events]
    if idle:
        yield _("Nothing was run of: {idle}.", idle="; ".join(idle))


_PLURAL = {
    PointKind.TEACHING: N_("teachings"),
    PointKind.BASELINE: N_("baseline probes"),
    PointKind.FIRST: N_("first probes"),
    PointKind.AGAIN: N_("probes again"),
    PointKind.MAINTENANCE: N_("maintenance probes"),
    PointKind.NOT_RUN: N_("not run"),
}


def limits_sentences(names: Names, review: Review) -> Iterator[str]:
    """What the results cannot show, whatever they are, and what these ones in particular leave open."""
    yield _("A probe is a small sample: the interval beside it is the range of true rates that go with it.")
    yield (
        _(
            "These are checks in everyday hours and no experiment: they do not show what brought a change"
            " about, nor that teaching did. A value that is met less often need not be the cause of it: one"
            " that was probed before the others looks weaker where the skill has grown since."
        )
    )
    untried = [
        _(
            "{skill}: {open} of {tuples}",
            skill=names.target(t.target.id),
            open=len(t.tally.possible - t.tally.tested),
            tuples=counted_tuples(t.target, len(t.tally.possible)),
        )
        for t in review.targets
        if t.target.state is TargetState.MASTERED and t.tally.possible - t.tally.tested
    ]
    if untried:
        yield _("Nothing is known of what was not probed. {untried}.", untried="; ".join(untried))
    seen = review.agreement
    if seen.probes and seen.share < SHARE_WANTED:
        yield (
            _(
                "Most probes were counted by one person alone: {observed} of {probes} were observed"
                " ({share}).",
                observed=seen.observed,
                probes=seen.probes,
                share=percent(seen.share),
            )
        )
    not_run = sum(len(t.events_of(Happened.NOT_RUN)) for t in review.targets)
    if not_run:
        yield ngettext(
            "{n} planned thing did not take place. That counts neither for nor against.",
            "{n} planned things did not take place. That counts neither for nor against.",
            not_run,
        )
    if any(t.dates for t in review.targets):
        yield _("Dates are counted here, not foretold: 'genplan forecast' says how likely each is to hold.")
    yield _("What nobody wrote down is not in here.")


def asked_by_person(names: Names, review: Review) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A name or a role, and what is asked of it: first those who decide, then adults in the case's order."""
    asked = [a for t in review.targets for a in t.asked]
    deciding = [a for a in asked if not a.adults and a.kind is not AskedKind.DATE]
    groups = [(said(DECIDERS), deciding)]
    adults = dict.fromkeys((*names.case.adults, *(a for x in asked for a in x.adults)))
    groups += [(names.adult(a), [x for x in asked if a in x.adults]) for a in adults]
    groups.append((said(PLANNERS), [a for a in asked if a.kind is AskedKind.DATE]))
    for who, things in groups:
        if things:
            yield who, tuple(asked_sentence(names, one) for one in things)


def asked_sentence(names: Names, one: Asked) -> str:
    """`Coat on: waits for teaching or a decision, Theo, Home, A fleece.`"""
    target = names.case.targets[one.target]
    where = f": {names.combination(target, one.combination)}" if one.combination else ""
    shared = _(" (one of those who may)") if len(one.adults) > 1 else ""
    return f"{names.target(one.target)}: {_asked(one, names)}{where}{shared}."


def _asked(one: Asked, names: Names) -> str:
    about = one.about
    if isinstance(about, Lapse):
        return _(
            "was not met on {on} where it was taught, to be decided what follows", on=day_short(about.on)
        )
    if isinstance(about, CriterionMet):
        return _(
            "meets its criterion since {since}, to be decided whether it is mastered",
            since=day_short(about.since),
        )
    if isinstance(about, BriefingWanted):
        return _("a briefing of {adult}, or a decision that it is not wanted", adult=names.adult(about.adult))
    if isinstance(about, DateAhead):
        return _(
            "the date {by} ({pattern})", by=day_short(about.by), pattern=names.pattern(about.wish.pattern)
        )
    since = _(" since {since}", since=day_short(one.since)) if one.since else ""
    return {
        AskedKind.WAITING: _("waits for teaching or a decision"),
        AskedKind.RETEST: _("may be probed again{since}", since=since),
        AskedKind.MAINTENANCE: _("a maintenance probe, due{since}", since=since),
    }[one.kind]
