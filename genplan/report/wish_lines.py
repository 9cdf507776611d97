"""What is wanted before the rest, beside a plan: with what stands against it where nothing of it is possible."""

from __future__ import annotations

from datetime import date

from genplan.case import Target
from genplan.coverage.tally import tally
from genplan.coverage.wishes_not_possible import wishes_not_possible
from genplan.evidence.log import Log
from genplan.report.names_and_words import Names, clean, long_date, wish_words
from genplan.text.wishes_not_possible import wish_not_possible_text


def wish_lines(names: Names, target: Target, today: date) -> tuple[str, ...]:
    """A line each. One that says nothing of what is not possible looks as if it were planned."""
    if not target.first:
        return ()
    count = tally(names.case, target, Log(), today)
    against = {n.place: n for n in wishes_not_possible(names.case, count, today)}
    lines = []
    for place, wish in enumerate(target.first):
        line = wish_words(names, wish, today, long_date)
        if found := against.get(place):
            line = f"{line}; {clean(wish_not_possible_text(names.case, found))}"
        lines.append(f"{line}.")
    return tuple(lines)
