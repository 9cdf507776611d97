"""Numbers as the page has them, and its tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def learners_of(count: int) -> str:
    return "1 learner" if count == 1 else f"{count} learners"


def number(value: float | None) -> str:
    return "none" if value is None else f"{value:g}"


def percent(value: float | None) -> str:
    return "" if value is None else f"{value:.2f} %"


def seconds(value: float) -> str:
    return f"{value:.1f} s" if value < 100 else f"{value:.0f} s"


def memory(value: float | None) -> str:
    return "not known" if value is None else f"{value:.0f} MB"


def ratio(value: float, base: float | None) -> str:
    return f" ({value / base:.2g})" if base and value != base else ""


def markdown(head: Sequence[str], lines: Iterable[Sequence[str]]) -> str:
    rows = [head, ["---", *["---:"] * (len(head) - 1)], *lines]
    return "".join(f"| {' | '.join(row)} |\n" for row in rows)
