"""What is said of answers that are missing, that mean nothing, or that nothing may come of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import Any
from unicodedata import category

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.lint import given_away_by, holds, whole_word
from genplan.casefile.small_words import to_be_looked_at
from genplan.language import _
from genplan.language.dates import date_words
from genplan.language.typed import meant_by
from genplan.start.allergies import named_and_not_chosen
from genplan.start.answers import MOST_ENTRIES, Answers, Entry, names_in
from genplan.start.hours_text import read_hours
from genplan.start.kept_from import at_risk, held_by_name, kept_from, not_answered, small_by_name
from genplan.start.questions import Group, Kind, Question, Screen
from genplan.start.reading import LONGEST_LINE, sentence_of, value_of, worded
from genplan.start.things_named import folded, things_in
from genplan.start.visit_lengths import too_short
from genplan.start.what_is_eaten import left_open

LISTED = frozenset({"children", "helpers", "places"})
"""Groups whose names may be typed as a list."""
UNSEEN = frozenset({"Cc", "Cf", "Mn", "Zs", "Zl", "Zp"})
"""Unicode's categories of signs that alone show nothing."""
OLDEST = 100
"""Years of whoever learns: what is more is a slip."""


@dataclass(frozen=True)
class Problem:
    """`question` is empty for what is wrong with the group as a whole."""

    group: str
    entry: str
    question: str
    sentence: str


def problems(screen: Screen, answers: Answers, today: date) -> tuple[Problem, ...]:
    """All that a screen's answers lack, in the order in which they were asked for."""
    return tuple(p for group in screen.asked(answers) for p in _of_group(group, answers, today))


def lacking(screen: Screen, answers: Answers, today: date) -> tuple[Problem, ...]:
    """The same before a case is made: what nobody went through is not answered, whatever would hold without."""
    found = problems(screen, answers, today)
    if found or screen.key in answers.done:
        return found
    return (Problem(screen.groups[0].key, "", "", _("This was not gone through yet.")),)


def _of_group(group: Group, answers: Answers, today: date) -> Iterator[Problem]:
    entries = answers.entries(group.key)
    if group.none and not entries:
        yield Problem(group.key, "", "", group.none)
    if len(entries) > MOST_ENTRIES:
        yield Problem(group.key, "", "", _too_many(len(entries)))
    for number, entry in enumerate(entries):
        for question in group.asked(answers):
            if sentence := problem_of(question, entry, answers, today, group.key):
                yield Problem(group.key, entry.key, question.key, sentence)
        if sentence := said_already(group, entry, entries[:number], answers):
            yield Problem(group.key, entry.key, "name", sentence)
    if group.key == "ways":
        yield from _of_ways(answers)


def _too_many(number: int) -> str:
    return _(
        "That is {number}, and at most {most} can be asked about here. All are kept; take some out to go on: they can "
        "be added later, in a table.",
        number=number,
        most=MOST_ENTRIES,
    )


def said_already(group: Group, entry: Entry, before: Sequence[Entry], answers: Answers) -> str:
    """What to say of a name that another entry of the group has, or of a helper who is called as a child is; nothing
    if nothing is odd. Two children may learn the same skill."""
    name, child = entry.get("name").strip(), entry.get("child")
    if not name:
        return ""
    if any((folded(e.get("name")), e.get("child")) == (folded(name), child) for e in before):
        return _two_called(name)
    if group.key == "helpers" and any(
        folded(e.get("name")) == folded(name) for e in answers.entries("children")
    ):
        return _(
            "{name} is the child's name, and this is about who helps. If somebody else has the same name, add a word.",
            name=name,
        )
    return ""


def _two_called(name: str) -> str:
    return _("Two are called {name}. Add a word to tell them apart.", name=name)


def left_out_of_all(group: Group, question: str, answers: Answers) -> tuple[Problem, ...]:
    """What is not said together with all others, since its own name speaks against it, or a child is at risk: each is
    asked for by itself."""
    return tuple(
        Problem(
            group.key,
            entry.key,
            question,
            not_answered(entry, answers, ())
            or _(
                "By its name {name} may have a small piece, a magnet or a battery, so it is left out of what holds for "
                "all. Look at it, and tick what you saw.",
                name=entry.get("name"),
            ),
        )
        for entry in answers.entries(group.key)
        if not entry.get(question) and (at_risk(answers) or to_be_looked_at(entry.get("name")))
    )


def problem_of(question: Question, entry: Entry, answers: Answers, today: date, group: str) -> str:
    """What is wrong with an answer, in a sentence; nothing if nothing is."""
    text = entry.get(question.key).strip()
    if not text and question.needed and not question.otherwise(answers, entry):
        return worded(question.needed, entry)
    if question.key == "name" and group in LISTED:  # else there is an entry for each name of the list
        number = len(names_in(text)) + sum(e.key != entry.key for e in answers.entries(group))
        if number > MOST_ENTRIES and len(names_in(text)) > 1:
            return _too_many(number)
    try:
        value = value_of(question, entry, answers)
    except InvalidValue as problem:
        return sentence_of(problem)
    if question.key == "name" and (odd := _no_name(text)):
        return f"{odd} {worded(question.needed, entry)}"
    if group == "skills" and question.kind in (Kind.LINE, Kind.LONG) and (named := _name_in(text, answers)):
        return named
    if question.key == "cautions":
        by_name = (small_by_name(entry, answers, value), held_by_name(entry, value))
        return not_answered(entry, answers, value) or " ".join(filter(None, by_name))
    if question.key == "holds":
        return named_and_not_chosen(entry, answers, value) or left_open(entry, answers, value)
    if question.key == "minutes" and value is not None:
        return too_short(group, entry, answers, value)
    if question.key == "by":
        return _not_with_the_child(entry, answers, value)
    if question.kind is Kind.NAMES:
        return _of_names(question, text, answers) or _not_for_the_child(entry, answers, today, value)
    return _not_yet(question, text, value, today)


