"""Values of several parts in a form: rows of choices with a few empty rows to fill in, no script needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from genplan.casefile.tree import Leaf, Node
from genplan.web.handling import Answers
from genplan.web.widgets import Options, Unshowable, items_of, text_of

SPARE = 1
MOST_ROWS = 60

Columns = Sequence[tuple[str, str, Options]]
"""Key, label and choices of each part of a row."""


@dataclass(frozen=True)
class Patterns:
    """Values that go together, as in `taught` and `never`; with `dated` a date beside them, as in `first`. The
    options are (dimension, label) pairs, each with its choices after a tab: see `forms.dimensions`."""

    dated: bool = False
    shape: str = "patterns"

    def show(self, node: Node | None, options: Any) -> Any:
        columns: Columns = options
        rows = []
        for item in [*items_of(node), *({} for _ in range(SPARE))]:
            if not isinstance(item, dict) or item.keys() - {c[0] for c in columns} - {"by"}:
                raise Unshowable
            rows.append({key: text_of(item.get(key)) for key in [c[0] for c in columns] + ["by"]})
        return {"columns": columns, "rows": rows, "dated": self.dated}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        keys = [*answers.all(f"{name}.keys"), *(["by"] if self.dated else [])]
        found: list[Node] = []
        for row in range(MOST_ROWS):
            if not any(answers.has(f"{name}.{row}.{key}") for key in keys):
                break
            part: dict[str, Node] = {
                key: Leaf(answers.one(f"{name}.{row}.{key}"), key == "by")
                for key in keys
                if answers.one(f"{name}.{row}.{key}")
            }
            if part:
                found.append(part)
        return found or None


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
        for row in range(MOST_ROWS):
            if not answers.has(f"{name}.{row}.name"):
                break
            values = [" ".join(v.split()) for v in answers.one(f"{name}.{row}.values").split("\n")]
            key = answers.one(f"{name}.{row}.name")
            if key or any(values):
                found[key or "without-a-name"] = [Leaf(v, False) for v in values if v]
        return found or None


@dataclass(frozen=True)
class Routes:
    """Journeys: two locations and the minutes between them."""

    shape: str = "routes"

    def show(self, node: Node | None, options: Options) -> Any:
        rows = []
        for item in items_of(node):
            ends = items_of(item.get("between")) if isinstance(item, dict) else []
            if not isinstance(item, dict) or len(ends) != 2 or item.keys() - {"between", "minutes"}:
                raise Unshowable
            rows.append((text_of(ends[0]), text_of(ends[1]), text_of(item.get("minutes"))))
        return {"rows": [*rows, *(("", "", "") for _ in range(SPARE))], "options": options}

    def read(self, answers: Answers, name: str, before: Node | None) -> Node | None:
        found: list[Node] = []
        for row in range(MOST_ROWS):
            one, other, minutes = (answers.one(f"{name}.{row}.{key}") for key in ("from", "to", "minutes"))
            if one or other or minutes:
                between: list[Node] = [Leaf(end, True) for end in (one, other) if end]
                found.append({"between": between, **({"minutes": Leaf(minutes, True)} if minutes else {})})
        return found or None
