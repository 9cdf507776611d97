"""What looks wrong of what a second person is said to have seen."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.evidence.log import Result


def about_the_second_person(result: Result) -> Iterator[tuple[str, ...]]:
    """Key, what was found, what was expected and perhaps a hint, for each thing that is odd in a row."""
    if (result.steps_kept or result.observer_marks) and not result.observer:
        yield "observer", "an empty cell", "who marked the steps or counted too"
    if result.is_watched_by_itself:
        found = f"'{result.observer}', who ran it"
        hint = "nobody else is taken to have counted; if somebody did, write who"
        yield "observer", found, "a second person, or an empty cell", hint
