"""The guided start on a terminal: one question after the other, an empty answer for what is shown in brackets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date

from genplan.cli import output
from genplan.cli.start_prompts import (
    ALL,
    ANEW,
    BACK,
    CORRECTING,
    HELP,
    NOTHING,
    OR_ELSE,
    OUT,
    PICKED,
    STOP,
    Back,
    Choice,
    about,
    listed,
    none_of_them,
    picked,
    picked_all,
    prompt,
    shown_of,
)
from genplan.language import _, said
from genplan.language.sentences import capital
from genplan.language.typed import is_word, meant_by
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_places import NONE_OF_THESE
from genplan.start.first_week import remarks
from genplan.start.questions import Group, Kind, Options, Question, Screen
from genplan.start.reading import NOBODY, problem_of, problems, said_already, value_of, worded
from genplan.start.screens import SCREENS
from genplan.start.summary import allergies_words, hours_words, lines_of


@dataclass
class Walk:
    """`ask` shows a question and gives back a line; it raises EOFError where no more come. `keep` is called with all
    answers after each of them."""

    answers: Answers
    ask: Callable[[str], str]
    keep: Callable[[Answers], None]
    today: date
    screen: str = field(default="", init=False)
    """What the screen that is asked about is for."""

    def run(self) -> Answers:
        """Every screen that was not answered yet, then a look at all of it. Raises EOFError half-way, with what was
        answered kept."""
        self._all(at_end="")
        while (anew := self._to_change()) is not None:
            try:
                self._screen(anew)
            except Back:
                continue
            self._all(at_end="")
        return self.answers

    def _all(self, at_end: str) -> None:
        """`at_end` is the screen that is gone back to."""
        at = 0
        while at < len(SCREENS):
            screen = SCREENS[at]
            open_ = screen.key not in self.answers.done or bool(problems(screen, self.answers, self.today))
            try:
                if screen.asked(self.answers) and (open_ or at_end == screen.key):
                    self._screen(screen, at_end == screen.key)
                at += 1
            except Back:
                before = [n for n in range(at) if SCREENS[n].asked(self.answers)]
                if not before:
                    output.show(_("This is the first question."))
                    at_end = ""
                    continue
                at = before[-1]
                at_end = SCREENS[at].key
            else:
                at_end = ""

    def _screen(self, screen: Screen, at_end: bool = False) -> None:
        output.show(f"\n{screen.title}\n{screen.words}")
        self.screen = said(screen.words)
        groups, at = screen.asked(self.answers), 0
        if at_end:
            at = len(groups) - 1
        while at < len(groups):
            try:
                if groups[at].several:
                    self._several(groups[at], at_end)
                else:
                    self._once(groups[at], at_end)
                at, at_end = at + 1, False
            except Back:
                if not at:
                    raise
                at, at_end = at - 1, True
        for problem in (found := problems(screen, self.answers, self.today)):
            output.show(problem.sentence)
        if found:
            self._screen(screen)
            return
        self._keep(self.answers.with_done(screen.key))

    def _once(self, group: Group, at_end: bool) -> None:
        entry = next(iter(self.answers.entries(group.key)), None) or Entry(f"{group.letter}1")
        self._about(group, entry, group.asked(self.answers), at_end)

    def _several(self, group: Group, at_end: bool) -> None:
        """What is there already is gone through, then more is asked for until there is no answer."""
        for entry in () if at_end else self.answers.entries(group.key):
            self._one_more_look(group, entry)
        while True:
            try:
                entry_ = self._begun(group)
            except Back:
                self._revisit(group, len(self.answers.entries(group.key)) - 1)
                continue
            if entry_ is None:
                return
            try:
                self._about(group, entry_, group.asked(self.answers)[1:])
            except Back:
                number = [e.key for e in self.answers.entries(group.key)].index(entry_.key)
                self._revisit(group, number - 1)

    def _revisit(self, group: Group, number: int) -> None:
        """The last question about an entry that was answered already, or about the one before it."""
        while number >= 0:
            try:
                self._about(
                    group, self.answers.entries(group.key)[number], group.asked(self.answers), at_end=True
                )
                return
            except Back:
                number -= 1
        raise Back

    def _begun(self, group: Group) -> Entry | None:
        """A further entry with its first answer; None for no more."""
        while True:
            there = self.answers.entries(group.key)
            first = group.asked(self.answers)[0]
            text = self._pick_or_type(first, f"{group.another}?" if there else group.first, there)
            if text.lower() in (ANEW, OUT):
                output.show(_("'{text}' is for what was begun, and nothing is.", text=text))
                continue
            if _word(text) == "yes" and first.kind not in PICKED:
                output.show(_("Then type what it is called."))
                continue
            if not text or _word(text) in ("no", "nothing"):
                if there or not group.none:
                    return None
                output.show(group.none)
                continue
            entry = Entry(self.answers.fresh_key(group.key, group.letter)).with_text(first.key, text)
            wrong = problem_of(first, entry, self.answers, self.today, group.key)
            if sentence := wrong or said_already(group, entry, there, self.answers):
                output.show(sentence)
                continue
            return self._put(group, entry)

    def _pick_or_type(self, first: Question, words: str, there: Sequence[Entry]) -> str:
        """The answer that begins an entry; nothing ends the list."""
        ends = f" ({_('Enter alone if that is all')})" if there else ""
        if first.kind not in PICKED:
            return self._line(prompt(words + ends), about(first, self.screen))
        ends, choices = ends or f" ({_('Enter alone if not')})", first.choices(self.answers)
        while True:
            typed = self._line(f"{words}{listed(choices)}{ends}: ", about(first, self.screen))
            if not typed or typed.lower() in (ANEW, OUT) or meant_by(typed) in ("no", "nothing"):
                return typed
            if found := picked(typed, choices):
                return found
            output.show(none_of_them(typed))

    def _one_more_look(self, group: Group, entry: Entry) -> None:
        """An entry from before: what it lacks is asked for; one that is whole can be left, done anew or taken out."""
        name = entry.get("name") or capital(group.one)
        asked = group.asked(self.answers)
        open_ = [q for q in asked if problem_of(q, entry, self.answers, self.today, group.key)]
        missing = [q for q in asked if q.key not in entry.texts and not q.more]
        if open_ or missing:
            output.show(
                _(
                    "{name}: the questions that are left. At each of them, type {or_else}.",
                    name=name,
                    or_else=said(OR_ELSE),
                )
            )
            self._about(group, entry, [q for q in asked if q in open_ or q in missing])
            return
        words = _(
            "{name} is there. Enter alone leaves it so; else type {or_else}: ",
            name=name,
            or_else=said(OR_ELSE),
        )
        while typed := self._line(words).lower():
            if typed in (ANEW, OUT):
                self._chosen(group, entry, typed)
                return
            output.show(_("'{typed}' is neither of them.", typed=typed))

    def _about(self, group: Group, entry: Entry, questions: Sequence[Question], at_end: bool = False) -> None:
        """The questions about one thing, until all are answered or it is taken out."""
        asked = group.asked(self.answers)
        try:
            self._questions(group, entry, questions, at_end)
        except Choice as choice:
            self._chosen(group, self.answers.entry(group.key, entry.key) or entry, str(choice))
        except Back:
            if not group.several or asked[0] in questions:
                raise
            self._about(group, self.answers.entry(group.key, entry.key) or entry, asked)

    def _chosen(self, group: Group, entry: Entry, word: str) -> None:
        if word == OUT and group.several:
            left = [e for e in self.answers.entries(group.key) if e.key != entry.key]
            self._keep(self.answers.with_entries(group.key, left))
            output.show(_("Taken out: {name}.", name=entry.get("name") or group.one))
            return
        if word == OUT:
            output.show(_("There is nothing to take out here."))
        self._about(group, entry, group.asked(self.answers))

    def _questions(self, group: Group, entry: Entry, questions: Sequence[Question], at_end: bool) -> None:
        """The questions of one entry; those that can be left alone only if that is wanted."""
        more = [q for q in questions if q.can_wait(self.answers)]
        steps: list[Question | None] = [q for q in questions if q not in more]
        at = max(0, len(steps) - 1) if at_end else 0
        steps += [None] if more else []
        while at < len(steps):
            try:
                if (question := steps[at]) is None:
                    steps[at:] = self._of_more(group, entry, more)
                    continue
                entry = self._put(group, entry.with_text(question.key, self._answer(group, question, entry)))
                at += 1
            except Back:
                if not at:
                    raise
                at -= 1

    def _of_more(self, group: Group, entry: Entry, more: Sequence[Question]) -> Sequence[Question]:
        """Those of the further questions that are to be asked."""
        if needed := [q for q in more if problem_of(q, entry, self.answers, self.today, group.key)]:
            return needed
        output.show(_("There is more, which can stay as it is:"))
        for question in more:
            shown = self._shown(question, entry)
            output.show(f"- {worded(question.words, entry)}" + (f" [{shown}]" if shown.strip() else ""))
        while (typed := self._reply(_("Change any of it? 'yes', or Enter alone: "))) and not (
            is_word(typed, "yes") or is_word(typed, "no")
        ):
            output.show(_("'{typed}' is neither yes nor no.", typed=typed))
        return more if is_word(typed, "yes") else ()

    def _answer(self, group: Group, question: Question, entry: Entry) -> str:
        """Asked until it can be understood."""
        if question.under:
            output.show(question.under)
        if question.hint:
            output.show(f"  ({question.hint})")
        while True:
            text = self._typed(question, entry)
            tried = entry.with_text(question.key, text)
            if not (sentence := problem_of(question, tried, self.answers, self.today, group.key)):
                if question.kind is Kind.HOURS and text:
                    output.show(f"  {hours_words(value_of(question, tried, self.answers))}")
                if question.kind is Kind.ALLERGIES and text:
                    output.show(f"  {allergies_words(value_of(question, tried, self.answers))}")
                if question.kind in (Kind.ZONE, Kind.MONTH) and text:
                    output.show(f"  {value_of(question, tried, self.answers)}")
                return text
            output.show(sentence)
            if not text and group.several:
                output.show(_("Or type {or_else}.", or_else=said(OR_ELSE)))

    def _shown(self, question: Question, entry: Entry) -> str:
        """What holds if nothing is typed."""
        there = entry.get(question.key) or question.otherwise(self.answers)
        return shown_of(question, there, dict(self._choices(question)))

    def _choices(self, question: Question) -> Options:
        return question.choices(self.answers) if question.kind in PICKED else ()

    def _typed(self, question: Question, entry: Entry) -> str:
        choices = self._choices(question)
        asked = prompt(worded(question.words, entry), choices, self._shown(question, entry))
        while typed := self._reply(asked, about(question, self.screen)):
            no_answer = _word(typed) in ("yes", "no", "nothing")
            if question.key == "name" and no_answer:
                output.show(
                    _(
                        "'{typed}' is no name. 'out' takes this one out, 'back' asks what was before.",
                        typed=typed,
                    )
                )
                continue
            if (
                question.kind in (Kind.MONTH, Kind.DAY, Kind.LINE, Kind.LONG)
                and no_answer
                and not question.needed
            ):
                return ""
            if question.kind not in PICKED:
                return typed
            if question.kind in (Kind.CHOICE, Kind.ONE_OF):
                if found := picked(typed, choices):
                    return found
                output.show(none_of_them(typed))
                continue
            if typed.lower() in (ALL, said(ALL)) and question.kind is Kind.SOME_OF:
                return ""
            if meant_by(typed) in ("no", "nothing"):
                if question.kind is Kind.SOME_OF:
                    return NOBODY
                if NONE_OF_THESE not in dict(choices):
                    return ""
                output.show(
                    _(
                        "If you have looked, type {number}. If you do not know, press Enter alone.",
                        number=[key for key, _words in choices].index(NONE_OF_THESE) + 1,
                    )
                )
                continue
            some, unknown = picked_all(typed, choices)
            if some:
                output.show(f"  {', '.join(dict(choices)[key] for key in some)}")
                return "\n".join(some)
            output.show(none_of_them(unknown))
        there = entry.get(question.key)
        # what the machine or the language says may be another answer the next time
        return there or (question.otherwise(self.answers) if question.kind is Kind.ZONE else "")

    def _to_change(self) -> Screen | None:
        """What is to be answered anew, after a look at all answers; None for nothing."""
        shown = [screen for screen in SCREENS if screen.asked(self.answers)]
        output.show("\n" + _("This is what you said:"))
        for number, screen in enumerate(shown, 1):
            output.show(f"{number} {screen.title}")
            for line in lines_of(screen, self.answers) or (said(NOTHING),):
                output.show(f"- {line}")
        for sentence in remarks(self.answers):
            output.show(_("Please note: {sentence}", sentence=sentence))
        asked = _("Is that right? Enter alone if it is, or the number of what is to be changed: ")
        while True:
            try:
                typed = self._line(asked, _("Nothing is made before you have said that it is right."))
            except Back:
                return shown[-1]
            if not typed or is_word(typed, "yes"):
                return None
            if typed.isdecimal() and 1 <= int(typed) <= len(shown):
                return shown[int(typed) - 1]
            if is_word(typed, "no"):
                output.show(_("Then type the number of what is to be changed."))
            else:
                output.show(_("'{typed}' is none of the numbers.", typed=typed))

    def _put(self, group: Group, entry: Entry) -> Entry:
        self._keep(self.answers.with_entry(group.key, entry))
        return entry

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


def _word(typed: str) -> str | None:
    """What a word means where a name is asked for: `n` is no, and `N` what somebody calls a child."""
    return None if len(typed) == 1 and typed.isupper() else meant_by(typed)
