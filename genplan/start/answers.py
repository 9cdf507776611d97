"""The answers so far, as one value. Every text is kept as it was typed, whether or not it can be understood."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from genplan.language import _

KEY = re.compile("[a-z][1-9][0-9]{0,2}")
MOST_ENTRIES = 60
"""Of one group: more is a job for a text editor."""
MOST_KEYS = 500
"""So many entries are taken of a form, whatever it sends; after the key of the last there is always one more."""
LONGEST = 2000
FORMAT = 2


class NoAnswers(ValueError):
    """The text holds no answers."""


@dataclass(frozen=True)
class Entry:
    """One child, one helper, one place: its key, which other entries name it by, and what was typed, by question."""

    key: str
    texts: Mapping[str, str] = field(default_factory=dict)

    def get(self, question: str) -> str:
        return self.texts.get(question, "")

    def with_text(self, question: str, text: str) -> Entry:
        """A letter that no file can hold, as half a sign typed on a terminal, becomes a question mark."""
        return replace(self, texts={**self.texts, question: text.encode("utf-8", "replace").decode("utf-8")})

    @property
    def is_empty(self) -> bool:
        return not any(self.texts.values())


@dataclass(frozen=True)
class Answers:
    """`groups` are the entries by group, `done` the screens that were answered and left. `today` tells how old
    everybody is, and is no answer; without it nobody's age is known."""

    groups: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    done: frozenset[str] = frozenset()
    today: date | None = field(default=None, compare=False)

    def entries(self, group: str) -> tuple[Entry, ...]:
        return self.groups.get(group, ())

    def one(self, group: str, question: str) -> str:
        """The answer of a group that is asked once."""
        return next((e.get(question) for e in self.entries(group)), "")

    def entry(self, group: str, key: str) -> Entry | None:
        return next((e for e in self.entries(group) if e.key == key), None)

    def with_entries(self, group: str, entries: Sequence[Entry]) -> Answers:
        return replace(self, groups={**self.groups, group: tuple(entries)})

    def with_entry(self, group: str, entry: Entry) -> Answers:
        """With this entry in the place of the one of its key, or at the end."""
        there = self.entries(group)
        if any(e.key == entry.key for e in there):
            return self.with_entries(group, [entry if e.key == entry.key else e for e in there])
        return self.with_entries(group, [*there, entry])

    def with_done(self, screen: str, done: bool = True) -> Answers:
        return replace(self, done=self.done | {screen} if done else self.done - {screen})

    def with_names_apart(self, group: str, letter: str) -> Answers:
        """With an entry for each of the names that were typed as a list; what else was said is said of the first. A
        list that is too long stays as it was typed, and is asked about."""
        found = self
        for entry in self.entries(group):
            first, *others = names_in(entry.get("name"))
            if len(others) + len(found.entries(group)) > MOST_ENTRIES:
                continue
            found = found.with_entry(group, entry.with_text("name", first))
            for name in others:
                fresh = Entry(found.fresh_key(group, letter)).with_text("name", name)
                found = found.with_entry(group, fresh)
        return found

    def with_said_of_all(
        self, group: str, key: str, question: str, but: Collection[str] = (), apart: Collection[str] = ()
    ) -> Answers:
        """What one entry says, said of all others that say nothing but those `apart`; `but`: what fits one alone."""
        one = self.entry(group, key)
        text = "\n".join(part for part in (one.get(question) if one else "").split("\n") if part not in but)
        there = (
            e if e.get(question) or e.key in apart else e.with_text(question, text)
            for e in self.entries(group)
        )
        return self.with_entries(group, [*there])

    def fresh_key(self, group: str, letter: str) -> str:
        """A key that no entry of the group has; one that was given up only where numbers come to an end."""
        numbers = {int(e.key[1:]) for e in self.entries(group)}
        following = max(numbers, default=0) + 1
        return f"{letter}{following if following < 1000 else min({*range(1, 1000)} - numbers)}"


def names_in(text: str) -> tuple[str, ...]:
    """`Mum, Dad` -> Mum and Dad; the text as it was typed where it holds one name. One that stands there twice comes
    twice, and is asked about: it may be two people."""
    names = tuple(name for part in re.split(r"[,;\n]", text) if (name := part.strip()))
    return names if len(names) > 1 else (text,)


def as_json(answers: Answers) -> str:
    groups = {g: [{"key": e.key, **dict(e.texts)} for e in entries] for g, entries in answers.groups.items()}
    document = {"format": FORMAT, "groups": groups, "done": sorted(answers.done)}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def from_json(text: str) -> Answers:
    """Raises NoAnswers for anything that `as_json` would not have written."""
    try:
        document = json.loads(text)
        json.dumps(document, ensure_ascii=False).encode("utf-8")  # an escaped half of a sign is none
        if not isinstance(document, dict) or document.get("format") != FORMAT:
            raise NoAnswers(_("it is of another version"))
        groups = {str(g): tuple(map(_entry, entries)) for g, entries in document["groups"].items()}
        return Answers(groups, frozenset(map(str, document["done"])))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as problem:
        raise NoAnswers(str(problem)) from None


def _entry(document: Any) -> Entry:
    texts = {str(k): v for k, v in document.items() if k != "key"}
    key = document["key"]
    if not KEY.fullmatch(key) or not all(isinstance(v, str) for v in texts.values()):
        raise NoAnswers(f"the entry {str(key)[:20]!r}")
    return Entry(key, texts)
