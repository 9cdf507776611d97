"""Several objectives as one weighted sum: the same order of answers as one after the other, and bounds that hold."""

from __future__ import annotations

from itertools import product

from hypothesis import assume, given
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from genplan.planning.solver.weighted import (
    MOST_SUM,
    Term,
    bounds,
    digits,
    fitting,
    minimise,
    offset_of,
    term_of,
    weights,
)

ROWS = st.lists(
    st.tuples(st.lists(st.integers(-6, 6), min_size=3, max_size=3), st.integers(-9, 9), st.booleans()),
    min_size=1,
    max_size=4,
)
DOMAINS = st.lists(st.tuples(st.integers(-3, 2), st.integers(0, 3)), min_size=3, max_size=3)


def _model(domains, rows) -> tuple[cp_model.CpModel, list[Term]]:
    model = cp_model.CpModel()
    variables = [model.new_int_var(low, low + more, "") for low, more in domains]
    terms = []
    for coefficients, offset, most in rows:
        expression = sum(a * x for a, x in zip(coefficients, variables, strict=True)) + offset
        terms.append(term_of(model, expression + 0 * variables[0], most=most))
    return model, terms


@given(DOMAINS, ROWS, st.integers(-4, 6))
def test_of_answers_that_a_constraint_leaves_the_smaller_ranges_order_all(domains, rows, most) -> None:
    answers = [a for a in _answers(domains) if sum(a) <= most]
    model, wide = _model(domains, rows)
    assume(answers)
    terms = [
        term_of(
            model,
            sum(c * model.get_int_var_from_proto_index(i) for i, c in t.coefficients) + t.offset,
            most=t.most,
            at_most=max(t.value_in(a) for a in answers),
        )
        for t in wide
    ]
    assert all(0 <= t.steps(t.value_in(a)) <= t.worst for a in answers for t in terms)
    assert sorted(answers, key=lambda a: _total(terms, a)) == sorted(answers, key=lambda a: _total(wide, a))


def _answers(domains):
    return product(*(range(low, low + more + 1) for low, more in domains))


def _total(terms, values) -> int:
    steps = [t.steps(t.value_in(values)) for t in terms]
    return sum(n * w for n, w in zip(steps, weights(terms), strict=True))


@given(DOMAINS, ROWS)
def test_the_sum_orders_all_answers_as_the_objectives_do_one_after_the_other(domains, rows) -> None:
    _, terms = _model(domains, rows)

    def one_after_the_other(values):
        return [(-1 if t.most else 1) * t.value_in(values) for t in terms]

    answers = list(_answers(domains))
    assert sorted(answers, key=lambda v: _total(terms, v)) == sorted(answers, key=one_after_the_other)


@given(DOMAINS, ROWS)
def test_steps_and_sums_are_read_back(domains, rows) -> None:
    _, terms = _model(domains, rows)
    for values in _answers(domains):
        steps = [t.steps(t.value_in(values)) for t in terms]
        assert all(0 <= n <= t.worst for n, t in zip(steps, terms, strict=True))
        assert [t.value(n) for n, t in zip(steps, terms, strict=True)] == [t.value_in(values) for t in terms]
        assert digits(terms, _total(terms, values)) == steps


@given(DOMAINS, ROWS)
def test_the_solvers_best_is_the_best_of_all(domains, rows) -> None:
    model, terms = _model(domains, rows)
    minimise(model, terms)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    least = min(_total(terms, values) for values in _answers(domains))
    assert round(solver.objective_value) + offset_of(terms) == least


@given(DOMAINS, ROWS, st.integers(0, 500))
def test_a_bound_of_the_sum_bounds_each_objective_given_those_before(domains, rows, less) -> None:
    """Whatever is proven of the sum: no answer that equals this one in all objectives before has fewer steps."""
    _, terms = _model(domains, rows)
    totals = {values: _total(terms, values) for values in _answers(domains)}
    bound = min(totals.values()) - less
    for values in totals:
        steps = [t.steps(t.value_in(values)) for t in terms]
        for i, fewest in enumerate(bounds(terms, steps, bound)):
            alike = [v for v in totals if [t.steps(t.value_in(v)) for t in terms[:i]] == steps[:i]]
            assert fewest <= min(terms[i].steps(terms[i].value_in(v)) for v in alike)


def test_a_bound_that_the_sum_reaches_proves_all() -> None:
    _, terms = _model([(0, 3)] * 3, [([1, 0, 0], 0, True), ([0, 2, 0], 5, False), ([0, 0, 3], 0, False)])
    steps = [2, 1, 3]
    total = sum(n * w for n, w in zip(steps, weights(terms), strict=True))
    assert bounds(terms, steps, total) == steps
    assert bounds(terms, steps, total - 1) == [2, 1, 2]
    assert bounds(terms, steps, 0) == [0, 0, 0]


def test_no_sum_is_too_large_for_the_solver() -> None:
    wide = Term(((0, 1),), 0, 0, 10**6 - 1, 1, most=False)
    assert fitting([wide] * 5) == 2
    assert (wide.worst + 1) ** 2 <= MOST_SUM < (wide.worst + 1) ** 3
    assert fitting([Term(((0, 1),), 0, 0, 10**15, 1, most=False)]) == 1
