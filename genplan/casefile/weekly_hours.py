"""Hours of the seven days as the file says them: runs of equal days, one line each."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from genplan.case.week import DAY_NAMES
from genplan.casefile.tree import Leaf, Node

NEVER: dict[str, Node] = {"daily": []}
"""Hours of a place that is never open: one of which nothing is said is open all day."""


def runs(days: Sequence[str], covered: Collection[int] = ()) -> list[tuple[int, int]]:
    """First and last of each run of days that say the same, without empty ones and those that are covered."""
    found: list[tuple[int, int]] = []
    for number, text in enumerate(days):
        if not text or number in covered:
            continue
        if found and found[-1][1] == number - 1 and days[number - 1] == text:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return found


def key_of(first: int, last: int) -> str:
    """How a file calls days in a row."""
    return DAY_NAMES[first] if first == last else f"{DAY_NAMES[first]}-{DAY_NAMES[last]}"


def of_runs(days: Sequence[str], covered: Collection[int] = ()) -> dict[str, Node]:
    """An entry for each run: `{mon-fri: "15:00-17:00"}`."""
    return {key_of(first, last): _windows(days[first]) for first, last in runs(days, covered)}


def _windows(text: str) -> Node:
    parts: list[Node] = [Leaf(part.strip(), False) for part in text.split(",")]
    return parts if len(parts) > 1 else parts[0]
