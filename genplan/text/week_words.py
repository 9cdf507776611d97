"""What weeks are called: by their ISO code for whoever works with codes, in plain words by their days."""

from __future__ import annotations

from genplan.case.week import Week
from genplan.language import _, speech
from genplan.language.catalogues import Words
from genplan.language.dates import day_and_month, day_and_month_short, day_words


def in_codes() -> bool:
    return speech().words is Words.TRADE


def week_named(week: Week) -> str:
    """`2026-W49`, or `the week from 30 November`."""
    return str(week) if in_codes() else _("the week from {day}", day=day_and_month(week.monday))


def first_and_last(first: Week, last: Week) -> tuple[str, str]:
    """Two weeks between which something lies: `2026-W49`, `2026-W50`, or `30 November`, `13 December`."""
    if in_codes():
        return str(first), str(last)
    return day_and_month(first.monday), day_and_month(last.sunday)


def week_head(week: Week) -> str:
    """Above a column: `W49`, or `30 Nov`."""
    return f"W{week.number:02d}" if in_codes() else day_and_month_short(week.monday)


def week_end(week: Week) -> str:
    """`Sunday 27 December (2026-W52)`; in plain words without the code."""
    return f"{day_words(week.sunday)} ({week})" if in_codes() else day_words(week.sunday)
