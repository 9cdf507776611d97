"""A model of CP-SAT as a mixed-integer program, constraint for constraint, and HiGHS at work on it.

A linear constraint stays a row. What holds only under literals is relaxed by as much as the variables' ranges need
(big M, the smallest that will do). Of two intervals that may overlap a boolean says which is first; where several
may lie over each other, as many as there is room for, booleans say which of them are going on when one begins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

FAR = 2**62
"""Beyond this a bound of CP-SAT says that there is none."""


@dataclass(frozen=True)
class Expr:
    """The sum of coefficient times column, and a constant."""

    terms: tuple[tuple[int, int], ...]
    constant: int = 0

    def __add__(self, other: Expr) -> Expr:
        return Expr(self.terms + other.terms, self.constant + other.constant)

    def __sub__(self, other: Expr) -> Expr:
        return self + other.times(-1)

    def times(self, factor: int) -> Expr:
        return Expr(tuple((c, factor * a) for c, a in self.terms), factor * self.constant)


@dataclass(frozen=True)
class Interval:
    start: Expr
    end: Expr
    held: tuple[Expr, ...]


@dataclass
class Mip:
    """Columns are whole numbers `low` to `high`, the first of them those of the CP-SAT model in their order; rows are
    `(least, terms, most)`. `objective` is to be as large as can be."""

    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    rows: list[tuple[float, dict[int, int], float]] = field(default_factory=list)
    objective: Expr = Expr(())

    def boolean(self) -> Expr:
        self.low.append(0)
        self.high.append(1)
        return Expr(((len(self.low) - 1, 1),))

    def range_of(self, expr: Expr) -> tuple[float, float]:
        ends = [sorted((a * self.low[c], a * self.high[c])) for c, a in expr.terms]
        return expr.constant + sum(e[0] for e in ends), expr.constant + sum(e[1] for e in ends)

    def between(self, expr: Expr, least: float, most: float, under: Sequence[Expr] = ()) -> None:
        """`least` <= expr <= `most`, if all literals in `under` are true."""
        low, high = self.range_of(expr)
        if not under and (least > low or most < high):
            self._row(least, expr, most)
        elif under:
            untrue = Expr((), len(under))
            for literal in under:
                untrue -= literal
            if least > low:
                self._row(least, expr + untrue.times(int(least - low)), FAR)
            if most < high:
                self._row(-FAR, expr - untrue.times(int(high - most)), most)

    def _row(self, least: float, expr: Expr, most: float) -> None:
        summed: dict[int, int] = {}
        for column, a in expr.terms:
            summed[column] = summed.get(column, 0) + a
        terms = {c: a for c, a in summed.items() if a}
        self.rows.append((_bound(least - expr.constant), terms, _bound(most - expr.constant)))


def _bound(value: float) -> float:
    return value if abs(value) < FAR / 2 else (float("inf") if value > 0 else float("-inf"))


def as_mip(proto: Any) -> Mip:
    """The same question. Raises ValueError for a kind of constraint that has no translation here."""
    mip = Mip()
    for variable in proto.variables:
        domain = list(variable.domain)
        if len(domain) != 2:
            raise ValueError("a variable with gaps has no translation here")
        mip.low.append(domain[0])
        mip.high.append(domain[1])
    constraints = list(proto.constraints)
    intervals = {i: _interval(ct) for i, ct in enumerate(constraints) if ct.has_interval()}
    for ct in constraints:
        _translate(mip, ct, intervals)
    objective = Expr(tuple(zip(list(proto.objective.vars), list(proto.objective.coeffs), strict=True)))
    mip.objective = objective.times(-1 if proto.objective.scaling_factor < 0 else 1)
    return mip


def _translate(mip: Mip, ct: Any, intervals: dict[int, Interval]) -> None:
    under = [_literal(i) for i in list(ct.enforcement_literal)]
    if ct.has_linear():
        domain = list(ct.linear.domain)
        if len(domain) != 2:
            raise ValueError("a linear constraint with gaps has no translation here")
        mip.between(_linear(ct.linear), domain[0], domain[1], under)
    elif ct.has_bool_or():
        mip.between(_sum(_literals(ct.bool_or)), 1, FAR, under)
    elif ct.has_bool_and():
        for literal in _literals(ct.bool_and):
            mip.between(literal, 1, 1, under)
    elif ct.has_lin_max():
        _most_of(mip, _linear(ct.lin_max.target), [_linear(e) for e in ct.lin_max.exprs])
    elif ct.has_interval():
        interval = ct.interval
        gap = _linear(interval.start) + _linear(interval.size) - _linear(interval.end)
        mip.between(gap, 0, 0, under)
    elif ct.has_no_overlap():
        _one_at_a_time(mip, [intervals[i] for i in list(ct.no_overlap.intervals)])
    elif ct.has_cumulative():
        _no_more_than(mip, ct.cumulative, intervals)
    else:
        raise ValueError(f"no translation here for: {ct}")


def _literal(index: int) -> Expr:
    return Expr(((index, 1),)) if index >= 0 else Expr(((-index - 1, -1),), 1)


def _literals(ct: Any) -> Iterator[Expr]:
    return (_literal(i) for i in list(ct.literals))


def _linear(expr: Any) -> Expr:
    constant = getattr(expr, "offset", 0)
    return Expr(tuple(zip(list(expr.vars), list(expr.coeffs), strict=True)), constant)


def _sum(exprs: Iterator[Expr]) -> Expr:
    total = Expr(())
    for expr in exprs:
        total += expr
    return total


def _interval(ct: Any) -> Interval:
    held = tuple(_literal(i) for i in list(ct.enforcement_literal))
    return Interval(_linear(ct.interval.start), _linear(ct.interval.end), held)


def _most_of(mip: Mip, target: Expr, exprs: Sequence[Expr]) -> None:
    """The target is the greatest of booleans: at least each, at most their sum."""
    if any(mip.range_of(e) not in ((0, 1), (0, 0), (1, 1)) for e in (target, *exprs)):
        raise ValueError("the greatest of what is no boolean has no translation here")
    for expr in exprs:
        mip.between(target - expr, 0, FAR)
    mip.between(_sum(iter(exprs)) - target, 0, FAR)


def _one_at_a_time(mip: Mip, intervals: Sequence[Interval]) -> None:
    for one, other in combinations(intervals, 2):
        if not _may_meet(mip, one, other):
            continue
        first = mip.boolean()
        second = Expr((), 1) - first
        under = (*one.held, *other.held)
        mip.between(other.start - one.end, 0, FAR, (*under, first))
        mip.between(one.start - other.end, 0, FAR, (*under, second))


def _may_meet(mip: Mip, one: Interval, other: Interval) -> bool:
    apart = (mip.range_of(other.start - one.end)[0], mip.range_of(one.start - other.end)[0])
    return max(apart) < 0


def _no_more_than(mip: Mip, cumulative: Any, intervals: dict[int, Interval]) -> None:
    """Where an interval begins, no more than the capacity less one others are going on: more can lie over each
    other nowhere if not where the last of them begins."""
    if any(list(d.vars) or d.offset != 1 for d in cumulative.demands) or list(cumulative.capacity.vars):
        raise ValueError("a demand other than 1 has no translation here")
    capacity = cumulative.capacity.offset
    users = [intervals[i] for i in list(cumulative.intervals)]
    if capacity == 1:
        _one_at_a_time(mip, users)
        return
    for one in users:
        others = [o for o in users if o is not one and _may_meet(mip, one, o)]
        if len(others) >= capacity:
            going_on = [_goes_on(mip, other, one) for other in others]
            mip.between(_sum(iter(going_on)), 0, capacity - 1, one.held)


def _goes_on(mip: Mip, other: Interval, one: Interval) -> Expr:
    """A boolean that is true at least if `other` is held and goes on where `one` begins."""
    before, after, on = mip.boolean(), mip.boolean(), mip.boolean()
    not_on = Expr((), 1) - on
    # if it is not on, it begins after that moment or has ended by then
    mip.between(other.start - one.start, 1, FAR, (*one.held, *other.held, before))
    mip.between(one.start - other.end, 0, FAR, (*one.held, *other.held, after))
    mip.between(before + after, 1, FAR, (not_on,))
    return on


@dataclass(frozen=True)
class ByHighs:
    """`values` of the CP-SAT model's variables, or None where no answer was found; `bound` of the objective."""

    values: tuple[int, ...] | None
    bound: float
    proven: bool
    seconds: float


