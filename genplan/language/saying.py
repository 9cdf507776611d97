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
_FILES: ContextVar[Speech | None] = ContextVar("speech of files", default=None)


@contextmanager
def speaking(speech: Speech, files: Speech | None = None) -> Iterator[None]:
    """All that is said inside is said so, in `files` otherwise, if that is given: whoever sits at the page may read
    another language than those for whom the case is written. Each thread and each request has its own."""
    before, before_files = _SPEECH.set(speech), _FILES.set(files)
    try:
        yield
    finally:
        _SPEECH.reset(before)
        _FILES.reset(before_files)


@contextmanager
def for_files() -> Iterator[None]:
    """What is said inside goes into files that people keep or are sent: pages, messages, calendars, sheets."""
    with speaking(speech_of_files()):
        yield


def speech() -> Speech:
    """As it is now."""
    return _SPEECH.get()


def speech_of_files() -> Speech:
    return _FILES.get() or speech()


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
