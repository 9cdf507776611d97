"""Answers as JSON and back, led by the type that an answer has: a file can only hold values of that type, and nothing
in it is ever run."""

from __future__ import annotations

import json
import types
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

MEASURED = "measured"
"""The key in a field's metadata that says: how the search went, not what it found. Such a field is not kept."""

Turn = Callable[[Any], Any]


class NotPlain(TypeError):
    """A type, or a value, that cannot be kept."""


def answer_type(function: Callable[..., Any]) -> Any:
    """The type of a function's answers. Raises NotPlain where it says none, or names one that cannot be found."""
    try:
        return get_type_hints(function)["return"]
    except (NameError, KeyError, TypeError) as unknown:
        raise NotPlain(f"{function} does not say what it answers") from unknown


def written(hint: Any, value: Any) -> bytes:
    """Raises NotPlain where the value is not of the type."""
    return json.dumps(_writer(hint)(value), separators=(",", ":")).encode()


def read(hint: Any, data: bytes) -> Any:
    """What `written` wrote. Raises NotPlain or ValueError for anything else."""
    return _reader(hint)(json.loads(data))


def _writer(hint: Any) -> Turn:
    return _turn(hint, 0)


def _reader(hint: Any) -> Turn:
    return _turn(hint, 1)


@cache
def _turn(hint: Any, way: int) -> Turn:
    """Writes (0) or reads (1) values of one type."""
    if hint in _SIMPLE:
        return _checked(*_SIMPLE[hint][way])
    arguments = get_args(hint)
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _optional(arguments, way)
    if origin is tuple:
        return _tuple(arguments, way)
    if origin is frozenset:
        return _frozenset(arguments[0], way)
    if origin is Mapping or origin is dict:
        return _mapping(arguments, way)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _checked(hint, lambda value: value.value) if way == 0 else hint
    if isinstance(hint, type) and (is_dataclass(hint) or hasattr(hint, "_fields")):
        return _record(hint, way)
    raise NotPlain(f"{hint} is no type that can be kept")


def _checked(kinds: Any, turn: Turn) -> Turn:
    def checked(value: Any) -> Any:
        if not isinstance(value, kinds) or (isinstance(value, bool) and kinds is not bool):
            raise NotPlain(f"{value!r} is no {kinds}")
        return turn(value)

    return checked


def _same(value: Any) -> Any:
    return value


_SIMPLE: Mapping[Any, tuple[tuple[Any, Turn], tuple[Any, Turn]]] = {
    bool: ((bool, _same), (bool, _same)),
    int: ((int, _same), (int, _same)),
    float: (((int, float), _same), ((int, float), _same)),  # whole numbers stay whole
    str: ((str, str), (str, _same)),
    type(None): ((type(None), _same), (type(None), _same)),
    date: ((date, date.isoformat), (str, date.fromisoformat)),
}


def _optional(kinds: tuple[Any, ...], way: int) -> Turn:
    some = [kind for kind in kinds if kind is not type(None)]
    if len(some) != 1:
        raise NotPlain(f"one of {kinds} is no type that can be kept")
    turn = _turn(some[0], way)
    return lambda value: None if value is None else turn(value)


def _listed(value: Any, way: int) -> Any:
    if not isinstance(value, tuple if way == 0 else list):
        raise NotPlain(f"{value!r} is no row of values")
    return value


def _tuple(kinds: tuple[Any, ...], way: int) -> Turn:
    made: Callable[[Any], Any] = list if way == 0 else tuple
    if len(kinds) == 2 and kinds[1] is ...:
        turn = _later(kinds[0], way)
        return lambda value: made(turn(x) for x in _listed(value, way))
    turns = [_later(kind, way) for kind in kinds]
    return lambda value: made(t(x) for t, x in zip(turns, _listed(value, way), strict=True))


def _frozenset(kind: Any, way: int) -> Turn:
    turn = _later(kind, way)
    if way == 0:
        return lambda value: sorted((turn(x) for x in value), key=json.dumps)
    return lambda value: frozenset(turn(x) for x in _listed(value, way))


def _mapping(kinds: tuple[Any, ...], way: int) -> Turn:
    key, held = (_later(kind, way) for kind in kinds)
    if way == 0:
        return lambda value: [[key(k), held(v)] for k, v in value.items()]
    return lambda value: {key(k): held(v) for k, v in (_listed(pair, way) for pair in _listed(value, way))}


def _record(kind: Any, way: int) -> Turn:
    """A dataclass or a named tuple, field by field."""
    hints = get_type_hints(kind)
    told = (
        (f.name for f in fields(kind) if not f.metadata.get(MEASURED)) if is_dataclass(kind) else kind._fields
    )
    turns = {name: _later(hints[name], way) for name in told}

    def write(value: Any) -> Any:
        if type(value) is not kind:
            raise NotPlain(f"{value!r} is no {kind.__name__}")
        return [turn(getattr(value, name)) for name, turn in turns.items()]

    def read(value: Any) -> Any:
        found = zip(turns.items(), _listed(value, way), strict=True)
        return kind(**{name: turn(x) for (name, turn), x in found})

    return write if way == 0 else read


def _later(hint: Any, way: int) -> Turn:
    """The turn of a type that may hold itself: looked up with the first value."""
    return lambda value: _turn(hint, way)(value)
