"""Text -> marked tree: mappings, lists and leaves of a YAML text, each with its line, and nothing guessed.

A leaf stays the text that was written: only the key that wants a number, a date or yes/no makes one of it, so
that 16:30 is never 990 and a name such as No stays a name. Anchors, aliases, tags and several documents are
refused: a case needs none, and each of them can make a file say something else than it shows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Union

import yaml

from genplan.casefile.notes import Mark, Path
from genplan.casefile.visible import cut, visible
from genplan.findings import Finding

MOST_BYTES = 5_000_000
DEEPEST = 12
LONGEST_KEY = 100
MOST_FAULTS = 50

# libyaml reads four times as fast; PyYAML is installed without it on some machines.
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# Line breaks that only YAML knows would put every later line number off by one.
UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


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
    """What one file says. `root` is empty if the file could not be read; `findings` says why."""

    root: dict[str, Node] = field(default_factory=dict)
    marks: dict[Path, Mark] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)


class _Stop(Exception):
    """The rest of the file cannot be understood."""


def read_tree(file: str, data: bytes) -> Tree:
    """The tree of one file; `file` is its name in findings. Never raises for bad content."""
    tree = Tree()
    text = _text(file, data, tree)
    if text is None:
        return tree
    try:
        _Grower(file, text, tree).grow()
    except _Stop:
        tree.root, tree.marks = {}, {}
    except yaml.MarkedYAMLError as problem:
        tree.root, tree.marks = {}, {}
        tree.findings.append(_not_yaml(file, text, problem))
    except yaml.YAMLError:
        tree.root, tree.marks = {}, {}
        tree.findings.append(Finding(file, 0, "", "a character that YAML does not allow", "plain UTF-8 text"))
    return tree


def _text(file: str, data: bytes, tree: Tree) -> str | None:
    """The text without a byte order mark, or None after a finding."""
    if len(data) > MOST_BYTES:
        found = f"a file of {len(data) / 1_000_000:.1f} MB"
        hint = "is it the right file?"
        tree.findings.append(Finding(file, 0, "", found, f"at most {MOST_BYTES // 1_000_000} MB", hint))
        return None
    if what := other_format(data):
        hint = "save it as plain text with the encoding UTF-8, or take it out of the folder"
        tree.findings.append(Finding(file, 1, "", what, "UTF-8 text", hint))
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = len(re.findall(b"\r\n|\r|\n", data[: problem.start])) + 1
        hint = "save the file again with the encoding UTF-8"
        tree.findings.append(Finding(file, line, "", "a character that is not UTF-8", "UTF-8 text", hint))
        return None
    unseen = UNSEEN.search(text)
    if unseen:
        line = len(re.findall("\r\n|\r|\n", text[: unseen.start()])) + 1
        found = f"an invisible control character (U+{ord(unseen[0]):04X})"
        tree.findings.append(
            Finding(file, line, "", found, "plain text", "delete it and type the line again")
        )
        return None
    return text


class _Grower:
    """Walks the parser's events once. Depth is limited, so recursion is too."""

    def __init__(self, file: str, text: str, tree: Tree) -> None:
        self.file, self.tree = file, tree
        self.events: Iterator[yaml.Event] = yaml.parse(text, Loader=LOADER)

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
            self._note(event, (), _kind_of(event) + " at the top", "keys such as 'learners:'")
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
            self._note(event, (), "lists or keys nested very deep", f"at most {DEEPEST} levels")
            raise _Stop
        if isinstance(event, yaml.AliasEvent):
            found = f"a reference to another place (*{cut(str(event.anchor))})"
            self._note(event, path, found, "the value itself", "write it out again")
            return None
        self._refuse_extras(event, path)
        if isinstance(event, yaml.ScalarEvent):
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
            found = f"the key '{visible(event.value)}' with a character that nobody sees"
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

    def _refuse_extras(self, event: yaml.Event, path: Path) -> None:
        anchor = getattr(event, "anchor", None)
        if anchor:
            hint = "put the text in quotation marks if it begins with &"
            self._note(event, path, f"an anchor (&{cut(anchor)})", "plain values", hint)
        tag = getattr(event, "tag", None)
        if tag:
            hint = "put the text in quotation marks if it begins with !"
            self._note(event, path, f"a tag ({cut(tag)})", "plain values", hint)

    def _mark(self, event: yaml.Event, path: Path) -> None:
        self.tree.marks[path] = Mark(self.file, _line(event))

    def _note(self, event: yaml.Event, path: Path, found: str, expected: str, hint: str = "") -> None:
        if len(self.tree.findings) >= MOST_FAULTS:
            found, expected, hint = (
                "more faults of this kind from here on",
                "none",
                "mend those before it first",
            )
            self.tree.findings.append(Finding(self.file, _line(event), "", found, expected, hint))
            raise _Stop
        self.tree.findings.append(Finding(self.file, _line(event), ".".join(path), found, expected, hint))


def other_format(data: bytes) -> str:
    """What a file is that is no UTF-8 text though its name says so, as far as its first bytes show it."""
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return "a spreadsheet, a text document or another packed file"
    if data.startswith(b"%PDF-"):
        return "a PDF document"
    head = data[:64]
    halves = head[::2].count(0), head[1::2].count(0)
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or (max(halves) > 1 and min(halves) == 0):
        return "text in the encoding UTF-16"
    return ""


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


def _not_yaml(file: str, text: str, problem: yaml.MarkedYAMLError) -> Finding:
    """The parser's complaint in words for somebody who has never read its specification."""
    mark = problem.problem_mark or problem.context_mark
    lines = re.split("\r\n|\r|\n", text)
    number = min(mark.line + 1 if mark else 1, len(lines))
    while number > 1 and not lines[number - 1].strip():
        number -= 1
    line, said = lines[number - 1], f"{problem.context or ''} {problem.problem or ''}"
    found, expected = "a line that does not fit the lines before it", "'key: value' lines, indented alike"
    hint = "compare its indentation with its neighbours', and look for a missing colon or quotation mark"
    if "\t" in line[: len(line) - len(line.lstrip())]:
        found, expected, hint = "a tab at the start of the line", "spaces", "replace the tab by spaces"
    elif "quoted scalar" in said:
        started = problem.context_mark.line + 1 if problem.context_mark else number
        found, expected = (
            f"a quotation mark on line {started} that is never closed",
            "a closing quotation mark",
        )
        number, hint = started, "close it, or put a text that holds ' into double quotation marks"
    elif "flow" in said or "nesting" in said:
        started = problem.context_mark.line + 1 if problem.context_mark else number
        found = f"a bracket opened on line {started} that is not closed in order"
        number = started
        expected, hint = (
            "commas between the parts, and a closing ] or }",
            "look for what is missing from there on",
        )
    elif "mapping values" in said:
        found, expected = (
            "a second colon in the line, or a line indented too far",
            "one 'key: value' in a line",
        )
        hint = "put a text that holds ': ' in quotation marks"
    elif "cannot start any token" in said:
        found, expected = (
            "a value that begins with a sign that YAML keeps for itself (@, ` or %)",
            "a plain value",
        )
        hint = "put it in quotation marks"
    elif "incompatible" in said:
        found, expected, hint = "a %YAML line", "none", "delete the line"
    return Finding(file, number, "", found, expected, hint)
