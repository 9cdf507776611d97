"""Saying a sentence: looked up in the catalogue of whoever is spoken to, then filled in.

A sentence is a literal, so that it is found for the catalogue; what changes in it has a name in braces. What is made
before anybody is spoken to (a table at the top of a module) is marked there by `N_` and said by `said`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from genplan.language.catalogues import Speech, translations

_SPEECH: ContextVar[Speech] = ContextVar("speech", default=Speech())  # noqa: B039 (it is frozen)


@contextmanager
def speaking(speech: Speech) -> Iterator[None]:
    """All that is said inside is said so; each thread and each request has its own."""
    before = _SPEECH.set(speech)
    try:
        yield
    finally:
        _SPEECH.reset(before)


def speech() -> Speech:
    """As it is now."""
    return _SPEECH.get()


def _(sentence: str, /, **values: object) -> str:
    """The sentence in the language of now, `{name}` in it replaced by the value of that name."""
    return _filled(translations(speech()).gettext(sentence), values)


def ngettext(one: str, many: str, number: int, /, **values: object) -> str:
    """The same for a number, which both may hold as `{n}`."""
    return _filled(translations(speech()).ngettext(one, many, number), {"n": number, **values})


def pgettext(context: str, sentence: str, /, **values: object) -> str:
    """The same for a word that means one thing here and another there; `context` is for whoever translates it."""
    return _filled(translations(speech()).pgettext(context, sentence), values)


def npgettext(context: str, one: str, many: str, number: int, /, **values: object) -> str:
    found = translations(speech()).npgettext(context, one, many, number)
    return _filled(found, {"n": number, **values})


def N_(sentence: str, /) -> str:
    """A sentence for the catalogue that is said later, by `said`: of a table that is made once for all languages."""
    return sentence


def said(marked: str, /, **values: object) -> str:
    """What `N_` marked, said now."""
    return _filled(translations(speech()).gettext(marked), values) if marked else marked


def _filled(sentence: str, values: dict[str, object]) -> str:
    return sentence.format(**values) if values else sentence
