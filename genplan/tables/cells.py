"""A value of a case <-> the text of a cell. What a cell cannot say in everyday words is written in brackets, as in the
case's own files; so nothing is lost on the way out and back."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from enum import Enum, auto

from genplan.casefile import record_types
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.domain_types import NAMES
from genplan.casefile.patch import same
from genplan.casefile.record_types import Key
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.casefile.yaml_writing import written
from genplan.language import N_, _, said

IN_BRACKETS = N_("a value in brackets as in a case file, such as [home, park]")


class Form(Enum):
    """How a cell is read."""

    TEXT = auto()
    """As it stands."""
    VALUE = auto()
    """A text, or anything in brackets."""
    IDS = auto()
    """Names or ids, apart by commas; or all."""
    ITEMS = auto()
    """Texts, apart by semicolons or lines."""
    WORDS = auto()
    """Short words or numbers, apart by commas or semicolons."""
    GROUP = auto()
    """`adults: 3, locations: 2`."""
    GROUPS = auto()
    """The same more than once, apart by semicolons or lines."""


FORMS = {
    "several": Form.IDS,
    "lines": Form.ITEMS,
    "names": Form.WORDS,
    "words": Form.WORDS,
    "numbers": Form.WORDS,
    "criterion": Form.GROUP,
    "patterns": Form.GROUPS,
    "varied": Form.VALUE,
    "routes": Form.VALUE,
    "country": Form.VALUE,
}
"""By the widget of a key's field; what is not here is a text."""


def form_of(key: Key) -> Form:
    if not isinstance(key.form, record_types.Field):
        return Form.IDS if key.kind.many_ids else Form.VALUE
    return FORMS.get(key.form.widget, Form.TEXT)


def in_a_cell(expected: str) -> str:
    """What is expected, as it is written in a cell."""
    return _("names, such as egg, milk") if expected == said(NAMES) else expected


def cell_of(form: Form, node: Node) -> str:
    """The words for a value, or the value in brackets where these would say something else."""
    text = _WRITTEN[form](node)
    if text is None or not _says(form, text, node):
        text = written(node) if not isinstance(node, Leaf) else json.dumps(node.text, ensure_ascii=False)
    return text


def node_of(form: Form, text: str) -> Node:
    """What a cell says. Raises InvalidValue."""
    text = text.strip()
    if form is not Form.TEXT and text[:1] in ("[", "{"):
        return _in_brackets(text)
    if text.startswith('"') and text.endswith('"') and len(text) > 1 and form in (Form.TEXT, Form.VALUE):
        return _quoted(text)
    return _READ[form](text)


def _says(form: Form, text: str, node: Node) -> bool:
    if text.strip() in ("", "-") or text != text.strip():
        return False
    try:
        return same(node_of(form, text), node) or same(node_of(form, text), [node])
    except InvalidValue:
        return False


def _in_brackets(text: str) -> Node:
    tree = read_tree("", f"value: {text}\n".encode())
    if tree.findings or "value" not in tree.root:
        raise InvalidValue(f"'{text[:60]}'", said(IN_BRACKETS), _("look whether each bracket is closed"))
    return tree.root["value"]


def _quoted(text: str) -> Node:
    try:
        return Leaf(str(json.loads(text)), False)
    except ValueError:
        return Leaf(text, False)


def _leaf(text: str) -> Leaf:
    """What is typed in a cell is never in quotation marks."""
    return Leaf(text, text not in ("", "~"))


def _items(text: str, apart: str) -> list[Node]:
    return [_leaf(part.strip()) for part in re.split(apart, text) if part.strip()]


def _ids(text: str) -> Node:
    return Leaf("all", True) if text.lower() == "all" else _items(text, "[,;\n]")


def _group(text: str) -> Node:
    found: dict[str, Node] = {}
    for part in filter(str.strip, text.split(",")):
        name, colon, value = part.partition(":")
        if not colon or not name.strip() or not value.strip():
            hint = _("write the name, a colon and the value")
            raise InvalidValue(f"'{part.strip()}'", _("such as adult: mum, location: home"), hint)
        if name.strip() in found:
            raise InvalidValue(
                _("'{name}' a second time", name=name.strip()),
                _("each name once"),
                _("put a semicolon between two of them"),
            )
        found[name.strip()] = _leaf(value.strip())
    return found


_READ: dict[Form, Callable[[str], Node]] = {
    Form.TEXT: _leaf,
    Form.VALUE: _leaf,
    Form.IDS: _ids,
    Form.ITEMS: lambda text: _items(text, "[;\n]"),
    Form.WORDS: lambda text: _items(text, "[,;\n]"),
    Form.GROUP: _group,
    Form.GROUPS: lambda text: [_group(part) for part in re.split("[;\n]", text) if part.strip()],
}


def _text_written(node: Node) -> str | None:
    return node.text if isinstance(node, Leaf) else None


def _list_written(apart: str) -> Callable[[Node], str | None]:
    def write(node: Node) -> str | None:
        parts = node if isinstance(node, list) else [node]
        return apart.join(n.text for n in parts if isinstance(n, Leaf)) if parts else None

    return write


def _group_written(node: Node) -> str | None:
    if not isinstance(node, dict):
        return None
    return ", ".join(f"{k}: {v.text}" for k, v in node.items() if isinstance(v, Leaf))


def _groups_written(node: Node) -> str | None:
    parts = node if isinstance(node, list) else [node]
    return "; ".join(_group_written(part) or "" for part in parts)


_WRITTEN: dict[Form, Callable[[Node], str | None]] = {
    Form.TEXT: _text_written,
    Form.VALUE: _text_written,
    Form.IDS: _list_written(", "),
    Form.ITEMS: _list_written("; "),
    Form.WORDS: _list_written(", "),
    Form.GROUP: _group_written,
    Form.GROUPS: _groups_written,
}
