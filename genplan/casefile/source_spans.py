"""Where each value of a YAML text stands, in characters, so that one can be changed and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

import yaml

from genplan.casefile.tree import JOINS, LOADER, Leaf, Node


class KeySpan(NamedTuple):
    """A key and its value. `start` and `after` are the key's first character and the one behind its last."""

    key: str
    start: int
    after: int
    value: SourceSpan


class SourceSpan(NamedTuple):
    """A value as it is written.

    node       what it says
    start      offset in the text
    end        exclusive, without line ends and remarks behind it
    flow       written in brackets
    entries    of a table
    joined     `<<` and what it names, each time it stands in a table
    items      of a list
    referring  what is written is `*name`, and `node` stands elsewhere
    """

    node: Node
    start: int
    end: int
    flow: bool = False
    entries: tuple[KeySpan, ...] = ()
    joined: tuple[KeySpan, ...] = ()
    items: tuple[SourceSpan, ...] = ()
    referring: bool = False

    @property
    def children(self) -> Iterator[SourceSpan]:
        yield from self.items
        yield from (e.value for e in sorted((*self.entries, *self.joined), key=lambda e: e.start))

    @property
    def inherited(self) -> dict[str, Node]:
        """What `<<` brings, the first that is named first."""
        found: dict[str, Node] = {}
        for key in self.joined:
            parts = key.value.node if isinstance(key.value.node, list) else [key.value.node]
            for part in parts:
                found |= {k: v for k, v in part.items() if k not in found} if isinstance(part, dict) else {}
        return found

    def gaps(self, text: str) -> str:
        """What is written between the parts: brackets, commas, remarks."""
        parts, at = [], self.start
        for child in self.children:
            parts.append(text[at : child.start])
            at = max(at, child.end)
        return "".join(parts) + text[at : self.end]


@lru_cache(maxsize=4)
def source_spans(text: str) -> SourceSpan | None:
    """The top value of a text without a byte order mark, None for an empty one. The text must be one that
    `read_tree` finds no fault with. Known for the next thing of the same file, too."""
    events: Iterator[yaml.Event] = yaml.parse(text, Loader=LOADER)
    next(events)
    if isinstance(next(events), yaml.StreamEndEvent):
        return None
    return _Spans(text, events).span(next(events))


class _Spans:
    """Walks the parser's events once, as the reader of the tree does."""

    def __init__(self, text: str, events: Iterator[yaml.Event]) -> None:
        self.text, self.events = text, events
        self.anchored: dict[str, Node] = {}

    def span(self, event: yaml.Event) -> SourceSpan:
        start, end = _bounds(event)
        if isinstance(event, yaml.AliasEvent):
            return SourceSpan(
                node=self.anchored[str(event.anchor)], start=start, end=end, flow=True, referring=True
            )
        if isinstance(event, yaml.ScalarEvent):
            end = _without_ends(self.text, start, end) if event.style in ("|", ">") else end
            found = SourceSpan(node=Leaf(event.value, not event.style), start=start, end=end)
        elif isinstance(event, yaml.SequenceStartEvent):
            found = self._list(start, bool(event.flow_style))
        else:
            found = self._table(start, bool(getattr(event, "flow_style", False)))
        if anchor := getattr(event, "anchor", None):
            self.anchored[anchor] = found.node
        return found

    def _list(self, start: int, flow: bool) -> SourceSpan:
        items = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            items.append(self.span(event))
        end = _bounds(event)[1] if flow or not items else items[-1].end
        return SourceSpan(node=[i.node for i in items], start=start, end=end, flow=flow, items=tuple(items))

    def _table(self, start: int, flow: bool) -> SourceSpan:
        entries: list[KeySpan] = []
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            assert isinstance(event, yaml.ScalarEvent)
            value = self.span(next(self.events))
            entries.append(KeySpan(event.value, *_bounds(event), value))
        own = tuple(e for e in entries if e.key != JOINS)
        found = SourceSpan(
            node={},
            start=start,
            end=_bounds(event)[1] if flow or not entries else entries[-1].value.end,
            flow=flow,
            entries=own,
            joined=tuple(e for e in entries if e.key == JOINS),
        )
        return found._replace(node=found.inherited | {e.key: e.value.node for e in own})


def _bounds(event: yaml.Event) -> tuple[int, int]:
    assert event.start_mark
    assert event.end_mark
    return event.start_mark.index, event.end_mark.index


def _without_ends(text: str, start: int, end: int) -> int:
    while end > start and text[end - 1] in "\r\n ":
        end -= 1
    return end
