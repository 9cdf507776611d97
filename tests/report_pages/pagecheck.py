"""Reads a page with the standard library's parser, and says what a test asks of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import pairwise

VOID = frozenset({"br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"})
SVG_EMPTY = frozenset({"rect", "line"})
INLINE = frozenset({"a", "bdi", "i", "span", "strong"})
LOADS = frozenset({"script", "iframe", "object", "embed", "link", "img", "form", "input", "base", "video"})
ADDRESSES = frozenset({"href", "src", "srcset", "action", "data", "poster", "xlink:href"})


@dataclass
class Element:
    tag: str
    attributes: dict[str, str]
    parent: Element | None
    children: list[Element | str] = field(default_factory=list)

    @property
    def text(self) -> str:
        inner = "".join(c if isinstance(c, str) else c.text for c in self.children)
        return inner if self.tag in INLINE else f"{inner}\n"

    @property
    def words(self) -> str:
        return " ".join(self.text.split())

    def all(self, *tags: str) -> list[Element]:
        found = []
        for child in self.children:
            if isinstance(child, Element):
                found += [child] if not tags or child.tag in tags else []
                found += child.all(*tags)
        return found

    def with_class(self, name: str) -> list[Element]:
        return [e for e in self.all() if name in e.attributes.get("class", "").split()]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = Element("", {}, None)
        self.here = self.root

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"<{tag}> has an attribute twice"
        element = Element(tag, {name: value or "" for name, value in attrs}, self.here)
        self.here.children.append(element)
        if tag not in VOID:
            self.here = element

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in SVG_EMPTY, f"<{tag}/> is not closed that way in HTML"
        self.here.children.append(Element(tag, {n: v or "" for n, v in attrs}, self.here))

    def handle_endtag(self, tag: str) -> None:
        assert self.here.tag == tag, f"</{tag}> closes <{self.here.tag}>"
        assert self.here.parent is not None
        self.here = self.here.parent

    def handle_data(self, data: str) -> None:
        self.here.children.append(data)


def read(page: str) -> Element:
    """The page as a tree. Fails where a tag is not closed or closed out of order."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    assert reader.here is reader.root, f"<{reader.here.tag}> is never closed"
    return reader.root


def faults(page: str) -> list[str]:
    """What no page of ours may do, whatever is on it."""
    root = read(page)
    every = root.all()
    found = [f"<{e.tag}> runs or loads" for e in every if e.tag in LOADS]
    found += [f"{n} on <{e.tag}>" for e in every for n in e.attributes if n == "style" or n.startswith("on")]
    found += [
        f"address {e.attributes[n]}" for e in every for n in ADDRESSES & set(e.attributes) if outside(e, n)
    ]
    ids = [e.attributes["id"] for e in every if "id" in e.attributes]
    found += [f"id {i} twice" for i in sorted({i for i in ids if ids.count(i) > 1})]
    targets = [e.attributes["href"][1:] for e in root.all("a")]
    targets += [part for e in every for part in e.attributes.get("aria-labelledby", "").split()]
    found += [f"nothing is called {t}" for t in targets if t not in ids]
    found += [f"<th> {e.words!r} without scope" for e in root.all("th") if not e.attributes.get("scope")]
    return found + _heading_faults(root)


def outside(element: Element, name: str) -> bool:
    return not element.attributes[name].startswith("#")


def _heading_faults(root: Element) -> list[str]:
    """One h1, first; no level is skipped on the way down; none is empty."""
    headings = root.all("h1", "h2", "h3", "h4", "h5", "h6")
    levels = [int(h.tag[1]) for h in headings]
    found = [] if levels[:1] == [1] and levels.count(1) == 1 else ["there must be one h1, and first"]
    found += [
        f"h{before} is followed by h{after}" for before, after in pairwise(levels) if after > before + 1
    ]
    return found + [f"an empty {h.tag}" for h in headings if not h.words]
