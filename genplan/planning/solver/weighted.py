"""Objectives that come one after the other, as one weighted sum: a single search for all of them.

Let n_1, ..., n_k be the objectives in their order, each as a whole number from 0 (the best that its variables' ranges
allow) to R_i (the worst). With W_i = (R_{i+1} + 1) ... (R_k + 1) the sum of all W_i n_i is least for exactly the
answers that are lexicographically least: a step of n_i outweighs all that can follow. (Folklore of goal programming;
own derivation of what follows.) Of a proven bound B of the sum: what follows n_1 adds up to W_1 - 1 at the most, so
n_1 >= floor(B / W_1). If n_1 has that value, B - W_1 n_1 bounds the rest in the same way, given n_1; if not, nothing
is known of the rest but its range.

One search in place of several was measured to need a third of the work for the same proofs: each one presolves the
model and solves its relaxation anew, and finds again what the one before had to give up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd, prod

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model_helper import FlatIntExpr

from genplan.planning.solver.slots import Linear

MOST_SUM = 10**13
"""Up to here the solver's floating-point relaxation tells neighbouring sums apart with digits to spare."""


@dataclass(frozen=True)
class Term:
    """One objective: the sum of coefficient times variable (by its number in the model), plus `offset`.

    - `low`, `high`: what the variables' ranges allow, or the constraints
    - `step`: values differ by multiples of it
    - `most`: as much of it as can be, else as little"""

    coefficients: tuple[tuple[int, int], ...]
    offset: int
    low: int
    high: int
    step: int
    most: bool

    @property
    def worst(self) -> int:
        """R: the steps from the best of the range to the worst."""
        return (self.high - self.low) // self.step

    def steps(self, value: int) -> int:
        """n: the steps from the best of the range to a value."""
        return ((self.high - value) if self.most else (value - self.low)) // self.step

    def value(self, steps: int) -> int:
        return self.high - steps * self.step if self.most else self.low + steps * self.step

    def no_worse(self, model: cp_model.CpModel, value: int) -> None:
        """From now on no answer of the model is worse than this in the objective."""
        self._lies(model, *((value, self.high) if self.most else (self.low, value)))

    def no_better(self, model: cp_model.CpModel, value: int) -> None:
        """No answer is better than this: the search need not look for one."""
        self._lies(model, *((self.low, value) if self.most else (value, self.high)))

    def _lies(self, model: cp_model.CpModel, low: int, high: int) -> None:
        # written as it is kept: to make an expression of variables takes a hundred times as long
        linear = model.proto.constraints.add().linear
        linear.vars.extend([i for i, _ in self.coefficients])
        linear.coeffs.extend([a for _, a in self.coefficients])
        linear.domain.extend([low - self.offset, high - self.offset])

    def value_in(self, values: Sequence[int]) -> int:
        """The objective where the model's variables have these values."""
        return self.offset + sum(a * values[i] for i, a in self.coefficients)


def term_of(model: cp_model.CpModel, expression: Linear, *, most: bool, at_most: int | None = None) -> Term:
    """The objective of this expression. `at_most`: what the model's constraints let it come to, where that is known."""
    flat = FlatIntExpr(cp_model.LinearExpr.sum([expression]))
    coefficients = tuple((int(v.index), int(a)) for v, a in zip(flat.vars, flat.coeffs, strict=True))
    ends = []
    for index, a in coefficients:
        domain = model.proto.variables[index].domain
        ends.append(sorted((a * domain[0], a * domain[len(domain) - 1])))
    low, high = (int(flat.offset) + sum(e[i] for e in ends) for i in (0, 1))
    step = gcd(*(a for _, a in coefficients)) or 1
    if at_most is not None:
        high = min(high, low + max(0, at_most - low) // step * step)
    return Term(coefficients, int(flat.offset), low, high, step, most)


def fitting(terms: Sequence[Term]) -> int:
    """How many of the terms, from the first on, fit into one sum; at least one."""
    count = 1
    while count < len(terms) and prod(t.worst + 1 for t in terms[: count + 1]) <= MOST_SUM:
        count += 1
    return count


def weights(terms: Sequence[Term]) -> list[int]:
    """W of each term."""
    return [prod(t.worst + 1 for t in terms[i + 1 :]) for i in range(len(terms))]


def minimise(model: cp_model.CpModel, terms: Sequence[Term]) -> None:
    """Sets the weighted sum of the steps as the model's objective."""
    indices: dict[int, int] = {}
    for term, weight in zip(terms, weights(terms), strict=True):
        for index, a in term.coefficients:
            indices[index] = indices.get(index, 0) + (-a if term.most else a) // term.step * weight
    model.clear_objective()  # type: ignore[no-untyped-call]
    model.proto.objective.vars.extend(list(indices))
    model.proto.objective.coeffs.extend(list(indices.values()))
    model.proto.objective.scaling_factor = 1.0


def offset_of(terms: Sequence[Term]) -> int:
    """What the weighted sum of steps is more than the model's objective, which leaves all constants out."""
    total = 0
    for term, weight in zip(terms, weights(terms), strict=True):
        best = (term.high - term.offset) if term.most else (term.offset - term.low)
        total += weight * best // term.step
    return total


def digits(terms: Sequence[Term], total: int) -> list[int]:
    """The steps of each term where the weighted sum of all is `total`."""
    found = []
    for weight in weights(terms):
        steps, total = divmod(total, weight)
        found.append(steps)
    return found


def bounds(
    terms: Sequence[Term], steps: Sequence[int], least: int, proven: Sequence[int | None] = ()
) -> list[int]:
    """The fewest steps of each term that are proven, given the terms before it, where the sum of all is `least` at the
    least; 0 for those after one that has more. `proven` are fewest steps that are known of the first terms, each given
    that those before it have theirs."""
    found: list[int] = []
    known = list(proven)
    for weight, own in zip(weights(terms), steps, strict=True):
        before = known.pop(0) if known else None
        if before is None:
            known = []
        fewest = max(before or 0, min(own, least // weight))
        found.append(fewest)
        if own > fewest:
            break
        if own != before:
            known = []
        least -= weight * own
    return found + [0] * (len(terms) - len(found))
