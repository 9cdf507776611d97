"""Answers of the guided start in a form: how each question is shown, and what was typed taken back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from genplan.casefile.diagnostics import InvalidValue
from genplan.language import N_, said
from genplan.start.answers import KEY, MOST_KEYS, Answers, Entry
from genplan.start.asked_about_places import THINGS
from genplan.start.asked_about_skills import SKILLS
from genplan.start.hours_text import read_hours
from genplan.start.kept_from import at_risk
from genplan.start.problems import Problem
from genplan.start.questions import NOBODY, Group, Kind, Question, Screen
from genplan.start.summary import hours_words, things_words
from genplan.start.things_named import with_things_named
from genplan.start.what_is_eaten import said_at_once
from genplan.web.endpoints import Answers as Typed

SHOWN_AT_FIRST = {"places": 2}
"""Rows of a group that are there before anything is typed; of any other group one."""
GROWS = frozenset({"helpers", "places", "skills"})
"""Where a further row comes by itself as soon as the last one has a name."""
NEW = "0new0"
"""Stands for the key of an entry in the pattern that the page's script makes new ones of."""
PAINT = N_("Type it or paint it.")


@dataclass(frozen=True)
class Drawn:
    """A question as the form shows it: its words before and behind the entry's name, what it holds, its choices with
    those that are chosen, and what is wrong with it."""

    id: str
    question: Question
    before: str
    called: str
    after: str
    hint: str
    text: str
    choices: tuple[tuple[str, str, bool], ...] = ()
    problem: str = ""
    said: str = ""
    alike: bool = False
    """What it says can be said of all that say nothing yet: offered once, at the first of them."""
    not_eaten: tuple[Entry, ...] = ()
    """The things that one answer may say are nothing to eat: offered once, at the first of all."""
    is_guess: bool = False
    """A zone that neither the machine nor anybody named: the browser may know better."""

    @property
    def not_eaten_names(self) -> str:
        return ", ".join(thing.get("name") for thing in self.not_eaten)

    @property
    def shape(self) -> str:
        return self.question.kind.name.lower()


@dataclass(frozen=True)
class DrawnEntry:
    key: str
    name: str
    first: tuple[Drawn, ...]
    more: tuple[Drawn, ...]
    is_new: bool

    @property
    def has_problem_within(self) -> bool:
        return any(d.problem for d in self.more)


def drawn(group: Group, answers: Answers, problems: tuple[Problem, ...]) -> list[DrawnEntry]:
    """The entries that are there and those to be filled in, and as the last the pattern of a new one."""
    entries = list(answers.entries(group.key))
    shown = [_entry(group, e, answers, problems, n == 0) for n, e in enumerate(entries)]
    if not group.several:
        return shown or [_entry(group, Entry(f"{group.letter}1"), answers, problems, True)]
    so_far = answers
    while len(shown) < SHOWN_AT_FIRST.get(group.key, 1):
        blank = Entry(so_far.fresh_key(group.key, group.letter))
        so_far = so_far.with_entry(group.key, blank)
        shown.append(_entry(group, blank, answers, problems, not shown, is_new=True))
    return [*shown, _entry(group, Entry(NEW), answers, (), False, is_new=True)]


def _entry(
    group: Group,
    entry: Entry,
    answers: Answers,
    problems: tuple[Problem, ...],
    is_first: bool,
    is_new: bool = False,
) -> DrawnEntry:
    """How names are typed as a list, what can be said of all, and what is asked of things, is said at the first."""
    wrong = {p.question: p.sentence for p in problems if (p.group, p.entry) == (group.key, entry.key)}
    questions = [_drawn(group, q, entry, answers, wrong.get(q.key, "")) for q in group.asked(answers)]
    if is_first:
        questions = [replace(d, alike=d.question.alike and not at_risk(answers)) for d in questions]
        at_once = said_at_once(answers) if group is THINGS else ()
        questions = [replace(d, not_eaten=at_once) if d.question.key == "holds" else d for d in questions]
    else:
        said_once = [
            q for q in group.questions if (q.key == "name" and group.listed) or (group.again and not q.more)
        ]
        questions = [replace(d, hint="") if d.question in said_once else _asked_again(d) for d in questions]
    first, more = (
        [d for d in questions if d.question.can_wait(answers) is folded] for folded in (False, True)
    )
    return DrawnEntry(entry.key, entry.get("name"), tuple(first), tuple(more), is_new)


