"""The most of some things that can be had together, where what can be had together can be had without some of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

Thing = TypeVar("Thing")

MOST_TRIED = 2000
"""Sets that are tried; a week has few wishes that exclude each other, and few are enough to prove the most."""


def most_kept(
    things: Sequence[Thing], fit: Callable[[list[Thing]], bool], tried: int = MOST_TRIED
) -> tuple[list[Thing], bool]:
    """The most things that fit together, and whether that is proven; of as many the first in order.

    A branch in which a thing is taken comes before the one without it, so the first set of a size is the first in
    order; a branch that cannot hold more than what was found is left."""
    if fit(list(things)):
        return list(things), True
    best: list[Thing] = []
    left = tried

    def look(at: int, taken: list[Thing]) -> None:
        nonlocal best, left
        if len(taken) > len(best):
            best = taken
        if at == len(things) or len(taken) + len(things) - at <= len(best) or left <= 0:
            return
        left -= 1
        if fit([*taken, things[at]]):
            look(at + 1, [*taken, things[at]])
        look(at + 1, taken)

    look(0, [])
    return best, left > 0
