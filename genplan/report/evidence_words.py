"""What the results say, in whole sentences with their numbers; shared by the terminal and the review page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import floor

from genplan.case import Combination, Target, TargetState
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.criterion import AskedFor, Criterion, CriterionPart
from genplan.coverage.review import Event, Happened, Review, TargetReview
from genplan.evidence.agreement import AGREEMENT_WANTED, SHARE_WANTED, Agreement
from genplan.evidence.intervals import Interval, clopper_pearson
from genplan.evidence.maintenance import CheckState, MaintenanceCheck
from genplan.evidence.standing import Status, counts_as_teaching
from genplan.report.names_and_words import Names, clean, day_short, three_figures, tuple_word, wish_words
from genplan.report.plain_characters import counted, listed
from genplan.text.mastery import mastery_text
from genplan.text.matrix_rows import baseline_text, waiting_text

SMALL_SAMPLE = (
    "One probe is a small sample. An exact interval is the range of true rates that go with it; "
    "'genplan chance 4/5' shows at length what a mark can and cannot tell."
)
INTERVALS_ARE_CUSTOM = "The days between maintenance probes are common practice, no source."

PLURALS = {ADULT: "adults", LOCATION: "locations", MATERIAL_SET: "material sets"}


def percent(share: Fraction | float) -> str:
    """Rounded half up, but never to 0 or 100 what is not exactly that."""
    whole = floor(share * 100 + Fraction(1, 2))
    if share > 0 and whole == 0:
        return "under 1 %"
    return "over 99 %" if share < 1 and whole == 100 else f"{whole} %"


def chance_words(chance: Fraction) -> str:
    """`0.028`: three places, and never 0."""
    return f"{float(chance):.3f}" if chance >= Fraction(1, 1000) else "under 0.001"


def interval_words(correct: int, trials: int) -> str:
    """The exact interval of a proportion, 95 %: `28 % to 99 %`."""
    return range_words(clopper_pearson(correct, trials))


def range_words(found: Interval) -> str:
    return f"{percent(found.low)} to {percent(found.high)}"


def agreement_sentences(found: Agreement) -> Iterator[str]:
    """The share observed and the agreement, against the usual standard."""
    if not found.probes:
        yield "No probe was run."
        return
    enough = found.share >= SHARE_WANTED
    short = "" if enough else f"; {found.still_to_observe} more would have made {percent(SHARE_WANTED)}"
    share = f"{percent(found.share)}{short}"
    yield f"{found.observed} of {counted(found.probes, 'probe')} observed by a second person ({share})."
    if found.total is None or found.lowest is None or found.highest is None:
        return
    verdict = "at or over" if found.total >= AGREEMENT_WANTED else "under"
    yield (
        f"Total agreement, the smaller count over the larger, is {percent(found.total)} on average,"
        f" {verdict} {percent(AGREEMENT_WANTED)}."
    )
    if found.marked:
        yield _by_marks(found)
    if found.marked < found.observed:
        yield _by_totals(found.lowest, found.highest, found.observed - found.marked if found.marked else 0)


def _by_marks(found: Agreement) -> str:
    """Exact, from the marks of both."""
    assert found.trial_agreement is not None
    assert found.sign_agreement is not None
    text = (
        f"By the marks of both ({counted(found.marked, 'probe')}, {counted(found.marked_trials, 'trial')}), trial by"
        f" trial they agreed on {percent(found.trial_agreement)}"
    )
    if found.sign_agreement != found.trial_agreement:
        text += f", and on {percent(found.sign_agreement)} with help told apart from not correct"
    if found.kappa is None:
        return f"{text}; kappa is not defined, since both counted all alike."
    return f"{text}; kappa {float(found.kappa):.2f}."


def _by_totals(lowest: Fraction, highest: Fraction, others: int) -> str:
    """The bounds. `others`: so many probes beside those with marks; 0: there are no marks."""
    bounds = percent(lowest) if lowest == highest else f"{percent(lowest)} to {percent(highest)}"
    if not others:
        return f"Single trials are not written down: trial by trial they agreed on {bounds}."
    rest = f"Of {counted(others, 'probe')} only totals are written down"
    return f"{rest}: over all observed trials they agreed on {bounds}."


def procedure_sentences(names: Names, review: Review) -> Iterator[str]:
    """How far each adult kept to the steps of a probe, beside what the adult is briefed on; nothing where no skill has
    steps and none were marked."""
    skills = [t.target for t in review.targets]
    if not review.procedure and any(t.steps for t in skills):
        yield "Nobody has marked yet whether the steps of a probe were kept."
    for one in review.procedure:
        briefed = names.case.adults[one.adult].briefed_on
        known = len(skills) if briefed is None else sum(t.id in briefed for t in skills)
        on = (
            "every skill here" if known == len(skills) else f"{known} of {counted(len(skills), 'skill')} here"
        )
        yield (
            f"{names.adult(one.adult)}: {one.kept} of {counted(one.marked, 'step')} kept ({percent(one.share)}), as"
            f" marked in {one.observed} of {counted(one.probes, 'probe')}; briefed on {on}."
        )


AGREEMENT_STANDARD = (
    "The usual standard: a second observer on at least 20 % of the probes of each condition, and at least 80 %"
    " agreement (What Works Clearinghouse, Single-case designs technical documentation, 2010; both figures as"
    " remembered or read in a summary)."
)


def figures_sentence(found: TargetReview) -> str:
    """The three figures of a target: tried, met, met without teaching."""
    count = found.tally
    figures = len(count.tested), len(count.met), len(count.met_untaught), len(count.possible)
    return f"{three_figures(*figures, tuple_word(found.target))}."


def criterion_sentences(names: Names, criterion: Criterion) -> Iterator[str]:
    """Whether what the case asks for is met, and first of all what it names and is not; then each part with what is met
    of it, what without teaching, what was tested only, what is missing."""
    if not criterion.is_set:
        yield "The case does not say when this counts as generalised."
        return
    for asked in criterion.not_met:
        yield f"Not generalised yet: {_not_met(names, asked)}."
    if criterion.is_met:
        but = _met_nowhere(names, criterion)
        yield f"What the case asks for is met: the skill counts as generalised{f', {but}' if but else ''}."
    elif not criterion.not_met:
        yield "Not generalised yet by what the case asks for."
    for part in criterion.parts:
        yield _part_sentence(names, part)
    for asked in criterion.asked:
        if asked.met:
            how = "without teaching" if asked.untaught else "where it was taught, not without teaching"
            yield f"Asked for and met: {_together(names, asked.values)} ({how})."


def generalised_words(names: Names, criterion: Criterion) -> str:
    """What stands beside 'yes' or 'not yet' in a row of figures: what is met nowhere, and how much without teaching."""
    untaught = ", ".join(
        f"{_counted(len(p.untaught), p.dimension)} ({p.wanted} {'is' if p.wanted == 1 else 'are'} asked for)"
        for p in criterion.parts
    )
    lacks = _met_nowhere(names, criterion) if criterion.is_met else ""
    missing = [_together(names, a.values) for a in criterion.not_met]
    return "; ".join(
        filter(
            None,
            (
                lacks,
                f"asked for and not met: {', '.join(missing)}" if missing else "",
                f"without teaching {untaught}" if untaught else "",
            ),
        )
    )


def _not_met(names: Names, asked: AskedFor) -> str:
    what = f"{_together(names, asked.values)} is asked for, and"
    if asked.taught_only:
        found = f"{what} was met only where it was taught"
    else:
        found = f"{what} was tested and not met" if asked.tested else f"{what} was not tried"
    return found if asked.in_reach else f"{found}; it cannot be reached while the case stays as it is"


def _met_nowhere(names: Names, criterion: Criterion) -> str:
    values = [names.value(*value) for value in criterion.met_nowhere]
    return f"though with {listed(values, len(values))} it was tried and never met" if values else ""


def _counted(number: int, dimension: str) -> str:
    """`1 adult`, `2 locations`, `0 values of wording`."""
    if dimension in PLURALS:
        return counted(number, PLURALS[dimension].removesuffix("s"))
    return f"{counted(number, 'value')} of {clean(dimension)}"


def _together(names: Names, values: Sequence[tuple[str, str]]) -> str:
    return " with ".join(names.value(*value) for value in values)


def _part_sentence(names: Names, part: CriterionPart) -> str:
    plural = PLURALS.get(part.dimension, f"values of {clean(part.dimension)}")

    def named(values: Sequence[str]) -> str:
        return f" ({'; '.join(names.value(part.dimension, v) for v in values)})" if values else ""

    text = f"{plural[:1].upper()}{plural[1:]}: {len(part.met)} met, {part.wanted} asked for{named(part.met)}"
    if part.met:
        text += f", {_untaught_of(part)}"
    if part.taught_only:
        text += f", {len(part.taught_only)} met only where it was taught{named(part.taught_only)}"
    if part.tested:
        text += f", {len(part.tested)} tested and not met{named(part.tested)}"
    if part.missing and part.untried:
        text += f", {len(part.untried)} not tried{named(part.untried)}"
    if part.missing:
        text += f". {part.missing} missing"
    if part.in_reach < part.wanted:
        text += f". No more than {part.in_reach} can be reached while the case stays as it is"
    return text + "."


def _untaught_of(part: CriterionPart) -> str:
    if len(part.untaught) == len(part.met):
        return "all without teaching" if len(part.met) > 1 else "without teaching"
    return f"{len(part.untaught) or 'none'} of them without teaching"


def baseline_sentences(names: Names, found: TargetReview) -> Iterator[str]:
    """What was seen before anybody taught it, beside what it is now: a 'met' that was always there is no news."""
    for combination, seen in sorted(found.tally.baselines.items()):
        text = baseline_text(seen, day_short)
        now = found.tally.standing(combination).status
        beside = f"; {now.value} now" if now in (Status.MET, Status.NOT_MET) else ""
        yield f"{text[:1].upper()}{text[1:]}: {names.combination(found.target, combination)}{beside}."


def maintenance_sentence(check: MaintenanceCheck) -> str:
    """One date: when it was due, and what became of it."""
    days = counted(check.days, "day")
    why = f"after a lapse, {days}" if check.after_lapse else days
    due = f"Due {day_short(check.due)} ({why} after mastery): "
    if check.runs:
        runs = ", then ".join(f"{r.correct} of {r.trials} on {day_short(r.date)}" for r in check.runs)
        off = (check.runs[0].date - check.due).days
        when = f", {counted(abs(off), 'day')} {'early' if off < 0 else 'after its date'}" if off else ""
        late = " and so late" if check.tolerance and check.timing == "late" else ""
        both = "; the same probe answers the date before" if check.before_too else ""
        return f"{due}{check.state.value}, {runs}{when}{late}{both}."
    next_one = f"; from {day_short(check.until)} on the next is due in its place" if check.until else ""
    sooner = f"; a probe from {day_short(check.opens)} on counts for it" if check.opens < check.due else ""
    words = {
        CheckState.MISSED: "not run before the next fell due",
        CheckState.DUE: f"due now{next_one}",
        CheckState.AHEAD: f"still ahead{sooner}",
    }
    return f"{due}{words[check.state]}."


def briefing_sentences(names: Names, target_word: str, wanted: Sequence[BriefingWanted]) -> Iterator[str]:
    for one in wanted:
        yield (
            f"{names.adult(one.adult)} is not briefed on it yet: {counted(one.tuples, target_word)} would open"
            " with a briefing."
        )


def event_sentence(names: Names, found: TargetReview, event: Event, with_interval: bool = False) -> str:
    """One row: the day, with whom and where, the counts (with the exact interval of a test, if asked for), the note."""
    row, target = event.entry.result, found.target
    text = f"{day_short(row.date)}, {names.combination(target, row.combination)}"
    if row.trials:
        text += f": {row.correct or 0} of {row.trials} correct"
        text += f", {row.prompted} prompted" if row.prompted else ""
        if with_interval and row.kind.is_test:
            text += f" (true rates that go with it: {interval_words(row.correct or 0, row.trials)})"
    if event.what is Happened.TAUGHT and not counts_as_teaching(target, row):
        text += f"; it counts as no teaching: that takes {target.taught_when}"
    if event.what is Happened.CORRECTED:
        text += f"; line {event.entry.corrected_by} of results.csv counts in its place"
    if event.what is Happened.BROKE or event.entry.undoes:
        text += f"; it had been met on {day_short(event.entry.before.last_date or row.date)}"
    return f"{text}. {clean(row.note)}" if row.note else f"{text}."


def mastery_sentences(names: Names, found: TargetReview) -> Iterator[str]:
    """A lapse where it was taught, before all else; and the criterion of mastery, where it is met."""
    seen = (*found.lapses, *((found.criterion_met,) if found.criterion_met else ()))
    yield from (clean(mastery_text(names.case, one)) for one in seen)


def _retest_sentence(names: Names, found: TargetReview, combination: Combination) -> str:
    standing, what = found.tally.standing(combination), names.combination(found.target, combination)
    elsewhere = standing.status is Status.NOT_MET
    why = "since what in it was met nowhere was taught elsewhere" if elsewhere else "after teaching"
    if standing.retest_from and standing.retest_from > found.points[-1].day:
        return f"Taught, waits for its retest from {day_short(standing.retest_from)} on: {what}."
    return f"Probe again, {why}: {what}."


def _before_probes(target: Target) -> str:
    if target.state is TargetState.PAUSED:
        return "It is paused: nothing is owed until that changes."
    if not target.teaching_per_week:
        return "It is still taught; the case does not say how often."
    return f"It is still taught; owed: {counted(target.teaching_per_week, 'teaching')} a week."


def next_sentences(names: Names, found: TargetReview, with_matrix: bool = True) -> Iterator[str]:
    """What is owed at the end of the span; without what is said of the matrix, where that has nothing to say yet."""
    target, word = found.target, tuple_word(found.target)
    if target.state is not TargetState.MASTERED:
        yield _before_probes(target)
    if not with_matrix:
        return
    for combination in found.retests:
        yield _retest_sentence(names, found, combination)
    for combination in found.waiting:
        so_far = waiting_text(names.case, target, found.tally.standing(combination))
        more = f" ({so_far})" if so_far else ""
        yield f"Waits for teaching or a decision: {names.combination(target, combination)}{more}."
    checks = found.maintenance if target.state is TargetState.MASTERED else ()
    for check in checks:
        if check.state is CheckState.DUE:
            yield f"A maintenance probe is due since {day_short(check.due)}."
    following = next((c for c in checks if c.state is CheckState.AHEAD), None)
    if following:
        yield f"The next maintenance probe falls due on {day_short(following.due)}."
    for wish, number in found.wishes:
        yield f"{wish_words(names, wish, found.points[-1].day, day_short)} ({counted(number, word)} open)."
    yield from briefing_sentences(names, word, found.briefings)
    if found.tally.open:
        yield f"{counted(len(found.tally.open), word)} of {len(found.tally.possible)} still open."
