"""One question of the guided start on a terminal, asked until its answer is understood."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

from genplan.cli import output
from genplan.cli.start_prompts import (
    ALL,
    ANEW,
    BACK,
    CORRECTING,
    HELP,
    OR_ELSE,
    OUT,
    PICKED,
    STOP,
    Back,
    Choice,
    about,
    none_of_them,
    picked,
    picked_all,
    prompt,
    shown_of,
)
from genplan.language import _, said
from genplan.language.typed import meant_by
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_places import NONE_OF_THESE, SMALL
from genplan.start.problems import problem_of
from genplan.start.questions import NOBODY, Group, Kind, Options, Question
from genplan.start.reading import value_of, worded
from genplan.start.summary import allergies_words, hours_words, things_words


@dataclass
class Asking:
    """`ask` shows a question and gives back a line; it raises EOFError where no more come. `keep` is called with all
    answers after each of them."""

    answers: Answers
    ask: Callable[[str], str]
    keep: Callable[[Answers], None]
    today: date
    screen: str = field(default="", init=False)
    """What the screen that is asked about is for."""

    def _answer(self, group: Group, question: Question, entry: Entry) -> str:
        """Asked until it can be understood."""
        if question.under:
            output.show(question.under)
        if question.hint:
            output.show(f"  ({question.hint})")
        while True:
            text = self._typed(group, question, entry)
            tried = entry.with_text(question.key, text)
            if not (sentence := problem_of(question, tried, self.answers, self.today, group.key)):
                if question.kind is Kind.HOURS and text:
                    output.show(f"  {hours_words(value_of(question, tried, self.answers))}")
                if question.kind is Kind.ALLERGIES and text:
                    output.show(f"  {allergies_words(value_of(question, tried, self.answers))}")
                if question.kind is Kind.NAMES and text:
                    output.show(f"  {things_words(text)}")
                if question.kind in (Kind.ZONE, Kind.MONTH) and text:
                    output.show(f"  {value_of(question, tried, self.answers)}")
                return text
            output.show(sentence)
            if not text and group.several:
                output.show(_("Or type {or_else}.", or_else=said(OR_ELSE)))

    def _shown(self, group: Group, question: Question, entry: Entry) -> str:
        """What holds if nothing is typed; nothing where none of the ticks is no answer."""
        there = self._there(question, entry) or question.otherwise(self.answers, entry)
        if question.kind is Kind.TICKS and not there and self._is_refused(group, question, entry):
            return ""
        return shown_of(question, there, dict(self._choices(question, entry)))

    def _is_refused(self, group: Group, question: Question, entry: Entry) -> bool:
        """Whether it is no answer to leave it open."""
        left_open = entry.with_text(question.key, "")
        return bool(problem_of(question, left_open, self.answers, self.today, group.key))

    def _there(self, question: Question, entry: Entry) -> str:
        """What was typed; of ticks those that can still be set."""
        text = entry.get(question.key)
        if question.kind is not Kind.TICKS:
            return text
        return "\n".join(part for part in text.split("\n") if part in dict(self._choices(question, entry)))

    def _choices(self, question: Question, entry: Entry) -> Options:
        return question.choices(self.answers, entry) if question.kind in PICKED else ()

    def _typed(self, group: Group, question: Question, entry: Entry) -> str:
        choices = self._choices(question, entry)
        asked = prompt(worded(question.words, entry), choices, self._shown(group, question, entry))
        while typed := self._reply(asked, about(question, self.screen)):
            no_answer = word_of(typed) in ("yes", "no", "nothing")
            if question.key == "name" and no_answer:
                output.show(
                    _(
                        "'{typed}' is no name. 'out' takes this one out, 'back' asks what was before.",
                        typed=typed,
                    )
                )
                continue
            if (
                question.kind in (Kind.MONTH, Kind.DAY, Kind.LINE, Kind.LONG, Kind.NAMES)
                and no_answer
                and not question.needed
            ):
                return ""
            if question.kind not in PICKED:
                return typed
            if question.kind in (Kind.CHOICE, Kind.ONE_OF):
                if found := picked(typed, choices):
                    return found
                output.show(none_of_them(typed, choices))
                continue
            if typed.lower() in (ALL, said(ALL)) and question.kind is Kind.SOME_OF:
                return "\n".join(dict(choices)) if question.default or question.of_entry else ""
            if meant_by(typed) in ("no", "nothing"):
                if question.kind is Kind.SOME_OF:
                    return NOBODY
                if NONE_OF_THESE not in dict(choices):
                    return ""
                looked, small = (1 + [*dict(choices)].index(key) for key in (NONE_OF_THESE, SMALL))
                output.show(
                    _(
                        "If you have looked, type {number}. If you cannot look, type {small}.",
                        number=looked,
                        small=small,
                    )
                    if self._is_refused(group, question, entry)
                    else _(
                        "If you have looked, type {number}. If you do not know, press Enter alone.",
                        number=looked,
                    )
                )
                continue
            some, unknown = picked_all(typed, choices)
            if some:
                output.show(f"  {', '.join(dict(choices)[key] for key in some)}")
                return "\n".join(some)
            output.show(none_of_them(unknown, choices))
        there = self._there(question, entry)
        # what the machine says, or what stands first, may be another answer the next time
        return there or (
            question.otherwise(self.answers) if question.kind in (Kind.ZONE, Kind.ONE_OF) else ""
        )

    def _keep(self, answers: Answers) -> None:
        self.answers = answers
        self.keep(answers)

    def _reply(self, question: str, help_: str = "") -> str:
        """An answer about one thing. Raises Choice where 'again' or 'out' is typed instead."""
        typed = self._line(question, help_)
        if typed.lower() in (ANEW, OUT):
            raise Choice(typed.lower())
        return typed

    def _line(self, question: str, help_: str = "") -> str:
        """What was typed; of the words that are no answer the English one. Raises Back and EOFError for two of them."""
        while True:
            typed = self.ask(question).strip()
            meant = meant_by(typed)
            if meant == STOP:
                raise EOFError
            if meant == BACK:
                raise Back
            if meant != HELP:
                return str(meant) if meant in (ANEW, OUT) else typed
            output.show("\n".join(filter(None, (help_, said(CORRECTING)))))


def word_of(typed: str) -> str | None:
    """What a word means where a name is asked for: `n` is no, and `N` what somebody calls a child."""
    return None if len(typed) == 1 and typed.isupper() else meant_by(typed)
