"""Mastery as the results show it, in words. Nothing here decides: it says whom to ask."""

from __future__ import annotations

from genplan.case import Case
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.language import _, ngettext
from genplan.language.dates import date_words
from genplan.text.target_names import target_named
from genplan.text.tuple_words import combination_words


def criterion_met_text(case: Case, found: CriterionMet) -> str:
    target = case.targets[found.target]
    return ngettext(
        "{skill} meets its criterion of {criterion} since {day} ({correct} of {trials} trials on 1 day of teaching):"
        " ask the practitioner, then say in the case that it is mastered.",
        "{skill} meets its criterion of {criterion} since {day} ({correct} of {trials} trials on {n} days in a row of"
        " teaching): ask the practitioner, then say in the case that it is mastered.",
        found.days,
        skill=target_named(case, target.id),
        criterion=target.criterion,
        day=date_words(found.since),
        correct=found.correct,
        trials=found.trials,
    )


def lapse_text(case: Case, found: Lapse) -> str:
    target = case.targets[found.target]
    where = combination_words(case, target, found.combination)
    return _(
        "{target} was not met on {date} where it was taught ({where}:"
        " {correct} of {trials}): ask the practitioner before anything new is tried.",
        target=target_named(case, target.id),
        date=date_words(found.on),
        where=where,
        correct=found.correct,
        trials=found.trials,
    )


def mastery_text(case: Case, seen: CriterionMet | Lapse) -> str:
    return lapse_text(case, seen) if isinstance(seen, Lapse) else criterion_met_text(case, seen)
