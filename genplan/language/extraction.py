"""Which sentences the code says, and with which values: from Python by its syntax tree, from templates by Jinja's."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

PACKAGE = Path(__file__).parent.parent
SAID_BY = {
    **dict.fromkeys(("_", "N_", "_html"), ("sentence",)),
    **dict.fromkeys(("ngettext", "nhtml"), ("one", "many")),
    "pgettext": ("context", "sentence"),
    "npgettext": ("context", "one", "many"),
}
"""The functions that say a sentence, and what their first arguments are."""


@dataclass(frozen=True)
class Found:
    """One place in which a sentence is said: `many` is empty where it has no plural. `values` are the names of what is
    filled in; None of a mark, which is filled in elsewhere."""

    file: str
    line: int
    one: str
    many: str = ""
    context: str = ""
    values: frozenset[str] | None = None


class NoLiteral(ValueError):
    """A sentence that no catalogue can hold, since it is put together while the program runs."""


def all_found() -> Iterator[Found]:
    """Of the whole package, in the order of its files."""
    for path in sorted(PACKAGE.rglob("*")):
        if path.suffix == ".py":
            yield from in_python(path.read_text("utf-8"), path.relative_to(PACKAGE).as_posix())
        elif path.suffix == ".html" and path.parent.name == "templates":
            yield from in_template(path.read_text("utf-8"), path.relative_to(PACKAGE).as_posix())


def in_python(source: str, file: str) -> Iterator[Found]:
    """Raises NoLiteral, naming file and line."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAID_BY:
            texts = [a.value if isinstance(a, ast.Constant) else None for a in node.args]
            yield _found(file, node.lineno, node.func.id, texts, [k.arg for k in node.keywords])


def in_template(source: str, file: str) -> Iterator[Found]:
    """Raises NoLiteral, naming file and line."""
    from jinja2 import Environment, nodes

    for node in Environment().parse(source).find_all(nodes.Call):
        if isinstance(node.node, nodes.Name) and node.node.name in SAID_BY:
            texts = [a.value if isinstance(a, nodes.Const) else None for a in node.args]
            yield _found(file, node.lineno, node.node.name, texts, [k.key for k in node.kwargs])


def _found(
    file: str, line: int, function: str, texts: Sequence[object], names: Sequence[str | None]
) -> Found:
    parts = SAID_BY[function]
    if len(texts) < len(parts) or not all(isinstance(t, str) and t for t in texts[: len(parts)]):
        raise NoLiteral(f"{file}:{line}: {function}() is given something else than a literal")
    named = {part: str(text) for part, text in zip(parts, texts, strict=False)}
    values = frozenset(str(name) for name in names) | ({"n"} if "many" in parts else set())
    one = named.get("one") or named["sentence"]
    return Found(
        file,
        line,
        one,
        named.get("many", ""),
        named.get("context", ""),
        None if function == "N_" else frozenset(values),
    )
