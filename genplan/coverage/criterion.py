"""Generalised or not: what a target's `generalised_when` asks for, what is met of it and what is missing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from genplan.case import Combination, Target
from genplan.coverage.tally import Tally
from genplan.evidence.standing import UNTESTED, Standing, Status
from genplan.evidence.where_taught import is_named_as_taught

Value = tuple[str, str]
"""A dimension and one of its values."""


@dataclass(frozen=True, kw_only=True)
class CriterionPart:
    """One dimension that the criterion counts; values are in the target's order.

    wanted    how many values must be met
    met       held by a combination whose latest probe was met; where the target says `untaught`, by one in which
              nothing was taught
    untaught  of these, held by a met combination in which nothing was taught
    taught_only  met, but not counted: only where something was taught
    tested    probed and not among these
    untried   the rest
    shut_out  of these, in no combination that is possible on the day
    in_reach  how many values are met, or in a combination that may still come to count
    """

    dimension: str
    wanted: int
    met: tuple[str, ...]
    untaught: tuple[str, ...]
    taught_only: tuple[str, ...]
    tested: tuple[str, ...]
    untried: tuple[str, ...]
    in_reach: int
    shut_out: tuple[str, ...] = ()

    @property
    def missing(self) -> int:
        return max(0, self.wanted - len(self.met))


@dataclass(frozen=True, kw_only=True)
class AskedFor:
    """Values that must go together in something that is met: what `with` names.

    met       a combination that counts holds them; `untaught`: one in which nothing was taught
    taught_only  met, but not counted: only where something was taught
    tested    probed, and neither
    lost_on   of these: the day of the failure that undid the last one that was met; None: never met
    in_reach  a combination that is met or may still come to count holds them
    """

    values: tuple[Value, ...]
    met: bool
    untaught: bool
    taught_only: bool
    tested: bool
    in_reach: bool
    lost_on: date | None = None


@dataclass(frozen=True)
class Criterion:
    """With neither parts nor anything asked for the case asks for nothing, and nothing is said of generalisation.
    `met_nowhere` are values that were tested, and are met in none of their combinations; `lost` are those of them that
    were met, each with the day of the failure that undid the last one. `failed` are the combinations whose latest test
    was not met, whatever was taught since: there may be some although the criterion is met."""

    target: str
    parts: tuple[CriterionPart, ...]
    asked: tuple[AskedFor, ...] = ()
    met_nowhere: tuple[Value, ...] = ()
    lost: Mapping[Value, date] = field(default_factory=dict)
    failed: tuple[Combination, ...] = ()

    @property
    def is_set(self) -> bool:
        return bool(self.parts or self.asked)

    @property
    def is_met(self) -> bool:
        return self.is_set and not any(p.missing for p in self.parts) and not self.not_met

    @property
    def not_met(self) -> tuple[AskedFor, ...]:
        """What is asked for and not met, what was tried first."""
        left = (a for a in self.asked if not a.met)
        return tuple(sorted(left, key=lambda a: not (a.tested or a.taught_only)))

    @property
    def out_of_reach(self) -> tuple[CriterionPart, ...]:
        """Parts that no further probe can complete while the case stays as it is."""
        return tuple(p for p in self.parts if p.in_reach < p.wanted)

    @property
    def asked_out_of_reach(self) -> tuple[AskedFor, ...]:
        return tuple(a for a in self.asked if not a.in_reach)

    @property
    def is_out_of_reach(self) -> bool:
        return bool(self.out_of_reach or self.asked_out_of_reach)


def criterion_of(count: Tally) -> Criterion:
    """What is shown of the criterion by the latest probe of each combination; a failure undoes what was
    met."""
    return criterion_from(
        count.target, count.standings, possible_some_day(count), count.possible_combinations
    )


def possible_some_day(count: Tally) -> tuple[Combination, ...]:
    """What no rule stands against but the child's age, which passes while the case stays as it is."""
    return (*count.possible_combinations, *count.once_older)


