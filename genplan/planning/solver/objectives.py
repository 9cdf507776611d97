"""The objectives: `OBJECTIVES` has them all, each a short function in the module of its subject.

They are lexicographic, in the order of `plan.ObjectiveName`: a later one only chooses among the plans that are best for
all before it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from enum import StrEnum

from genplan.case.people import NEEDS_SCALE
from genplan.plan import ObjectiveName, in_order
from genplan.planning.problem import Problem
from genplan.planning.solver.again_objectives import not_again, too_late_to_catch_up
from genplan.planning.solver.comfort_objectives import (
    early_starts,
    fullest_days,
    largest_load,
    left_to_others,
    most_held,
    most_sittings_and_journeys,
    probes,
    sittings_and_journeys,
    waiting_days,
)
from genplan.planning.solver.coverage_objectives import (
    SHARE_SCALE,
    asked_tuples,
    changes_at_once,
    dated_tuples,
    due_probes,
    further_probes,
    new_tuples,
    smallest_share,
    teachings,
    weeks_waited,
    wished_tuples,
    worth,
)
from genplan.planning.solver.slots import Linear
from genplan.planning.solver.told_objectives import as_told, people_told, rather_held, sittings_otherwise
from genplan.planning.solver.variables import Variables

MOST, FEWEST = "most", "fewest"


class Block(StrEnum):
    """Objectives that are searched for together (`weighted`)."""

    PEOPLE = "what people asked for and were told"
    WEEK = "what the week shows"
    TEACHING = "what is taught"
    COST = "what it costs"
    COMFORT = "how it can be lived with"


BLOCK_EFFORTS = {
    Block.PEOPLE: 1.0,
    Block.WEEK: 0.2,
    Block.TEACHING: 1.0,
    Block.COST: 0.1,
    Block.COMFORT: 0.05,
}
"""The part of a stage's work that a block is worth, 0 to 1. Measured: what a week shows is seldom better with more, and
of what it costs, and of comfort, the proof alone takes longer. What is due in a block of its own took half as much work
again for the same."""


def _by_its_variables(v: Variables) -> int | None:
    return None


@dataclass(frozen=True)
class Goal:
    """One objective.

    - `name`: of which
    - `sense`: `MOST` or `FEWEST`
    - `expression`: makes a linear expression in whole numbers, or None where there is nothing to count
    - `block`: what it is searched for with (`block_at`); None for that of the objective before it
    - `at_most`: what a week holds of it at the most, where rules say less than the ranges of its variables
    - `scale`: the value that a person reads is the expression divided by it
    - `effort`: the part of a stage's work that it is worth by itself, where its block does not prove it, 0 to 1"""

    name: ObjectiveName
    sense: str
    expression: Callable[[Variables], Linear | None]
    block: Block | None
    _: KW_ONLY
    at_most: Callable[[Variables], int | None] = _by_its_variables
    scale: int = 1
    effort: float = 0.0

    @property
    def searched_in(self) -> Block:
        """The block that it is in where nothing comes before it."""
        return self.block or Block.WEEK


