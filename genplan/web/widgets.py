"""How the value of a key is shown in a form and read back: one class a kind of value.

`show` turns what the file says into what the form holds, `read` the answers into what the file shall say. What
somebody wrote in another way than a form can show is left as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from genplan.casefile.tree import Leaf, Node
from genplan.casefile.yaml_writing import written
from genplan.language import N_, _, said
from genplan.text.obstacles import chosen_word
from genplan.web.endpoints import Answers

Options = Sequence[tuple[str, str]]
"""Values and what they are called."""


class Unshowable(Exception):
    """The value is written in a way that this form cannot show."""


class Unclear(Exception):
    """Two answers of one field that do not go together; `node` shows what was typed once more."""

    def __init__(self, words: str, node: Node) -> None:
        self.node = node
        super().__init__(words)


class Widget(Protocol):
    @property
    def shape(self) -> str:
        """The name of the macro in fields.html that draws it."""

    def show(self, node: Node | None, options: Options) -> Any: ...

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        """What the file shall say. Raises Unclear."""


def text_of(node: Node | None) -> str:
    if node is None:
        return ""
    if not isinstance(node, Leaf):
        raise Unshowable
    return "" if node.is_empty else " ".join(node.text.split())


def items_of(node: Node | None) -> list[Node]:
    """A list, or the list of one that a single value stands for."""
    if node is None or (isinstance(node, Leaf) and node.is_empty):
        return []
    return node if isinstance(node, list) else [node]


@dataclass(frozen=True)
class Text:
    """`plain`: a number, a date or an id, which is never put into quotation marks."""

    shape: str = "text"
    plain: bool = False
    numeric: bool = False

    def show(self, node: Node | None, options: Options) -> Any:
        return text_of(node)

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        typed = " ".join(answers.one(name).split())
        return Leaf(typed, self.plain) if typed else None


LINE = Text()
LONG = Text("long")
NUMBER = Text(plain=True, numeric=True)
PLAIN = Text(plain=True)


@dataclass(frozen=True)
class Choice:
    """One of some words; the empty one leaves the key out."""

    words: Options
    shape: str = "choice"

    def show(self, node: Node | None, options: Options) -> Any:
        chosen = text_of(node)
        extra = [] if chosen in dict(self.words) else [(chosen, chosen)]
        said_words = [(value, said(words)) for value, words in self.words]
        return {"chosen": chosen, "options": [*said_words, *extra]}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        typed = answers.one(name)
        return Leaf(typed, True) if typed else None


@dataclass(frozen=True)
class OneOf(Choice):
    """One of the things of a section, such as a target's learner."""

    words: Options = ()

    def show(self, node: Node | None, options: Options) -> Any:
        chosen = text_of(node)
        extra = [] if not chosen or chosen in dict(options) else [(chosen, chosen)]
        return {"chosen": chosen, "options": [("", _("choose")), *options, *extra]}


@dataclass(frozen=True)
class YesNo(Choice):
    """Three answers: leaving the key out says that it is not known."""

    words: Options = (("", N_("not known")), ("yes", N_("yes")), ("no", N_("no")))

    def show(self, node: Node | None, options: Options) -> Any:
        known = {"true": "yes", "yes": "yes", "false": "no", "no": "no"}
        chosen = known.get(text_of(node).lower(), text_of(node))
        return {"chosen": chosen, "options": [(value, said(words)) for value, words in self.words]}


@dataclass(frozen=True)
class Lines:
    """A list of texts, one on a line."""

    hint: str = ""
    shape: str = "lines"
    plain: bool = False

    def show(self, node: Node | None, options: Options) -> Any:
        return "\n".join(map(text_of, items_of(node)))

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        lines = [" ".join(line.split()) for line in answers.one(name).split("\n")]
        found: list[Node] = [Leaf(line, self.plain) for line in lines if line]
        return found or None


@dataclass(frozen=True)
class Numbers:
    """A list of numbers on one line."""

    shape: str = "text"
    numeric: bool = False

    def show(self, node: Node | None, options: Options) -> Any:
        return ", ".join(map(text_of, items_of(node)))

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        found: list[Node] = [Leaf(part, True) for part in answers.one(name).replace(",", " ").split()]
        return found or None


@dataclass(frozen=True)
class Country:
    """A country, or a part of one as ISO 3166-2 writes it: AU-TAS."""

    shape: str = "text"
    numeric: bool = False

    def show(self, node: Node | None, options: Options) -> Any:
        if not isinstance(node, dict):
            return text_of(node)
        if set(node) != {"country", "subdivision"}:
            raise Unshowable
        return f"{text_of(node['country'])}-{text_of(node['subdivision'])}"

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        country, _dash, part = answers.one(name).partition("-")
        whole = Leaf(country.strip(), False)  # Norway is a word for 'no' to some programs
        return (
            {"country": whole, "subdivision": Leaf(part.strip(), False)}
            if part
            else whole
            if country
            else None
        )


