"""Changing values in a YAML text and nothing beside them: remarks, order, blanks and quotation marks stay.

The old text and the tree that it shall say go in; each part that differs becomes one small edit. Who calls it
reads the new text back and compares it with that tree.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher

from genplan.casefile.source_spans import KeySpan, SourceSpan, source_spans
from genplan.casefile.tree import Leaf, Node
from genplan.casefile.yaml_writing import block, rewritten, written

LEVELS_IN_LINES = 2
"""A section and a thing in it get lines of their own; what is in a key of a thing stands on the key's line."""


class Unpatchable(ValueError):
    """A value that cannot be changed without losing a remark; `at` is where it stands, in characters."""

    def __init__(self, at: int) -> None:
        self.at = at
        super().__init__("a remark stands between the parts of a value in brackets")


@dataclass(frozen=True)
class Edit:
    """The text at `[start, end)` becomes `text`."""

    start: int
    end: int
    text: str


def patched(text: str, root: dict[str, Node]) -> str:
    """The text changed so that it says `root`. Raises Unpatchable."""
    top = source_spans(text)
    if top is None or not top.entries:
        return _with_end(text) + "".join(
            block(k, v, 0, 2, "\n", LEVELS_IN_LINES) + "\n" for k, v in root.items()
        )
    edits = sorted(_Patch(text).put(top, root, 0), key=lambda e: (e.start, e.end))
    for edit in reversed(
        edits
    ):  # of two at one place what belongs further in was found first, and stands first
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def same(left: Node, right: Node) -> bool:
    """Whether two values say the same, however their texts are broken into lines or quoted."""
    if isinstance(left, Leaf) and isinstance(right, Leaf):
        return left.text.split() == right.text.split()
    if isinstance(left, list) and isinstance(right, list):
        return len(left) == len(right) and all(map(same, left, right))
    if isinstance(left, dict) and isinstance(right, dict):
        return left.keys() == right.keys() and all(same(v, right[k]) for k, v in left.items())
    return False