def _asked_again(drawn: Drawn) -> Drawn:
    return replace(drawn, hint=said(again)) if (again := drawn.question.hint_again) else drawn


def _drawn(group: Group, question: Question, entry: Entry, answers: Answers, problem: str) -> Drawn:
    before, named, after = said(question.words).partition("{name}")
    text = entry.get(question.key)
    return Drawn(
        id=f"{group.key}.{entry.key}.{question.key}",
        question=question,
        before=before,
        called=(entry.get("name") or said(group.nobody)) if named else "",
        after=after,
        hint=f"{said(question.hint)} {said(PAINT)}" if question.kind is Kind.HOURS else said(question.hint),
        text=text or ("" if question.kind is Kind.SOME_OF else question.otherwise(answers)),
        choices=_choices(question, entry, answers),
        problem=problem,
        said=_said(question, text),
        is_guess=question.kind is Kind.ZONE and not text and not question.can_wait(answers),
    )


def _choices(question: Question, entry: Entry, answers: Answers) -> tuple[tuple[str, str, bool], ...]:
    parts = (text := entry.get(question.key) or question.otherwise(answers, entry)).split("\n")
    every = question.kind is Kind.SOME_OF and not text
    return tuple((key, said(words), every or key in parts) for key, words in question.choices(answers, entry))


def _said(question: Question, text: str) -> str:
    """Hours, or names of things, as they were understood."""
    if question.kind is Kind.NAMES:
        return things_words(text) if text else ""
    try:
        return hours_words(read_hours(text)) if question.kind is Kind.HOURS else ""
    except InvalidValue:
        return ""


def taken(screen: Screen, answers: Answers, typed: Typed) -> Answers:
    """The answers with all that was typed on a screen, understood or not. Entries with nothing in them are left out."""
    for group in screen.asked(answers):
        sent = dict.fromkeys(typed.all(f"{group.key}.keys"))
        keys = [k for k in sent if KEY.fullmatch(k) and k.startswith(group.letter)][:MOST_KEYS]
        if group.again:
            for known in answers.entries(group.key):
                if known.key in keys:
                    answers = answers.with_entry(group.key, _taken(group, known.key, answers, typed))
            continue
        entries = [_taken(group, key, answers, typed) for key in keys]
        kept = [e for e in entries if not group.several or not _is_blank(group, e, answers)]
        answers = answers.with_entries(group.key, kept)
    return with_things_named(answers) if SKILLS in screen.groups else answers


def _taken(group: Group, key: str, answers: Answers, typed: Typed) -> Entry:
    before = answers.entry(group.key, key) or Entry(key)
    texts = {
        q.key: _text(f"{group.key}.{key}.{q.key}", q, before, answers, typed) for q in group.asked(answers)
    }
    return Entry(key, {**before.texts, **texts})


def _text(name: str, question: Question, before: Entry, answers: Answers, typed: Typed) -> str:
    if question.kind not in (Kind.TICKS, Kind.SOME_OF):
        text = typed.one(name)
        # what was only left as it was shown goes on following what it comes from, such as the policy
        stays = question.kind in (Kind.ONE_OF, Kind.ZONE)
        return "" if not stays and text == question.otherwise(answers) else text
    known = [key for key, _ in question.choices(answers)]
    ticked = [key for key in known if key in typed.all(name)]
    if question.kind is Kind.TICKS:
        return "\n".join(ticked)
    chosen = "\n".join(ticked) or NOBODY
    return "" if chosen == (question.otherwise(answers, before) or "\n".join(known)) else chosen


def _is_blank(group: Group, entry: Entry, answers: Answers) -> bool:
    """Nothing was typed: what a list shows, and ticks at all of several, were there before."""
    shown = (Kind.ONE_OF, Kind.CHOICE, Kind.SOME_OF)
    return all(
        entry.get(q.key) in ("", q.otherwise(answers)) for q in group.asked(answers) if q.kind not in shown
    )


def context(screen: Screen, answers: Answers, problems: tuple[Problem, ...]) -> dict[str, Any]:
    """What the template of a screen asks for."""
    groups = []
    for group in screen.asked(answers):
        entries = drawn(group, answers, problems)
        pattern = entries.pop() if group.several else None
        numbers = [int(e.key[1:]) for e in entries]
        fresh = f"{group.letter}{max(numbers, default=0) + 1}"
        grows = group.key in GROWS
        groups.append({"group": group, "entries": entries, "pattern": pattern, "next": fresh, "grows": grows})
    return {"groups": groups, "new": NEW}
