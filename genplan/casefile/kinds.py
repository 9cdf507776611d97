"""What the value of a key may be. A `Kind` reads a node and notes what is wrong; nothing here knows a key's name."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from genplan.case import PassMark, WeeklyHours
from genplan.case.week import DAY_NAMES
from genplan.case.windows import Windows, merge
from genplan.casefile import hours
from genplan.casefile.notes import Notes, Path, Unclear
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest

MISSING: Any = object()
"""What a reader returns for a value that it could not read, after noting why."""

ID = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")
AN_ID = "an id of small letters a-z, digits and hyphens, such as grandads-flat"

Reader = Callable[[Node, Path, Notes], Any]


@dataclass(frozen=True)
class Kind:
    """`expects` is what a user reads after 'expected', and in the table of keys."""

    expects: str
    read: Reader


def shown(node: Node) -> str:
    """A node in a finding's words, cut so that a line stays a line."""
    if isinstance(node, dict):
        return "a group of keys"
    if isinstance(node, list):
        return "a list"
    if node.is_empty:
        return "no value"
    text = " ".join(node.text.split())
    text = text if len(text) <= 60 else text[:57] + "..."
    return f"'{text}'" if node.plain else f"the text '{text}'"


def one(expects: str, parse: Callable[[Leaf], Any]) -> Kind:
    """A single value; `parse` raises `Unclear`."""

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if not isinstance(node, Leaf) or node.is_empty:
            notes.error(path, shown(node), expects)
            return MISSING
        try:
            return parse(node)
        except Unclear as problem:
            notes.unclear(path, problem, expects)
            return MISSING

    return Kind(expects, read)


def clean(leaf: Leaf, most: int) -> str:
    """The text on one line. Raises Unclear for an empty one, control characters and marks that turn the direction."""
    text = " ".join(leaf.text.split())
    if not text:
        raise Unclear("an empty text")
    for sign in text:
        if (
            unicodedata.category(sign) in ("Cc", "Cs")
            or sign in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
        ):
            raise Unclear(f"an invisible character (U+{ord(sign):04X})", "", "type the text again")
    if len(text) > most:
        raise Unclear(f"a text of {len(text)} characters", f"at most {most} characters")
    return text


def text(most: int = 200) -> Kind:
    return one("a text", lambda leaf: clean(leaf, most))


def whole(least: int, most: int) -> Kind:
    """A whole number, written in decimal digits and without quotation marks."""
    expects = f"a whole number from {least} to {most}"

    def parse(leaf: Leaf) -> int:
        if not leaf.plain:
            raise Unclear(shown(leaf), "", "write the number without quotation marks")
        if not re.fullmatch(r"-?(0|[1-9][0-9]{0,8})", leaf.text):
            hint = "write it without the leading 0" if re.fullmatch(r"0[0-9]+", leaf.text) else ""
            raise Unclear(shown(leaf), "", hint)
        if not least <= int(leaf.text) <= most:
            raise Unclear(leaf.text)
        return int(leaf.text)

    return one(expects, parse)


def decimal(over: float, most: float, example: str) -> Kind:
    expects = f"a number over {over:g} and at most {most:g}, such as {example}"

    def parse(leaf: Leaf) -> float:
        if not leaf.plain:
            raise Unclear(shown(leaf), "", "write the number without quotation marks")
        if not re.fullmatch(r"-?(0|[1-9][0-9]{0,8})(\.[0-9]{1,6})?", leaf.text):
            hint = "write the decimals after a point" if re.fullmatch(r"[0-9]+,[0-9]+", leaf.text) else ""
            raise Unclear(shown(leaf), "", hint)
        if not over < float(leaf.text) <= most:
            raise Unclear(leaf.text)
        return float(leaf.text)

    return one(expects, parse)


def yes_no() -> Kind:
    words = {"true": True, "yes": True, "false": False, "no": False}

    def parse(leaf: Leaf) -> bool:
        if not leaf.plain:
            raise Unclear(shown(leaf), "", "write it without quotation marks")
        if leaf.text.lower() not in words:
            raise Unclear(shown(leaf))
        return words[leaf.text.lower()]

    return one("yes or no", parse)


def choice(words: Iterable[str], also: dict[str, str] | None = None) -> Kind:
    """One of some words; `also` maps other spellings to them."""
    known = tuple(words)
    spellings = {w: w for w in known} | (also or {})

    def parse(leaf: Leaf) -> str:
        if leaf.text not in spellings:
            raise Unclear(shown(leaf), "", nearest(leaf.text.lower(), known))
        return spellings[leaf.text]

    return one(", ".join(known[:-1]) + f" or {known[-1]}", parse)


def parsed(expects: str, parse: Callable[[str], Any]) -> Kind:
    return one(expects, lambda leaf: parse(leaf.text))


def pass_mark() -> Kind:
    """`a/b` with 1 <= a <= b."""
    expects = "correct of trials, such as 4/5"

    def parse(leaf: Leaf) -> PassMark:
        match = re.fullmatch(r"\s*([0-9]{1,4})\s*/\s*([0-9]{1,4})\s*", leaf.text)
        if not match:
            hint = "write a percentage as a fraction of the trials" if "%" in leaf.text else ""
            raise Unclear(shown(leaf), "", hint)
        correct, trials = int(match[1]), int(match[2])
        if not 1 <= correct <= trials:
            raise Unclear(shown(leaf), "at least 1 correct, and no more correct than trials")
        return PassMark(correct, trials)

    return one(expects, parse)


def an_id() -> Kind:
    def parse(leaf: Leaf) -> str:
        if not ID.fullmatch(leaf.text):
            raise Unclear(shown(leaf))
        return leaf.text

    return one(AN_ID, parse)