def by_highs(mip: Mip, variables: int, seconds: float) -> ByHighs:
    """HiGHS with its own settings, but no gap, from the answer in which nothing is chosen."""
    import highspy
    import numpy as np

    highs = highspy.Highs()
    highs.silent()
    count = len(mip.low)
    columns = np.arange(count, dtype=np.int32)
    highs.addVars(count, np.array(mip.low, dtype=float), np.array(mip.high, dtype=float))
    highs.changeColsIntegrality(count, columns, np.ones(count, dtype=np.uint8))
    starts = np.cumsum([0, *(len(terms) for _, terms, _ in mip.rows)])[:-1].astype(np.int32)
    highs.addRows(
        len(mip.rows),
        np.array([r[0] for r in mip.rows], dtype=float),
        np.array([r[2] for r in mip.rows], dtype=float),
        sum(len(terms) for _, terms, _ in mip.rows),
        starts,
        np.array([c for _, terms, _ in mip.rows for c in terms], dtype=np.int32),
        np.array([a for _, terms, _ in mip.rows for a in terms.values()], dtype=float),
    )
    for column, weight in mip.objective.terms:
        highs.changeColCost(column, float(weight))
    highs.changeObjectiveSense(highspy.ObjSense.kMaximize)
    nothing = columns[:variables][np.array([h == 1 for h in mip.high[:variables]])]
    highs.setSolution(len(nothing), nothing, np.zeros(len(nothing)))
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("time_limit", seconds)
    highs.run()
    info, proven = highs.getInfo(), highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    values = tuple(round(x) for x in highs.getSolution().col_value[:variables]) if found else None
    bound = min(info.mip_dual_bound, mip.range_of(mip.objective)[1])
    return ByHighs(values, bound, proven, highs.getRunTime())