_GOALS = (
    Goal(ObjectiveName.ASKED, MOST, asked_tuples, Block.PEOPLE),
    Goal(ObjectiveName.RATHER, MOST, rather_held, Block.PEOPLE),
    Goal(ObjectiveName.DUE, MOST, due_probes, Block.WEEK, effort=1.0),
    Goal(ObjectiveName.DATED, MOST, dated_tuples, Block.WEEK, effort=1.0),
    Goal(ObjectiveName.TEACHING, MOST, teachings, Block.TEACHING, effort=1.0),
    Goal(ObjectiveName.WAITED, MOST, weeks_waited, Block.TEACHING, effort=1.0),
    Goal(ObjectiveName.WISHED, MOST, wished_tuples, Block.WEEK, effort=1.0),
    Goal(ObjectiveName.SHARES, MOST, smallest_share, Block.WEEK, scale=SHARE_SCALE, effort=1.0),
    Goal(ObjectiveName.NEW_TUPLES, MOST, new_tuples, Block.WEEK, scale=NEEDS_SCALE, effort=1.0),
    Goal(ObjectiveName.WORTH, MOST, worth, Block.WEEK, scale=NEEDS_SCALE, effort=1.0),
    Goal(ObjectiveName.CHANGES, FEWEST, changes_at_once, Block.WEEK),
    Goal(ObjectiveName.PEOPLE, FEWEST, people_told, Block.PEOPLE),
    Goal(ObjectiveName.OTHERWISE, FEWEST, sittings_otherwise, Block.PEOPLE),
    Goal(ObjectiveName.TOLD, MOST, as_told, None),
    Goal(ObjectiveName.FURTHER_PROBES, FEWEST, further_probes, Block.COST),
    Goal(ObjectiveName.FELL_THROUGH, FEWEST, not_again, Block.COST),
    Goal(
        ObjectiveName.SITTINGS, FEWEST, sittings_and_journeys, Block.COST, at_most=most_sittings_and_journeys
    ),
    Goal(ObjectiveName.PROBES, FEWEST, probes, Block.COST, at_most=most_held),
    Goal(ObjectiveName.CATCH_UP, FEWEST, too_late_to_catch_up, Block.COMFORT),
    Goal(ObjectiveName.LOADS, FEWEST, largest_load, Block.COMFORT),
    Goal(ObjectiveName.SPREAD, FEWEST, fullest_days, Block.COMFORT),
    Goal(ObjectiveName.WAITING, FEWEST, waiting_days, Block.COMFORT),
    Goal(ObjectiveName.EARLY, FEWEST, early_starts, Block.COMFORT),
    Goal(ObjectiveName.LEFT_TO_OTHERS, FEWEST, left_to_others, Block.COMFORT),
)
OBJECTIVES: Mapping[ObjectiveName, Goal] = {g.name: g for g in _GOALS}


def block_at(goals: Sequence[Goal]) -> list[Goal]:
    """The first of these goals, and those after it that are searched for with it. Teachings are searched for with what
    the week shows, but not with the share of the worst off: together the proof took twice the work of both apart. What
    a week costs is searched for with what it shows, too, as far as one sum has room for both, but not with teachings:
    the examples' family took 1.5 for 0.69 of the solver's work so."""
    first, *others = goals
    block = [first]
    for goal in others:
        if goal.block is Block.TEACHING:
            joins = all(g.name is not ObjectiveName.SHARES for g in block)
        else:
            taught = any(g.block is Block.TEACHING for g in block)
            at_its_cost = (first.searched_in, goal.block) == (Block.WEEK, Block.COST) and not taught
            joins = goal.block in (None, first.searched_in) or at_its_cost
        if not joins:
            break
        block.append(goal)
    return block


def goals_for(problem: Problem, names: Sequence[ObjectiveName]) -> list[Goal]:
    """The goals of these names. Raises ValueError where one is unknown, comes twice or out of order, or where the
    problem has nothing for it."""
    idle = {
        ObjectiveName.ASKED: not (problem.asked or problem.asked_teachings),
        ObjectiveName.PEOPLE: not (problem.told or problem.held_as_told),
        ObjectiveName.OTHERWISE: not problem.told,
        ObjectiveName.TOLD: not problem.told,
        ObjectiveName.RATHER: not problem.rather,
        ObjectiveName.WORTH: not problem.tolls,
        ObjectiveName.LEFT_TO_OTHERS: not problem.prices,
    }
    wrong = [n for n in names if n not in OBJECTIVES or idle.get(n) or list(names).count(n) > 1]
    first = problem.case.policy.teaching_first
    orders = (in_order(names, told_first=told, teaching_first=first) for told in (False, True))
    if not wrong and tuple(names) not in orders:
        raise ValueError(f"These objectives are out of order: {', '.join(names)}.")
    if wrong:
        raise ValueError(
            f"No search can be for {wrong[0]!r} here: the problem has nothing for it, or has it twice."
        )
    return [OBJECTIVES[n] for n in names]
