"""How much time a run has: one value, begun once, from which every search, cut, design, observer and reason draws.

Work limits alone decide the plan; this is what ends a run that takes longer than somebody waits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from platform import node
from time import monotonic, time

from genplan.planning.search_settings import SETTINGS

Clock = Callable[[], float]


@dataclass(frozen=True)
class Budget:
    """Over once `clock`, in seconds, says `deadline`. Python's monotonic clock is the same for all processes of a
    machine, so it can be handed to them; on another machine the same moment is found by the time of day, so the clocks
    of machines that plan together have to agree."""

    deadline: float = inf
    clock: Clock = monotonic

    @classmethod
    def of(cls, seconds: float, clock: Clock = monotonic) -> Budget:
        return cls(clock() + seconds, clock)

    @property
    def left(self) -> float:
        """Seconds; none are left where this is 0 or less."""
        return self.deadline - self.clock()

    @property
    def is_over(self) -> bool:
        return self.left <= 0

    def part(self, share: float) -> Budget:
        """A budget that ends when this share of what is left is used."""
        now = self.clock()
        return Budget(now + share * (self.deadline - now), self.clock) if self.deadline < inf else self

    def of_one_of(self, number: int) -> Budget:
        """The budget of the first of so many things to come. It may take more than an even share, since most need
        little of theirs, but never so much that the next is left with nothing."""
        return self.part(
            1.0 if number <= 1 else min(SETTINGS.first_share_most, SETTINGS.times_an_even_share / number)
        )

    def keeping(self, share: float, most: float) -> Budget:
        """A budget that ends before this one: so that a share of what is left, or `most` seconds, is kept for later."""
        if self.deadline == inf:
            return self
        return Budget(self.deadline - min(most, share * max(0.0, self.left)), self.clock)

    def __reduce__(self) -> tuple[Callable[..., Budget], tuple[float, Clock, float, str]]:
        return _arrived, (self.deadline, self.clock, time() + self.deadline - monotonic(), node())


def _arrived(deadline: float, clock: Clock, time_of_day: float, machine: str) -> Budget:
    if machine == node() or deadline == inf or clock is not monotonic:
        return Budget(deadline, clock)
    return Budget(monotonic() + time_of_day - time(), clock)


ENDLESS = Budget()
