"""What the results say, in whole sentences with their numbers; shared by the terminal and the review page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import floor

from genplan.case import Combination, Target, TargetState
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.criterion import AskedFor, Criterion, CriterionPart
from genplan.coverage.review import Event, Happened, Review, TargetReview
from genplan.evidence.agreement import AGREEMENT_WANTED, SHARE_WANTED, Agreement
from genplan.evidence.intervals import Interval, clopper_pearson
from genplan.evidence.maintenance import CheckState, MaintenanceCheck
from genplan.evidence.standing import Status, counts_as_teaching
from genplan.language import N_, _, and_list, ngettext
from genplan.report.names_and_words import Names, clean, day_short, three_figures, wish_words
from genplan.report.value_words import value_word
from genplan.text.dimension_words import counted_values, dimension_words
from genplan.text.mastery import mastery_text
from genplan.text.matrix_rows import baseline_text, waiting_text
from genplan.text.tuple_words import counted_tuples

SMALL_SAMPLE = N_(
    "One probe is a small sample. An exact interval is the range of true rates that go with it; "
    "'genplan chance 4/5' shows at length what a mark can and cannot tell."
)
INTERVALS_ARE_CUSTOM = N_("The days between maintenance probes are common practice, no source.")


def percent(share: Fraction | float) -> str:
    """Rounded half up, but never to 0 or 100 what is not exactly that."""
    whole = floor(share * 100 + Fraction(1, 2))
    if share > 0 and whole == 0:
        return _("under 1 %")
    return _("over 99 %") if share < 1 and whole == 100 else _("{whole} %", whole=whole)


def chance_words(chance: Fraction) -> str:
    """`0.028`: three places, and never 0."""
    return f"{float(chance):.3f}" if chance >= Fraction(1, 1000) else _("under {least}", least=0.001)


def interval_words(correct: int, trials: int) -> str:
    """The exact interval of a proportion, 95 %: `28 % to 99 %`."""
    return range_words(clopper_pearson(correct, trials))


def range_words(found: Interval) -> str:
    return _("{low} to {high}", low=percent(found.low), high=percent(found.high))


def agreement_sentences(found: Agreement) -> Iterator[str]:
    """The share observed and the agreement, against the usual standard."""
    if not found.probes:
        yield _("No probe was run.")
        return
    share = percent(found.share)
    if found.share < SHARE_WANTED:
        share = _(
            "{share}; {missing} more would have made {wanted}",
            share=share,
            missing=found.still_to_observe,
            wanted=percent(SHARE_WANTED),
        )
    yield _(
        "{observed} of {probes} observed by a second person ({share}).",
        observed=found.observed,
        probes=ngettext("{n} probe", "{n} probes", found.probes),
        share=share,
    )
    if found.total is None or found.lowest is None or found.highest is None:
        return
    total, wanted = percent(found.total), percent(AGREEMENT_WANTED)
    if found.total >= AGREEMENT_WANTED:
        yield _(
            "Total agreement, the smaller count over the larger, is {total} on average, at or over {wanted}.",
            total=total,
            wanted=wanted,
        )
    else:
        yield _(
            "Total agreement, the smaller count over the larger, is {total} on average, under {wanted}.",
            total=total,
            wanted=wanted,
        )
    if found.marked:
        yield _by_marks(found)
    if found.marked < found.observed:
        yield _by_totals(found.lowest, found.highest, found.observed - found.marked if found.marked else 0)


def _by_marks(found: Agreement) -> str:
    """Exact, from the marks of both."""
    assert found.trial_agreement is not None
    assert found.sign_agreement is not None
    text = _(
        "By the marks of both ({probes}, {trials}), trial by trial they agreed on {agreement}",
        probes=ngettext("{n} probe", "{n} probes", found.marked),
        trials=ngettext("{n} trial", "{n} trials", found.marked_trials),
        agreement=percent(found.trial_agreement),
    )
    if found.sign_agreement != found.trial_agreement:
        text += _(
            ", and on {agreement} with help told apart from not correct",
            agreement=percent(found.sign_agreement),
        )
    if found.kappa is None:
        return _("{text}; kappa is not defined, since both counted all alike.", text=text)
    return _("{text}; kappa {kappa:.2f}.", text=text, kappa=float(found.kappa))


def _by_totals(lowest: Fraction, highest: Fraction, others: int) -> str:
    """The bounds. `others`: so many probes beside those with marks; 0: there are no marks."""
    bounds = (
        percent(lowest)
        if lowest == highest
        else _("{lowest} to {highest}", lowest=percent(lowest), highest=percent(highest))
    )
    if not others:
        return _("Single trials are not written down: trial by trial they agreed on {bounds}.", bounds=bounds)
    return ngettext(
        "Of {n} probe only totals are written down: over all observed trials they agreed on {bounds}.",
        "Of {n} probes only totals are written down: over all observed trials they agreed on {bounds}.",
        others,
        bounds=bounds,
    )


def procedure_sentences(names: Names, review: Review) -> Iterator[str]:
    """How far each adult kept to the steps of a probe, beside what the adult is briefed on; nothing where no skill has
    steps and none were marked."""
    skills = [t.target for t in review.targets]
    if not review.procedure and any(t.steps for t in skills):
        yield _("Nobody has marked yet whether the steps of a probe were kept.")
    for one in review.procedure:
        briefed = names.case.adults[one.adult].briefed_on
        known = len(skills) if briefed is None else sum(t.id in briefed for t in skills)
        on = (
            _("every skill here")
            if known == len(skills)
            else _(
                "{known} of {skills} here",
                known=known,
                skills=ngettext("{n} skill", "{n} skills", len(skills)),
            )
        )
        yield (
            _(
                "{adult}: {kept} of {steps} kept ({share}), as"
                " marked in {observed} of {probes}; briefed on {on}.",
                adult=names.adult(one.adult),
                kept=one.kept,
                steps=ngettext("{n} step", "{n} steps", one.marked),
                share=percent(one.share),
                observed=one.observed,
                probes=ngettext("{n} probe", "{n} probes", one.probes),
                on=on,
            )
        )


AGREEMENT_STANDARD = N_(
    "The usual standard: a second observer on at least 20 % of the probes of each condition, and at least 80 %"
    " agreement (What Works Clearinghouse, Single-case designs technical documentation, 2010; both figures as"
    " remembered or read in a summary)."
)


def figures_sentence(found: TargetReview) -> str:
    """The three figures of a target: tried, met, met without teaching."""
    count = found.tally
    figures = len(count.tested), len(count.met), len(count.met_untaught)
    return f"{three_figures(*figures, counted_tuples(found.target, len(count.possible)))}."


def criterion_sentences(names: Names, criterion: Criterion) -> Iterator[str]:
    """Whether what the case asks for is met, and first of all what it names and is not; then each part with what is met
    of it, what without teaching, what was tested only, what is missing."""
    if not criterion.is_set:
        yield _("The case does not say when this counts as generalised.")
        return
    for asked in criterion.not_met:
        yield _("Not generalised yet: {not_met}.", not_met=_not_met(names, asked))
    if criterion.is_met:
        but = _met_nowhere(names, criterion)
        if but:
            yield _("What the case asks for is met: the skill counts as generalised, {but}.", but=but)
        else:
            yield _("What the case asks for is met: the skill counts as generalised.")
    elif not criterion.not_met:
        yield _("Not generalised yet by what the case asks for.")
    for part in criterion.parts:
        yield _part_sentence(names, part)
    for asked in criterion.asked:
        if asked.met:
            how = _("without teaching") if asked.untaught else _("where it was taught, not without teaching")
            yield _(
                "Asked for and met: {together} ({how}).", together=_together(names, asked.values), how=how
            )


def generalised_words(names: Names, criterion: Criterion) -> str:
    """What stands beside 'yes' or 'not yet' in a row of figures: what is met nowhere, and how much without teaching."""
    untaught = ", ".join(
        ngettext(
            "{values} ({n} is asked for)",
            "{values} ({n} are asked for)",
            p.wanted,
            values=_counted(len(p.untaught), p.dimension),
        )
        for p in criterion.parts
    )
    lacks = _met_nowhere(names, criterion) if criterion.is_met else ""
    missing = [_together(names, a.values) for a in criterion.not_met]
    return "; ".join(
        filter(
            None,
            (
                lacks,
                _("asked for and not met: {missing}", missing=", ".join(missing)) if missing else "",
                _("without teaching {untaught}", untaught=untaught) if untaught else "",
            ),
        )
    )


def _not_met(names: Names, asked: AskedFor) -> str:
    what = _together(names, asked.values)
    if asked.taught_only:
        found = _("{what} is asked for, and was met only where it was taught", what=what)
    elif asked.tested:
        found = _("{what} is asked for, and was tested and not met", what=what)
    else:
        found = _("{what} is asked for, and was not tried", what=what)
    return (
        found
        if asked.in_reach
        else _("{found}; it cannot be reached while the case stays as it is", found=found)
    )


def _met_nowhere(names: Names, criterion: Criterion) -> str:
    values = [names.value(*value) for value in criterion.met_nowhere]
    return _("though with {values} it was tried and never met", values=and_list(values)) if values else ""


def _counted(number: int, dimension: str) -> str:
    """`1 adult`, `2 locations`, `0 values of wording`."""
    if dimension in BASE_DIMENSIONS:
        return counted_values(number, dimension)
    return ngettext(
        "{n} value of {dimension}", "{n} values of {dimension}", number, dimension=clean(dimension)
    )


def _together(names: Names, values: Sequence[tuple[str, str]]) -> str:
    return _(" with ").join(names.value(*value) for value in values)


def _part_sentence(names: Names, part: CriterionPart) -> str:
    plural = (
        dimension_words(part.dimension)
        if part.dimension in BASE_DIMENSIONS
        else _("values of {dimension}", dimension=clean(part.dimension))
    )

    def named(values: Sequence[str]) -> str:
        return f" ({'; '.join(names.value(part.dimension, v) for v in values)})" if values else ""

    text = _(
        "{values}: {met} met, {wanted} asked for{named}",
        values=plural[:1].upper() + plural[1:],
        met=len(part.met),
        wanted=part.wanted,
        named=named(part.met),
    )
    if part.met:
        text += f", {_untaught_of(part)}"
    if part.taught_only:
        text += _(
            ", {taught_only} met only where it was taught{named}",
            taught_only=len(part.taught_only),
            named=named(part.taught_only),
        )
    if part.tested:
        text += _(", {tested} tested and not met{named}", tested=len(part.tested), named=named(part.tested))
    if part.missing and part.untried:
        text += _(", {untried} not tried{named}", untried=len(part.untried), named=named(part.untried))
    if part.missing:
        text += _(". {missing} missing", missing=part.missing)
    if part.in_reach < part.wanted:
        text += _(
            ". No more than {in_reach} can be reached while the case stays as it is", in_reach=part.in_reach
        )
    return text + "."


def _untaught_of(part: CriterionPart) -> str:
    if len(part.untaught) == len(part.met):
        return _("all without teaching") if len(part.met) > 1 else _("without teaching")
    if not part.untaught:
        return _("none of them without teaching")
    return _("{untaught} of them without teaching", untaught=len(part.untaught))


def baseline_sentences(names: Names, found: TargetReview) -> Iterator[str]:
    """What was seen before anybody taught it, beside what it is now: a 'met' that was always there is no news."""
    for combination, seen in sorted(found.tally.baselines.items()):
        text = baseline_text(seen, day_short)
        now = found.tally.standing(combination).status
        beside = _("; {status} now", status=value_word(now)) if now in (Status.MET, Status.NOT_MET) else ""
        yield f"{text[:1].upper()}{text[1:]}: {names.combination(found.target, combination)}{beside}."


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
    """A lapse where it was taught, before all else; and the criterion of mastery, where it is met."""
    seen = (*found.lapses, *((found.criterion_met,) if found.criterion_met else ()))
    yield from (clean(mastery_text(names.case, one)) for one in seen)


def _retest_sentence(names: Names, found: TargetReview, combination: Combination) -> str:
    standing, what = found.tally.standing(combination), names.combination(found.target, combination)
    elsewhere = standing.status is Status.NOT_MET
    why = _("since what in it was met nowhere was taught elsewhere") if elsewhere else _("after teaching")
    if standing.retest_from and standing.retest_from > found.points[-1].day:
        return _(
            "Taught, waits for its retest from {day} on: {what}.",
            day=day_short(standing.retest_from),
            what=what,
        )
    return _("Probe again, {why}: {what}.", why=why, what=what)


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
    for combination in found.retests:
        yield _retest_sentence(names, found, combination)
    for combination in found.waiting:
        so_far = waiting_text(names.case, target, found.tally.standing(combination))
        more = f" ({so_far})" if so_far else ""
        yield _(
            "Waits for teaching or a decision: {combination}{more}.",
            combination=names.combination(target, combination),
            more=more,
        )
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
            wish=wish_words(names, wish, found.points[-1].day, day_short),
            tuples=counted_tuples(target, number),
        )
    yield from briefing_sentences(names, target, found.briefings)
    if found.tally.open:
        yield _(
            "{tuples} of {possible} still open.",
            tuples=counted_tuples(target, len(found.tally.open)),
            possible=len(found.tally.possible),
        )
