"""Where it breaks: which value of a dimension goes with probes that are not met.

First what was taught is held against all else (`where_taught`), since a skill may simply work only where it was taught.
Then values are looked at among what was not taught, and each combination counts once, by its first probe: what was
taught, or was met and is repeated, would otherwise make every value look weak that is not in it. The unit is the probe,
met or not met, since trials of one probe hang together. Each value is held against all other values of its dimension,
target by target, so that a hard target does not speak for a place at which it is often probed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from genplan.case import Target
from genplan.evidence.exact_tests import Table2x2, exact_test, holm
from genplan.evidence.log import Log
from genplan.evidence.where_taught import (
    NOTHING_PROBED,
    Outcomes,
    TaughtAndOthers,
    first_of_each,
    outcomes_by_teaching,
    taught_and_others,
)

LEVEL = Fraction(1, 20)
"""A look is a finding if its adjusted chance is not above this: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """One value held against the rest of its dimension; counts are of first probes of combinations that were not
    taught, in the targets that tell; where none does, in all targets that vary the dimension.

    met             probes with the value that were met
    probes          with the value
    met_without     probes without it that were met
    probes_without  without it
    targets         that tell; 0: nothing can be compared
    p_value         of so few met, or fewer, if the value made no difference (one-sided p-value)
    smallest_attainable  the smallest p-value that any outcome of these probes has
    adjusted        `p_value` after Holm's correction; None: no outcome could have been a finding
    """

    dimension: str
    value: str
    met: int
    probes: int
    met_without: int
    probes_without: int
    targets: int
    p_value: Fraction
    smallest_attainable: Fraction
    adjusted: Fraction | None = None

    @property
    def is_found(self) -> bool:
        return self.adjusted is not None and self.adjusted <= LEVEL


@dataclass(frozen=True)
class Breaks:
    """All looks over some targets, the likeliest weakness first. Of `probes` combinations that were not taught `met`
    were met at their first probe. `silent` are values that cannot be compared, `teaching` is what comes before all
    looks: what was taught against all else."""

    looks: tuple[Comparison, ...]
    met: int
    probes: int
    silent: tuple[Comparison, ...] = ()
    teaching: TaughtAndOthers = NOTHING_PROBED

    @property
    def found(self) -> tuple[Comparison, ...]:
        return tuple(look for look in self.looks if look.is_found)

    @property
    def can_tell(self) -> bool:
        """Whether the worst that these probes allow would be a finding for any value."""
        able = [look for look in self.looks if look.smallest_attainable <= LEVEL]
        return any(look.smallest_attainable * len(able) <= LEVEL for look in able)


_Seen = Sequence[tuple[Target, Outcomes]]


def where_it_breaks(targets: Iterable[Target], log: Log) -> Breaks:
    """Looks at every value of every dimension of these targets, as one family of looks.

    The chance that any look is a finding although no value makes a difference is at most `LEVEL`: exact
    tests, one-sided towards fewer met (`exact_test`), by Holm's correction (`holm`). Looks that no outcome could make a
    finding are not counted among the m of that correction: those of which the smallest chance that their margins allow
    is above `LEVEL`. R. E. Tarone (Biometrics 46, 1990; from memory) leaves out more: with the smallest k for which no
    more than k looks can reach LEVEL/k, all that cannot reach that. Raises nothing; without probes there is no look."""
    some = tuple(targets)
    outcomes = [(t, first_of_each(outcomes_by_teaching(t, log)[1])) for t in some]
    looks = [_look(dimension, value, outcomes) for dimension, value in _values(outcomes)]
    seen = [met for _, of_target in outcomes for _, met in of_target]
    return Breaks(
        tuple(sorted(_adjusted([look for look in looks if look.targets]), key=_likeliest_first)),
        sum(seen),
        len(seen),
        tuple(look for look in looks if not look.targets),
        taught_and_others(some, log),
    )


def _likeliest_first(look: Comparison) -> tuple[Fraction, Fraction, str, str]:
    last = Fraction(2)
    return last if look.adjusted is None else look.adjusted, look.p_value, look.dimension, look.value


def _values(outcomes: _Seen) -> list[tuple[str, str]]:
    """Each (dimension, value) that some probe holds, sorted within the order of the dimensions."""
    seen: dict[str, set[str]] = defaultdict(set)
    for target, of_target in outcomes:
        for combination, _ in of_target:
            for name, value in zip(target.dimension_names, combination, strict=True):
                seen[name].add(value)
    return [(name, value) for name, values in seen.items() for value in sorted(values)]


def _look(dimension: str, value: str, outcomes: _Seen) -> Comparison:
    """A target tells if it has probes on both sides and with both outcomes."""
    tables = [
        _fields(target, dimension, value, of_target)
        for target, of_target in outcomes
        if dimension in target.dimension_names
    ]
    telling = [table for table in tables if table.informative]
    counted, test = telling or tables, exact_test(telling)
    return Comparison(
        dimension=dimension,
        value=value,
        met=sum(s.met for s in counted),
        probes=sum(s.probes for s in counted),
        met_without=sum(s.met_without for s in counted),
        probes_without=sum(s.probes_without for s in counted),
        targets=len(telling),
        p_value=test.fewer,
        smallest_attainable=test.smallest_attainable,
    )


def _fields(target: Target, dimension: str, value: str, outcomes: Outcomes) -> Table2x2:
    at = target.dimension_names.index(dimension)
    with_it = [met for combination, met in outcomes if combination[at] == value]
    without = [met for combination, met in outcomes if combination[at] != value]
    met, met_without = sum(with_it), sum(without)
    return Table2x2(met, len(with_it) - met, met_without, len(without) - met_without)


def _adjusted(looks: Sequence[Comparison]) -> list[Comparison]:
    able = [look for look in looks if look.smallest_attainable <= LEVEL]
    adjusted = holm([look.p_value for look in able])
    return [replace(look, adjusted=a) for look, a in zip(able, adjusted, strict=True)] + [
        look for look in looks if look.smallest_attainable > LEVEL
    ]
