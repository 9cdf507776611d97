"""Groups of keys: what a thing's keys are, and the check of a file against them. The tables are in `keys`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import KW_ONLY, dataclass, replace
from typing import Any

from genplan.casefile.composite_types import table_of
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.privacy import InCopy
from genplan.casefile.scalar_types import AN_ID, ID, ID_TEXT, MISSING, FieldType, Schema, id_hint, shown
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest
from genplan.language import N_, Speech, _, said, speaking
from genplan.language.marked import Marked, Sayable, say
from genplan.language.sentences import capital


@dataclass(frozen=True)
class Field:
    """A field of a form. `widget` is a name in `web.forms.WIDGETS`, `args` what that one is made with; `of` names
    what the choices are: a section of the case, or 'dimensions', 'counted', 'other_allergens'."""

    label: Marked = Marked()
    widget: str = "line"
    hint: Marked = Marked()
    _: KW_ONLY
    of: str = ""
    args: tuple[Any, ...] = ()


@dataclass(frozen=True)
class NoField:
    """Why a key has no field in a form: where it is changed instead."""

    why: Marked = Marked()


def as_read(value: Any) -> Any:
    return value


@dataclass(frozen=True)
class Key:
    """All that is said of a key.

    kind      what may be written: its check, and the same as JSON Schema
    words     what it is for, in the reference and the schema
    copy      what becomes of it in a copy without names; it cannot be left out
    form      its field; None for a group whose keys have fields of their own
    default   words for what holds if it is left out. The value itself stands in the dataclass, or in `build` if
              another value decides it
    required  it must be given
    lands     the field of the built value: the key's own name if nothing is said; NOT_THERE: it only decides what else
              may be written; BY_HAND: `build` or `changes` names it
    to        makes what that field holds from what was read
    """

    kind: FieldType
    words: Marked = Marked()
    _: KW_ONLY
    copy: InCopy
    form: Field | NoField | None
    default: Marked = Marked(N_("none"))
    required: bool = False
    lands: str = ""
    to: Callable[[Any], Any] = as_read


def optional(key: Key) -> Key:
    """It as one that may be left out. (`replace` would take its words in the language of now.)"""
    loose = copy(key)
    vars(loose)["required"] = False
    return loose


NOT_THERE, BY_HAND = "-", "*"


Shape = Mapping[str, Key]

KNOWN: dict[str, Shape] = {}
"""Every shape there is, by what it is the keys of; `shape` enters each as the tables of keys are made."""


def shape(of: str, keys: Shape) -> FieldType:
    """A group of known keys -> a dict of those that could be read. An unknown key names the nearest known
    one."""

    KNOWN[of] = keys
    return keys_of(of, keys)


def keys_of(of: Sayable, keys: Shape) -> FieldType:
    """The same of keys that have their table elsewhere."""

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if isinstance(node, Leaf) and node.is_empty:
            node = {}
        if not isinstance(node, dict):
            key = next(iter(keys))
            notes.error(path, shown(node), _("the keys of {what}, such as '{key}: …'", what=say(of), key=key))
            return MISSING
        for key in sorted(node.keys() - keys.keys()):
            near = nearest(key, keys)
            hint = near if f"{key}s" in keys else _belongs(key) or near
            notes.error(
                (*path, key),
                _("the unknown key '{key}'", key=key),
                _("a key of {what} ({keys})", what=say(of), keys=", ".join(keys)),
                hint,
            )
        for key, entry in keys.items():
            if entry.required and key not in node:
                value = entry.kind.expects if entry.kind.expects.isdecimal() else "…"
                notes.error(
                    (*path, key),
                    _("no '{key}'", key=key),
                    entry.kind.expects,
                    _("add '{key}: {value}'", key=key, value=value),
                )
        record = {k: keys[k].kind.read(v, (*path, k), notes) for k, v in node.items() if k in keys}
        return {k: v for k, v in record.items() if v is not MISSING}

    return FieldType(lambda: _("the keys of {what}", what=say(of)), read, _schema(keys), keys)


def _schema(keys: Shape) -> Schema:
    needed = [name for name, key in keys.items() if key.required]
    return {
        "type": "object" if needed else ["object", "null"],
        "properties": {
            name: {"description": described(key), **key.kind.schema} for name, key in keys.items()
        },
        "required": needed,
        "additionalProperties": False,
    }


def described(key: Key) -> str:
    """For editors, in English: a schema is made once for all languages."""
    with speaking(Speech()):
        left_out = "Must be given" if key.required else f"Left out: {key.default}"
        return f"{capital(key.words)}. Write {key.kind.expects}. {left_out}."


def _belongs(key: str) -> str:
    """Where a key that is known elsewhere would belong."""
    places = [name for name, keys in KNOWN.items() if key in keys]
    return _("'{key}' is a key of {kind}", key=key, kind=said(places[0])) if places else ""


def section(of: str, keys: Shape, *, listed: bool = True) -> FieldType:
    """Ids -> records. `listed`: the keys have a table of their own."""
    inner = shape(of, keys) if listed else keys_of(of, keys)

    def name(key: str) -> str:
        if key == "all":
            raise InvalidValue(
                _("the id 'all', which means every one elsewhere"), said(AN_ID), _("choose another id")
            )
        if not ID.fullmatch(key):
            raise InvalidValue(_("the id '{key}'", key=key), said(AN_ID), id_hint(key, names=True))
        return key

    table = table_of(inner, lambda: _("ids with the keys of {what} under each", what=said(of)), name)
    return replace(table, schema={**table.schema, "propertyNames": {"pattern": f"^{ID_TEXT}$"}})
