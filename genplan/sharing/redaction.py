"""The tree of a case in other words: for each key what becomes of its value.

What is no number, date, hour or word of the format's own is replaced; what has another shape than it should have keeps
being wrong, without its words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import available_timezones

from genplan.case import STRENGTHS, Birth, TargetState
from genplan.case.safety import ALLERGENS, with_meanings
from genplan.case.sitting_ids import mark_of
from genplan.case.targets import Teach
from genplan.case.week import DAY_NAMES
from genplan.case.wishes_of_planners import sitting_id
from genplan.casefile import time_texts
from genplan.casefile.busy_reading import UtcSeries
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.domain_types import UNTAUGHT, WITH
from genplan.casefile.keys import CASE
from genplan.casefile.keys.policy import NO_OTHER
from genplan.casefile.policies import policy_names
from genplan.casefile.privacy import How
from genplan.casefile.record_types import Key, Shape
from genplan.casefile.scalar_types import ANY
from genplan.casefile.tree import Leaf, Node
from genplan.casefile.yaml_writing import written
from genplan.language import LANGUAGES, Words
from genplan.sharing.pseudonyms import DATE, Pseudonyms

Change = Callable[[Node, Pseudonyms], Node]

LOST = Leaf("?", False)
"""In place of what cannot be taken over: no value of any key, so that what was wrong stays wrong."""

_FIGURES = re.compile(r"(?!.*(?:[0-9]{7}|[0-9]{4}-[0-9]))[-+0-9.,:/% ]*")
"""Not a number as long as that of a telephone, nor a date."""
_WORDS = frozenset(
    {
        "all",
        "daily",
        "yes",
        "no",
        "true",
        "false",
        "on",
        "off",
        "~",
        *DAY_NAMES,
        *STRENGTHS,
        *TargetState,
        *Teach,
        *UtcSeries,
        *Words,
        *LANGUAGES,
        ANY,
    }
)
_DAYS = re.compile(f"(?:daily|(?:{'|'.join(DAY_NAMES)})(?:[-, ]+(?:{'|'.join(DAY_NAMES)}))*)")


def _plain(node: Node, change: Callable[[str], str | None]) -> Node:
    """A leaf, or a list of leaves, each text changed; None is lost."""
    if isinstance(node, list):
        return [_plain(part, change) for part in node]
    if not isinstance(node, Leaf):
        return LOST
    if node.is_empty:
        return node
    text = change(node.text)
    return LOST if text is None else Leaf(text, node.plain)


def _in_order(node: Node) -> Node:
    """A list of which the order means nothing, in the order of its new words: that of the old ones gives them away."""
    return sorted(node, key=written) if isinstance(node, list) else node


def kept(node: Node, disguise: Pseudonyms) -> Node:
    """Numbers, hours, days and the format's own words."""
    if isinstance(node, dict):
        return {_known(key, disguise): kept(part, disguise) for key, part in node.items()}
    return _plain(node, lambda text: text if _is_figure_or_word(text) else None)


def _is_figure_or_word(text: str) -> bool:
    return bool(_FIGURES.fullmatch(text) or _DAYS.fullmatch(text)) or text.lower() in _WORDS


def _known(key: str, disguise: Pseudonyms) -> str:
    is_known = key.lower() in _WORDS or _DAYS.fullmatch(key)
    return key if is_known else disguise.text("unknown-key-", key)


def dates(node: Node, disguise: Pseudonyms) -> Node:
    """Days, ranges of days and moments; what only looks like one is lost."""

    def moved(text: str) -> str | None:
        rest = DATE.sub("", text)
        if not re.fullmatch("[-0-9.:T ]*", rest) or re.search("[0-9]{3}", rest):
            return None
        try:
            return disguise.dates_in(text)
        except (ValueError, OverflowError):
            return None

    return _plain(node, moved)


def birth(node: Node, disguise: Pseudonyms) -> Node:
    """A month, whatever was told: a day would be one of some three hundred, and often one child's alone."""

    def moved(text: str) -> str | None:
        try:
            born = moved_birth(time_texts.birth(text), disguise.shift)
        except (InvalidValue, OverflowError):
            return None
        return f"{born.year:04d}-{born.month:02d}"

    return _plain(node, moved)


