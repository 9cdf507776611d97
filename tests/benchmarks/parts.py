"""What the search is made of, each part with a way to plan without it: cuts, and operators of a caseload's search.

All runs in one process, so that what is taken out is out everywhere. A part that is not there is an error: the table is
to change with the search.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from functools import partial
from unittest.mock import patch

Without = Callable[[], AbstractContextManager[None]]


@dataclass(frozen=True)
class Part:
    """`words` name it on the page; inside `without` the planner plans without it."""

    words: str
    without: Without


@contextmanager
def without_dimension_cuts() -> Iterator[None]:
    from genplan.planning.solver import covering

    with patch.object(covering, "_by_dimensions", lambda *_: {}):
        yield


@contextmanager
def _without_day_capacities() -> Iterator[None]:
    from genplan.planning.solver import daily_capacity

    with patch.object(daily_capacity, "daily_capacities", lambda *_: {}):
        yield


@contextmanager
def _without_rule(name: str) -> Iterator[None]:
    """Rules that follow from others are cuts."""
    from genplan.planning.solver import daily_capacity, stages

    left = tuple(rule for rule in stages.RULES if rule.__name__ != name)
    if len(left) == len(stages.RULES):
        raise ValueError(f"there is no rule {name}")
    with patch.object(stages, "RULES", left), patch.object(daily_capacity, "RULES", left):
        yield


@contextmanager
def _without_operator(name: str) -> Iterator[None]:
    from genplan.planning import caseload

    left = tuple(operator for operator in caseload.OPERATORS if operator.name != name)
    if len(left) == len(caseload.OPERATORS):
        raise ValueError(f"there is no operator {name}")
    with patch.object(caseload, "OPERATORS", left):
        yield


CUTS: Mapping[str, Part] = {
    "dimensions": Part(
        "the cut: covered tuples and probes of each set of dimensions", without_dimension_cuts
    ),
    "days": Part("the cut: what a day of a learner holds", _without_day_capacities),
    "stretches": Part(
        "the cut: minutes of a stretch", partial(_without_rule, "stretches_hold_their_minutes")
    ),
}


def operators() -> Mapping[str, Part]:
    """The neighbourhoods of the search for a caseload. Each can be left out of the list."""
    from genplan.planning.search.operators import OPERATORS

    names = [operator.name for operator in OPERATORS]
    return {name: Part(f"the operator: {name}", partial(_without_operator, name)) for name in names}


def parts(learners: int) -> Mapping[str, Part]:
    """Those that a case of so many learners makes use of: one alone needs no operator."""
    return {**CUTS, **(operators() if learners > 1 else {})}
