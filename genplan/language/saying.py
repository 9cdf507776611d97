"""Saying a sentence: looked up in the catalogue of whoever is spoken to, then filled in.

A sentence is a literal, so that it is found for the catalogue; what changes in it has a name in braces.
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


def locale_of(speech: Speech) -> str:
    """By which Babel writes dates and numbers."""
    return {"en": "en_GB"}.get(speech.language, speech.language)


def _(sentence: str, **values: object) -> str:
    """The sentence in the language of now, `{name}` in it replaced by the value of that name."""
    return _filled(translations(speech()).gettext(sentence), values)


def ngettext(one: str, many: str, n: int, **values: object) -> str:
    """The same for a number `n`, which both may hold as `{n}`."""
    return _filled(translations(speech()).ngettext(one, many, n), {"n": n, **values})


def pgettext(context: str, sentence: str, **values: object) -> str:
    """The same for a word that means one thing here and another there; `context` is for whoever translates it."""
    return _filled(translations(speech()).pgettext(context, sentence), values)


def npgettext(context: str, one: str, many: str, n: int, **values: object) -> str:
    return _filled(translations(speech()).npgettext(context, one, many, n), {"n": n, **values})


def _filled(sentence: str, values: dict[str, object]) -> str:
    return sentence.format(**values) if values else sentence