def moved_birth(born: Birth, shift: timedelta) -> Birth:
    """The month in which a child is born whose months of age are complete as near as can be to the moved day: within
    half a month."""
    by = complete_from(born) + shift
    this = by.replace(day=1)
    following = (this + timedelta(31)).replace(day=1)
    first = this if by - this <= following - by else following
    last = first - timedelta(1)
    return Birth(last.year, last.month)


def complete_from(born: Birth) -> date:
    """The day from whose like in later months a month of age counts as complete."""
    if born.day is not None:
        return date(born.year, born.month, born.day)
    return date(born.year + born.month // 12, born.month % 12 + 1, 1)


def zone(node: Node, disguise: Pseudonyms) -> Node:
    """A zone tells of a country: all hours stay what the clock shows, of a zone that is nobody's."""
    return Leaf("UTC", True) if isinstance(node, Leaf) and node.text in available_timezones() else LOST


def calendar(node: Node, disguise: Pseudonyms) -> Node:
    return _plain(node, lambda text: f"{disguise.text('busy/adult-', text)}.ics")


def email(node: Node, disguise: Pseudonyms) -> Node:
    return _plain(node, lambda text: f"{disguise.text('adult-', text)}@genplan.invalid")


def said(kind: str) -> Change:
    """A text of a user's: another, the same wherever it stands."""
    return lambda node, disguise: _plain(node, lambda text: disguise.text(kind, text))


def an_id(*sections: str) -> Change:
    """An id, or several; of more than one section the first that has it."""

    def change(node: Node, disguise: Pseudonyms) -> Node:
        def one(text: str) -> str:
            home = next((s for s in sections if text in disguise.ids[s]), sections[0])
            return "all" if text == "all" else disguise.id(home, text)

        return _in_order(_plain(node, one))

    return change


def sittings(node: Node, disguise: Pseudonyms) -> Node:
    """Ids of sittings, which speak of a day, an adult and a learner; what is none is a target's."""

    def one(text: str) -> str | None:
        if (named := sitting_id(text)) is None:
            return disguise.id("targets", text)
        learner = next((i for i in sorted(disguise.ids["learners"]) if mark_of(i) == named.mark), None)
        if learner is None:
            return None
        week, adult = disguise.week(named.week), disguise.id("adults", named.adult)
        mark = mark_of(disguise.id("learners", learner))
        return replace(named, week=week, adult=adult, mark=mark).text

    return _in_order(_plain(node, one))


def warned(kind: str, known: frozenset[str]) -> Change:
    """Allergens or hazards; `known` are words of the format, the others are somebody's own."""

    def change(node: Node, disguise: Pseudonyms) -> Node:
        mixed = disguise.mixed(node) if isinstance(node, list) else node
        return _in_order(_plain(mixed, lambda t: t if t in known else disguise.text(f"{kind}-", t)))

    return change


def allergens(node: Node, disguise: Pseudonyms) -> Node:
    """What a child must not meet, or a thing holds, by other names, since it tells of the child's health; what it may
    stand for is named too: of another name the program does not know that."""
    listed: Node = [node] if isinstance(node, Leaf) and not node.is_empty else node
    if not isinstance(listed, list):
        return listed if isinstance(listed, Leaf) else LOST
    texts = [n.text for n in listed if isinstance(n, Leaf)]
    more = sorted(with_meanings(texts) - set(texts))
    return _in_order([Leaf(disguise.text("allergen-", t), True) for t in disguise.mixed((*texts, *more))])


def pattern(node: Node, disguise: Pseudonyms) -> Node:
    if isinstance(node, list):
        return _in_order([pattern(part, disguise) for part in node])
    if not isinstance(node, dict):
        return node if isinstance(node, Leaf) and node.is_empty else LOST
    return {
        disguise.dimension(name) if name != "by" else name: dates(part, disguise)
        if name == "by"
        else _plain(part, lambda text, name=name: disguise.value(name, text))  # type: ignore[misc]
        for name, part in node.items()
    }


def counts(node: Node, disguise: Pseudonyms) -> Node:
    if not isinstance(node, dict):
        return kept(node, disguise)
    return {
        name if _beside_counts(name, part) else disguise.dimension(name): pattern(part, disguise)
        if isinstance(part, list)
        else kept(part, disguise)
        for name, part in node.items()
    }


def _beside_counts(name: str, node: Node) -> bool:
    """Whether it is what stands beside the counts, and no dimension of that name with its number."""
    return name in (WITH, UNTAUGHT) and not (isinstance(node, Leaf) and node.text.isdecimal())


def varied(node: Node, disguise: Pseudonyms) -> Node:
    if not isinstance(node, dict):
        return kept(node, disguise)
    return {
        disguise.dimension(name): _in_order(
            _plain(part, lambda text, name=name: disguise.value(name, text))  # type: ignore[misc]
        )
        for name, part in node.items()
    }


def record(keys: Shape) -> Change:
    """A thing with keys, or a list of them."""
    changes = {name: change_of(key) for name, key in keys.items() if key.copy.how is not How.OUT}
    gone = keys.keys() - changes.keys()

    def change(node: Node, disguise: Pseudonyms) -> Node:
        if isinstance(node, list):
            return [change(part, disguise) for part in node]
        if not isinstance(node, dict):
            return node if isinstance(node, Leaf) and node.is_empty else LOST
        return {
            key if key in changes else disguise.text("unknown-key-", key): changes[key](part, disguise)
            if key in changes
            else LOST
            for key, part in node.items()
            if key not in gone
        }

    return change


def section(name: str, keys: Shape) -> Change:
    """Things by their ids."""
    inner = record(keys)

    def change(node: Node, disguise: Pseudonyms) -> Node:
        if not isinstance(node, dict):
            return node if isinstance(node, Leaf) and node.is_empty else LOST
        # what is in them is numbered as it is met
        renamed = {disguise.id(name, id_): part for id_, part in node.items()}
        return {id_: inner(renamed[id_], disguise) for id_ in sorted(renamed)}

    return change


def lost(node: Node, disguise: Pseudonyms) -> Node:
    return LOST


def policy(keys: Shape) -> Change:
    inner = record(keys)

    def change(node: Node, disguise: Pseudonyms) -> Node:
        return policy_name(node, disguise) if isinstance(node, Leaf) else inner(node, disguise)

    return change


def policy_name(node: Node, disguise: Pseudonyms) -> Node:
    """One that comes with the program."""
    is_ours = isinstance(node, Leaf) and (node.is_empty or node.text in {*policy_names(), NO_OTHER})
    return node if is_ours else LOST


def mixed(inner: Change) -> Change:
    return lambda node, disguise: _in_order(inner(node, disguise))


def change_of(key: Key) -> Change:
    """What the table of keys says of it."""
    how, of = key.copy.how, key.copy.of
    keys = key.kind.keys or {}
    if how in SIMPLE:
        return SIMPLE[how]
    return {
        How.TEXT: lambda: said(*of),
        How.IDS: lambda: an_id(*of),
        How.NAMES: lambda: warned(of[0], frozenset(of[1:])),
        How.POLICY: lambda: policy(keys),
        How.GROUP: lambda: record(keys),
        How.GROUPS_MIXED: lambda: mixed(record(keys)),
        How.SECTION: lambda: section(of[0], keys),
    }[how]()


SIMPLE: Mapping[How, Change] = {
    How.POLICY_NAME: policy_name,
    How.AS_IS: kept,
    How.LOST: lost,
    How.OUT: lost,
    How.DATES: dates,
    How.BIRTH: birth,
    How.ZONE: zone,
    How.CALENDAR: calendar,
    How.EMAIL: email,
    How.ALLERGENS: allergens,
    How.SITTINGS: sittings,
    How.PATTERNS: pattern,
    How.COUNTS: counts,
    How.VARIED: varied,
}


def in_other_words(tree: Mapping[str, Node], disguise: Pseudonyms) -> dict[str, Node]:
    """The whole case. Known allergens are the user's own in it, so each that is known here is declared there."""
    said_there = record(CASE)({k: v for k, v in tree.items() if k != "other_allergens"}, disguise)
    assert isinstance(said_there, dict)
    own = tree.get("other_allergens")
    declared = {n.text for n in (own if isinstance(own, list) else [own]) if isinstance(n, Leaf)}
    met = [t for kind, t in disguise.texts if kind == "allergen-" and (t in ALLERGENS or t in declared)]
    if met:
        said_there["other_allergens"] = _in_order([Leaf(disguise.text("allergen-", t), True) for t in met])
    return said_there
