"""The forecast in whole sentences; shared by the terminal and the pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from genplan.case import Case, Target
from genplan.forecast import Forecast, HeldUp, Milestone, TargetForecast, Verdict, WishForecast
from genplan.forecast.values import BEFORE, MIDDLE
from genplan.language import N_, _, and_list, ngettext, said
from genplan.language.marked import Marked
from genplan.language.sentences import capital
from genplan.report.figure_words import percent
from genplan.report.names_and_words import Names, clean, day_words, long_date, tuple_word
from genplan.text.held_up import held_up_text
from genplan.text.nothing_possible import why_nothing_is_possible
from genplan.text.tuple_words import combination_words
from genplan.text.week_words import week_end, week_named

VERDICT_WORDS = {
    Verdict.YES: N_("tried in time"),
    Verdict.AT_RISK: N_("at risk"),
    Verdict.NO: N_("not tried in time"),
    Verdict.OVER: N_("date over"),
    Verdict.EARLIER: N_("not planned in time so far"),
}
PLANNED_AGAIN = N_("What is left of the days until the date can be planned again, and may still hold it.")


@dataclass(frozen=True)
class Settings:
    """What the weeks of teaching and the seed are called where the reader sets them."""

    teaching: str
    draw: Marked = Marked()


TYPED = Settings("--taught-within", N_("seed"))


def verdict_words(found: WishForecast) -> str:
    """Whether all is tried by the date, and how often it is met too: one without the other says too much."""
    words = said(VERDICT_WORDS[found.verdict])
    return _("{words}; all met in {met}", words=words, met=percent(found.met)) if _tells_met(found) else words


def milestone_sentences(forecast: Forecast, milestone: Milestone, *, though: str = "") -> Iterator[str]:
    """When it is reached if all goes well, and the range of the courses; `though` is what speaks against one that is
    reached already."""
    if milestone.done:
        yield _("already, though {what}.", what=though) if though else _("already.")
        return
    if milestone.line == BEFORE:
        end = week_end(forecast.week(BEFORE))
        yield _("by {end}, if the probes that people were told of until then are met.", end=end)
        return
    ahead = ngettext("{n} week", "{n} weeks", len(forecast.weeks))
    if milestone.line is None:
        yield _(
            "not within the {ahead} looked at, as they are planned, even if every probe is met.", ahead=ahead
        )
    else:
        end = week_end(forecast.weeks[milestone.line])
        yield _(
            "in {weeks}, by {end}, if every probe is met.",
            weeks=ngettext("{n} week", "{n} weeks", milestone.line + 1),
            end=end,
        )
    if milestone.line is not None or milestone.within:
        yield _range(forecast, milestone)


def _range(forecast: Forecast, milestone: Milestone) -> str:
    """With the share that the range really has: whole weeks cannot hold 8 of 10 exactly."""
    middle, found = milestone.reached_in(MIDDLE), milestone.range
    beyond = percent(1 - milestone.within)
    if middle is None or found.first is None:
        return _(
            "In {percent} of the simulated courses it takes longer than the weeks looked at.", percent=beyond
        )
    half = _by(forecast, milestone, middle)
    if found.last is None:
        return _(
            "{half} in half of the simulated courses; in {percent} it takes longer than the weeks looked at.",
            half=half,
            percent=beyond,
        )
    by_then = percent(milestone.shares[found.last])
    if middle == found.last:
        return _("{half} in {by_then} of the simulated courses.", half=half, by_then=by_then)
    end = week_end(forecast.weeks[found.last])
    if found.first == middle:
        return _(
            "{half} in half of the simulated courses, by {end} in {by_then}.",
            half=half,
            end=end,
            by_then=by_then,
        )
    begin = week_end(forecast.weeks[found.first])
    return _(
        "In about 8 of 10 simulated courses ({share}) between {begin} and {end}, in half by {week}.",
        share=percent(found.share),
        begin=begin,
        end=end,
        week=week_end(forecast.weeks[middle]),
    )


def _by(forecast: Forecast, milestone: Milestone, index: int) -> str:
    return (
        _("Just as soon") if index == milestone.line else _("By {week}", week=week_end(forecast.weeks[index]))
    )


WEEKS_NAMED = 4
"""With more of them nobody looks each up."""
HELD_UP = N_("What holds it up most")


def held_up_sentence(case: Case, target: Target, held_up: HeldUp, *, reached: bool = True) -> str:
    """What holds it up most, and in how many weeks: `… (in 3 of the 5 weeks until then).` `reached`: there is a then,
    within the weeks looked at."""
    text = clean(held_up_text(case, target, held_up))
    if not held_up.of:
        return f"{text}."
    if held_up.of == 1:
        if reached:
            return _("{text} (in the only week until then).", text=text)
        return _("{text} (in the only week looked at).", text=text)
    share = _("each") if held_up.weeks == held_up.of else str(held_up.weeks)
    if 0 < len(held_up.held_in) < held_up.of and len(held_up.held_in) <= WEEKS_NAMED:
        weeks = and_list([week_named(week) for week in held_up.held_in])
        if reached:
            return _(
                "{text} (in {share} of the {of} weeks until then: {weeks}).",
                text=text,
                share=share,
                of=held_up.of,
                weeks=weeks,
            )
        return _(
            "{text} (in {share} of the {of} weeks looked at: {weeks}).",
            text=text,
            share=share,
            of=held_up.of,
            weeks=weeks,
        )
    if reached:
        return _("{text} (in {share} of the {of} weeks until then).", text=text, share=share, of=held_up.of)
    return _("{text} (in {share} of the {of} weeks looked at).", text=text, share=share, of=held_up.of)


def rate_sentence(found: TargetForecast) -> str:
    """What was met so far, and what the courses take from it."""
    rate, (low, high) = found.rate, found.drawn
    so_far = (
        _("{met} of {probes} met", met=rate.met, probes=ngettext("{n} probe", "{n} probes", rate.probes))
        if rate.probes
        else _("no probe was run, or none but for maintenance")
    )
    return _(
        "{so_far}; 8 of 10 simulated courses take a mean rate from {low} to {high}.",
        so_far=so_far,
        low=percent(low),
        high=percent(high),
    )


def target_sentences(case: Case, forecast: Forecast, found: TargetForecast) -> Iterator[tuple[str, str]]:
    """(label, sentence) for each thing that is told of a target, its dates left out. What holds a thing up stands
    under it, once where it is the same for both."""
    target = case.targets[found.target]
    generalised, nothing = found.generalised, nothing_to_try(case, forecast, found)
    of_criterion, of_coverage = "", ""
    if found.criterion_held_up and not nothing and (generalised is None or not generalised.done):
        reached = generalised is not None and generalised.line is not None
        of_criterion = held_up_sentence(case, target, found.criterion_held_up, reached=reached)
    if not nothing and not found.coverage.done:
        reached = found.coverage.line is not None
        of_coverage = held_up_sentence(case, target, found.coverage_held_up, reached=reached)
    if generalised is not None:
        sentences = milestone_sentences(forecast, generalised, though=_not_lasting(case, target, found))
        yield _("Generalised"), " ".join(sentences)
    elif found.out_of_reach:
        yield _("Generalised"), _("out of reach as the case stands.")
    if of_criterion and of_criterion != of_coverage:
        yield said(HELD_UP), of_criterion
    every = _("Every {tuple} tried", tuple=tuple_word(target))
    if nothing:
        yield every, _("nothing of it is possible as the case stands: {why}.", why=clean(nothing))
    else:
        yield every, " ".join(milestone_sentences(forecast, found.coverage))
    if of_coverage:
        yield said(HELD_UP), of_coverage
    yield _("So far"), rate_sentence(found)


def _not_lasting(case: Case, target: Target, found: TargetForecast) -> str:
    """What of it was not met the last time; nothing where all was."""
    if not found.not_met:
        return ""
    first = combination_words(case, target, found.not_met[0], " + ")
    return ngettext(
        "it was not met the last time with {first}",
        "it was not met the last time in {n} ways, such as with {first}",
        len(found.not_met),
        first=clean(first),
    )


def nothing_to_try(case: Case, forecast: Forecast, found: TargetForecast) -> str:
    """Why nothing of it is tried in these weeks, although nothing is open; nothing where something is possible."""
    if not found.coverage.done:
        return ""
    return why_nothing_is_possible(case, case.targets[found.target], forecast.weeks[-1].sunday)


def wish_sentence(names: Names, target: Target, found: WishForecast, settings: Settings = TYPED) -> str:
    """What is wanted, by when, and whether that will hold."""
    wanted = names.pattern(found.wish.pattern)
    text = _(
        "{learner}, {target}: {wanted}, by {by}.",
        learner=names.learner(target.learner),
        target=names.target(target.id),
        wanted=wanted,
        by=long_date(found.by),
    )
    met = "".join(f" {s}" for s in _all_met(found, settings)) if _tells_met(found) else ""
    if found.done:
        return _("{text} All of it is tried already.{met}", text=text, met=met)
    if found.held_up is not None and not found.is_possible:
        # nothing of it is planned, whatever is met
        return f"{text} {capital(clean(held_up_text(names.case, target, found.held_up)))}."
    if found.line is None:
        plan = _(
            "Not all of it is tried in the weeks looked at, as they are planned, even if every probe is met"
        )
    else:
        plan = _("The last of it is tried on {line} if every probe is met", line=day_words(found.line))
    if found.verdict is Verdict.AT_RISK:
        plan += _(", and in time in {tried} of the simulated courses", tried=percent(found.tried))
    text = f"{text} {plan}.{met}"
    if found.verdict is Verdict.EARLIER:
        return f"{text} {said(PLANNED_AGAIN)}"
    if found.held_up is None:
        return text
    # "then" is the date: the weeks up to it are counted, be it tried after it or never
    held_up = held_up_sentence(names.case, target, found.held_up, reached=not found.beyond)
    return f"{text} {said(HELD_UP)}: {held_up}"


def _tells_met(found: WishForecast) -> bool:
    return not (found.over or found.earlier or found.by_told) and (found.done or found.tried > 0)


def _all_met(found: WishForecast, settings: Settings) -> Iterator[str]:
    met = percent(found.met)
    if found.beyond:
        yield _(
            "By the end of the weeks looked at all of it is also met in {met} of the simulated courses.",
            met=met,
        )
    else:
        yield _("By then all of it is also met in {met} of the simulated courses.", met=met)
    if found.teaching_weeks:
        yield _(
            "What of it was not met cannot come again before the date if teaching it takes {weeks} ({teaching}).",
            weeks=ngettext("{n} week", "{n} weeks", found.teaching_weeks),
            teaching=settings.teaching,
        )
