"""Sentences of tables that are made once for all languages."""

from __future__ import annotations

from collections.abc import Callable
from typing import overload

from genplan.language.saying import said

Sayable = str | Callable[[], str]
"""A sentence marked by `N_`, or what makes one when it is said."""


def say(sentence: Sayable) -> str:
    """It in the language of now."""
    return sentence() if callable(sentence) else said(sentence)


class Marked:
    """A field of a dataclass that is given a `Sayable`, and says it in the language of now."""

    def __init__(self, default: str = "") -> None:
        self._default = default

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, held: None, owner: type) -> str: ...
    @overload
    def __get__(self, held: object, owner: type) -> str: ...
    def __get__(self, held: object | None, owner: type) -> str:
        return self._default if held is None else say(vars(held)[self._name])

    def __set__(self, held: object, sentence: Sayable) -> None:
        vars(held)[self._name] = sentence
