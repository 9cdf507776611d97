"""How much time a run has: one value, begun once, from which every search, cut, design, observer and reason draws.

Work limits alone decide the plan; this is what ends a run that takes longer than somebody waits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from platform import node
from time import monotonic, time

from genplan.planning.interruption import last_interrupt
from genplan.planning.search_settings import SETTINGS

Clock = Callable[[], float]


@dataclass(frozen=True)
class Budget:
    """Over once `clock`, in seconds, says `deadline`, or `grace` seconds after the run was interrupted
    (`interruption`): a run's own budget has some, for a search that is cut off leaves work to do; a part that is to
    leave time for later has none. `since` is when the run began: an interrupt before that was none of this run.

    Python's monotonic clock is the same for all processes of a machine, so a budget can be handed to them; on another
    machine the same moment is found by the time of day, so the clocks of machines that plan together have to agree."""

    deadline: float = inf
    clock: Clock = monotonic
    since: float = inf
    grace: float = 0.0

    @classmethod
    def of(cls, seconds: float, clock: Clock = monotonic) -> Budget:
        now = clock()
        return cls(now + seconds, clock, now, SETTINGS.interrupted_seconds)

    @property
    def end(self) -> float:
        """The moment from which on it is over, as far as is known now."""
        struck = last_interrupt()
        return min(self.deadline, struck + self.grace) if struck >= self.since else self.deadline

    @property
    def left(self) -> float:
        """Seconds; none are left where this is 0 or less."""
        return self.end - self.clock()

    @property
    def is_cut_off(self) -> bool:
        """Whether it is over because of an interrupt, a clock that was not yet known when something was begun with what
        was left."""
        struck = last_interrupt()
        return struck >= self.since and self.clock() >= struck + self.grace

    @property
    def is_over(self) -> bool:
        return self.left <= 0

    def part(self, share: float) -> Budget:
        """A budget that ends when this share of what is left is used."""
        now, end = self.clock(), self.end
        return replace(self, deadline=now + share * (end - now)) if end < inf else self

    def of_one_of(self, number: int) -> Budget:
        """The budget of the first of so many things to come. It may take more than an even share, since most need
        little of theirs, but never so much that the next is left with nothing."""
        return self.part(
            1.0 if number <= 1 else min(SETTINGS.first_share_most, SETTINGS.times_an_even_share / number)
        )

    def keeping(self, share: float, most: float) -> Budget:
        """A budget that ends before this one, and at once when the run is interrupted: so that a share of what is left,
        or `most` seconds, is kept for later."""
        end = self.end
        if end == inf:
            return replace(self, grace=0.0)
        kept = min(most, share * max(0.0, end - self.clock()))
        return replace(self, deadline=end - kept, grace=0.0)

    def __reduce__(self) -> tuple[Callable[..., Budget], tuple[float, Clock, float, float, float, str]]:
        return _arrived, (self.deadline, self.clock, self.since, self.grace, time() - monotonic(), node())


def _arrived(
    deadline: float, clock: Clock, since: float, grace: float, day_began: float, machine: str
) -> Budget:
    if machine == node() or clock is not monotonic:
        return Budget(deadline, clock, since, grace)
    later = day_began - (time() - monotonic())
    return Budget(deadline + later, clock, since + later, grace)


ENDLESS = Budget()
