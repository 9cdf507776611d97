"""Values of several parts in a form: rows of choices with a few empty rows to fill in, no script needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, takewhile
from typing import Any

from genplan.casefile.tree import Leaf, Node
from genplan.language import _
from genplan.web.endpoints import Answers
from genplan.web.widgets import Options, Unclear, Unshowable, items_of, text_of

SPARE = 1

Columns = Sequence[tuple[str, str, Options]]
"""Key, label and choices of each part of a row."""


def _rows(answers: Answers, name: str, keys: Sequence[str]) -> Iterator[int]:
    """The numbers of the rows that were sent, all of them."""
    return takewhile(lambda row: any(answers.has(f"{name}.{row}.{key}") for key in keys), count())


@dataclass(frozen=True)
class Patterns:
    """Values that go together, as in `taught` and `never`; with `dated` a date beside them, as in `first`. The
    options are (dimension, label) pairs, each with its choices after a tab: see `forms.dimensions`."""

    dated: bool = False
    shape: str = "patterns"

    def show(self, node: Node | None, options: Any) -> Any:
        items = [*items_of(node), *({} for _ in range(SPARE))]
        columns: Columns = [*options, *_gone(items, {key for key, _, _ in options} | {"by"})]
        rows = []
        for item in items:
            if not isinstance(item, dict) or ("by" in item and not self.dated):
                raise Unshowable
            rows.append({key: text_of(item.get(key)) for key in [c[0] for c in columns] + ["by"]})
        return {"columns": columns, "rows": rows, "dated": self.dated}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        keys = [*answers.all(f"{name}.keys"), *(["by"] if self.dated else [])]
        found: list[Node] = []
        for row in _rows(answers, name, keys):
            part: dict[str, Node] = {
                key: Leaf(answers.one(f"{name}.{row}.{key}"), key == "by")
                for key in keys
                if answers.one(f"{name}.{row}.{key}")
            }
            if part:
                found.append(part)
        return found or None


def _gone(items: Sequence[Node], known: set[str]) -> Columns:
    """Columns for dimensions that the rows name and the target has no more: there they can be emptied."""
    named = dict.fromkeys(key for item in items if isinstance(item, dict) for key in item if key not in known)
    return [(key, key, ()) for key in named]


@dataclass(frozen=True)
class Varied:
    """More dimensions: a name, and the values one on a line."""

    shape: str = "varied"

    def show(self, node: Node | None, options: Options) -> Any:
        if node is not None and not isinstance(node, dict):
            raise Unshowable
        entries = [(k, "\n".join(map(text_of, items_of(v)))) for k, v in (node or {}).items()]
        return [*entries, ("", "")]

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        found: dict[str, Node] = {}
        problems: list[str] = []
        for row in _rows(answers, name, ("name",)):
            values = [" ".join(v.split()) for v in answers.one(f"{name}.{row}.values").split("\n")]
            key = answers.one(f"{name}.{row}.name")
            if not key and not any(values):
                continue
            if not key:
                problems.append(_("values have no name. Say what they are values of, or empty them."))
            while key in found:
                problems.append(
                    _(
                        "the name '{key}' stands twice. Give each its own, or put all values into one.",
                        key=key,
                    )
                )
                key += "-again"
            found[key] = [Leaf(v, False) for v in values if v]
        if problems:
            raise Unclear(problems[0], found)
        return found or None


@dataclass(frozen=True)
class Routes:
    """Journeys: two locations and the minutes between them."""

    shape: str = "routes"

    def show(self, node: Node | None, options: Options) -> Any:
        rows = []
        for item in items_of(node):
            ends = items_of(item.get("between")) if isinstance(item, dict) else []
            if not isinstance(item, dict) or len(ends) > 2 or item.keys() - {"between", "minutes"}:
                raise Unshowable
            start, end = [*map(text_of, ends), "", ""][:2]
            rows.append((start, end, text_of(item.get("minutes"))))
        return {"rows": [*rows, *(("", "", "") for _ in range(SPARE))], "options": options}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        found: list[Node] = []
        for row in _rows(answers, name, ("from", "to", "minutes")):
            one, other, minutes = (answers.one(f"{name}.{row}.{key}") for key in ("from", "to", "minutes"))
            if one or other or minutes:
                between: list[Node] = [Leaf(end, True) for end in (one, other) if end]
                found.append({"between": between, **({"minutes": Leaf(minutes, True)} if minutes else {})})
        return found or None
