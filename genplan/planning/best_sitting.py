"""The most that one sitting can hold: an exact choice among what a learner is owed, one thing of each target.

What each choice is worth adds up over targets, in every objective; so the best for each amount of minutes, probes,
retests and teachings is built up target by target (dynamic programming), in the lexicographic order of the worth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from genplan.plan import ProbeKind
from genplan.planning.needs import Choice

Worth = tuple[float, ...]


@dataclass(frozen=True)
class Option:
    """Something that the sitting may hold: how long it takes, and what it adds, by objectives in their order."""

    choice: Choice
    minutes: int
    worth: Worth

    @property
    def takes(self) -> tuple[int, int, int, int]:
        """Of a `Room`."""
        kind = self.choice.kind
        return self.minutes, kind.is_probe, kind is ProbeKind.RETEST, not kind.is_probe


@dataclass(frozen=True)
class Room:
    """The most of each that there is room for; endless where nothing limits it."""

    minutes: float
    probes: float
    retests: float
    teachings: float

    def holds(self, taken: Sequence[float]) -> bool:
        most = (self.minutes, self.probes, self.retests, self.teachings)
        return all(t <= m for t, m in zip(taken, most, strict=True))


Used = tuple[int, int, int, int]
Filled = tuple[Worth, tuple[Option, ...]]


def best_options(of_targets: Mapping[str, Iterable[Option]], room: Room) -> tuple[Option, ...]:
    """The options, at most one of each target, that are worth most together; of equals those that take less. Empty
    where nothing fits."""
    best: dict[Used, Filled] = {(0, 0, 0, 0): ((), ())}
    for target in sorted(of_targets):
        options = _undominated(of_targets[target])
        for used, (worth, held) in list(best.items()):
            for option in options:
                mine = option.takes
                then = (used[0] + mine[0], used[1] + mine[1], used[2] + mine[2], used[3] + mine[3])
                if not room.holds(then):
                    continue
                more = _sum(worth, option.worth)
                if then not in best or more > best[then][0]:
                    best[then] = (more, (*held, option))
    filled = [best[used] for used in sorted(best) if best[used][1]]
    return max(filled, key=lambda one: one[0])[1] if filled else ()


def _undominated(options: Iterable[Option]) -> list[Option]:
    """For each amount that an option takes the one that is worth most, the first of equals."""
    best: dict[tuple[int, int, int, int], Option] = {}
    for option in options:
        there = best.get(option.takes)
        if there is None or option.worth > there.worth:
            best[option.takes] = option
    return list(best.values())


def _sum(one: Worth, other: Worth) -> Worth:
    return tuple(a + b for a, b in zip(one, other, strict=True)) if one else other
