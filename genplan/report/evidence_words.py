"""What the results say, in whole sentences with their numbers; shared by the terminal and the review page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.case import Combination, Target, TargetState, Wish
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.review import Event, Happened, TargetReview
from genplan.coverage.wishes_tried import WishTried
from genplan.evidence.maintenance import CheckState, MaintenanceCheck
from genplan.evidence.standing import Status, counts_as_teaching
from genplan.language import N_, _, ngettext, or_list, said
from genplan.language.sentences import capital
from genplan.report.figure_words import interval_words
from genplan.report.names_and_words import (
    Names,
    clean,
    day_short,
    three_figures,
    wish_words,
    with_only_taught,
)
from genplan.report.value_words import value_word
from genplan.text.failed_again import failed_again_text
from genplan.text.held_back import tuples_held_back_text
from genplan.text.mastery import mastery_text
from genplan.text.matrix_rows import baseline_text, uncounted_teaching, waiting_text
from genplan.text.nothing_possible import why_nothing_is_possible
from genplan.text.obstacles import obstacle_text
from genplan.text.short_checks import short_text
from genplan.text.tuple_words import counted_tuples
from genplan.text.wishes_not_possible import wish_not_possible_text

SMALL_SAMPLE = N_(
    "One probe is a small sample. An exact interval is the range of true rates that go with it; "
    "'genplan chance 4/5' shows at length what a mark can and cannot tell."
)
ONLY_TOGETHER = N_(
    "Where two values stand together, each of them was met somewhere, and only the two together were not. So a better"
    " result may name pairs where single values stood before, and more of them."
)
INTERVALS_ARE_CUSTOM = N_("The days between maintenance probes are common practice, no source.")


def figures_sentence(names: Names, found: TargetReview) -> str:
    """The three figures of a target: tried, met, met without teaching; and what they leave out."""
    count, left_out = found.tally, tuples_held_back_text(found.target, found.held_back_tuples)
    if not count.possible and (why := why_nothing_is_possible(names.case, found.target, found.span.last)):
        nothing = _("Nothing of it is possible as the case stands: {why}.", why=clean(why))
        return f"{nothing} {left_out}".strip()
    figures = len(count.tested), len(count.met), len(count.met_untaught)
    of_all = three_figures(*figures, counted_tuples(found.target, len(count.possible)))
    return f"{with_only_taught(of_all, len(count.taught - count.tested))}. {left_out}".strip()


def baseline_sentences(names: Names, found: TargetReview) -> Iterator[str]:
    """What was seen before anybody taught it, beside what it is now: a 'met' that was always there is no news."""
    for combination, seen in sorted(found.tally.baselines.items()):
        text = baseline_text(seen, day_short)
        now = found.tally.standing(combination).status
        beside = _("; {status} now", status=value_word(now)) if now in (Status.MET, Status.NOT_MET) else ""
        yield f"{capital(text)}: {names.combination(found.target, combination)}{beside}."


def maintenance_sentence(check: MaintenanceCheck) -> str:
    """One date: when it was due, and what became of it."""
    days = ngettext("{n} day", "{n} days", check.days)
    why = _("after a lapse, {day}", day=days) if check.after_lapse else days
    due = _("Due {due} ({why} after mastery): ", due=day_short(check.due), why=why)
    if check.runs:
        runs = _(", then ").join(
            _("{correct} of {trials} on {date}", correct=r.correct, trials=r.trials, date=day_short(r.date))
            for r in check.runs
        )
        off = (check.runs[0].date - check.due).days
        early = ngettext(", {n} day early", ", {n} days early", -off)
        after = ngettext(", {n} day after its date", ", {n} days after its date", off)
        when = "" if not off else early if off < 0 else after
        late = _(" and so late") if check.tolerance and check.timing == "late" else ""
        both = _("; the same probe answers the date before") if check.before_too else ""
        return f"{due}{value_word(check.state)}, {runs}{when}{late}{both}."
    next_one = (
        _("; from {until} on the next is due in its place", until=day_short(check.until))
        if check.until
        else ""
    )
    sooner = (
        _("; a probe from {opens} on counts for it", opens=day_short(check.opens))
        if check.opens < check.due
        else ""
    )
    words = {
        CheckState.MISSED: _("not run before the next fell due"),
        CheckState.DUE: _("due now{next_one}", next_one=next_one),
        CheckState.AHEAD: _("still ahead{sooner}", sooner=sooner),
    }
    return f"{due}{words[check.state]}."


def briefing_sentences(names: Names, target: Target, wanted: Sequence[BriefingWanted]) -> Iterator[str]:
    for one in wanted:
        yield (
            _(
                "{adult} is not briefed on it yet: {tuples} would open with a briefing.",
                adult=names.adult(one.adult),
                tuples=counted_tuples(target, one.tuples),
            )
        )


def event_sentence(names: Names, found: TargetReview, event: Event, with_interval: bool = False) -> str:
    """One row: the day, with whom and where, the counts (with the exact interval of a test, if asked for), the note."""
    row, target = event.entry.result, found.target
    text = f"{day_short(row.date)}, {names.combination(target, row.combination)}"
    if row.trials:
        text += _(": {correct} of {trials} correct", correct=row.correct or 0, trials=row.trials)
        text += short_text(target, row)
        text += _(", {prompted} prompted", prompted=row.prompted) if row.prompted else ""
        if with_interval and row.kind.is_test:
            text += _(
                " (true rates that go with it: {interval})",
                interval=interval_words(row.correct or 0, row.trials),
            )
    if event.what is Happened.TAUGHT and not counts_as_teaching(target, row):
        text += _("; it counts as no teaching: that takes {taught_when}", taught_when=target.taught_when)
    if event.what is Happened.CORRECTED:
        text += _(
            "; line {corrected_by} of results.csv counts in its place", corrected_by=event.entry.corrected_by
        )
    if event.what is Happened.BROKE or event.entry.undoes:
        text += _("; it had been met on {day}", day=day_short(event.entry.before.last_date or row.date))
    return f"{text}. {clean(row.note)}" if row.note else f"{text}."


def mastery_sentences(names: Names, found: TargetReview) -> Iterator[str]:
    """A lapse where it was taught, before all else; the criterion of mastery, where it is met; what was taught and not
    met again."""
    yield from (clean(mastery_text(names.case, one)) for one in found.seen)
    yield from (clean(failed_again_text(names.case, one, found.span.last)) for one in found.again)


def _retest_sentence(names: Names, found: TargetReview, combination: Combination) -> str:
    standing, what = found.tally.standing(combination), names.combination(found.target, combination)
    elsewhere = standing.status is Status.NOT_MET
    why = _("since what in it was met nowhere was taught elsewhere") if elsewhere else _("after teaching")
    if standing.retest_from and standing.retest_from > found.span.last:
        return _(
            "Taught, waits for its retest from {day} on: {what}.",
            day=day_short(standing.retest_from),
            what=what,
        )
    return _("Probe again, {why}: {what}.", why=why, what=what)


def _tried_sentence(names: Names, found: TargetReview, tried: WishTried) -> str:
    waits = {
        (True, False): _("it waits for teaching or a decision"),
        (False, True): _("it waits for a retest"),
        (True, True): _("some of it waits for teaching or a decision, some for a retest"),
    }
    return _(
        "{wish}: {tuples} tried, the last on {on}, and not met; {waits}.",
        wish=wish_words(names, tried.wish, found.span.last, day_short),
        tuples=counted_tuples(found.target, tried.tuples),
        on=day_short(tried.on),
        waits=waits[tried.to_teach, tried.to_retest],
    )


def _waits_for_briefing(names: Names, found: TargetReview, wish: Wish, adults: Sequence[str]) -> str:
    return _(
        "{wish}: not possible before {adults} is briefed on it.",
        wish=wish_words(names, wish, found.span.last, day_short),
        adults=or_list([names.adult(a) for a in adults]),
    )


def _before_probes(target: Target) -> str:
    if target.state is TargetState.PAUSED:
        return _("It is paused: nothing is owed until that changes.")
    if not target.teaching_per_week:
        return _("It is still taught; the case does not say how often.")
    return _(
        "It is still taught; owed: {teachings} a week.",
        teachings=ngettext("{n} teaching", "{n} teachings", target.teaching_per_week),
    )


def next_sentences(names: Names, found: TargetReview, with_matrix: bool = True) -> Iterator[str]:
    """What is owed at the end of the span; without what is said of the matrix, where that has nothing to say yet."""
    target = found.target
    if target.state is not TargetState.MASTERED:
        yield _before_probes(target)
    if not with_matrix:
        return
    for combination, why in found.held_back.items():
        yield _(
            "Held back for now, not to be taught: {combination} ({why}).",
            combination=names.combination(target, combination),
            why=obstacle_text(names.case, why),
        )
    for combination in (c for c in found.retests if c not in found.held_back):
        yield _retest_sentence(names, found, combination)
    for combination in (c for c in found.waiting if c not in found.held_back):
        standing = found.tally.standing(combination)
        so_far = waiting_text(names.case, target, standing), uncounted_teaching(target, standing, day_short)
        more = f" ({'; '.join(filter(None, so_far))})" if any(so_far) else ""
        yield _(
            "Waits for teaching or a decision: {combination}{more}.",
            combination=names.combination(target, combination),
            more=more,
        )
    if any(len(s) > 1 for c in found.waiting for s in found.tally.standing(c).suspects):
        yield said(ONLY_TOGETHER)
    checks = found.maintenance if target.state is TargetState.MASTERED else ()
    for check in checks:
        if check.state is CheckState.DUE:
            yield _("A maintenance probe is due since {due}.", due=day_short(check.due))
    following = next((c for c in checks if c.state is CheckState.AHEAD), None)
    if following:
        yield _("The next maintenance probe falls due on {due}.", due=day_short(following.due))
    for wish, number in found.wishes:
        yield _(
            "{wish} ({tuples} open).",
            wish=wish_words(names, wish, found.span.last, day_short),
            tuples=counted_tuples(target, number),
        )
    yield from (_tried_sentence(names, found, tried) for tried in found.wishes_tried)
    for against in found.wishes_not_possible:
        yield _(
            "{wish}: {why}.",
            wish=wish_words(names, against.wish, found.span.last, day_short),
            why=clean(wish_not_possible_text(names.case, against)),
        )
    yield from (_waits_for_briefing(names, found, w, who) for w, who in found.wishes_unbriefed)
    yield from briefing_sentences(names, target, found.briefings)
    if found.tally.open:
        yield _(
            "{tuples} of {possible} still open.",
            tuples=counted_tuples(target, len(found.tally.open)),
            possible=len(found.tally.possible),
        )
