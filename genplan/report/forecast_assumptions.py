"""What a forecast takes for granted, in whole sentences; shared by the terminal and the pages."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case import Case
from genplan.case.targets import Teach
from genplan.evidence.sittings_written import SittingsCount
from genplan.forecast import Assumptions, Forecast
from genplan.forecast.rates import MASTERY_WORTH, OTHERS_WORTH
from genplan.forecast.sittings_that_fall_through import WORTH, SittingsSoFar
from genplan.language import _, ngettext
from genplan.language.numbers import number_words
from genplan.report.forecast_words import TYPED, Settings
from genplan.text.notes import note_text


def _guessed(taken: Assumptions, settings: Settings) -> Iterator[str]:
    yield (
        _(
            "What is not met is taken to need {weeks} of teaching after its week ({teaching}): only then does it"
            " come again, in the first week that has room, before what is new.",
            weeks=ngettext("{n} week", "{n} weeks", taken.teaching_weeks),
            teaching=settings.teaching,
        )
        if taken.teaching_weeks
        else _(
            "What is not met is taken to be taught at once ({teaching} 0), and comes again in the next"
            " week that has room, before what is new.",
            teaching=settings.teaching,
        )
    )


def _planned_teaching(case: Case, taken: Assumptions, settings: Settings) -> Iterator[str]:
    held = _("; every planned teaching is held") if taken.sittings is None else ""
    yield (
        _(
            "What is not met is taught in the first later weeks that have room for it, with somebody who may"
            " teach it, and within the same hours and limits as in a plan{held}. Then it comes again in the"
            " first week that has room, before what is new.",
            held=held,
        )
    )
    if any(t.teach is Teach.FEWEST for t in case.mastered):
        yield (
            _(
                "In the simulated courses, as in a plan, only the fewest combinations that hold what failed are"
                " taught, and are chosen anew each week of what has been met by then."
            )
        )
    if case.policy.new_wait_where_it_breaks or case.policy.new_wait_after_lapse:
        yield _(
            "In the simulated courses new probes do not wait where a target fails, as they may in a plan."
        )
    if any(t.hold_out for t in case.mastered):
        yield (
            _(
                "What is held out and not met comes again in the simulated courses no sooner than {weeks} after"
                " its week ({teaching}), as if other combinations had been taught for it.",
                weeks=ngettext("{n} week", "{n} weeks", taken.teaching_weeks),
                teaching=settings.teaching,
            )
        )


def _fall_through(known: SittingsSoFar) -> Iterator[str]:
    count = sum(known.adults.values(), SittingsCount())
    yield (
        _(
            "Hours, people, places, things and limits stay as the case says. A date 'if every probe is met'"
            " takes every planned sitting as held; of those that are written down {not_run} of {written} were"
            " not run. So in the simulated courses sittings fall through too: with each adult as often as until"
            " now, and as often more as this child was ill or refused. Both rates are drawn (a Beta"
            " distribution), with the other adults, or the other children, together counted as worth {worth}"
            " sittings; that is a choice of this program, no source. What fell through comes in the next week,"
            " in the place of what is new, or in the first later one with room; later in the same week never.",
            not_run=count.not_run,
            written=count.written,
            worth=number_words(WORTH),
        )
    )


def assumption_sentences(case: Case, forecast: Forecast, settings: Settings = TYPED) -> Iterator[str]:
    """What the forecast takes for granted, each thing in a sentence."""
    taken: Assumptions = forecast.assumptions
    if taken.sittings is None:
        yield (
            _(
                "Hours, people, places, things and limits stay as the case says, and every planned probe is"
                " run. Illness, a child who says no, or a day off that nobody has written down make it later."
            )
        )
    else:
        yield from _fall_through(taken.sittings)
    yield (
        _(
            "For the range {courses} courses are simulated ({draw} {seed}). In each, a target's probes"
            " are met at a rate of each location's own, drawn from what its probes say (a beta-binomial model;"
            " Gelman and others, Bayesian Data Analysis, from memory). That it was mastered is counted as worth"
            " {worth} probe that was met, the learner's other targets as worth"
            " {others_worth} probes at most; these, and how far locations may differ, are choices of this"
            " program, no source. Few results give a wide range.",
            courses=taken.courses,
            draw=settings.draw,
            seed=taken.seed,
            worth=number_words(sum(MASTERY_WORTH)),
            others_worth=number_words(OTHERS_WORTH),
        )
    )
    yield (
        _(
            "From the second week on the planner searches less than for a plan. Among probes of equal worth a plan may"
            " choose others then, and a criterion may be met a little sooner or later."
        )
    )
    yield _("The rate is taken to be the same with every adult and set, and after teaching too.")
    yield from (
        _planned_teaching(case, taken, settings) if taken.teaching_planned else _guessed(taken, settings)
    )
    yield _("Maintenance probes are counted as met.")
    if len({t.learner for t in case.mastered}) > 1:
        yield _("What is not met by one learner takes no hours from the others.")
    if taken.told_before:
        yield _(
            "The probes that people were told of for the days from now until the first week are counted as met."
        )
    yield from (note_text(case, note) for note in taken.not_counted)
    if taken.unwritten:
        yield _(
            "Probes of the first week that have begun, and of which nothing is written down yet, are counted as met."
        )
    if not forecast.repeatable:
        yield _("A search was ended by the clock, so a second run may find other weeks.")
