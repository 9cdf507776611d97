"""Generalised or not: what a target's `generalised_when` asks for, what is shown of it and what is
missing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from genplan.case import Combination, Target
from genplan.coverage.tally import Tally
from genplan.evidence.standing import Standing, Status


@dataclass(frozen=True, kw_only=True)
class CriterionPart:
    """One dimension that the criterion speaks of; values are in the target's order.

    wanted    how many values must be met
    met       held by a combination whose latest probe was met
    tested    probed and not among these
    untried   the rest
    in_reach  how many values are met, or in a combination that is possible
    """

    dimension: str
    wanted: int
    met: tuple[str, ...]
    tested: tuple[str, ...]
    untried: tuple[str, ...]
    in_reach: int

    @property
    def missing(self) -> int:
        return max(0, self.wanted - len(self.met))


@dataclass(frozen=True)
class Criterion:
    """Without parts the case asks for nothing, and nothing is said of generalisation."""

    target: str
    parts: tuple[CriterionPart, ...]

    @property
    def is_set(self) -> bool:
        return bool(self.parts)

    @property
    def is_met(self) -> bool:
        return self.is_set and not any(p.missing for p in self.parts)

    @property
    def out_of_reach(self) -> tuple[CriterionPart, ...]:
        """Parts that no further probe can complete while the case stays as it is."""
        return tuple(p for p in self.parts if p.in_reach < p.wanted)


def criterion_of(count: Tally) -> Criterion:
    """What is shown of the criterion by the latest probe of each combination; a failure undoes what was
    met."""
    return criterion_from(count.target, count.standings, count.possible_combinations)


def criterion_from(
    target: Target, standings: Mapping[Combination, Standing], possible: Collection[Combination]
) -> Criterion:
    """The same from the standings of a matrix and the combinations in it that are possible."""
    wanted = [d.name for d in target.dimensions if target.generalised_when.get(d.name, 0) > 0]
    return Criterion(target.id, tuple(_part(target, standings, possible, name) for name in wanted))


def _part(
    target: Target,
    standings: Mapping[Combination, Standing],
    possible: Collection[Combination],
    dimension: str,
) -> CriterionPart:
    values = next(d.values for d in target.dimensions if d.name == dimension)
    at = target.dimension_names.index(dimension)

    def held(combinations: Iterable[tuple[str, ...]]) -> set[str]:
        return {c[at] for c in combinations}

    met = held(c for c, s in standings.items() if s.status is Status.MET)
    tested = held(c for c, s in standings.items() if s.tested) - met
    return CriterionPart(
        dimension=dimension,
        wanted=target.generalised_when[dimension],
        met=tuple(v for v in values if v in met),
        tested=tuple(v for v in values if v in tested),
        untried=tuple(v for v in values if v not in met | tested),
        in_reach=len(set(values) & (met | held(possible))),
    )
