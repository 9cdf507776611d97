"""What a team needs first of a review, in sentences: what lapsed or waits, where it breaks, dates, what to decide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from genplan.case.targets import TargetState
from genplan.coverage.asked import AskedKind
from genplan.coverage.dates_ahead import DateAhead
from genplan.coverage.review import Happened, Review, TargetReview
from genplan.evidence.maintenance import CheckState
from genplan.evidence.standing import Status
from genplan.language import N_, _, ngettext, said
from genplan.report.asked_words import asked_sentence
from genplan.report.breaks_words import found_sentences
from genplan.report.names_and_words import Names, clean, day_short
from genplan.report.review_words import STATE_WORDS
from genplan.text.failed_again import failed_again_text
from genplan.text.mastery import mastery_text
from genplan.text.tuple_words import counted_tuples

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
    """What lapsed, what was not met again, what else waits, what is held back, what is met less often, which date is at
    risk, what is to be decided: in that order."""
    numbered = list(enumerate(review.targets, 1))
    for place, found in numbered:
        yield from (FirstThing(_("Lapsed"), s, place) for s in _lapsed(names, found))
    for place, found in numbered:
        for one in found.again:
            yield FirstThing(
                _("Not met again"),
                clean(failed_again_text(names.case, one, found.span.last)),
                place,
            )
    for place, found in numbered:
        yield from (FirstThing(_("Not met"), s, place) for s in _not_met(names, found))
    for place, found in numbered:
        yield from _asked(names, found, place, AskedKind.HELD_BACK, _("Held back"))
    yield from (FirstThing(_("Where it breaks"), s) for s in found_sentences(names, review.breaks))
    yield from _dates(names, numbered)
    for place, found in numbered:
        yield from _checks(names, found, place)
    for place, found in numbered:
        if found.criterion_met:
            yield FirstThing(_("To decide"), clean(mastery_text(names.case, found.criterion_met)), place)
    for place, found in numbered:
        yield from _asked(names, found, place, AskedKind.BRIEFING, _("To decide"))


def _asked(names: Names, found: TargetReview, place: int, kind: AskedKind, word: str) -> Iterator[FirstThing]:
    for one in found.asked:
        if one.kind is kind:
            yield FirstThing(word, asked_sentence(names, one), place)


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
    again = {one.combination for one in found.again}
    told = again | {one.combination for one in found.lapses}
    yield from (clean(mastery_text(names.case, one)) for one in found.lapses if one.combination not in again)
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
    """What waits, beside what lapsed or was told already; the earliest failure first."""
    target, lapsed = found.target, {one.combination for one in found.lapses}
    lapsed |= {e.entry.result.combination for e in found.events_of(Happened.BROKE, Happened.LAPSED)}
    lapsed |= {one.combination for one in found.again}
    if target.state is not TargetState.MASTERED:
        return
    waiting = (
        (c, found.tally.standing(c)) for c in found.waiting if c not in lapsed and c not in found.held_back
    )
    dated = [(s.last_date or found.span.last, c, s) for c, s in waiting]
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
            "{lead}, {left}; at risk: the target is {state}, so no probe is planned.",
            lead=lead,
            left=left,
            state=said(STATE_WORDS[found.target.state]),
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
    name = names.target(found.target.id)
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
        elif check.state is CheckState.MISSED and check.due >= found.span.first:
            sentence = _(
                "'{name}': the maintenance probe of {due} was not run before the next.",
                name=name,
                due=day_short(check.due),
            )
            yield FirstThing(_("Check missed"), sentence, place)
