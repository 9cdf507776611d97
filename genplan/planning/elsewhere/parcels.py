"""Jobs and answers as bytes in which nothing stands that a user wrote.

Every text in a job (an id, an alias, a name, a value of a dimension) has a number in the parcel, and the search works
with a word made of that number; only the sender, who has the list, can say what stood there. The words sort as the
texts do, and a search knows no more of a text than its place in that order, so it finds the same.
"""

from __future__ import annotations

import pickle
import zlib
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from importlib import import_module
from io import BytesIO
from types import BuiltinFunctionType, FunctionType, MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, STRENGTHS
from genplan.plan import ProbeKind
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS

_AMOUNTS = (a.key for a in (*LEARNER_AMOUNTS, *ADULT_AMOUNTS))
OF_THE_PROGRAM = tuple(
    sorted({"", "learner", ADULT, LOCATION, MATERIAL_SET, *STRENGTHS, *map(str, ProbeKind), *_AMOUNTS})
)
"""Texts that the program itself asks for; they go as they are."""

FAST = 1
"""How much work zlib takes: of a job of 150 kB it leaves a ninth, in 2 ms."""


@dataclass(frozen=True)
class Parcel:
    """What is handed on; its `repr`, which a log may hold, says how much it is and nothing else."""

    data: bytes
    alike: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"{type(self).__name__}({len(self.data):,} bytes)"


class Packer:
    """`wrap` makes a parcel of a value, `unwrap` a value of the parcel that came back for it."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def wrap(self, value: Any, alike: tuple[str, ...] = ()) -> Parcel:
        body = _pickled(value, self._number)
        order = sorted(self._numbers)
        places = [0] * len(order)
        for place, text in enumerate(order):
            places[self._numbers[text]] = place
        # how many of the texts come before each of the program's own: by that the words sort among them
        before = [bisect_right(order, own) for own in OF_THE_PROGRAM]
        return Parcel(zlib.compress(pickle.dumps((places, before, body)), FAST), alike)

    def _number(self, text: str) -> int | None:
        return None if text in OF_THE_PROGRAM else self._numbers.setdefault(text, len(self._numbers))

    def unwrap(self, parcel: Parcel) -> Any:
        return _unpickled(zlib.decompress(parcel.data), list(self._numbers))


def opened(parcel: Parcel) -> tuple[Any, Callable[[Any], Parcel]]:
    """On the worker: the value, its texts replaced by words; and what makes a parcel of the answer."""
    places, before, body = pickle.loads(zlib.decompress(parcel.data))
    words = [_word(place, before) for place in places]
    numbers = {word: number for number, word in enumerate(words)}

    def closed(answer: Any) -> Parcel:
        return Parcel(zlib.compress(_pickled(answer, numbers.get), FAST))

    return _unpickled(body, words), closed


def _word(place: int, before: Sequence[int]) -> str:
    """Sorts behind each of the program's own texts that the replaced one sorts behind."""
    own = OF_THE_PROGRAM[bisect_right(before, place) - 1]
    return f"{own} {place:07}"


def _pickled(value: Any, number: Callable[[str], int | None]) -> bytes:
    out = BytesIO()
    _Pickler(out, number).dump(value)
    return out.getvalue()


def _unpickled(data: bytes, words: Sequence[str]) -> Any:
    return _Unpickler(BytesIO(data), words).load()


class _Pickler(pickle.Pickler):
    """Whatever is a text goes by its number. So nothing else may be one: classes and functions go by bytes, dataclasses
    by the values of their fields, members of enumerations by bytes of their names."""

    def __init__(self, out: BytesIO, number: Callable[[str], int | None]) -> None:
        super().__init__(out, protocol=5)
        self._number = number

    def persistent_id(self, thing: Any) -> Any:
        if type(thing) is str:
            number = self._number(thing)
            return b"=" + thing.encode() if number is None else number
        if isinstance(thing, type | FunctionType | BuiltinFunctionType):
            return f"{thing.__module__}:{thing.__qualname__}".encode()
        return None

    def reducer_override(self, thing: Any) -> Any:
        kind: Any = type(thing)
        if isinstance(thing, Enum):
            return _member, (kind, thing.name.encode())
        if is_dataclass(thing) and kind.__reduce__ is object.__reduce__:
            return _made, (kind, *(getattr(thing, name) for name in _fields(kind)))
        if isinstance(thing, ZoneInfo):
            return _zone, ((thing.key or "").encode(),)
        if isinstance(thing, MappingProxyType):
            return _proxy, (dict(thing),)
        return NotImplemented


class _Unpickler(pickle.Unpickler):
    def __init__(self, data: BytesIO, words: Sequence[str]) -> None:
        super().__init__(data)
        self._words = words

    def persistent_load(self, pid: Any) -> Any:
        if isinstance(pid, int):
            return self._words[pid]
        return pid[1:].decode() if pid[:1] == b"=" else _global(pid.decode())


@cache
def _global(path: str) -> Any:
    module, _, name = path.partition(":")
    found: Any = import_module(module)
    for part in name.split("."):
        found = getattr(found, part)
    return found


@cache
def _fields(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


def _made(kind: Any, *values: Any) -> Any:
    """As `copy` makes one: it was checked where it was made."""
    made = object.__new__(kind)
    for name, value in zip(_fields(kind), values, strict=True):
        object.__setattr__(made, name, value)
    return made


def _member(kind: type[Enum], name: bytes) -> Enum:
    return kind[name.decode()]


def _zone(key: bytes) -> ZoneInfo:
    return ZoneInfo(key.decode())


def _proxy(values: Mapping[Any, Any]) -> Mapping[Any, Any]:
    return MappingProxyType(dict(values))
