"""The searches of a term as functions that any executor can run; the solver is loaded only in there."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.term.problem import Place, TermAnswer, TermProblem


def run_term(problem: TermProblem, budget: Budget = ENDLESS) -> TermAnswer:
    """Solves the problem of a term."""
    from genplan.planning.solver.term import solve_term

    return solve_term(problem, budget)


def run_term_checks(problem: TermProblem, budget: Budget = ENDLESS) -> Mapping[int, Place]:
    """The number of a check -> its place, of those that are due in the weeks of a term."""
    from genplan.planning.solver.term import places_of_checks

    return places_of_checks(problem, budget)


def run_term_bound(problem: TermProblem, budget: Budget = ENDLESS) -> int:
    """The most dates of a term, as far as that is proven."""
    from genplan.planning.solver.term import most_dates

    return most_dates(problem, budget)
