"""A review for the school, in sentences: what is known of a skill, what was done, what the results cannot show. What
the team needs first and what is asked of whom are modules of their own. Nothing in any of them decides, and nothing is
a reason to treat: what was not met waits for teaching or a decision."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, TargetState
from genplan.coverage.review import Happened, Review, TargetReview
from genplan.evidence.agreement import SHARE_WANTED
from genplan.evidence.phases import PointKind
from genplan.language import N_, _, ngettext, said
from genplan.report.figure_words import interval_words, percent
from genplan.report.names_and_words import Names, clean, day_short
from genplan.report.value_words import value_word
from genplan.text.tuple_words import counted_tuples

STATE_WORDS = {
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
        (_("State"), said(STATE_WORDS[target.state])),
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
            " that was probed before the others looks weaker where the target has grown since."
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
