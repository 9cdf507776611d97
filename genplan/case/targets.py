"""Targets: one skill of one learner, the dimensions that are varied, and what counts as met."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from functools import cached_property
from itertools import product
from operator import contains

from genplan.language import N_

ADULT, LOCATION, MATERIAL_SET = "adult", "location", "material_set"
BASE_DIMENSIONS = (ADULT, LOCATION, MATERIAL_SET)

STRENGTHS: Mapping[str, int | None] = {"each-value": 1, "pairs": 2, "triples": 3, "all": None}
"""`cover` -> strength t; None is as many as the target has dimensions."""

Combination = tuple[str, ...]
"""One value of each dimension, in the order of `Target.dimensions`."""

Pattern = Mapping[str, str]
"""Some dimensions and a value for each, as in `never`, `first` and `taught`."""


class TargetState(StrEnum):
    TEACHING = N_("teaching")
    MASTERED = N_("mastered")
    PAUSED = N_("paused")


class Teach(StrEnum):
    """Which of the combinations that were not met are taught: each, or the fewest that hold all that only failed."""

    EACH = "each"
    FEWEST = "fewest"


class _Places(dict[str, int]):
    def __missing__(self, name: str) -> int:
        raise ValueError(f"'{name}' is not in {tuple(self)}")


@dataclass(frozen=True)
class PassMark:
    """`correct` of `trials`, such as 4/5. A probe of another length is held against the same fraction."""

    correct: int
    trials: int

    def is_met_by(self, correct: int, trials: int) -> bool:
        """In whole numbers, so that no rounding decides. Raises ValueError for trials < 1."""
        if trials < 1:
            raise ValueError("a probe without trials shows nothing")
        return correct * self.trials >= self.correct * trials

    def needed(self, trials: int) -> int:
        """The fewest correct responses of so many trials that meet the mark."""
        return -(-self.correct * trials // self.trials)

    def __str__(self) -> str:
        return f"{self.correct}/{self.trials}"


FOUR_OF_FIVE = PassMark(4, 5)


@dataclass(frozen=True)
class Dimension:
    """A thing that is varied, and the values it takes for one target, in the order the user gave (else by id)."""

    name: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Wish:
    """Combinations wanted before the rest: those that hold every value of `pattern`, best by the date `by`."""

    pattern: Pattern
    by: date | None = None


@dataclass(frozen=True, kw_only=True)
class Target:
    """One skill of one learner.

    learner           id
    dimensions        adult, location, material_set, then the extra ones of `also_vary` in their order
    correct_when      what counts as correct
    instruction       what the adult says, or does where it is not `spoken`
    spoken            whether the instruction is said
    state             only mastered ones are probed
    mastered_on       maintenance counts from here
    criterion         how mastery was judged; for readers
    taught            what teaching used
    cover             the strength, a key of `STRENGTHS`
    trials            of one probe
    pass_mark         a probe that reaches it is met
    minutes           length of one probe
    never             what must not be planned
    first             wanted before the rest
    generalised_when  dimension -> how many of its values must have been met
    generalised_with  values that must go together in something that is met, each of them
    generalised_untaught  only what was met in combinations without any teaching counts for these two
    maintenance_days  days after `mastered_on`, ascending
    how_taught        the practitioner's own words, printed as written
    hold_out          combinations to probe and never teach
    teach             which of what was not met is taught
    teaching_minutes  length of one teaching
    teachings_before_retest  teachings after a failure until the combination is probed again
    retest_after_days        days from the last of them until the retest may be run
    teaching_per_week        sessions a week while the state is teaching
    taught_when       a mark that a teaching has to reach to count; None: each counts
    criterion_days    days in a row on which the mastery criterion has to be met
    steps             how a probe is run, in the practitioner's own words
    """

    id: str
    learner: str
    name: str
    dimensions: tuple[Dimension, ...]
    correct_when: str = ""
    instruction: str = ""
    spoken: bool = True
    state: TargetState = TargetState.MASTERED
    mastered_on: date | None = None
    criterion: PassMark | None = None
    taught: tuple[Pattern, ...] = ()
    cover: str = "pairs"
    trials: int = 5
    pass_mark: PassMark = FOUR_OF_FIVE
    minutes: int = 5
    never: tuple[Pattern, ...] = ()
    first: tuple[Wish, ...] = ()
    generalised_when: Mapping[str, int] = field(default_factory=dict)
    generalised_with: tuple[Pattern, ...] = ()
    generalised_untaught: bool = False
    maintenance_days: tuple[int, ...] = ()
    how_taught: str = ""
    hold_out: tuple[Pattern, ...] = ()
    teach: Teach = Teach.EACH
    teaching_minutes: int = 10
    teachings_before_retest: int = 1
    retest_after_days: int = 0
    teaching_per_week: int = 0
    taught_when: PassMark | None = None
    criterion_days: int = 1
    steps: tuple[str, ...] = ()

    @cached_property
    def dimension_names(self) -> tuple[str, ...]:
        return tuple(d.name for d in self.dimensions)

    @cached_property
    def _at(self) -> Mapping[str, int]:
        """Where in a combination the value of each dimension stands."""
        return _Places((name, n) for n, name in enumerate(self.dimension_names))

    @cached_property
    def wholly_taught(self) -> frozenset[Combination]:
        """The combinations that `taught` names; a pattern that leaves out a dimension names none."""
        names = self.dimension_names
        return frozenset(tuple(p[n] for n in names) for p in self.taught if len(p) == len(names))

    @cached_property
    def partly_taught(self) -> tuple[Pattern, ...]:
        """Patterns of `taught` that leave out a dimension: what they name may have been any of its values."""
        return tuple(p for p in self.taught if len(p) < len(self.dimensions))

    @property
    def extra_dimensions(self) -> tuple[Dimension, ...]:
        return self.dimensions[len(BASE_DIMENSIONS) :]

    @cached_property
    def strength(self) -> int:
        """t, at most the number of dimensions."""
        t = STRENGTHS[self.cover]
        return len(self.dimensions) if t is None else min(t, len(self.dimensions))

    def combinations(self) -> tuple[Combination, ...]:
        """Every combination of the values, possible or not, in the order of the values."""
        return tuple(product(*(d.values for d in self.dimensions)))

    def holding(self, pattern: Pattern) -> tuple[Combination, ...]:
        """Those of them that hold every value of the pattern."""
        return tuple(
            product(*([v for v in d.values if pattern.get(d.name, v) == v] for d in self.dimensions))
        )

    def varies(self, combination: Combination) -> bool:
        """Whether it is one of `combinations`."""
        return all(map(contains, self._values, combination))

    @cached_property
    def _values(self) -> tuple[frozenset[str], ...]:
        return tuple(frozenset(d.values) for d in self.dimensions)

    def values_of(self, dimension: str) -> tuple[str, ...]:
        """The values that the target varies in one dimension; none of a dimension that it does not have."""
        at = self._at.get(dimension)
        return () if at is None else self.dimensions[at].values

    def value(self, combination: Combination, dimension: str) -> str:
        """The value of one dimension. Raises ValueError for a dimension that the target does not have."""
        return combination[self._at[dimension]]

    def is_held_out(self, combination: Combination) -> bool:
        """Whether it is to be probed and never taught."""
        return any(self.matches(combination, p) for p in self.hold_out)

    def is_taught_elsewhere(self, combination: Combination) -> bool:
        """Whether other combinations are taught for it where it failed, and not it itself."""
        return self.teach is Teach.FEWEST or self.is_held_out(combination)

    def matches(self, combination: Combination, pattern: Pattern) -> bool:
        """Whether the combination holds every value of the pattern."""
        at = self._at
        for name, value in pattern.items():  # noqa: SIM110 (asked for each row: `all` takes three times as long)
            if combination[at[name]] != value:
                return False
        return True
