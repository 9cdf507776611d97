"""What the terminal shows: whole sentences, plain text, never cut at a width that nobody asked for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from genplan.case import Case
from genplan.language import _, ngettext, said
from genplan.language.numbers import decimals
from genplan.plan import Plan, Probe, ProbeKind, RunReport, Sitting
from genplan.report.matrix_lines import section
from genplan.report.names_and_words import (
    Names,
    amount_words,
    begun_words,
    clean,
    coverage_sentences,
    day_words,
    hours,
    kind_words,
    long_date,
    meeting_words,
)
from genplan.report.not_in_time import dates_lost, not_in_time
from genplan.report.objective_sentences import objective_sentences, staying_sentence
from genplan.report.plain_characters import as_read, clock, in_order
from genplan.report.reasons import ReasonGroup, reason_groups, why_empty
from genplan.report.wish_lines import wish_lines
from genplan.text.cautions import standing_cautions
from genplan.text.held_back import things_held_back
from genplan.text.notes import CLOCK_ENDED_IT, remarks
from genplan.text.tuple_words import counted_tuples
from genplan.text.wishes import answer_text


def week_summary(case: Case, plan: Plan, names: bool = False) -> str:
    """The week as a family reads it: day by day, what it adds, what is left out and why, how good it is.

    Learners are called by their aliases; with `names` by name."""
    called = Names(case, names)
    sections = (
        _heading(case, plan),
        section(_("No longer in time"), dates_lost(called, plan.lost)),
        section(_("What people wish"), (answer_text(case, a) for a in plan.wishes)),
        section(_("Day by day"), _days(called, plan)),
        section(_("What the week adds"), _coverage(called, plan)),
        section(_("Maintenance"), _maintenance(called, plan)),
        section(_("Not in time"), _not_in_time(called, plan)),
        section(_("Left out, and why"), _left_out(called, plan)),
        section(_("How good this plan is"), _how_good(case, plan)),
        section(_("Notes"), _notes(case, plan)),
        section(_("Please keep in mind"), standing_cautions(case)),
    )
    return "\n\n".join(text for text in sections if text) + "\n"


def _how_good(case: Case, plan: Plan) -> Iterator[str]:
    figures = objective_sentences(case, plan)
    if figures and (staying := staying_sentence(case, plan)):
        yield staying
    yield from figures


def run_line(seconds: float, *runs: RunReport) -> str:
    """How long the whole took until now, for the terminal only."""
    kept, searched = (sum(run.answers.get(word, 0) for run in runs) for word in ("kept", "searched"))
    took = _("Took {seconds} s.", seconds=decimals(seconds, 1))
    if not kept:
        return took
    known = _("Of {answers} answers {kept} were known from earlier runs.", answers=kept + searched, kept=kept)
    return f"{took} {known}"


def _heading(case: Case, plan: Plan) -> str:
    return "\n".join(
        (
            _(
                "Week {week}: {monday} to {sunday}",
                week=plan.week,
                monday=day_words(plan.week.monday),
                sunday=long_date(plan.week.sunday),
            ),
            _(
                "{amount}. Planned on {now}, {time}; times of {timezone}.",
                amount=amount_words(plan.sittings),
                now=long_date(plan.now.date()),
                time=clock(plan.now),
                timezone=case.timezone,
            ),
        )
    )


def _days(names: Names, plan: Plan) -> Iterator[str]:
    if not plan.sittings:
        yield _("No sitting is planned in this week.")
        yield from why_empty(names.case, plan)
    for day in plan.week.days:
        sittings = plan.sittings_on(day)
        if sittings:
            yield day_words(day)
        for sitting in sittings:
            yield from _sitting(names, sitting, plan.now)


def _sitting(names: Names, sitting: Sitting, now: datetime) -> Iterator[str]:
    begun = begun_words(sitting, now) if sitting.begun else ""
    yield f"  {meeting_words(names, sitting)}{begun}"
    if sitting.beside:
        yield f"      {names.beside(sitting)}"
    yield from (f"      {_probe(names, probe)}" for probe in sitting.probes)


def _probe(names: Names, probe: Probe) -> str:
    target = names.case.targets[probe.target]
    adds = _(", adds {tuples}", tuples=counted_tuples(target, probe.new_tuples)) if probe.new_tuples else ""
    return f"{names.target_and_used(probe)} ({kind_words(probe.kind)}{adds})"


def _coverage(names: Names, plan: Plan) -> Iterator[str]:
    for learner in in_order(names.case.learners):
        own = sorted((c for c in plan.coverage if c.learner == learner), key=lambda c: as_read(c.target))
        if own:
            yield names.learner(learner)
        for cover in own:
            target = names.case.targets[cover.target]
            before, adds, left = coverage_sentences(target, cover, begun=plan.begun)
            yield f"  {names.target(cover.target)}"
            if before:
                yield f"    {adds} {before}"
            yield f"    {left}"
            yield from (f"    {line}" for line in wish_lines(names, target, plan.now.date()))


def _maintenance(names: Names, plan: Plan) -> Iterator[str]:
    """What falls due and is planned; what is due and left out stands with its reason in the next section."""
    for sitting in plan.sittings:
        for probe in sitting.probes:
            if probe.kind is ProbeKind.MAINTENANCE:
                when = f"{day_words(sitting.start.date())}, {hours(sitting)}"
                yield f"  {names.learner(sitting.learner)}, {names.target(probe.target)}: {when}"
    left = sum(item.kind is ProbeKind.MAINTENANCE for item in plan.left_out)
    if left:
        yield ngettext(
            "  {n} maintenance probe due and left out, see below.",
            "  {n} maintenance probes due and left out, see below.",
            left,
        )


def _not_in_time(names: Names, plan: Plan) -> Iterator[str]:
    for learner in in_order(names.case.learners):
        if lines := [*not_in_time(names, plan, learner)]:
            yield names.learner(learner)
            yield from (f"  {line}" for line in lines)


def _left_out(names: Names, plan: Plan) -> Iterator[str]:
    for learner in in_order(names.case.learners):
        groups = reason_groups(names, plan.left_out_by_learner.get(learner, ()), learner)
        held = things_held_back(names.case, (learner,), plan.week.monday)
        if groups or held:
            yield names.learner(learner)
        for group in groups:
            yield from _group(group)
        yield from (f"  {clean(one)}" for one in held)


def _group(group: ReasonGroup) -> Iterator[str]:
    yield f"  {group.reason}"
    for share in group.targets:
        named = [n for n in share.named if n]
        more = _("; and {unnamed} more", unnamed=share.unnamed) if share.unnamed else ""
        yield f"    {share.target}: {share.amount}" + (f" ({'; '.join(named)}{more})" if named else "")


def _notes(case: Case, plan: Plan) -> Iterator[str]:
    if not plan.repeatable and not plan.interrupted:
        yield said(CLOCK_ENDED_IT)
    yield from map(clean, remarks(case, plan))
