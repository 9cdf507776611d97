"""Why not, and what would help: answers about the plan of a week, found by planning again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.days_ill import kept_free
from genplan.workflow.facts_to_plan_by import facts_of
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import Progress, open_case, wanted_week
from genplan.workflow.planning import budget_of, plan_opened
from genplan.workflow.solving import solvers
from genplan.workflow.watching import Watch

if TYPE_CHECKING:
    from genplan.evidence.failed_again import FailedAgain
    from genplan.plan import Plan
    from genplan.planning.explanation import Why

PLANNING_SHARE = 0.5
"""Of the time of a run; the questions have the rest, and what the planning leaves."""


@dataclass(frozen=True)
class WhyView:
    """The plan that the answers are about, and the answers for the learners and targets that were asked for."""

    case: Case
    plan: Plan
    learners: tuple[str, ...]
    target: str | None
    why: Why
    findings: tuple[Finding, ...]
    about_week: tuple[Finding, ...] = ()
    again: tuple[FailedAgain, ...] = ()
    """What of the targets asked about was taught and not met again."""


def why(
    folder: Path,
    week: Week | None,
    now: datetime | None,
    progress: Progress,
    learner: str | None = None,
    target: str | None = None,
    *,
    at_length: bool = False,
) -> WhyView:
    """Plans a week (the one after now if left out) and answers for one learner, for the learner of one target, or for
    all. Of many learners only what comes first is looked at, but all of it `at_length`.
    Writes nothing. Raises as `plan` does."""
    from genplan.evidence.failed_again import failed_again
    from genplan.planning.explanation import why as look
    from genplan.planning.jobs import Workers
    from genplan.planning.term.following import following
    from genplan.planning.week_context import week_context_of

    opened = kept_free(open_case(folder, now))
    budget = budget_of(opened)
    if learner is not None:
        learner = known_id(opened.case, "learners", learner)
    if target is not None:
        target = known_id(opened.case, "targets", target)
        whose = opened.case.targets[target].learner
        if learner not in (None, whose):
            raise UsageError(
                _(
                    "'{target}' is a target of {whose}, and not of {learner}. Leave one of the two out.",
                    target=target,
                    whose=whose,
                    learner=learner,
                )
            )
        learner = whose
    wanted = wanted_week(week, opened.now)
    learners = (learner,) if learner is not None else tuple(opened.case.learners)
    facts = facts_of(opened, wanted)
    watch = Watch(progress)
    with solvers(watch) as executor:
        outcome = plan_opened(opened, wanted, executor, watch, budget.part(PLANNING_SHARE), facts=facts)
        ground = week_context_of(
            opened.case, facts.log, wanted, opened.now, facts.busy, facts.kept, lately=facts.lately
        )
        found = look(
            following(ground, outcome.term),
            outcome.plan,
            Workers(executor, watch, budget),
            learners,
            at_length=at_length,
        )
    asked = [t for t in opened.case.planned if t.learner in learners and target in (None, t.id)]
    again = tuple(one for t in asked for __, one in sorted(failed_again(t, opened.log).items()))
    return WhyView(
        outcome.case, outcome.plan, learners, target, found, outcome.findings, outcome.about_week, again
    )