class _Patch:
    """Finds the edits of one text. `depth` counts the keys from the top."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.ending = "\r\n" if "\r\n" in text else "\n"

    def put(self, spot: SourceSpan, node: Node, depth: int, after: int | None = None) -> Iterator[Edit]:
        """Edits that make the value say `node`; `after` is where its key ends."""
        old = spot.node
        if same(old, node):
            return
        if spot.referring:
            yield Edit(spot.start, spot.end, written(node))
        elif isinstance(old, dict) and isinstance(node, dict) and old.keys() & node.keys():
            yield from self._map_in_flow(spot, node) if spot.flow else self._map(spot, node, depth)
        elif isinstance(old, list) and isinstance(node, list) and old and node and not spot.flow:
            yield from self._list(spot, node)
        elif spot.flow and old:
            self._refuse_remarks(spot)
            yield Edit(spot.start, spot.end, written(node))
        else:
            yield self._whole(spot, node, depth, after)

    def _whole(self, spot: SourceSpan, node: Node, depth: int, after: int | None) -> Edit:
        old = self.text[spot.start : spot.end]
        if isinstance(spot.node, Leaf) and old and not old.startswith(("|", ">")):
            return Edit(
                spot.start, spot.end, rewritten(node, old) if isinstance(node, Leaf) else written(node)
            )
        if after is None:
            return Edit(spot.start, spot.end, written(node))
        begin = self.text.index(":", after) + 1
        if depth < LEVELS_IN_LINES and isinstance(node, dict) and node:
            line = self.text[self._line_start(after) : after]
            indent = len(line) - len(line.lstrip()) + 2
            lines = (block(k, v, indent, 2, self.ending, LEVELS_IN_LINES - depth) for k, v in node.items())
            return Edit(
                begin, max(begin, spot.end), self._remark(begin) + self.ending + self.ending.join(lines)
            )
        end = max(begin, spot.end)
        if self._line_end(begin) < end:
            return Edit(begin, end, f" {written(node)}{self._remark(begin)}")
        return Edit(begin, end, f" {written(node)}")

    def _map(self, spot: SourceSpan, node: dict[str, Node], depth: int) -> Iterator[Edit]:
        for entry in spot.entries:
            if entry.key in node:
                yield from self.put(entry.value, node[entry.key], depth + 1, entry.after)
            else:
                yield self._without_lines(entry.start, entry.value.end)
        fresh = self._fresh(spot, node)
        if fresh:
            indent = self._column((*spot.entries, *spot.joined)[0].start)
            step = self._step(spot, indent)
            lines = [
                block(k, v, indent, step, self.ending, LEVELS_IN_LINES - depth) for k, v in fresh.items()
            ]
            yield self._lines_after(spot.end, lines)

    def _map_in_flow(self, spot: SourceSpan, node: dict[str, Node]) -> Iterator[Edit]:
        gone = [e for e in spot.entries if e.key not in node]
        fresh = self._fresh(spot, node)
        if gone:
            self._refuse_remarks(spot)
            kept = [self._slice(e, e.value.node) for e in spot.joined]
            kept += [self._slice(e, node[e.key]) for e in spot.entries if e.key in node]
            kept += [written({k: v})[1:-1] for k, v in fresh.items()]
            yield Edit(spot.start, spot.end, "{" + ", ".join(kept) + "}")
            return
        for entry in spot.entries:
            yield from self.put(entry.value, node[entry.key], LEVELS_IN_LINES, entry.after)
        if fresh:
            end = max(part.end for part in spot.children)
            yield Edit(end, end, ", " + written(fresh)[1:-1])

    def _fresh(self, spot: SourceSpan, node: dict[str, Node]) -> dict[str, Node]:
        """Keys that are to be written: neither there yet, nor said the same by what `<<` names."""
        there, inherited = {e.key for e in spot.entries}, spot.inherited
        return {
            k: v for k, v in node.items() if k not in there and not (k in inherited and same(inherited[k], v))
        }

    def _slice(self, entry: KeySpan, node: Node) -> str:
        """An entry as it stands, but for a value that changes."""
        text = self.text[entry.start : entry.value.end]
        if same(entry.value.node, node):
            return text
        return f"{self.text[entry.start : entry.after]}: {written(node)}"

    def _list(self, spot: SourceSpan, node: list[Node]) -> Iterator[Edit]:
        """Items that stay keep their lines and the remarks on them."""
        old = [_key(s.node) for s in spot.items]
        for what, a, b, c, d in SequenceMatcher(
            None, old, [_key(n) for n in node], autojunk=False
        ).get_opcodes():
            if what == "equal":
                continue
            fresh = node[c:d]
            for item in spot.items[a:b]:
                if fresh and what == "replace":
                    yield from self._item(item, fresh.pop(0))
                else:
                    yield self._without_lines(item.start, item.end)
            if fresh:
                indent = self._column(self.text.rindex("-", 0, spot.items[0].start))
                lines = [" " * indent + "- " + written(n) for n in fresh]
                before = spot.items[b - 1].end if b else None
                yield (
                    self._lines_before(spot.items[0].start, lines)
                    if before is None
                    else self._lines_after(before, lines)
                )

    def _item(self, item: SourceSpan, node: Node) -> Iterator[Edit]:
        """An item in the place of another. One that keeps its first key, behind the hyphen, changes within."""
        keeps_first = isinstance(node, dict) and bool(item.entries) and item.entries[0].key in node
        if item.flow or (keeps_first and not item.joined):
            yield from self.put(item, node, LEVELS_IN_LINES)
        else:
            yield Edit(item.start, item.end, written(node))

    def _refuse_remarks(self, spot: SourceSpan) -> None:
        inner = [spot]
        while inner:
            part = inner.pop()
            if not isinstance(part.node, Leaf) and "#" in part.gaps(self.text):
                raise Unpatchable(spot.start)
            inner += [c for c in part.children if not isinstance(c.node, Leaf)]

    def _without_lines(self, start: int, end: int) -> Edit:
        return Edit(self._line_start(start), self._next_line(end), "")

    def _lines_after(self, end: int, lines: list[str]) -> Edit:
        at = self._next_line(end)
        missing = "" if self.text[:at].endswith(("\n", "\r")) else self.ending
        return Edit(at, at, missing + "".join(line + self.ending for line in lines))

    def _lines_before(self, start: int, lines: list[str]) -> Edit:
        at = self._line_start(start)
        return Edit(at, at, "".join(line + self.ending for line in lines))

    def _remark(self, at: int) -> str:
        """The remark on the rest of a line, if there is nothing else on it."""
        rest = self.text[at : self._line_end(at)]
        return rest.rstrip() if rest.strip().startswith("#") else ""

    def _step(self, spot: SourceSpan, indent: int) -> int:
        """How far what is under a key is indented in this place."""
        for entry in spot.entries:
            inner = entry.value
            if inner.entries and not inner.flow:
                return max(1, self._column(inner.start) - indent)
        return 2

    def _column(self, at: int) -> int:
        return at - self._line_start(at)

    def _line_start(self, at: int) -> int:
        return max(self.text.rfind("\n", 0, at), self.text.rfind("\r", 0, at)) + 1

    def _line_end(self, at: int) -> int:
        found = re.compile("[\r\n]").search(self.text, at)
        return found.start() if found else len(self.text)

    def _next_line(self, at: int) -> int:
        found = re.compile("\r\n|\r|\n").search(self.text, at)
        return found.end() if found else len(self.text)


def _key(node: Node) -> str:
    """Equal for values that say the same."""
    return written(_tidy(node))


def _tidy(node: Node) -> Node:
    if isinstance(node, Leaf):
        return Leaf(" ".join(node.text.split()), False)
    if isinstance(node, list):
        return [_tidy(n) for n in node]
    return {k: _tidy(v) for k, v in node.items()}


def _with_end(text: str) -> str:
    return text if not text or text.endswith("\n") else text + "\n"
