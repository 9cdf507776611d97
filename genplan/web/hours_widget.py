"""Hours of the week in a form: seven lines, one a day, whatever groups of days the file uses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from genplan.case.week import DAY_NAMES
from genplan.casefile import time_texts
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.tree import Leaf, Node
from genplan.casefile.weekly_hours import NEVER, of_runs
from genplan.language import _
from genplan.language.dates import day_name
from genplan.start.hours_text import read_hours
from genplan.web.endpoints import Answers
from genplan.web.widgets import Options, Unshowable, items_of, text_of

Day = str
"""A day's windows as one text, such as `09:00-12:00, 14:00-16:00`."""


@dataclass(frozen=True)
class HoursInForm:
    shape: str = "hours"

    def show(self, node: Node | None, options: Options) -> Any:
        days = days_of(node)
        if isinstance(node, dict) and node and not any(days):  # seven empty ones are open all day
            days = [_("closed")] * len(days)
        return list(zip(DAY_NAMES, map(day_name, range(7)), days, strict=True))

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        typed = [answers.one(f"{name}.{day}").strip() for day in DAY_NAMES]
        wanted = [tidy(_as_meant(day, text)) for day, text in zip(DAY_NAMES, typed, strict=True)]
        if all(typed) and not any(wanted):
            return dict(NEVER)
        return hours_node(before if isinstance(before, dict) else {}, wanted)


def days_of(node: Node | None) -> list[Day]:
    """The seven days of what the file says. Raises Unshowable."""
    found: list[list[str]] = [[] for _ in DAY_NAMES]
    if node is None or (isinstance(node, Leaf) and node.is_empty):
        return [""] * len(found)
    if not isinstance(node, dict):
        raise Unshowable
    for key, value in node.items():
        for number in _numbers(key):
            found[number] += [text_of(item) for item in items_of(value)]
    return [tidy(", ".join(parts)) for parts in found]


def _as_meant(day: str, typed: str) -> str:
    """`3-5pm` as the file writes it; what is not clear stays as it was typed, to be told of."""
    try:
        windows = read_hours(f"{day} {typed}")[DAY_NAMES.index(day)] if typed else ()
    except InvalidValue:
        return typed
    return time_texts.windows_text(windows)


def tidy(text: str) -> Day:
    """Windows in order, those that touch as one; what is no window stays as it was typed, to be told of."""
    if not text.strip():
        return ""
    try:
        return time_texts.windows_text(time_texts.windows([text]))
    except InvalidValue:
        return " ".join(text.split())


def hours_node(before: dict[str, Node], wanted: list[Day]) -> Node | None:
    """What to write: entries of the file that are still right stay, the other days follow in runs of equal
    days."""
    kept: dict[str, Node] = {}
    covered: set[int] = set()
    for key, value in before.items():
        numbers, own = _numbers(key), tidy(", ".join(text_of(i) for i in items_of(value)))
        if own and not covered & set(numbers) and all(wanted[n] == own for n in numbers):
            kept[key] = value
            covered.update(numbers)
    kept |= of_runs(wanted, covered)
    return kept or None


def _numbers(key: str) -> tuple[int, ...]:
    try:
        return time_texts.day_numbers(key)
    except InvalidValue:
        raise Unshowable from None
