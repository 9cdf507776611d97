"""Text -> marked tree: mappings, lists and leaves of a YAML text, each with its line, and nothing guessed.

A leaf stays the text that was written: only the key that wants a number, a date or yes/no makes one of it, so
that 16:30 is never 990 and a name such as No stays a name. Anchors, aliases, tags and several documents are
refused: a case needs none, and each of them can make a file say something else than it shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Union

import yaml

from genplan.casefile.diagnostics import Path, SourceLocation
from genplan.casefile.invisible_characters import cut, escape_invisible
from genplan.casefile.plaintext import text_of
from genplan.casefile.yaml_errors import complaint
from genplan.findings import Finding

DEEPEST = 12
LONGEST_KEY = 100
MOST_NODES = 200_000
"""Keys and values of a case, all files together: some four times what a caseload of 300 children takes."""
MOST_FAULTS = 50

# libyaml reads four times as fast; PyYAML is installed without it on some machines.
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Leaf:
    """`plain` is False for a text in quotation marks or a block."""

    text: str
    plain: bool

    @property
    def is_empty(self) -> bool:
        return self.plain and self.text in ("", "~")


Node = Union[Leaf, "list[Node]", "dict[str, Node]"]


@dataclass
class Tree:
    """What one file says. `root` is empty if the file could not be read; `findings` says why. `size` counts the keys
    and values that were looked at."""

    root: dict[str, Node] = field(default_factory=dict)
    marks: dict[Path, SourceLocation] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    size: int = 0


class _Stop(Exception):
    """The rest of the file cannot be understood."""


def read_tree(file: str, data: bytes, most: int = MOST_NODES) -> Tree:
    """The tree of one file, of at most so many keys and values; `file` is its name in findings. Never raises for bad
    content."""
    tree = Tree()
    text = text_of(file, data, tree.findings)
    if text is None:
        return tree
    try:
        _Grower(file, text, tree, most).grow()
    except _Stop:
        tree.root, tree.marks = {}, {}
    except yaml.MarkedYAMLError as problem:
        tree.root, tree.marks = {}, {}
        tree.findings.append(complaint(file, text, problem))
    except yaml.YAMLError:
        tree.root, tree.marks = {}, {}
        tree.findings.append(Finding(file, 0, "", "a character that YAML does not allow", "plain UTF-8 text"))
    return tree


class _Grower:
    """Walks the parser's events once. Depth is limited, so recursion is too."""

    def __init__(self, file: str, text: str, tree: Tree, most: int) -> None:
        self.file, self.tree, self.most = file, tree, most
        self.events: Iterator[yaml.Event] = yaml.parse(text, Loader=LOADER)
        self.referred: set[str | None] = set()

    def grow(self) -> None:
        next(self.events)
        start = next(self.events)
        if isinstance(start, yaml.StreamEndEvent):
            found, hint = "an empty file", "delete the file, or write the case into it"
            self.tree.findings.append(Finding(self.file, 0, "", found, "keys such as 'learners:'", hint))
            return
        event = next(self.events)
        root = self._node(event, ())
        if not isinstance(root, dict):
            hint = "is it the right file? 'genplan new' makes a first case to compare it with"
            self._note(event, (), _kind_of(event) + " at the top", "keys such as 'learners:'", hint)
            raise _Stop
        self.tree.root = root
        next(self.events)
        second = next(self.events)
        if isinstance(second, yaml.DocumentStartEvent):
            hint = "take the line '---' out, or make two files of it"
            self._note(second, (), "a second document after '---'", "one document in a file", hint)
            raise _Stop

    def _node(self, event: yaml.Event, path: Path) -> Node | None:
        """None for what was refused."""
        if len(path) > DEEPEST:
            hint = "look for a bracket or a dash too many"
            self._note(event, (), "lists or keys nested very deep", f"at most {DEEPEST} levels", hint)
            raise _Stop
        if isinstance(event, yaml.AliasEvent):
            if event.anchor not in self.referred:
                found = f"a reference to another place (*{cut(str(event.anchor))})"
                self._note(event, path, found, "the value itself", "write it out again")
            self.referred.add(event.anchor)
            return None
        odd = self._refuse_extras(event, path)
        if isinstance(event, yaml.ScalarEvent):
            if odd and not event.value:
                return None
            return Leaf(event.value, not event.style)
        return self._list(path) if isinstance(event, yaml.SequenceStartEvent) else self._mapping(path)

    def _list(self, path: Path) -> list[Node]:
        items: list[Node] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            at = (*path, str(len(items) + 1))
            self._mark(event, at)
            item = self._node(event, at)
            if item is not None:
                items.append(item)
        return items

    def _mapping(self, path: Path) -> dict[str, Node]:
        entries: dict[str, Node] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                hint = "put the key in quotation marks if it begins with [, {, * or &"
                self._note(event, path, f"{_kind_of(event)} as a key", "a word followed by a colon", hint)
                raise _Stop
            self._refuse_extras(event, path)
            key = event.value
            if _is_odd(key):
                self._odd_key(event, path)
                continue
            at = (*path, key)
            if key in entries:
                self._again(event, at)
            else:
                self._mark(event, at)
                value = self._node(next(self.events), at)
                if value is not None:
                    entries[key] = value
        return entries

    def _odd_key(self, event: yaml.ScalarEvent, path: Path) -> None:
        """Refuses a key that would not show as it is, with all that stands under it."""
        found = f"the key '{cut(event.value)}' of {len(event.value)} characters"
        if len(event.value) <= LONGEST_KEY:
            found = f"the key '{escape_invisible(event.value)}' with a character that nobody sees"
        self._note(event, path, found, "a word on one line, followed by a colon", "type the key again")
        before = dict(self.tree.marks)
        self._node(next(self.events), (*path, "…"))
        self.tree.marks = before

    def _again(self, event: yaml.Event, path: Path) -> None:
        first = self.tree.marks[path].line
        found = f"the key '{path[-1]}' a second time (first on line {first})"
        self._note(event, path, found, "each key once", "join the two, or rename one")
        before = dict(self.tree.marks)
        self._node(next(self.events), path)
        self.tree.marks = before

    def _refuse_extras(self, event: yaml.Event, path: Path) -> bool:
        """Whether the event has an anchor or a tag, which is told."""
        anchor = getattr(event, "anchor", None)
        if anchor:
            hint = "put the text in quotation marks if it begins with &"
            self._note(event, path, f"an anchor (&{cut(anchor)})", "plain values", hint)
        tag = getattr(event, "tag", None)
        if tag:
            hint = "put the text in quotation marks if it begins with !"
            named = cut(tag.replace("tag:yaml.org,2002:", "!!"))
            self._note(event, path, f"a tag ({named})", "plain values", hint)
        return bool(anchor or tag)

    def _mark(self, event: yaml.Event, path: Path) -> None:
        self.tree.marks[path] = SourceLocation(self.file, _line(event))
        self.tree.size += 1
        if self.tree.size > self.most:
            found = f"more than {MOST_NODES} keys and values in the files of the case"
            self._note(event, (), found, "a case of a caseload at most", "is it the right file?")
            raise _Stop

    def _note(self, event: yaml.Event, path: Path, found: str, expected: str, hint: str = "") -> None:
        if len(self.tree.findings) >= MOST_FAULTS:
            found = f"more than {MOST_FAULTS} faults; the others are not told"
            expected, hint = "", "mend those that are"
            self.tree.findings.append(Finding(self.file, _line(event), "", found, expected, hint))
            raise _Stop
        self.tree.findings.append(Finding(self.file, _line(event), ".".join(path), found, expected, hint))


def _is_odd(key: str) -> bool:
    return len(key) > LONGEST_KEY or not key.isprintable()


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 0


def _kind_of(event: yaml.Event) -> str:
    if isinstance(event, yaml.MappingStartEvent):
        return "a group of keys"
    if isinstance(event, yaml.SequenceStartEvent):
        return "a list"
    return "a single value" if isinstance(event, yaml.ScalarEvent) else "a reference (*)"