def list_of(
    item: Kind, *, least: int = 0, apart: bool = False, one_alone: bool = True, expects: str = ""
) -> Kind:
    """A list -> a tuple. `apart`: no value twice; `one_alone`: a single value stands for a list of one."""
    expects = expects or f"a list of {item.expects}"

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if isinstance(node, Leaf) and node.is_empty and not least:
            return ()
        if isinstance(node, dict) or (isinstance(node, Leaf) and (node.is_empty or not one_alone)):
            hint = "start each item with a dash, or put the items in [ ]" if isinstance(node, dict) else ""
            notes.error(path, shown(node), expects, hint)
            return MISSING
        if isinstance(node, Leaf):
            value = item.read(node, path, notes)
            return MISSING if value is MISSING else (value,)
        if len(node) < least:
            notes.error(
                path, "an empty list", f"at least {least}: {expects}", "leave the key out for its default"
            )
            return MISSING
        values = [item.read(n, (*path, str(i)), notes) for i, n in enumerate(node, 1)]
        for i, value in enumerate(values):
            if apart and value is not MISSING and value in values[:i]:
                notes.error((*path, str(i + 1)), f"{shown(node[i])} a second time", "each value once")
        return tuple(v for v in values if v is not MISSING)

    return Kind(expects, read)


def ids_or_all(*, least: int = 0) -> Kind:
    """Ids -> a tuple in the order given; `all` -> None."""
    expects = "ids, such as [home, school], or all"
    listed = list_of(an_id(), least=max(least, 1), apart=True, expects=expects)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if isinstance(node, Leaf) and node.text == "all":
            return None
        if node == [] and not least:
            return ()
        if isinstance(node, Leaf) and "," in node.text:
            notes.error(path, shown(node), expects, f"write [{node.text.strip()}] for more than one")
            return MISSING
        return listed.read(node, path, notes)

    return Kind(expects, read)


def table_of(value: Kind, expects: str, name: Callable[[str], str] = str) -> Kind:
    """Keys that a user chooses -> a dict in the order given; `name` may rename a key and raises `Unclear`."""

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if isinstance(node, Leaf) and node.is_empty:
            return {}
        if not isinstance(node, dict):
            notes.error(path, shown(node), expects)
            return MISSING
        entries: dict[str, Any] = {}
        for key, part in node.items():
            try:
                entries[name(key)] = value.read(part, (*path, key), notes)
            except Unclear as problem:
                notes.unclear((*path, key), problem, expects)
        return {k: v for k, v in entries.items() if v is not MISSING}

    return Kind(expects, read)


def _day_windows(node: Node, path: Path, notes: Notes) -> Windows:
    if isinstance(node, Leaf) and node.is_empty:
        hint = (
            'inside { } put several days in quotation marks, such as "mon,wed"; leave a day without hours out'
        )
        notes.error(path, "no value", hours.A_WINDOW, hint)
        return ()
    items = node if isinstance(node, list) else [node]
    found: list[tuple[int, int]] = []
    for i, item in enumerate(items, 1):
        at = (*path, str(i)) if isinstance(node, list) else path
        if not isinstance(item, Leaf):
            notes.error(at, shown(item), hours.A_WINDOW)
            continue
        try:
            found.extend(hours.windows([item.text]))
        except Unclear as problem:
            hint = problem.hint or ("leave a day without hours out" if item.text.isalpha() else "")
            notes.error(at, problem.found, problem.expected, hint)
    return merge(found)


def weekly_hours(*, empty: str = "") -> Kind:
    """Days -> windows. `empty` is the hint for hours without any day, where that is an error."""
    expects = 'days with windows, such as {mon-fri: "15:30-18:30", sat: ["09:30-12:00", "14:00-16:00"]}'

    def read(node: Node, path: Path, notes: Notes) -> Any:
        nothing = node == {} or (isinstance(node, Leaf) and node.is_empty)
        if nothing and not empty:
            return WeeklyHours.never()
        if nothing or not isinstance(node, dict):
            notes.error(path, "no hours" if nothing else shown(node), expects, empty if nothing else "")
            return MISSING
        days: list[list[tuple[int, int]]] = [[] for _ in DAY_NAMES]
        for key, value in node.items():
            found = _day_windows(value, (*path, key), notes)
            try:
                for number in hours.day_numbers(key):
                    days[number].extend(found)
            except Unclear as problem:
                notes.unclear((*path, key), problem, hours.SOME_DAYS)
        return WeeklyHours(tuple(merge(parts) for parts in days))

    return Kind(expects, read)


def absences(why: str) -> Kind:
    item = parsed(hours.AN_ABSENCE, lambda text: hours.absence(text, why))
    listed = list_of(item, expects=f"dates away, such as [{hours.AN_ABSENCE.replace(' or ', ', ')}]")

    def read(node: Node, path: Path, notes: Notes) -> Any:
        found = listed.read(node, path, notes)
        return found if found is MISSING else tuple(sorted(set(found)))

    return Kind(listed.expects, read)


def days_of_week() -> Kind:
    listed = list_of(parsed(hours.SOME_DAYS, hours.day_numbers), least=1, expects=hours.SOME_DAYS)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        found = listed.read(node, path, notes)
        return found if found is MISSING else tuple(sorted({d for group in found for d in group}))

    return Kind(hours.SOME_DAYS, read)


def ascending(item: Kind, expects: str) -> Kind:
    listed = list_of(item, apart=True, expects=expects)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        found = listed.read(node, path, notes)
        return found if found is MISSING else tuple(sorted(found))

    return Kind(expects, read)
