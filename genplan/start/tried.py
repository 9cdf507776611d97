"""With whom, where and with what a skill will be tried out."""

from __future__ import annotations

from genplan.start.answers import Answers, Entry
from genplan.start.reading import value_of
from genplan.start.screens import group_of, question_of

LEARNED = {"helpers": "by", "places": "at"}


def tried(answers: Answers, skill: Entry, group: str) -> list[Entry]:
    """What was chosen or named, and with whom and where it was learned, which is always part of it. Raises
    InvalidValue."""
    asked = group_of("skills").question
    chosen = value_of(asked(group), skill, answers)
    if group in LEARNED:
        chosen = (value_of(asked(LEARNED[group]), skill, answers), *chosen)
    return [e for e in answers.entries(group) if e.key in chosen]


def possible(answers: Answers, skill: Entry) -> list[tuple[str, str, str]]:
    """The keys of helper, place and thing of each way in which the skill can be tried, whatever the hours; the thing is
    empty where none is needed. Raises InvalidValue."""

    def said(group: str, entry: Entry, question: str) -> tuple[str, ...]:
        found: tuple[str, ...] = value_of(question_of(group, question), entry, answers)
        return found

    child = answers.entry("children", value_of(group_of("skills").question("child"), skill, answers))
    if child is None:
        return []
    helpers = [h for h in tried(answers, skill, "helpers") if child.key in said("helpers", h, "children")]
    places = [(p.key, said("places", p, "helpers")) for p in tried(answers, skill, "places")]
    things = [(t.key, said("things", t, "kept_at")) for t in tried(answers, skill, "things")]
    if not things:
        things = [("", tuple(place for place, _goes in places))]
    return [
        (helper.key, place, thing)
        for helper in helpers
        for place, goes in places
        for thing, at in things
        if helper.key in goes and place in at
    ]
