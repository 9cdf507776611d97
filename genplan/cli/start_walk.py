"""The guided start on a terminal: one question after the other, an empty answer for what is shown in brackets."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager

from genplan.cli import output
from genplan.cli.start_prompts import (
    ANEW,
    NOTHING,
    OR_ELSE,
    OUT,
    PICKED,
    Back,
    Choice,
    about,
    listed,
    none_of_them,
    picked,
    prompt,
)
from genplan.cli.start_questions import Asking, word_of
from genplan.language import Speech, _, said, speaking, speech
from genplan.language.sentences import capital
from genplan.language.typed import is_word, meant_by
from genplan.start.answers import Answers, Entry
from genplan.start.defaults import words_of
from genplan.start.first_week import remarks
from genplan.start.problems import lacking, problem_of, problems, said_already
from genplan.start.questions import Group, Question, Screen
from genplan.start.reading import worded
from genplan.start.screens import SCREENS
from genplan.start.summary import lines_of
from genplan.start.things_named import with_things_named


class Walk(Asking):
    """All screens, one after the other."""

    def run(self) -> Answers:
        """Every screen that was not answered yet, then a look at all of it. Raises EOFError half-way, with what was
        answered kept."""
        self._all()
        while (anew := self._to_change()) is not None:
            try:
                self._screen(anew)
            except Back:
                continue
            self._all()
        return self.answers

    def _all(self) -> None:
        """Every screen with something to be asked, in order."""
        at, at_end = 0, ""  # the screen that is gone back to
        while at < len(SCREENS):
            screen = SCREENS[at]
            try:
                if self._is_open(screen) or at_end == screen.key:
                    self._screen(screen, at_end == screen.key)
                at += 1
                if at == len(SCREENS):  # what was said last may speak against what was said before
                    at = next((n for n, s in enumerate(SCREENS) if self._is_open(s)), at)
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

    def _is_open(self, screen: Screen) -> bool:
        return bool(screen.asked(self.answers) and lacking(screen, self.answers, self.today))

    def _spoken(self) -> AbstractContextManager[None]:
        """In the words of the purpose, once that is answered."""
        return speaking(Speech(speech().language, words_of(self.answers)))

    def _screen(self, screen: Screen, at_end: bool = False) -> None:
        with self._spoken():
            self._asked(screen, at_end)

    def _asked(self, screen: Screen, at_end: bool) -> None:
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
        """Where there is something that nobody was asked yet, that alone; else all of it anew."""
        entries = self.answers.entries(group.key) or (Entry(f"{group.letter}1"),)
        every = group.asked(self.answers)
        left = {} if at_end else {e.key: asked for e in entries if (asked := self._left(group, e))}
        at = len(entries) - 1 if at_end else 0
        while at < len(entries):
            try:
                entry = self.answers.entry(group.key, entries[at].key) or entries[at]
                is_new = not any(entry.get(q.key) for q in every)
                if entry.key in left or not left:
                    self._about(group, entry, every if is_new else left.get(entry.key, every), at_end)
                at, at_end = at + 1, False
            except Back:
                if not at:
                    raise
                at, at_end = at - 1, True

    def _several(self, group: Group, at_end: bool) -> None:
        """What is there already is gone through, then more is asked for until there is no answer."""
        for entry in () if at_end else self.answers.entries(group.key):
            self._one_more_look(group, entry)
        while True:
            try:
                begun = self._begun(group)
            except Back:
                self._revisit(group, len(self.answers.entries(group.key)) - 1)
                continue
            if not begun:
                return
            for entry in begun:
                try:
                    self._about(group, entry, group.asked(self.answers)[1:])
                except Back:
                    number = [e.key for e in self.answers.entries(group.key)].index(entry.key)
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

    def _begun(self, group: Group) -> Sequence[Entry]:
        """A further entry with its first answer, or several that were typed as a list; none for no more."""
        while True:
            there = self.answers.entries(group.key)
            first = group.asked(self.answers)[0]
            text = self._pick_or_type(first, f"{group.another}?" if there else group.first, there)
            if text.lower() in (ANEW, OUT):
                output.show(_("'{text}' is for what was begun, and nothing is.", text=text))
                continue
            if word_of(text) == "yes" and first.kind not in PICKED:
                output.show(_("Then type what it is called."))
                continue
            if not text or word_of(text) in ("no", "nothing"):
                if there or not group.none:
                    return ()
                output.show(group.none)
                continue
            fresh = Entry(self.answers.fresh_key(group.key, group.letter)).with_text(first.key, text)
            with_fresh = self.answers.with_entry(group.key, fresh)
            if group.listed:
                with_fresh = with_fresh.with_names_apart(group.key, group.letter)
            begun = with_fresh.entries(group.key)[len(there) :]
            if sentence := self._wrong_with(group, begun, there):
                output.show(sentence)
                continue
            self._keep(with_fresh)
            return begun

    def _wrong_with(self, group: Group, begun: Sequence[Entry], there: Sequence[Entry]) -> str:
        """The first sentence on a name."""
        first = group.asked(self.answers)[0]
        for number, entry in enumerate(begun):
            wrong = problem_of(first, entry, self.answers, self.today, group.key)
            if sentence := wrong or said_already(group, entry, (*there, *begun[:number]), self.answers):
                return sentence
        return ""

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
            output.show(none_of_them(typed, choices))

    def _one_more_look(self, group: Group, entry: Entry) -> None:
        """An entry from before: what it lacks is asked for; one that is whole can be left, done anew or taken out."""
        name = entry.get("name") or capital(group.one)
        if left := self._left(group, entry):
            output.show(
                _(
                    "{name}: the questions that are left. At each of them, type {or_else}.",
                    name=name,
                    or_else=said(OR_ELSE),
                )
            )
            for question in left:
                wrong = problem_of(question, entry, self.answers, self.today, group.key)
                if wrong and entry.get(question.key):
                    output.show(wrong)
            self._about(group, entry, left)
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

    def _left(self, group: Group, entry: Entry) -> Sequence[Question]:
        """What is asked of an entry and was not answered yet, or cannot stay as it is."""
        return [
            q
            for q in group.asked(self.answers)
            if (q.key not in entry.texts and not q.more)
            or problem_of(q, entry, self.answers, self.today, group.key)
        ]

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
            self._keep(with_things_named(self.answers.with_entries(group.key, left)))
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
                answered = entry.with_text(question.key, self._answer(group, question, entry))
                entry = self._put(group, answered)
                at += 1
            except Back:
                if not at:
                    raise
                at -= 1

    def _of_more(self, group: Group, entry: Entry, more: Sequence[Question]) -> Sequence[Question]:
        """Those of the further questions that are to be asked."""
        if needed := [q for q in more if problem_of(q, entry, self.answers, self.today, group.key)]:
            return needed
        output.show(
            _("There is more about {name}, which can stay as it is:", name=name)
            if (name := entry.get("name"))
            else _("There is more, which can stay as it is:")
        )
        for question in more:
            shown = self._shown(group, question, entry)
            output.show(f"- {worded(question.words, entry)}" + (f" [{shown}]" if shown.strip() else ""))
        while (typed := self._reply(_("Change any of it? 'yes', or Enter alone: "))) and not (
            is_word(typed, "yes") or is_word(typed, "no")
        ):
            output.show(_("'{typed}' is neither yes nor no.", typed=typed))
        return more if is_word(typed, "yes") else ()

    def _to_change(self) -> Screen | None:
        """What is to be answered anew, after a look at all answers; None for nothing."""
        with self._spoken():
            return self._looked_over()

    def _looked_over(self) -> Screen | None:
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
        self._keep(with_things_named(self.answers.with_entry(group.key, entry)))
        return entry
