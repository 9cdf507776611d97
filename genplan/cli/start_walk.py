"""The guided start on a terminal: one question after the other, an empty answer for what is shown in brackets."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from genplan.case import Week
from genplan.cli import output
from genplan.cli.spoken import as_the_case_says
from genplan.cli.start_prompts import (
    ALL,
    ANEW,
    NOTHING,
    OR_ELSE,
    OUT,
    Choice,
    listed,
    picked,
    prompt,
    shown_of,
)
from genplan.cli.warnings_shown import line_of
from genplan.language import N_, _, said, speaking
from genplan.language.dates import in_english
from genplan.language.sentences import capital
from genplan.language.typed import is_word, meant_by
from genplan.start.answers import Answers, Entry
from genplan.start.questions import Group, Kind, Question, Screen
from genplan.start.reading import NOBODY, problem_of, problems, said_already, value_of, worded
from genplan.start.screens import SCREENS
from genplan.start.summary import allergies_words, hours_words, lines_of

HELLO = N_("""\
Some questions, one after the other; about ten minutes. An empty answer takes what stands in brackets.
Every answer is kept at once: end with Ctrl+D whenever you like, and go on later.""")
GOES_ON = N_("You have begun already: it goes on where you were.")
PICKED = (Kind.CHOICE, Kind.TICKS, Kind.ONE_OF, Kind.SOME_OF)


@dataclass
class Walk:
    """`ask` shows a question and gives back a line; it raises EOFError where no more come. `keep` is called with all
    answers after each of them."""

    answers: Answers
    ask: Callable[[str], str]
    keep: Callable[[Answers], None]
    today: date

    def run(self) -> Answers:
        """Every screen that was not answered yet, then a look at all of it. Raises EOFError half-way, with what was
        answered kept."""
        for screen in SCREENS:
            if screen.key not in self.answers.done and screen.asked(self.answers):
                self._screen(screen)
        while (anew := self._to_change()) is not None:
            self._screen(anew)
        return self.answers

    def _screen(self, screen: Screen) -> None:
        output.show(f"\n{screen.title}\n{screen.words}")
        for group in screen.asked(self.answers):
            if group.several:
                self._several(group)
            else:
                self._once(group)
        for problem in (found := problems(screen, self.answers, self.today)):
            output.show(problem.sentence)
        if found:
            self._screen(screen)
            return
        self._keep(self.answers.with_done(screen.key))

    def _once(self, group: Group) -> None:
        entry = next(iter(self.answers.entries(group.key)), None) or Entry(f"{group.letter}1")
        self._about(group, entry, group.asked(self.answers))

    def _several(self, group: Group) -> None:
        """What is there already is gone through, then more is asked for until there is no answer."""
        for entry in self.answers.entries(group.key):
            self._one_more_look(group, entry)
        while True:
            there = self.answers.entries(group.key)
            first, *rest = group.asked(self.answers)
            question = f"{group.another}?" if there else group.first
            text = self._pick_or_type(first, question, there)
            if text.lower() in (ANEW, OUT):
                output.show(_("'{text}' is for what was begun, and nothing is.", text=text))
                continue
            if not text:
                if there or not group.none:
                    return
                output.show(group.none)
                continue
            entry = Entry(self.answers.fresh_key(group.key, group.letter)).with_text(first.key, text)
            if sentence := said_already(group, entry, there, self.answers):
                output.show(sentence)
                continue
            entry = self._put(group, entry)
            self._about(group, entry, rest)

    def _pick_or_type(self, first: Question, words: str, there: Sequence[Entry]) -> str:
        """The answer that begins an entry; nothing ends the list."""
        ends = f" ({_('nothing when that is all')})" if there else ""
        if first.kind not in PICKED:
            return self._line(prompt(words + ends))
        ends, choices = ends or f" ({_('nothing if not')})", first.choices(self.answers)
        while True:
            typed = self._line(f"{words}{listed(choices)}{ends}: ")
            if not typed or typed.lower() in (ANEW, OUT):
                return typed
            if found := picked(typed, choices):
                return found
            output.show(_("'{typed}' is none of them.", typed=typed))

    def _one_more_look(self, group: Group, entry: Entry) -> None:
        """An entry from before: what it lacks is asked for; one that is whole can be left, done anew or taken out."""
        name = entry.get("name") or capital(group.one)
        open_ = [q for q in group.asked(self.answers) if problem_of(q, entry, self.answers, self.today)]
        missing = [q for q in group.asked(self.answers) if q.key not in entry.texts and not q.more]
        if open_ or missing:
            output.show(
                _(
                    "{name}: the questions that are left. At each of them, type {or_else}.",
                    name=name,
                    or_else=said(OR_ELSE),
                )
            )
            self._about(group, entry, [q for q in group.asked(self.answers) if q in open_ or q in missing])
            return
        words = _(
            "{name} is there. An empty answer leaves it so; type {or_else}: ",
            name=name,
            or_else=said(OR_ELSE),
        )
        while typed := self._line(words).lower():
            if typed in (ANEW, OUT):
                self._chosen(group, entry, typed)
                return
            output.show(_("'{typed}' is neither of them.", typed=typed))

    def _about(self, group: Group, entry: Entry, questions: Sequence[Question]) -> None:
        """The questions about one thing, until all are answered or it is taken out."""
        try:
            self._questions(group, entry, questions)
        except Choice as choice:
            self._chosen(group, self.answers.entry(group.key, entry.key) or entry, str(choice))

    def _chosen(self, group: Group, entry: Entry, word: str) -> None:
        if word == OUT and group.several:
            left = [e for e in self.answers.entries(group.key) if e.key != entry.key]
            self._keep(self.answers.with_entries(group.key, left))
            output.show(_("Taken out: {name}.", name=entry.get("name") or group.one))
            return
        if word == OUT:
            output.show(_("There is nothing to take out here."))
        self._about(group, entry, group.asked(self.answers))

    def _questions(self, group: Group, entry: Entry, questions: Sequence[Question]) -> None:
        """The questions of one entry; those that can be left alone only if that is wanted."""
        more = [q for q in questions if q.can_wait(self.answers)]
        for question in (q for q in questions if q not in more):
            entry = self._put(group, entry.with_text(question.key, self._answer(group, question, entry)))
        needed = [q for q in more if problem_of(q, entry, self.answers, self.today)]
        listed = ", ".join(_lowered(q.words).rstrip("?") for q in more)
        if more and not needed and self._wanted(_("More ({listed})? 'yes', or nothing: ", listed=listed)):
            needed = more
        for question in needed:
            entry = self._put(group, entry.with_text(question.key, self._answer(group, question, entry)))

    def _wanted(self, question: str) -> bool:
        while (typed := self._reply(question)) and meant_by(typed) not in ("yes", "no"):
            output.show(_("'{typed}' is neither yes nor nothing.", typed=typed))
        return is_word(typed, "yes")

    def _answer(self, group: Group, question: Question, entry: Entry) -> str:
        """Asked until it can be understood."""
        if question.under:
            output.show(question.under)
        if question.hint:
            output.show(f"  ({question.hint})")
        while True:
            text = self._typed(question, entry)
            tried = entry.with_text(question.key, text)
            if not (sentence := problem_of(question, tried, self.answers, self.today)):
                if question.kind is Kind.HOURS and text:
                    output.show(f"  {hours_words(value_of(question, tried, self.answers))}")
                if question.kind is Kind.ALLERGIES and text:
                    output.show(f"  {allergies_words(value_of(question, tried, self.answers))}")
                return text
            output.show(sentence)
            if not text and group.several:
                output.show(_("Or type {or_else}.", or_else=said(OR_ELSE)))

    def _typed(self, question: Question, entry: Entry) -> str:
        choices = question.choices(self.answers) if question.kind in PICKED else ()
        there = entry.get(question.key) or question.otherwise(self.answers)
        shown = shown_of(question, there, dict(choices))
        typed = self._reply(prompt(worded(question.words, entry), choices, shown))
        if not typed:
            return entry.get(question.key)
        if question.kind in (Kind.CHOICE, Kind.ONE_OF):
            return picked(typed, choices) or NOBODY
        if question.kind in (Kind.TICKS, Kind.SOME_OF):
            if typed.lower() in (ALL, NOTHING, said(ALL), said(NOTHING)):
                return ""
            parts = [picked(part.strip(), choices) for part in typed.split(",")]
            return "\n".join(parts) if all(parts) else NOBODY
        return typed

    def _to_change(self) -> Screen | None:
        """What is to be answered anew, after a look at all answers; None for nothing."""
        shown = [screen for screen in SCREENS if screen.asked(self.answers)]
        output.show("\n" + _("This is what you said:"))
        for number, screen in enumerate(shown, 1):
            output.show(f"{number} {screen.title}")
            for line in lines_of(screen, self.answers) or (said(NOTHING),):
                output.show(f"    {line}")
        while typed := self._line(
            _("Is that right? Nothing if it is, or the number of what is to be changed: ")
        ):
            if typed.isdecimal() and 1 <= int(typed) <= len(shown):
                return shown[int(typed) - 1]
            output.show(_("'{typed}' is none of the numbers.", typed=typed))
        return None

    def _put(self, group: Group, entry: Entry) -> Entry:
        self._keep(self.answers.with_entry(group.key, entry))
        return entry

    def _keep(self, answers: Answers) -> None:
        self.answers = answers
        self.keep(answers)

    def _reply(self, question: str) -> str:
        """An answer about one thing. Raises Choice where 'again' or 'out' is typed instead."""
        typed = self._line(question)
        if typed.lower() in (ANEW, OUT):
            raise Choice(typed.lower())
        return typed

    def _line(self, question: str) -> str:
        """What was typed; of the two words that are no answer the English one."""
        typed = self.ask(question).strip()
        meant = meant_by(typed)
        return meant if meant in (ANEW, OUT) else typed


def _lowered(words: str) -> str:
    return words.lower() if in_english() else words


def start(words: Namespace) -> int:
    """`genplan new FOLDER --ask`: the questions, the case, its first week. Where the answers end half-way they are
    kept, and it is said how to go on."""
    from genplan import workflow

    folder: Path = words.folder
    answers = workflow.answers_so_far(folder)
    output.show(said(GOES_ON if answers.groups else HELLO))
    try:
        today = workflow.wall_clock(words.now).date()
        answers = Walk(answers, input, lambda so_far: workflow.keep_answers(folder, so_far), today).run()
    except EOFError:
        output.show(
            "\n"
            + _("Your answers are kept. Go on where you were with: genplan new {folder} --ask", folder=folder)
        )
        return 0
    started = workflow.case_of_answers(folder, answers, words.now)
    with speaking(as_the_case_says(words)):  # it had no words of its own before it was made
        for finding in started.findings:
            output.tell(line_of(finding))
        output.show(_("Made {file}.", file=started.files[0]))
        return _first_week(folder, started.week, words.now)


def _first_week(folder: Path, week: Week, now: datetime | None) -> int:
    from genplan import workflow
    from genplan.report.terminal import week_summary

    out = folder / f"plan-{week}"
    outcome = workflow.plan(folder, week, now, out, output.progress)
    output.show_lines(["", *week_summary(outcome.case, outcome.plan).splitlines()])
    output.show("\n" + _("To look at it, open {file}.", file=out / "week.html"))
    output.show(
        _(
            "If it is good, keep it, so that everybody can be told: genplan keep {folder} --from {out}",
            folder=folder,
            out=out,
        )
    )
    output.show(_("The same in a browser: genplan open {folder}", folder=folder))
    return 0
