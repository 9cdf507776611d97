"""Values of a document that the program wrote itself, each of the kind that was written, or the words for what is
there instead."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from genplan.casefile.invisible_characters import cut
from genplan.findings import Finding
from genplan.language import _

T = TypeVar("T")


class FormatError(ValueError):
    """Something that the program did not write so: what was found, under which key, on which line."""

    def __init__(self, found: str, key: str = "", line: int = 0, hint: str = "") -> None:
        self.found, self.key, self.line, self.hint = found, key, line, hint
        super().__init__(found)

    def below(self, key: str) -> FormatError:
        """The same, seen from the thing around it."""
        return FormatError(self.found, f"{key}.{self.key}" if self.key else key, self.line, self.hint)

    def finding(self, file: str, expected: str, hint: str) -> Finding:
        """As it is told of the file; `hint` is for what has none of its own."""
        return Finding(file, self.line, self.key, self.found, expected, self.hint or hint)


def document_of(data: bytes) -> dict[str, Any]:
    """The document in a file's bytes. Raises FormatError for any other file."""
    try:
        document = json.loads(data)
    except json.JSONDecodeError as problem:
        raise FormatError(_("text that breaks off or is changed here"), "", problem.lineno) from None
    except (ValueError, RecursionError):
        raise FormatError(_("something else than UTF-8 text with a week in it")) from None
    if not isinstance(document, dict):
        raise FormatError(_("{shown} in the place of a week", shown=shown(document)))
    return document


def field_of(document: Any, key: str, read: Callable[[Any], T]) -> T:
    """What `read` makes of the value under a key; it raises ValueError or TypeError for another kind of value."""
    if not isinstance(document, Mapping):
        raise FormatError(shown(document))
    if key not in document:
        raise FormatError(_("no '{key}'", key=key), key)
    try:
        return read(document[key])
    except FormatError as problem:
        raise problem.below(key) from None
    except (ValueError, TypeError):
        raise FormatError(shown(document[key]), key) from None


def fields_of(document: Any, **reads: Callable[[Any], Any]) -> dict[str, Any]:
    """What is under each of these keys, each read in its own way."""
    return {key: field_of(document, key, read) for key, read in reads.items()}


def items_of(document: Any, key: str, read: Callable[[Any], T]) -> tuple[T, ...]:
    """What `read` makes of each item of the list under a key; in a finding they count from 1."""
    items = field_of(document, key, _list)
    found = []
    for number, item in enumerate(items, 1):
        try:
            found.append(read(item))
        except FormatError as problem:
            raise problem.below(f"{key}.{number}") from None
    return tuple(found)


def _list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise TypeError
    return value


def text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def integer(value: Any) -> int:
    """A whole number from 0 on; true and false are none."""
    if type(value) is not int or not 0 <= value < 10**9:
        raise ValueError
    return value


def boolean(value: Any) -> bool:
    if not isinstance(value, bool):
        raise TypeError
    return value


def moment_in(zone: ZoneInfo) -> Callable[[Any], datetime]:
    """The reader of a moment with an offset, which gives it in the zone."""

    def read(value: Any) -> datetime:
        moment = datetime.fromisoformat(value)
        if moment.tzinfo is None:
            raise ValueError
        try:
            return moment.astimezone(zone)
        except OverflowError:  # beyond the first or the last year that a date may have
            raise ValueError from None

    return read


def as_written(thing: object, *names: str) -> dict[str, Any]:
    """Fields of a value as a document says them: days and moments in ISO 8601, all else as it is."""
    found = {name: getattr(thing, name) for name in names}
    return {name: v.isoformat() if isinstance(v, date) else v for name, v in found.items()}


def shown(value: Any) -> str:
    """A value in a finding's words."""
    if isinstance(value, Mapping):
        return _("a group of keys")
    return _("a list") if isinstance(value, list) else cut(json.dumps(value, ensure_ascii=False))