def _of_names(question: Question, text: str, answers: Answers) -> str:
    """What to say of names that are typed as a list: of the first that is none, or that stands there twice."""
    names = things_in(text)
    for number, name in enumerate(names):
        if len(name) > LONGEST_LINE:
            return _(
                "'{begins}…' has {number} letters, and a name at most {most}. Put commas between several.",
                begins=name[:30],
                number=len(name),
                most=LONGEST_LINE,
            )
        if odd := _no_name(name):
            return f"{odd} {_('What is this thing called?')}"
        if folded(name) in map(folded, names[:number]):
            return _two_called(name)
    every = {folded(name) for e in answers.entries("skills") for name in things_in(e.get(question.key))}
    every |= {*map(folded, names)}
    return _too_many(len(every)) if len(every) > MOST_ENTRIES else ""


def _name_in(text: str, answers: Answers) -> str:
    """What to say of the name of a child in a text that others read, who know only what stands in their calendars;
    nothing where none is in it."""
    for child in answers.entries("children"):
        name = child.get("name").strip()
        alias = child.get("alias").strip() or f"{name[:1]}."
        for word in given_away_by(name):
            if holds(text, word) and not holds(alias, word):
                return _(
                    "'{name}' is the child's name. Others read this, and in their calendars stands only '{alias}': "
                    "write it without the name, such as '{without}'.",
                    name=word,
                    alias=alias,
                    without=alias.join(re.split(whole_word(word), text)),
                )
    return ""


def _no_name(text: str) -> str:
    """What to say of a name that was meant for another field, or for a list; nothing where it may be one."""
    if all(category(sign) in UNSEEN for sign in text):
        return _("Nothing of that can be seen.")
    if len(text) > 1 and meant_by(text) in ("yes", "no", "nothing"):
        return _("'{typed}' is no name.", typed=text)
    if re.fullmatch(r"[\W\d_]*\d[\W\d_]*", text) and not _are_hours(text):
        return _("'{typed}' is only a number: write a word with it.", typed=text)
    return _("'{typed}' looks like hours.", typed=text) if _are_hours(text) else ""


def _are_hours(text: str) -> bool:
    """`Mi 16-18`, `3-5pm`, `Fri 3-5`, `15:00`, with a day or without."""
    if not re.search(r"\d", text) or re.fullmatch(r"\d+", text):
        return False
    for typed in (text, f"{text}pm", f"{text}-23:59"):
        for days in ("", "mon "):
            with suppress(InvalidValue):
                return any(read_hours(days + typed))
    return False


def _child_of(skill: Entry, answers: Answers) -> Entry | None:
    key = skill.get("child") or next((e.key for e in answers.entries("children")), "")
    return answers.entry("children", key)


def _not_with_the_child(skill: Entry, answers: Answers, helper: str) -> str:
    """What to say of somebody with whom the skill was learned and who is said not to work with its child."""
    child, by = _child_of(skill, answers), answers.entry("helpers", helper)
    if child is None or by is None or not by.get("children") or child.key in by.get("children").split("\n"):
        return ""
    return _(
        "{helper} is not with {child}, as was said of those who help. Choose somebody else, or go back and "
        "correct it.",
        helper=by.get("name"),
        child=child.get("name"),
    )


def _not_for_the_child(skill: Entry, answers: Answers, today: date, named: Sequence[str]) -> str:
    """What to say of things that the child of the skill is kept from, once all of them were asked about."""
    child = _child_of(skill, answers)
    if child is None or "things" not in answers.done:
        return ""
    kept = []
    for thing in answers.entries("things"):
        if thing.key in named:
            try:
                why = kept_from(answers, child, thing, today)
            except InvalidValue:  # it is told where it was typed
                continue
            kept += [f"{thing.get('name')} ({why})"] if why else []
    if not kept:
        return ""
    return _(
        "{child} is kept from: {things}. Name something else for the skill, or correct what was said of it, if "
        "that is wrong.",
        child=child.get("name"),
        things="; ".join(kept),
    )


def _not_yet(question: Question, text: str, value: Any, today: date) -> str:
    """What to say of a day or a month that is still to come: all that are asked for are of the past."""
    if question.kind not in (Kind.DAY, Kind.MONTH) or not value:
        return ""
    if question.key == "born" and value < f"{today.year - OLDEST}":
        return _(
            "'{text}' is more than {years} years ago; expected a year and a month, such as 2020-04.",
            text=text,
            years=OLDEST,
        )
    if value <= today.isoformat():
        return ""
    if question.key == "since":
        return _(
            "'{text}' is still to come, today is {today}. Leave it empty, and say that the skill is still being "
            "learned, if it does not work yet.",
            text=text,
            today=date_words(today),
        )
    return _("'{text}' is still to come, today is {today}.", text=text, today=date_words(today))


def _of_ways(answers: Answers) -> Iterator[Problem]:
    seen: set[frozenset[str]] = set()
    for way in answers.entries("ways"):
        ends = frozenset((way.get("from"), way.get("to")))
        if len(ends) == 1:
            yield Problem("ways", way.key, "to", _("A way leads from one place to another: choose two."))
        elif ends in seen:
            yield Problem("ways", way.key, "to", _("This way stands there twice."))
        seen.add(ends)
