"""Exact tests of tables of four fields, alone or in strata, and a correction for many looks: whole
numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import comb, prod


@dataclass(frozen=True)
class Table2x2:
    """One stratum: met and not met with a value, met and not met without it."""

    met: int
    not_met: int
    met_without: int
    not_met_without: int

    @property
    def probes(self) -> int:
        return self.met + self.not_met

    @property
    def probes_without(self) -> int:
        return self.met_without + self.not_met_without

    @property
    def informative(self) -> bool:
        """Whether the stratum adds anything: probes with and without the value, some met and some not."""
        met = self.met + self.met_without
        return bool(self.probes and self.probes_without and 0 < met < self.probes + self.probes_without)


@dataclass(frozen=True)
class ExactTest:
    """P-values, given all margins and no association.

    fewer                as few met with the value as seen, or fewer
    more                 as many, or more
    either               any sum that is no likelier than the one seen
    smallest_attainable  the smallest `fewer` that these margins allow
    """

    fewer: Fraction
    more: Fraction
    either: Fraction
    smallest_attainable: Fraction


def exact_test(strata: Iterable[Table2x2]) -> ExactTest:
    """The exact conditional test of Cochran, Mantel and Haenszel; with one stratum, Fisher's exact test.

    Of a stratum with n probes with the value, n' without it and m met in all, k met with the value come about in
    C(n, k) C(n', m - k) ways. The sum S over strata has the product of their generating functions as its ways, and
    P(S = s) = ways(s) / all ways. `either` is the sum of P(S = s) over all s with P(S = s) <= P(S = seen).
    A. Agresti, Categorical Data Analysis (1990), on exact conditional tests (from memory); R. A. Fisher, The
    Design of Experiments (1935), chapter 2 (from memory). Strata that are not informative add
    nothing; without any that is all four are 1. Raises nothing for counts of 0 or more."""
    telling = [s for s in strata if s.informative]
    ways = [_ways(s) for s in telling]
    weights = _multiplied([more for _, more in ways])
    seen = sum(s.met for s in telling) - sum(least for least, _ in ways)
    total = sum(weights)
    return ExactTest(
        Fraction(sum(weights[: seen + 1]), total),
        Fraction(sum(weights[seen:]), total),
        Fraction(sum(w for w in weights if w <= weights[seen]), total),
        Fraction(weights[0], total),
    )


def _ways(stratum: Table2x2) -> tuple[int, list[int]]:
    """The least number met with the value, and in how many ways this and each greater number come about."""
    one, other, met = stratum.probes, stratum.probes_without, stratum.met + stratum.met_without
    least = max(0, met - other)
    return least, [comb(one, k) * comb(other, met - k) for k in range(least, min(one, met) + 1)]


def _multiplied(functions: Sequence[Sequence[int]]) -> list[int]:
    """The coefficients of the product of these polynomials. Each is written as one number, with room for the greatest
    coefficient of all, so that the product of the numbers holds those of the product: Python multiplies long numbers in
    a tenth of the time of a loop over their parts."""
    room = prod(map(sum, functions)).bit_length() // 8 + 1
    product = prod(
        int.from_bytes(b"".join(c.to_bytes(room, "little") for c in f), "little") for f in functions
    )
    digits = product.to_bytes(room * (1 + sum(len(f) - 1 for f in functions)), "little")
    return [int.from_bytes(digits[at : at + room], "little") for at in range(0, len(digits), room)]


def holm(chances: Sequence[Fraction]) -> tuple[Fraction, ...]:
    """Each chance adjusted for all of them having been looked at, in the order given.

    Of m chances sorted upwards, p(1) <= ... <= p(m): adjusted(i) = the greatest of min(1, (m - j + 1) p(j)) for
    j <= i. S. Holm, Scand. J. Statist. 6 (1979), 65-70 (from memory): whoever calls those at or below a level a finding
    errs at all with at most that chance, however the looks hang together. Raises nothing; of none, none."""
    order = sorted(range(len(chances)), key=lambda i: (chances[i], i))
    adjusted = [Fraction(1)] * len(chances)
    highest = Fraction(0)
    for rank, i in enumerate(order):
        highest = max(highest, min(Fraction(1), chances[i] * (len(chances) - rank)))
        adjusted[i] = highest
    return tuple(adjusted)
