"""How often probes are met, from the few that were run, as a distribution and not as one number.

A target's own probes count in full: the chance of meeting one has the posterior Beta(1 + met, 1 + not met), which is
the uniform prior of Bayes and Laplace updated by binomial results (A. Gelman and others, Bayesian Data Analysis,
chapter 2, from memory). The learner's other targets say something too, but less: their results are counted as worth
`OTHERS_WORTH` probes at most, as a power prior does (J. G. Ibrahim and M.-H. Chen, Statistical Science 15 (2000),
46-60, from memory). The worth is a choice of this program, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from random import Random

from genplan.case import Case, Target
from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Log, ResultKind

OTHERS_WORTH = 2.0


@dataclass(frozen=True)
class Rate:
    """Probes met and not met, the target's own and those of the learner's other targets. Maintenance probes are left
    out: they repeat what worked, and would say too much."""

    met: int
    not_met: int
    others_met: int = 0
    others_not_met: int = 0

    @property
    def probes(self) -> int:
        return self.met + self.not_met

    @property
    def parameters(self) -> tuple[float, float]:
        """Of the Beta distribution."""
        others = self.others_met + self.others_not_met
        worth = min(1.0, OTHERS_WORTH / others) if others else 0.0
        return 1 + self.met + worth * self.others_met, 1 + self.not_met + worth * self.others_not_met

    def draw(self, random: Random) -> float:
        return random.betavariate(*self.parameters)


@dataclass(frozen=True)
class Known:
    """A rate that is known, to ask what would happen with it."""

    rate: float

    def draw(self, random: Random) -> float:
        return self.rate


def rate_of(case: Case, target: Target, log: Log) -> Rate:
    """What the log says of the target's probes, and of those of the learner's other targets."""
    own = _met(target, log)
    others = [m for t in case.targets_of(target.learner) if t.id != target.id for m in _met(t, log)]
    return Rate(*_counts(own), *_counts(others))


def _met(target: Target, log: Log) -> list[bool]:
    return [
        target.pass_mark.is_met_by(r.correct or 0, r.trials or 1)
        for r in effective_tests(log.of_target(target.id))
        if r.kind is ResultKind.PROBE and not r.planned
    ]


def _counts(met: Iterable[bool]) -> tuple[int, int]:
    results = list(met)
    return sum(results), len(results) - sum(results)