@dataclass(frozen=True)
class Several:
    """Things of a section: all of them, or those that are ticked. `all_words` say what leaving the key out
    means; where that is not `all`, `all` is shown as a tick at each."""

    all_words: str
    left_out_is_all: bool = True
    these_words: str = N_("only these")
    none: bool = True
    shape: str = "several"

    def show(self, node: Node | None, options: Options) -> Any:
        all_said = isinstance(node, Leaf) and node.text == "all"
        if all_said and not self.left_out_is_all:
            return {"all": False, "ticked": [o for o, _ in options], "options": [*options]}
        every = node is None or all_said
        ticked = [] if every else [text_of(n) for n in items_of(node)]
        strange = [(t, t) for t in ticked if t not in dict(options)]
        return {"all": every, "ticked": ticked, "options": [*options, *strange]}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        """Ticks beside 'all' are asked about: the page's script takes those away that are only left over."""
        ticked, kept = answers.all(f"{name}.these"), self.show(before, ())["ticked"]
        chosen = _in_order(kept, ticked)
        if answers.one(name) == "these":
            return chosen
        if ticked:
            raise Unclear(
                _(
                    "'{all_words}' was chosen, and some were ticked as well. '{these_words}' is chosen "
                    "below now: save it if that is meant. If not, choose '{all_words}' and take the ticks "
                    "away.",
                    all_words=said(self.all_words),
                    these_words=said(self.these_words),
                ),
                chosen,
            )
        return None


@dataclass(frozen=True)
class Words:
    """Names out of a known list, and others that the case names itself."""

    known: tuple[str, ...]
    shape: str = "ticks"

    def show(self, node: Node | None, options: Options) -> Any:
        ticked = [text_of(n) for n in items_of(node)]
        names = dict.fromkeys((*self.known, *(o for o, _ in options), *ticked))
        return {"ticked": ticked, "options": [(n, chosen_word(n)) for n in names]}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        ticked = answers.all(name)
        return _in_order([text_of(n) for n in items_of(before)], ticked) or None


@dataclass(frozen=True)
class Criterion:
    """What `generalised_when` asks for: a number for each of some names, which are the options; beside them what must
    be among what is met, a line each such as `location: school, adult: mum`, and whether what was taught counts."""

    shape: str = "criterion"

    def show(self, node: Node | None, options: Options) -> Any:
        entries: dict[str, Node] = dict(node) if isinstance(node, dict) else {}
        if node is not None and not isinstance(node, dict):
            raise Unshowable
        apart = {
            k: entries.pop(k) for k in ("with", "untaught") if k in entries and not _is_number(entries[k])
        }
        names = dict.fromkeys((*(o for o, _ in options), *entries))
        called = dict(options)
        return {
            "counts": [(n, called.get(n, n), text_of(entries.get(n))) for n in names],
            "with": "\n".join(map(_line_of, items_of(apart.get("with")))),
            "untaught": _YES_NO.get(told := text_of(apart.get("untaught")).lower(), told),
        }

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        names = answers.all(f"{name}.names")
        found: dict[str, Node] = {
            n: Leaf(answers.one(f"{name}.{n}"), True) for n in names if answers.one(f"{name}.{n}")
        }
        lines = [line for line in answers.one(f"{name}.with").split("\n") if line.strip()]
        if lines:
            found["with"] = [_values_of(line) for line in lines]
        if untaught := answers.one(f"{name}.untaught"):
            found["untaught"] = Leaf(untaught, True)
        unclear = [line for line in lines if any(":" not in part for part in line.split(","))]
        if unclear:
            raise Unclear(
                _(
                    "'{line}' names no values. Write location: school, or more of it.",
                    line=unclear[0].strip(),
                ),
                found,
            )
        return found or None


_YES_NO = {"true": "yes", "false": "no"}


def _is_number(node: Node) -> bool:
    return isinstance(node, Leaf) and node.text.isdecimal()


def _line_of(node: Node) -> str:
    if not isinstance(node, dict):
        raise Unshowable
    return ", ".join(f"{name}: {text_of(value)}" for name, value in node.items())


def _values_of(line: str) -> Node:
    parts = (part.partition(":") for part in line.split(","))
    return {name.strip(): Leaf(value.strip(), False) for name, _, value in parts}


def _in_order(kept: Sequence[str], ticked: Sequence[str]) -> list[Node]:
    """What is ticked, in the order in which it was shown; what is new comes last."""
    return [Leaf(t, True) for t in (*(k for k in kept if k in ticked), *(t for t in ticked if t not in kept))]


def as_written(node: Node | None) -> str:
    return "" if node is None else written(node)
