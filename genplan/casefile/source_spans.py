"""Where each value of a YAML text stands, in characters, so that one can be changed and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import yaml

from genplan.casefile.tree import LOADER, Leaf, Node


@dataclass(frozen=True)
class KeySpan:
    """A key and its value. `start` and `after` are the key's first character and the one behind its last."""

    key: str
    start: int
    after: int
    value: SourceSpan


@dataclass(frozen=True, kw_only=True)
class SourceSpan:
    """A value as it is written.

    node     what it says
    start    offset in the text
    end      exclusive, without line ends and remarks behind it
    flow     written in brackets
    entries  of a table
    items    of a list
    """

    node: Node
    start: int
    end: int
    flow: bool = False
    entries: tuple[KeySpan, ...] = ()
    items: tuple[SourceSpan, ...] = ()

    @property
    def children(self) -> Iterator[SourceSpan]:
        yield from self.items
        yield from (e.value for e in self.entries)

    def gaps(self, text: str) -> str:
        """What is written between the parts: brackets, commas, remarks."""
        parts, at = [], self.start
        for child in self.children:
            parts.append(text[at : child.start])
            at = max(at, child.end)
        return "".join(parts) + text[at : self.end]


def source_spans(text: str) -> SourceSpan | None:
    """The top value of a text without a byte order mark, None for an empty one. The text must be one that
    `read_tree` finds no fault with."""
    root = yaml.compose(text, Loader=LOADER)
    return None if root is None else _spot(root, text)


def _spot(node: yaml.Node, text: str) -> SourceSpan:
    start, end = node.start_mark.index, node.end_mark.index
    if isinstance(node, yaml.ScalarNode):
        block = node.style in ("|", ">")
        return SourceSpan(
            node=Leaf(node.value, not node.style),
            start=start,
            end=_without_ends(text, start, end) if block else end,
        )
    assert isinstance(node, yaml.CollectionNode)
    flow = bool(node.flow_style)
    if isinstance(node, yaml.SequenceNode):
        items = tuple(_spot(v, text) for v in node.value)
        last = end if flow or not items else items[-1].end
        return SourceSpan(
            node=[i.node for i in items], start=start, end=last, flow=flow, entries=(), items=items
        )
    entries = tuple(
        KeySpan(k.value, k.start_mark.index, k.end_mark.index, _spot(v, text)) for k, v in node.value
    )
    last = end if flow or not entries else entries[-1].value.end
    return SourceSpan(
        node={e.key: e.value.node for e in entries}, start=start, end=last, flow=flow, entries=entries
    )


def _without_ends(text: str, start: int, end: int) -> int:
    while end > start and text[end - 1] in "\r\n ":
        end -= 1
    return end