def criterion_from(
    target: Target,
    standings: Mapping[Combination, Standing],
    possible: Collection[Combination],
    on_the_day: Collection[Combination] | None = None,
) -> Criterion:
    """The same from the standings of a matrix and the combinations in it that are possible some day; `on_the_day` are
    those of them that are possible now, None: all."""
    wanted = [d.name for d in target.dimensions if target.generalised_when.get(d.name, 0) > 0]
    found = _Found(target, standings, possible)
    nowhere = _met_nowhere(found)
    return Criterion(
        target.id,
        tuple(_part(found, name, possible if on_the_day is None else on_the_day) for name in wanted),
        tuple(_asked(found, tuple(p.items())) for p in target.generalised_with),
        nowhere,
        {value: day for value in nowhere if (day := found.lost_on(dict([value])))},
        tuple(sorted(found.tested - found.met)),
    )


class _Found:
    """The combinations of a target by what they say of its criterion."""

    def __init__(
        self, target: Target, standings: Mapping[Combination, Standing], possible: Collection[Combination]
    ) -> None:
        self.target = target
        self.met = frozenset(c for c, s in standings.items() if s.status is Status.MET)
        self.untaught = frozenset(c for c in self.met if not standings[c].taught)
        self.tested = frozenset(c for c, s in standings.items() if s.tested)
        self.lost = {c: s.lost_on for c, s in standings.items() if s.lost_on}
        self.counting = self.untaught if target.generalised_untaught else self.met
        self.in_reach = self.counting.union(may_come_to_count(target, possible, standings))

    def lost_on(self, values: Mapping[str, str]) -> date | None:
        """When the last combination with these values was lost; None where none was."""
        return max((day for c, day in self.lost.items() if self.target.matches(c, values)), default=None)


def may_come_to_count(
    target: Target, possible: Collection[Combination], standings: Mapping[Combination, Standing]
) -> Collection[Combination]:
    """The possible combinations that can still come to be met in the way that the criterion counts: all, but where
    nothing taught counts."""
    if not target.generalised_untaught:
        return possible
    return [c for c in possible if _may_count_untaught(target, c, standings.get(c, UNTESTED))]


def _may_count_untaught(target: Target, combination: Combination, standing: Standing) -> bool:
    """One that failed cannot: it is probed again only once it was taught, if nothing is taught in its place."""
    if standing.taught or is_named_as_taught(target, combination):
        return False
    return standing.status is not Status.NOT_MET or target.is_taught_elsewhere(combination)


def _part(found: _Found, dimension: str, on_the_day: Collection[Combination]) -> CriterionPart:
    target = found.target
    values = target.values_of(dimension)
    at = target.dimension_names.index(dimension)

    def held(combinations: Iterable[Combination]) -> set[str]:
        return {c[at] for c in combinations}

    def ordered(some: set[str]) -> tuple[str, ...]:
        return tuple(v for v in values if v in some)

    met, taught_only = held(found.counting), held(found.met) - held(found.counting)
    tested = held(found.tested) - met - taught_only
    untried = set(values) - met - taught_only - tested
    return CriterionPart(
        dimension=dimension,
        wanted=target.generalised_when[dimension],
        met=ordered(met),
        untaught=ordered(held(found.untaught)),
        taught_only=ordered(taught_only),
        tested=ordered(tested),
        untried=ordered(untried),
        shut_out=ordered(untried - held(on_the_day)),
        in_reach=len(ordered(held(found.in_reach))),
    )


def _asked(found: _Found, values: tuple[Value, ...]) -> AskedFor:
    def held(combinations: Iterable[Combination]) -> bool:
        return any(found.target.matches(c, dict(values)) for c in combinations)

    met, ever = held(found.counting), held(found.met)
    return AskedFor(
        values=values,
        met=met,
        untaught=held(found.untaught),
        taught_only=ever and not met,
        tested=not ever and held(found.tested),
        lost_on=None if ever else found.lost_on(dict(values)),
        in_reach=held(found.in_reach),
    )


def _met_nowhere(found: _Found) -> tuple[Value, ...]:
    nowhere: list[Value] = []
    for at, dimension in enumerate(found.target.dimensions):
        left = {c[at] for c in found.tested} - {c[at] for c in found.met}
        nowhere += [(dimension.name, value) for value in dimension.values if value in left]
    return tuple(nowhere)
