"""Half-open stretches of minutes `[start, end)`, and hours that repeat every week.

`Windows` is always sorted, without overlaps and without touching neighbours: two windows that touch are one window.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from genplan.case.week import MINUTES_PER_DAY


class Window(NamedTuple):
    """Minutes `[start, end)`; never empty inside a `Windows`."""

    start: int
    end: int

    @property
    def length(self) -> int:
        return self.end - self.start


Windows = tuple[Window, ...]


def merge(parts: Iterable[tuple[int, int]]) -> Windows:
    """Any stretches, in any order -> Windows. Empty stretches are dropped."""
    merged: list[Window] = []
    for start, end in sorted((s, e) for s, e in parts if s < e):
        if merged and start <= merged[-1].end:
            merged[-1] = Window(merged[-1].start, max(merged[-1].end, end))
        else:
            merged.append(Window(start, end))
    return tuple(merged)


def intersect(left: Windows, right: Windows) -> Windows:
    """The minutes that lie in both."""
    common = []
    i = j = 0
    while i < len(left) and j < len(right):
        start, end = max(left[i].start, right[j].start), min(left[i].end, right[j].end)
        if start < end:
            common.append(Window(start, end))
        if left[i].end <= right[j].end:
            i += 1
        else:
            j += 1
    return tuple(common)


def subtract(windows: Windows, taken: Iterable[tuple[int, int]]) -> Windows:
    """The minutes of `windows` that lie in none of `taken`."""
    left = []
    blocks = merge(taken)
    for start, end in windows:
        for block in blocks:
            if block.end <= start or end <= block.start:
                continue
            if start < block.start:
                left.append(Window(start, block.start))
            start = block.end
        if start < end:
            left.append(Window(start, end))
    return tuple(left)


def holds(windows: Windows, start: int, end: int) -> bool:
    """Whether `[start, end)` lies whole inside one window."""
    return any(w.start <= start and end <= w.end for w in windows)


def touches(windows: Windows, start: int, end: int) -> bool:
    """Whether some minute of `[start, end)` lies in a window."""
    return any(start < w.end and w.start < end for w in windows)


@dataclass(frozen=True)
class WeeklyHours:
    """Hours that repeat: `days[0]` are Monday's windows in minutes of the day, 0 to 1440."""

    days: tuple[Windows, ...]

    @classmethod
    def always(cls) -> WeeklyHours:
        return cls(((Window(0, MINUTES_PER_DAY),),) * 7)

    @classmethod
    def never(cls) -> WeeklyHours:
        return cls(((),) * 7)

    def in_week(self) -> Windows:
        """The same hours as minutes of a week from Monday 00:00."""
        return merge(
            (start + day * MINUTES_PER_DAY, end + day * MINUTES_PER_DAY)
            for day, windows in enumerate(self.days)
            for start, end in windows
        )
