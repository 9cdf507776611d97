"""Mastery as the results show it, in English. Nothing here decides: it says whom to ask."""

from __future__ import annotations

from datetime import date

from genplan.case import Case
from genplan.case.week import MONTHS
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.text.target_names import target_named
from genplan.text.tuple_words import combination_words


def criterion_met_text(case: Case, found: CriterionMet) -> str:
    target = case.targets[found.target]
    days = "1 day" if found.days == 1 else f"{found.days} days in a row"
    return (
        f"{target_named(case, target.id)} meets its criterion of {target.criterion} since {_day(found.since)}"
        f" ({found.correct} of {found.trials} trials on {days} of teaching): ask the practitioner, then set"
        " `state: mastered`."
    )


def lapse_text(case: Case, found: Lapse) -> str:
    target = case.targets[found.target]
    where = combination_words(case, target, found.combination)
    return (
        f"{target_named(case, target.id)} was not met on {_day(found.on)} where it was taught ({where}:"
        f" {found.correct} of {found.trials}): ask the practitioner before anything new is tried."
    )


def mastery_text(case: Case, seen: CriterionMet | Lapse) -> str:
    return lapse_text(case, seen) if isinstance(seen, Lapse) else criterion_met_text(case, seen)


def _day(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
