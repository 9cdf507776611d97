"""What the guided start asks, screen by screen, in the order in which it is asked. The page and the terminal are made
from this; who wants another question adds a line here and says in `case_text` what becomes of its answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass
from enum import Enum, auto

from genplan.language import said
from genplan.language.marked import Marked
from genplan.start.answers import Answers, Entry

NOBODY = "-"
"""What stands where none of several was chosen."""
Options = tuple[tuple[str, str], ...]


class Kind(Enum):
    """What an answer is."""

    LINE = auto()
    LONG = auto()
    NUMBER = auto()
    MONTH = auto()
    DAY = auto()
    ZONE = auto()
    HOURS = auto()
    MARK = auto()
    """Correct of trials, such as 4/5."""
    ALLERGIES = auto()
    CHOICE = auto()
    TICKS = auto()
    """Some of the options, or none."""
    ONE_OF = auto()
    """An entry of another group."""
    SOME_OF = auto()
    """Entries of another group; nothing said is the default, or else all of them."""
    NAMES = auto()
    """Names with commas between them, or none: of each an entry of another group is made."""


def always(answers: Answers) -> bool:
    return True


@dataclass(frozen=True)
class Question:
    """`words` may hold {name}, of the entry that is asked about. `of` is the group whose entries can be chosen,
    `needed` what is said where an answer is missing that cannot be. `under` is a heading that begins with this
    question. One that is `more` can be left alone where `waits_if` holds. `told` is how the summary says an answer,
    with {} in its place. `default` is a value, or made from the answers so far; `of_entry` makes it of the entry, too,
    as `options_of` makes those of the `options` that are offered of it. What is `alike` can be said of all that say
    nothing yet with one press. `hint_again` stands in the place of the hint where it is asked of a further entry."""

    key: str
    words: Marked = Marked()
    kind: Kind = Kind.LINE
    hint: Marked = Marked()
    _: KW_ONLY
    hint_again: Marked = Marked()
    options: Options | Callable[[Answers], Options] = ()
    options_of: Callable[[Entry, Answers], Options] | None = None
    of: str = ""
    default: str | Callable[[Answers], str] = ""
    of_entry: Callable[[Entry, Answers], str] | None = None
    needed: Marked = Marked()
    under: Marked = Marked()
    more: bool = False
    alike: bool = False
    told: Marked = Marked()
    most: int = 0
    asked_if: Callable[[Answers], bool] = always
    waits_if: Callable[[Answers], bool] = always

    def choices(self, answers: Answers, entry: Entry | None = None) -> Options:
        """Of an entry those that are offered of it, else all that may be an answer."""
        if self.of:
            return tuple((e.key, e.get("name")) for e in answers.entries(self.of))
        if self.options_of is not None and entry is not None:
            options = self.options_of(entry, answers)
        else:
            options = self.options(answers) if callable(self.options) else self.options
        return tuple((key, said(words)) for key, words in options)

    def otherwise(self, answers: Answers, entry: Entry | None = None) -> str:
        """What holds where nothing is answered."""
        if self.of_entry is not None and entry is not None:
            return self.of_entry(entry, answers)
        if self.kind is Kind.ONE_OF and not self.default and (choices := self.choices(answers)):
            return choices[0][0]
        return self.default(answers) if callable(self.default) else self.default

    def can_wait(self, answers: Answers) -> bool:
        """It can be left alone: there is an answer without one, or none is needed."""
        return self.more and self.waits_if(answers) and (not self.needed or bool(self.otherwise(answers)))


@dataclass(frozen=True)
class Group:
    """Questions about one thing, or about each of several. `letter` begins the keys of its entries; `one` is what an
    entry is called, `nobody` one that has no name yet, `above` is what the page says before the first of them, `first`
    and `another` ask for its name, `none` is said where there has to be one. Names of a group that is `listed` may be
    typed as a list, with commas between them. One that asks `again` has its entries from elsewhere: of each that is
    there it asks more; none comes or goes."""

    key: str
    questions: tuple[Question, ...]
    _: KW_ONLY
    letter: str
    one: Marked = Marked()
    nobody: Marked = Marked()
    above: Marked = Marked()
    first: Marked = Marked()
    another: Marked = Marked()
    none: Marked = Marked()
    several: bool = False
    listed: bool = False
    again: bool = False
    asked_if: Callable[[Answers], bool] = always

    def question(self, key: str) -> Question:
        return next(q for q in self.questions if q.key == key)

    def asked(self, answers: Answers) -> tuple[Question, ...]:
        return tuple(q for q in self.questions if q.asked_if(answers))


@dataclass(frozen=True)
class Screen:
    key: str
    title: Marked = Marked()
    words: Marked = Marked()
    groups: tuple[Group, ...] = ()

    def asked(self, answers: Answers) -> tuple[Group, ...]:
        return tuple(g for g in self.groups if g.asked_if(answers))
