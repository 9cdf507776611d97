"""A field of a table that is made once for all languages."""

from __future__ import annotations

from typing import overload

from genplan.language.saying import said


class Marked:
    """A field of a dataclass that is given a sentence marked by `N_`, and says it in the language of now."""

    def __init__(self, default: str = "") -> None:
        self._default = default

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, held: None, owner: type) -> str: ...
    @overload
    def __get__(self, held: object, owner: type) -> str: ...
    def __get__(self, held: object | None, owner: type) -> str:
        return self._default if held is None else said(vars(held)[self._name])

    def __set__(self, held: object, marked: str) -> None:
        vars(held)[self._name] = marked
