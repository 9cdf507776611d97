"""The auditor: every rule and every figure of a plan once more, in plain loops.

It reads the values of case, log and plan and shares no code with the rooms that made the plan, so that a
mistake there does not repeat itself here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from genplan.audit.again import what_can_be_caught_up, what_fell_through
from genplan.audit.choices import CHOICES, OF_THE_CASE_ALONE
from genplan.audit.clashes import CLASHES
from genplan.audit.context import AuditContext
from genplan.audit.coverage_values import last_chances
from genplan.audit.figures import FIGURES
from genplan.audit.hours import HOURS
from genplan.audit.kept_as_told import people_told_are_named
from genplan.audit.limits import LIMITS
from genplan.audit.looking_back import what_the_weeks_before_gave
from genplan.audit.names import NAMES
from genplan.audit.objectives import objectives
from genplan.audit.omissions import OWED
from genplan.audit.one_probe_more import less_urgent_is_true, nothing_more_fits
from genplan.audit.second_adults import BESIDE_FIGURES, BESIDE_RULES, second_adult_has_a_part
from genplan.audit.shares import alone_is_possible
from genplan.audit.teaching import TEACHING
from genplan.audit.turns import turns_are_asked_for
from genplan.audit.wishes import WISHES
from genplan.case import Absence, Case
from genplan.evidence.log import Log
from genplan.plan import Plan, Sitting, ToldLately

__all__ = ["audit", "broken_rules", "unsound_sittings"]

Check = Callable[[AuditContext], Iterator[str]]

SEARCH: tuple[Check, ...] = (
    objectives,
    people_told_are_named,
    last_chances,
    turns_are_asked_for,
    what_fell_through,
    what_can_be_caught_up,
    alone_is_possible,
    what_the_weeks_before_gave,
    less_urgent_is_true,
    nothing_more_fits,
)


def audit(
    case: Case,
    log: Log,
    plan: Plan,
    busy: Mapping[str, tuple[Absence, ...]],
    kept: tuple[Sitting, ...] = (),
    lately: tuple[ToldLately, ...] = (),
) -> tuple[str, ...]:
    """What is wrong with a plan: a sentence for each broken rule or wrong figure, none for a sound plan.

    `busy` are the adults' busy times of the week, `kept` the sittings of an earlier plan of the same week, `lately`
    what people were told of the weeks before, as far as fairness looks back.
    A sitting that has begun is judged by what it takes from the others, not by whether it may be held."""
    matter = AuditContext(case, log, plan, busy, kept, lately)
    rules = (*HOURS, *CLASHES, *LIMITS, *CHOICES, *TEACHING, *BESIDE_RULES, *WISHES)
    figures = (*BESIDE_FIGURES, *FIGURES, *OWED, *SEARCH)
    return _run_if_named(rules, matter, figures)


def broken_rules(
    case: Case, plan: Plan, busy: Mapping[str, tuple[Absence, ...]], log: Log | None = None
) -> tuple[str, ...]:
    """The rules that the sittings alone break, whatever they are worth: ids, hours, places, sets, limits, what a child
    is kept from."""
    matter = AuditContext(case, log or Log(), plan, busy, ())
    return _run(NAMES, matter) or _run((*HOURS, *CLASHES, *LIMITS, *OF_THE_CASE_ALONE), matter)


def unsound_sittings(
    case: Case,
    log: Log,
    plan: Plan,
    busy: Mapping[str, tuple[Absence, ...]],
    kept: tuple[Sitting, ...] = (),
) -> tuple[str, ...]:
    """What is wrong with a plan's sittings and their probes; of its figures and reasons nothing is asked."""
    matter = AuditContext(case, log, plan, busy, kept)
    return _run_if_named((*HOURS, *CLASHES, *LIMITS, *CHOICES, *TEACHING, *BESIDE_RULES), matter)


def _run_if_named(
    rules: tuple[Check, ...], matter: AuditContext, figures: tuple[Check, ...] = ()
) -> tuple[str, ...]:
    """The checks read what the plan's ids mean, so nothing else is asked where an id means nothing."""
    return _run((*NAMES, second_adult_has_a_part), matter) or (
        *_run(rules, matter),
        *_run(figures, matter.beside_what_was_decided),
    )


def _run(checks: tuple[Check, ...], matter: AuditContext) -> tuple[str, ...]:
    return tuple(complaint for check in checks for complaint in check(matter))
