"""How good a plan is, a sentence for each objective that a person is told of."""

from __future__ import annotations

from math import ceil, isfinite

from genplan.case import Case
from genplan.language import _
from genplan.language.numbers import number_words
from genplan.language.sentences import capital
from genplan.plan import Objective, Plan, StageStatus
from genplan.text.objectives import objective_words
from genplan.text.tuple_words import common_words

TOLD_OBJECTIVES = (
    "due",
    "dated",
    "people told",
    "otherwise",
    "teaching",
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
    __, tuples = common_words(case.mastered)
    by_term, before = plan.turns is not None, plan.before.weeks
    return tuple(
        objective_sentence(o, tuples, by_term=by_term, weeks_before=before) for o in told_objectives(plan)
    )


def objective_sentence(
    objective: Objective, tuples: str = "", *, by_term: bool = False, weeks_before: int = 0
) -> str:
    """What a stage looked for, what it found and what is proven of it. A percentage is rounded up. `by_term`: the week
    follows a term; `weeks_before`: as far as fairness looks back."""
    words = objective_words(objective, tuples, by_term=by_term, weeks_before=weeks_before)
    label = capital(words)
    if objective.status is StageStatus.NOT_REACHED:
        return _("{label}: not looked at, because the search ended before it.", label=label)
    found = f"{label}: {number_words(objective.value)}"
    if objective.status is StageStatus.OPTIMAL or objective.shortfall == 0:
        return _("{found}, proven best.", found=found)
    if not isfinite(objective.bound) or (objective.sense == "fewest" and objective.bound <= 0):
        return _("{found}. Whether fewer would do is not proven.", found=found)
    if objective.sense == "fewest":
        return _(
            "{found}; it may be that {bound} would do. {ended}: no plan of this week gets below {bound}.",
            found=found,
            ended=_ended(objective),
            bound=number_words(objective.bound),
        )
    return _(
        "{found}, at most {percent} % short of the best possible."
        " {ended}: no plan of this week reaches more than {bound}.",
        found=found,
        percent=ceil(objective.shortfall * 100),
        ended=_ended(objective),
        bound=number_words(objective.bound),
    )


def _ended(objective: Objective) -> str:
    stopped = objective.status is StageStatus.STOPPED
    return _("The search was stopped before a proof") if stopped else _("Not proven best")
