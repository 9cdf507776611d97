"""With whom, where and with what a skill will be tried out."""

from __future__ import annotations

from genplan.start.answers import Answers, Entry
from genplan.start.reading import value_of
from genplan.start.screens import group_of

LEARNED = {"helpers": "by", "places": "at", "things": "with"}


def tried(answers: Answers, skill: Entry, group: str) -> list[Entry]:
    """What was chosen, and what it was learned with, which is always part of it. Raises InvalidValue."""
    there = answers.entries(group)
    if not there:
        return []
    asked = group_of("skills").question
    learned = value_of(asked(LEARNED[group]), skill, answers)
    chosen = (learned, *value_of(asked(group), skill, answers))
    return [e for e in there if e.key in chosen]
