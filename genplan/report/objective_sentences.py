"""How good a plan is, a sentence for each objective that a person is told of."""

from __future__ import annotations

from math import ceil, isfinite

from genplan.case import Case
from genplan.language import _, and_list, ngettext
from genplan.language.sentences import capital
from genplan.plan import WHOLE_WEEK, Objective, ObjectiveName, Plan, StageStatus
from genplan.text.objectives import objective_figure, objective_words
from genplan.text.tuple_words import common_words

TOLD_OBJECTIVES = (
    "due",
    "dated",
    "people told",
    "otherwise",
    "teaching",
    "waited",
    "wished",
    "shares",
    "new tuples",
    "further probes",
    "sittings",
)
"""What a person is told of the search; the later stages settle comfort and are in `plan.json`."""


def told_objectives(plan: Plan) -> tuple[Objective, ...]:
    """The objectives worth a sentence: those of which there was something to count."""
    return tuple(o for o in plan.objectives if o.name in TOLD_OBJECTIVES and (o.value or o.bound))


def objective_sentences(case: Case, plan: Plan) -> tuple[str, ...]:
    """A sentence for each objective that a person is told of, in the words that the case's skills have for tuples."""
    tuples, by_term, before = common_words(case.mastered)[1], plan.turns is not None, plan.before.weeks
    return tuple(
        objective_sentence(
            o, tuples, by_term=by_term, weeks_before=before, beside=bool(plan.staying), of=plan.dated
        )
        for o in told_objectives(plan)
    )


def staying_sentence(case: Case, plan: Plan) -> str:
    """What the figures count, where sittings stay as they are; else nothing."""
    if not plan.staying:
        return ""
    begun = sum(s.begun for s in plan.staying)
    decided = len(plan.staying) - begun
    parts = []
    if begun:
        parts.append(ngettext("{n} has begun", "{n} have begun", begun))
    if decided:
        parts.append(ngettext("{n} was wished so", "{n} were wished so", decided))
    adds, (word, words) = sum(row.new for row in plan.coverage), common_words(case.mastered)
    return _(
        "Of the {sittings} {why}: no plan changes that. In all the week adds {n} {tuples}. Where 'beside what stays' is"
        " said, it is not counted; and what is proven is proven of the weeks that hold it.",
        sittings=ngettext("{n} sitting", "{n} sittings", len(plan.sittings)),
        why=and_list(parts),
        n=adds,
        tuples=word if adds == 1 else words,
    )


def objective_sentence(
    objective: Objective,
    tuples: str = "",
    *,
    by_term: bool = False,
    weeks_before: int = 0,
    beside: bool = False,
    of: int = 0,
) -> str:
    """What a stage looked for, what it found and what is proven of it. A percentage is rounded up. `by_term`: the week
    follows a term; `weeks_before`: as far as fairness looks back; `beside`: sittings of the week stay as they are.
    `of`: so many have their last chance."""
    label = capital(objective_words(objective, tuples, by_term=by_term, weeks_before=weeks_before))
    if beside and objective.name not in WHOLE_WEEK:
        label = _("{label}, beside what stays", label=label)
    if objective.status is StageStatus.NOT_REACHED:
        return _("{label}: not looked at, because the search ended before it.", label=label)
    figure = objective_figure(objective, objective.value)
    if objective.name == ObjectiveName.SHARES:
        figure = _("{percent} of what it could have with the week to itself", percent=figure)
    if objective.name == ObjectiveName.DATED and of > objective.value:
        figure = _("{found} of {all}", found=figure, all=of)
    found = f"{label}: {figure}"
    if objective.status is StageStatus.OPTIMAL or objective.shortfall == 0:
        return _("{found}, proven best.", found=found)
    if not isfinite(objective.bound) or (objective.sense == "fewest" and objective.bound <= 0):
        return _("{found}. Whether fewer would do is not proven.", found=found)
    ended, bound = _ended(objective), objective_figure(objective, objective.bound)
    if objective.sense == "fewest":
        if beside:
            return _(
                "{found}; it may be that {bound} would do. {ended}: no plan of this week that holds what stays gets"
                " below {bound}.",
                found=found,
                ended=ended,
                bound=bound,
            )
        return _(
            "{found}; it may be that {bound} would do. {ended}: no plan of this week gets below {bound}.",
            found=found,
            ended=ended,
            bound=bound,
        )
    percent = ceil(objective.shortfall * 100)
    if beside:
        return _(
            "{found}, at most {percent} % short of the best possible."
            " {ended}: no plan of this week that holds what stays reaches more than {bound}.",
            found=found,
            percent=percent,
            ended=ended,
            bound=bound,
        )
    return _(
        "{found}, at most {percent} % short of the best possible."
        " {ended}: no plan of this week reaches more than {bound}.",
        found=found,
        percent=percent,
        ended=ended,
        bound=bound,
    )


def _ended(objective: Objective) -> str:
    stopped = objective.status is StageStatus.STOPPED
    return _("The search was stopped before a proof") if stopped else _("Not proven best")
