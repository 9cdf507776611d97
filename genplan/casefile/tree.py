"""Text -> marked tree: mappings, lists and leaves of a YAML text, each with its line, and nothing guessed.

A leaf stays the text that was written: only the key that wants a number, a date or yes/no makes one of it, so
that 16:30 is never 990 and a name such as No stays a name. What is said once and referred to (`&` and `*`, `<<`) is
written out, as often as a case may have keys and values. Tags and several documents are refused: a case needs none,
and each of them can make a file say something else than it shows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import NamedTuple, Union

import yaml

from genplan.casefile.diagnostics import Path, SourceLocation
from genplan.casefile.invisible_characters import cut, escape_invisible
from genplan.casefile.plaintext import text_of
from genplan.casefile.yaml_errors import complaint
from genplan.findings import Finding, nearest
from genplan.language import Speech, _, speech

DEEPEST = 12
LONGEST_KEY = 100
MOST_NODES = 200_000
"""Keys and values of a case, all files together: some four times what a caseload of 300 children takes."""
MOST_WRITTEN_OUT = 100_000
"""Keys and values that are there because of references alone, in one file."""
MOST_FAULTS = 50
MOST_KEPT, BIGGEST_KEPT = 500_000, 3_000_000
"""Bytes of a file whose tree is kept for whoever asks next: sixteen of them are little beside the case itself; of
bigger ones, a caseload in one file, it is the last three, as they are before and after a change."""
JOINS = "<<"
"""The key whose value is groups of keys that count as written beside it."""

# libyaml reads four times as fast; PyYAML is installed without it on some machines.
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Leaf(NamedTuple):
    """`plain` is False for a text in quotation marks or a block."""

    text: str
    plain: bool

    @property
    def is_empty(self) -> bool:
        return self.plain and self.text in ("", "~")


Node = Union[Leaf, "list[Node]", "dict[str, Node]"]


@dataclass
class Tree:
    """What one file says. `root` is empty if the file could not be read (`unread`); `findings` says why. `size` counts
    the keys and values that were looked at, `references` the places that say what stands elsewhere."""

    root: dict[str, Node] = field(default_factory=dict)
    marks: dict[Path, SourceLocation] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    size: int = 0
    references: int = 0
    unread: bool = False


class _Stop(Exception):
    """The rest of the file cannot be understood."""


def read_tree(file: str, data: bytes, most: int = MOST_NODES) -> Tree:
    """The tree of one file, of at most so many keys and values; `file` is its name in findings. Never raises for bad
    content. A page asks for the same file several times in a moment and again in the next, so what was read last is
    known by its bytes, and by the language of what is found in it; all share one tree, and nobody changes it in
    place."""
    if len(data) > BIGGEST_KEPT:
        return _read(file, data, most)
    read = _read_before if len(data) <= MOST_KEPT else _big_read_before
    return read(file, data, most, speech())


@lru_cache(maxsize=16)
def _read_before(file: str, data: bytes, most: int, language: Speech) -> Tree:
    return _read(file, data, most)


@lru_cache(maxsize=3)
def _big_read_before(file: str, data: bytes, most: int, language: Speech) -> Tree:
    return _read(file, data, most)


def _read(file: str, data: bytes, most: int) -> Tree:
    tree = Tree()
    text = text_of(file, data, tree.findings)
    if text is None:
        return replace(tree, unread=True)
    try:
        _Grower(file, text, tree, most).grow()
    except _Stop:
        pass
    except yaml.MarkedYAMLError as problem:
        tree.findings.append(complaint(file, text, problem))
    except yaml.YAMLError:
        tree.findings.append(
            Finding(file, 0, "", _("a character that YAML does not allow"), _("plain UTF-8 text"))
        )
    else:
        return tree
    return replace(tree, root={}, marks={}, unread=True)


class _Grower:
    """Walks the parser's events once. Depth is limited, so recursion is too."""

    def __init__(self, file: str, text: str, tree: Tree, most: int) -> None:
        self.file, self.tree, self.most = file, tree, most
        self.next: Callable[[], yaml.Event] = LOADER(text).get_event
        self.written_out = 0
        self.here = SourceLocation(file, 0)
        """Of what was read last: one for all that stands on a line."""
        self.anchored: dict[str, tuple[Node, Path, int]] = {}
        """What has a name (`&name`), once all of it was read, where it stands, and how many keys and values it has."""

    def grow(self) -> None:
        self.next()
        start = self.next()
        if isinstance(start, yaml.StreamEndEvent):
            found, hint = _("an empty file"), _("delete the file, or write the case into it")
            self.tree.findings.append(Finding(self.file, 0, "", found, _("keys such as 'learners:'"), hint))
            return
        event = self.next()
        root = self._node(event, ())
        if not isinstance(root, dict):
            hint = _("is it the right file? 'genplan new' makes a first case to compare it with")
            self._note(
                event, (), _("{kind} at the top", kind=_kind_of(event)), _("keys such as 'learners:'"), hint
            )
            raise _Stop
        self.tree.root = root
        self.next()
        second = self.next()
        if isinstance(second, yaml.DocumentStartEvent):
            hint = _("take the line '---' out, or make two files of it")
            self._note(second, (), _("a second document after '---'"), _("one document in a file"), hint)
            raise _Stop

    def _node(self, event: yaml.Event, path: Path) -> Node | None:
        """None for what was refused."""
        if isinstance(event, yaml.ScalarEvent) and event.anchor is event.tag is None and len(path) <= DEEPEST:
            return Leaf(event.value, not event.style)  # as most are
        if len(path) > DEEPEST:
            hint = _("look for a bracket or a dash too many")
            self._note(
                event, (), _("lists or keys nested very deep"), _("at most {most} levels", most=DEEPEST), hint
            )
            raise _Stop
        if isinstance(event, yaml.AliasEvent):
            return self._referred(event, path)
        odd, before = self._refuse_extras(event, path), self.tree.size
        node: Node
        if isinstance(event, yaml.ScalarEvent):
            if odd and not event.value:
                return None
            node = Leaf(event.value, not event.style)
        else:
            node = self._list(path) if isinstance(event, yaml.SequenceStartEvent) else self._mapping(path)
        if anchor := getattr(event, "anchor", None):
            self.anchored[anchor] = node, path, self.tree.size - before
        return node

    def _referred(self, event: yaml.AliasEvent, path: Path) -> Node | None:
        """What `*name` stands for, written out. Its parts keep the lines on which they were written."""
        self.tree.references += 1
        name = str(event.anchor)
        if name in self.anchored:
            node, at, size = self.anchored[name]
            self.written_out += size
            if self.written_out > MOST_WRITTEN_OUT:
                found = _("references that write out more than {most} keys and values", most=MOST_WRITTEN_OUT)
                self._note(
                    event, (), found, _("a case of a caseload at most"), _("look at what refers to what")
                )
                raise _Stop
            here = self.tree.marks[path]
            node = self._again_at(event, node, at, path)
            self.tree.marks[path] = here
            return node
        near = nearest(name, self.anchored)
        hint = near or _(
            "write &{name} before the value that is meant, or quotation marks around the text", name=cut(name)
        )
        found = _("a reference (*{name}) to what is not written out before it", name=cut(name))
        self._note(event, path, found, _("the name of a value further up in this file"), hint)
        return None

    def _again_at(self, event: yaml.Event, node: Node, at: Path, path: Path) -> Node:
        """A copy of what stands at one path for another. Each part counts, which bounds a reference to references."""
        if at in self.tree.marks:
            self._mark(event, path, self.tree.marks[at])
        if len(path) > DEEPEST:
            hint = _("look at what refers to what")
            self._note(
                event, path, _("references nested very deep"), _("at most {most} levels", most=DEEPEST), hint
            )
            raise _Stop
        if isinstance(node, Leaf):
            return node
        parts = node.items() if isinstance(node, dict) else ((str(i), n) for i, n in enumerate(node, 1))
        found: dict[str, Node] = {}
        for key, part in parts:
            found[key] = self._again_at(event, part, (*at, key), (*path, key))
        return found if isinstance(node, dict) else list(found.values())

    def _list(self, path: Path) -> list[Node]:
        items: list[Node] = []
        while not isinstance(event := self.next(), yaml.SequenceEndEvent):
            at = (*path, str(len(items) + 1))
            self._mark(event, at)
            if (item := self._node(event, at)) is not None:
                items.append(item)
        return items

    def _mapping(self, path: Path) -> dict[str, Node]:
        entries: dict[str, Node] = {}
        while not isinstance(event := self.next(), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                hint = _("put the key in quotation marks if it begins with [, {, * or &")
                self._note(
                    event,
                    path,
                    _("{kind} as a key", kind=_kind_of(event)),
                    _("a word followed by a colon"),
                    hint,
                )
                raise _Stop
            if not event.anchor is event.tag is None:
                self._refuse_extras(event, path, is_key=True)
            if _is_odd(key := event.value):
                self._odd_key(event, path)
            elif key in entries:
                self._again(event, (*path, key))
            else:
                self._mark(event, at := (*path, key))
                if (value := self._node(self.next(), at)) is not None:
                    entries[key] = value
        return self._joined(event, entries, path) if JOINS in entries else entries

    def _joined(self, event: yaml.Event, entries: dict[str, Node], path: Path) -> dict[str, Node]:
        """The group with the keys of what `<<` names. Its own keys go first, then the first that is named."""
        named, at = entries.pop(JOINS), (*path, JOINS)
        groups = [(named, at)]
        if isinstance(named, list):
            groups = [(part, (*at, str(i))) for i, part in enumerate(named, 1)]
        for group, where in groups:
            if not isinstance(group, dict):
                found = _("a value that has no keys")
                line = self.tree.marks[where].line
                expected, hint = (
                    _("groups of keys, such as <<: *common"),
                    _("name a group with keys of its own"),
                )
                self._note(event, where, found, expected, hint, line)
                continue
            for key in [k for k in group if k not in entries]:
                entries[key] = self._again_at(event, group[key], (*where, key), (*path, key))
        return entries

    def _odd_key(self, event: yaml.ScalarEvent, path: Path) -> None:
        """Refuses a key that would not show as it is, with all that stands under it."""
        found = _("the key '{key}' of {number} characters", key=cut(event.value), number=len(event.value))
        if len(event.value) <= LONGEST_KEY:
            found = _("the key '{key}' with a character that nobody sees", key=escape_invisible(event.value))
        self._note(event, path, found, _("a word on one line, followed by a colon"), _("type the key again"))
        before = dict(self.tree.marks)
        self._node(self.next(), (*path, "…"))
        self.tree.marks = before

    def _again(self, event: yaml.Event, path: Path) -> None:
        first = self.tree.marks[path].line
        found = _("the key '{key}' a second time (first on line {first})", key=path[-1], first=first)
        self._note(event, path, found, _("each key once"), _("join the two, or rename one"))
        before = dict(self.tree.marks)
        self._node(self.next(), path)
        self.tree.marks = before

    def _refuse_extras(self, event: yaml.Event, path: Path, *, is_key: bool = False) -> bool:
        """Whether the event has a tag, or a name where nothing can be meant by it, which is told."""
        assert isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent)
        anchor, tag = event.anchor, event.tag
        if anchor is tag is None:
            return False
        of_nothing = isinstance(event, yaml.ScalarEvent) and not event.value and not event.style
        if anchor and (is_key or of_nothing):
            hint = _("put the text in quotation marks if it begins with &")
            found = _("an anchor (&{name}) with nothing behind it", name=cut(anchor))
            if is_key:
                found = _("an anchor (&{name}) at a key", name=cut(anchor))
            self._note(event, path, found, _("plain values"), hint)
        if tag:
            hint = _("put the text in quotation marks if it begins with !")
            named = cut(tag.replace("tag:yaml.org,2002:", "!!"))
            self._note(event, path, _("a tag ({named})", named=named), _("plain values"), hint)
        return bool(anchor or tag)

    def _mark(self, event: yaml.Event, path: Path, mark: SourceLocation | None = None) -> None:
        """The place of a path: where it is written, or where else its `mark` says."""
        tree = self.tree
        if mark is None and self.here.line != (line := _line(event)):
            self.here = SourceLocation(self.file, line)
        tree.marks[path] = mark or self.here
        tree.size += 1
        if tree.size > self.most:
            found = _("more than {most} keys and values in the files of the case", most=MOST_NODES)
            self._note(event, (), found, _("a case of a caseload at most"), _("is it the right file?"))
            raise _Stop

    def _note(
        self, event: yaml.Event, path: Path, found: str, expected: str, hint: str = "", line: int = 0
    ) -> None:
        line = line or _line(event)
        if len(self.tree.findings) >= MOST_FAULTS:
            found = _("more than {most} faults; the others are not told", most=MOST_FAULTS)
            self.tree.findings.append(Finding(self.file, line, "", found, "", _("mend those that are")))
            raise _Stop
        self.tree.findings.append(Finding(self.file, line, ".".join(path), found, expected, hint))


def _is_odd(key: str) -> bool:
    return len(key) > LONGEST_KEY or not key.isprintable()


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 0


def _kind_of(event: yaml.Event) -> str:
    if isinstance(event, yaml.MappingStartEvent):
        return _("a group of keys")
    if isinstance(event, yaml.SequenceStartEvent):
        return _("a list")
    return _("a single value") if isinstance(event, yaml.ScalarEvent) else _("a reference (*)")
