"""What becomes of wishes as far as the rules alone decide, so that it can be told before a week is planned."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.workflow.days_ill import kept_free
from genplan.workflow.opened_case import Opened

if TYPE_CHECKING:
    from genplan.plan import WishAnswer
    from genplan.planning.week_context import WeekContext
    from genplan.workflow.facts_to_plan_by import FactsToPlanBy

MOST_WEEKS = 2
"""Of which it is told at once what stands in a wish's way: from Saturday to Monday are two."""


def week_of(wanted: PlannersWish) -> Week | None:
    """The week that a wish is for; None: every one."""
    if named := wanted.sittings:
        return named[0].week
    return Week.of(wanted.start.date()) if wanted.start else None


def answer_to(opened: Opened, wanted: PlannersWish) -> WishAnswer | None:
    """What becomes of a wish beside the others, by the rules alone; None where a search decides, or the week is
    over. Of one that holds in every week what this week has broken of it already."""
    if wanted.kind is WishKind.RATHER:
        return _in_no_week(opened, wanted)
    named = week_of(wanted)
    week = named or Week.of(opened.now.date())
    if week.sunday < opened.now.date():
        return None
    found = next((a for a in answers_in(opened, week) if a.wish == wanted), None)
    return found if named or (found and found.broken_on) else None


def _in_no_week(opened: Opened, wanted: PlannersWish) -> WishAnswer | None:
    """What stands in the way of somebody's being wished for, where no week of the wish has a way; None where one has,
    and of a wish for long, of which a plan tells week by week."""
    if wanted.start is None:
        return None
    ahead = Week.of(max(wanted.start, opened.wall).date()).run(MOST_WEEKS + 1)
    weeks = [w for w in ahead if wanted.holds_in(w)]
    if len(weeks) > MOST_WEEKS:
        return None
    answers = [_without_a_way(opened, week, wanted) for week in weeks]
    return answers[0] if answers and all(answers) else None


def _without_a_way(opened: Opened, week: Week, wanted: PlannersWish) -> WishAnswer | None:
    """What stands in every way of a sitting that somebody would rather have: whoever is away or has no hours then is
    told at once. Of several children only where none of them can have it; that the adult is not there says all."""
    from genplan.planning.wish_answers import without_a_way
    from genplan.rules.limits import Kind

    context = _context(opened, week)
    asked = [a for a in context.decided.answers if wanted in (a.wish, replace(a.wish, learner=""))]
    found = [against for a in asked if (against := without_a_way(context, a))]
    if not found or len(found) < len(asked):
        return None
    limits = dict.fromkeys(limit for against in found for limit in against.limits)
    of_adult = tuple(limit for limit in limits if limit.kind is Kind.ADULT_THEN)
    return replace(found[0], wish=wanted, limits=of_adult or tuple(limits))


def answers_in(opened: Opened, week: Week, facts: FactsToPlanBy | None = None) -> tuple[WishAnswer, ...]:
    """What becomes of the wishes for a week that a sitting or a rule decides; nothing is searched for. `facts` are the
    week's, where they were read before."""
    if not any(w.holds_in(week) for w in opened.case.wishes):
        return ()
    answers = _context(opened, week, facts).decided.answers
    return tuple(a for a in answers if a.wish.kind is not WishKind.RATHER)


def _context(opened: Opened, week: Week, facts: FactsToPlanBy | None = None) -> WeekContext:
    from genplan.planning.week_context import week_context_of
    from genplan.workflow.facts_to_plan_by import facts_of

    facts = facts or facts_of(opened, week)
    return week_context_of(kept_free(opened).case, facts.log, week, opened.now, facts.busy, facts.kept)
