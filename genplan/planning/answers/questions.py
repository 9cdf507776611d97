"""A job as one text: the same for equal jobs in every process, another wherever a value in it is another."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time, timedelta
from enum import Enum
from functools import cache
from json.encoder import encode_basestring_ascii as quoted
from typing import Any
from zoneinfo import ZoneInfo

SHORT = 80
"""Characters up to which a value stands in a text itself; of a longer one stands the digest."""


class Unwritable(TypeError):
    """A value that is no plain one: nothing can be asked of it twice."""


class Questions:
    """Writes jobs as texts. Values that several jobs hold are written once: they are frozen, and known by identity for
    as long as this lives."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[object, str]] = {}

    def text(self, value: object) -> str:
        """Raises Unwritable. A set is written in the order of its texts, a mapping in its own: that may decide."""
        kind = type(value)
        if (simple := _SIMPLE.get(kind)) is not None:
            return simple(value)
        if kind is tuple or kind is list:
            return f"({' '.join(map(self.text, value))})"  # type: ignore[call-overload]
        if isinstance(
            value, str
        ):  # a word of an enumeration is the same as its text, and an answer may hold either
            return quoted(str(value))
        if isinstance(value, Enum):
            return f"{kind.__name__}.{value.name}"
        if isinstance(value, tuple):  # a named one
            return f"{kind.__name__}({' '.join(map(self.text, value))})"
        if isinstance(value, frozenset | set):
            return f"{{{' '.join(sorted(map(self.text, value)))}}}"
        if isinstance(value, Mapping):
            return f"[{' '.join(f'{self.text(k)}:{self.text(v)}' for k, v in value.items())}]"
        if is_dataclass(value):
            return self._of_fields(value)
        raise Unwritable(f"{kind.__qualname__} is no plain value")

    def _of_fields(self, value: Any) -> str:
        known = self._known.get(id(value))
        if known is None:
            kind: Any = type(value)
            parts = (self.text(getattr(value, name)) for name in _names(kind))
            text = f"{kind.__name__}({' '.join(parts)})"
            if len(text) > SHORT:
                text = f"#{hashlib.blake2b(text.encode(), digest_size=32).hexdigest()}"
            # the value is held with its text, so that no other one gets its identity
            known = self._known[id(value)] = (value, text)
        return known[1]


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


def _written(kind: str) -> Callable[[Any], str]:
    return lambda value: f"{kind}'{value}'"


_SIMPLE: Mapping[type, Callable[[Any], str]] = {
    type(None): repr,
    bool: repr,
    int: repr,
    float: float.hex,
    str: quoted,
    date: _written("date"),
    datetime: lambda moment: f"moment'{moment.isoformat()} {moment.tzinfo} {moment.fold}'",
    time: _written("time"),
    timedelta: repr,
    ZoneInfo: _written("zone"),
}
