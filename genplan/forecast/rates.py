"""How often probes are met, from the few that were run, as a distribution and not as one number.

A skill has a mean rate, and at each location a rate of its own around it: what a child does at home is not what it does
in class, and a criterion that asks for three places waits for the hardest of them. This is the beta-binomial model with
the locations as groups (A. Gelman and others, Bayesian Data Analysis, chapter 5, from memory): the mean m is Beta(2, 1)
from 0 to 1, a location's rate is Beta(k m, k (1 - m)), and its results are binomial. Beta(2, 1) is what one probe that
was met makes of knowing nothing: a skill is looked ahead for only once it was mastered, and of that much it tells. How
much is a choice of this program, no source; it was made on one set of simulated children and measured on another. How
far locations differ is not known either: the concentration k is one of `CONCENTRATIONS`, each as likely as the next
before anything was run (a choice of this program, no source).

The learner's other targets say something of the mean too, but less: their results are counted as worth `OTHERS_WORTH`
probes at most, as a power prior does (J. G. Ibrahim and M.-H. Chen, Statistical Science 15 (2000), 46-60, from memory).
The worth is a choice of this program, no source. `tests/benchmarks/calibration.py` measures whether the ranges hold.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from math import exp, lgamma, log
from random import Random
from statistics import fmean

from genplan.case import Case, Target
from genplan.case.targets import LOCATION
from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Log, Result, ResultKind

OTHERS_WORTH = 2.0
MASTERY_WORTH = (1.0, 0.0)
"""What it says of the mean that a skill was mastered: so many probes met, and not met."""
CONCENTRATIONS = (2.0, 5.0, 15.0, 60.0)
"""From locations that hardly tell anything of each other to such as are nearly alike."""
ALIKE = 1000.0
"""Of a single location, whose rate is the mean."""
MEANS = 20
"""So many equal parts of 0 to 1 in which the mean is looked for."""


@dataclass(frozen=True)
class CourseRates:
    """The rates of one simulated course: `mean` over the locations, and that of each; where none is named, the mean."""

    mean: float
    at: Mapping[str, float] = field(default_factory=dict)

    def of(self, location: str) -> float:
        return self.at.get(location, self.mean)


@dataclass(frozen=True)
class Rate:
    """Probes met and not met, the target's own and those of the learner's other targets; `places` has the own ones by
    location (met, not met), each that the target varies; `mastery` is what is thought before any was run, as probes
    met and not met. Maintenance probes are left out: they repeat what worked, and would say too much."""

    met: int
    not_met: int
    others_met: int = 0
    others_not_met: int = 0
    places: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    mastery: tuple[float, float] = (0.0, 0.0)

    @property
    def probes(self) -> int:
        return self.met + self.not_met

    @property
    def others(self) -> tuple[float, float]:
        """What the other targets are worth: met, not met."""
        probes = self.others_met + self.others_not_met
        worth = min(1.0, OTHERS_WORTH / probes) if probes else 0.0
        return worth * self.others_met, worth * self.others_not_met

    def draw(self, random: Random) -> CourseRates:
        """A mean and a concentration by how well they go with what was seen, and then each location's rate."""
        share = random.random() * self._weights[-1]
        mean, k = self._grid[min(bisect_left(self._weights, share), len(self._grid) - 1)]
        mean += (random.random() - 0.5) / MEANS
        mean = min(max(mean, 0.001), 0.999)
        at = {
            place: random.betavariate(k * mean + met, k * (1 - mean) + not_met)
            for place, (met, not_met) in self._groups.items()
        }
        return CourseRates(fmean(at.values()), at)

    @property
    def _groups(self) -> Mapping[str, tuple[int, int]]:
        return self.places or {"": (self.met, self.not_met)}

    @cached_property
    def _grid(self) -> list[tuple[float, float]]:
        concentrations = CONCENTRATIONS if len(self._groups) > 1 else (ALIKE,)
        return [((i + 0.5) / MEANS, k) for i in range(MEANS) for k in concentrations]

    @cached_property
    def _weights(self) -> list[float]:
        """Of the grid's points one after the other, summed up."""
        found = [self._log_weight(mean, k) for mean, k in self._grid]
        most = max(found)
        return list(accumulate(exp(one - most) for one in found))

    def _log_weight(self, mean: float, k: float) -> float:
        met, not_met = (of_others + own for of_others, own in zip(self.others, self.mastery, strict=True))
        groups = (
            _log_beta(k * mean + yes, k * (1 - mean) + no) - _log_beta(k * mean, k * (1 - mean))
            for yes, no in self._groups.values()
        )
        return met * log(mean) + not_met * log(1 - mean) + sum(groups)


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)


@dataclass(frozen=True)
class Known:
    """A rate that is known, the same everywhere or by location, to ask what would happen with it."""

    rate: float
    at: Mapping[str, float] = field(default_factory=dict)

    def draw(self, random: Random) -> CourseRates:
        return CourseRates(self.rate, self.at)


def rate_of(case: Case, target: Target, log: Log) -> Rate:
    """What the log says of the target's probes, and of those of the learner's other targets."""
    own = [(target.value(r.combination, LOCATION), r.meets(target.pass_mark)) for r in _probes(target, log)]
    others = [
        r.meets(t.pass_mark)
        for t in case.targets_of(target.learner)
        if t.id != target.id
        for r in _probes(t, log)
    ]
    places = target.values_of(LOCATION)
    by_place = {p: _counts(met for at, met in own if at == p) for p in (*places, *(at for at, _ in own))}
    return Rate(*_counts(met for _, met in own), *_counts(others), by_place, MASTERY_WORTH)


def _probes(target: Target, log: Log) -> list[Result]:
    tests = effective_tests(log.of_target(target.id))
    return [r for r in tests if r.kind is ResultKind.PROBE and not r.planned]


def _counts(met: Iterable[bool]) -> tuple[int, int]:
    results = list(met)
    return sum(results), len(results) - sum(results)
