"""The things that the skills name. Each has an entry under which it is asked about, whichever skills name it."""

from __future__ import annotations

from genplan.language.typed import meant_by
from genplan.start.answers import MOST_ENTRIES, Answers, Entry, names_in

ASIDE = "things-aside"
"""The group of things that no skill names any more: what was said of one holds again once it is named again."""


def folded(name: str) -> str:
    """One thing, however it is written."""
    return " ".join(name.casefold().split())


def things_in(text: str) -> tuple[str, ...]:
    """The names that a skill gives, as they were typed; none for a word that says so."""
    names = tuple(name for part in names_in(text) if (name := " ".join(part.split())))
    return () if len(names) == 1 and meant_by(names[0]) in ("no", "nothing") else names


def with_things_named(answers: Answers) -> Answers:
    """With an entry for each thing that a skill names. If one is new, the questions about things are open again."""
    typed = [name for skill in answers.entries("skills") for name in things_in(skill.get("things"))]
    named = {folded(name): name for name in reversed(typed)}  # as it is written first
    wanted = list(dict.fromkeys(map(folded, typed)))[:MOST_ENTRIES]
    before = answers.entries("things")
    there = {folded(e.get("name")): e for e in (*answers.entries(ASIDE), *before)}
    every = answers.with_entries("things", [*there.values()])  # no key is given twice
    for name in wanted:
        if name not in there:
            there[name] = Entry(every.fresh_key("things", "m")).with_text("name", named[name])
            every = every.with_entry("things", there[name])
    things = [there[name].with_text("name", named[name]) for name in wanted]
    aside = [
        e
        for name, e in there.items()
        if name not in wanted and any(v for k, v in e.texts.items() if k != "name")
    ]
    if {e.key for e in things} - {e.key for e in before}:
        answers = answers.with_done("things", False)
    found = answers.with_entries("things", things)
    return found.with_entries(ASIDE, aside[-MOST_ENTRIES:]) if aside or answers.entries(ASIDE) else found
