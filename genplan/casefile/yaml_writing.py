"""Values -> YAML text on one line, such as a user would have written it."""

from __future__ import annotations

import json
import re

from genplan.casefile.tree import Leaf, Node

_SAFE = re.compile(r"[A-Za-z0-9À-ɏ/][A-Za-z0-9À-ɏ _./'()+;!?€£$%&*@=^<>-]*")
_READ_OTHERWISE = re.compile(
    r"yes|no|on|off|y|n|true|false|null|~|[-+.0-9][-+.0-9_eExXoO]*|[0-9]{4}-[0-9]{2}-[0-9]{2}.*",
    re.IGNORECASE,
)
"""Plain words that programs take for something else than a text."""


def written(node: Node) -> str:
    """A value in flow style."""
    if isinstance(node, Leaf):
        return _leaf(node)
    if isinstance(node, list):
        return "[" + ", ".join(map(written, node)) + "]"
    return "{" + ", ".join(f"{_leaf(Leaf(k, True))}: {written(v)}" for k, v in node.items()) + "}"


def rewritten(node: Leaf, old: str) -> str:
    """A value in the quotation marks that stood around the old one, if it had some."""
    if node.plain:
        return _leaf(node)
    if old.startswith('"'):
        return _quoted(node.text)
    if old.startswith("'") and node.text.isprintable():
        return "'" + node.text.replace("'", "''") + "'"
    return _leaf(node)


def block(key: str, node: Node, indent: int, step: int, ending: str, depth: int) -> str:
    """`key: value` with whole lines for the keys of the first `depth` levels; without the last line end."""
    head = " " * indent + _leaf(Leaf(key, True)) + ":"
    if depth and isinstance(node, dict) and node:
        lines = (block(k, v, indent + step, step, ending, depth - 1) for k, v in node.items())
        return ending.join((head, *lines))
    return f"{head} {written(node)}"


def _leaf(node: Leaf) -> str:
    safe = _SAFE.fullmatch(node.text) and node.text == node.text.strip()
    if node.plain and safe and node.text:
        return node.text
    return node.text if safe and not _READ_OTHERWISE.fullmatch(node.text) else _quoted(node.text)


def _quoted(text: str) -> str:
    """A JSON string is a YAML one in double quotation marks."""
    return json.dumps(text, ensure_ascii=not text.isprintable())
