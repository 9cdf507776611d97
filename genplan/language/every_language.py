"""A sentence in every language and choice of words: by it a file is known again, whoever it was written for."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from genplan.language.catalogues import LANGUAGES, Speech, Words, translations


def in_every_language(marked: str) -> frozenset[str]:
    """All that `N_` marked may have been said as."""
    speeches = (Speech(language, words) for language in LANGUAGES for words in Words)
    return frozenset({marked, *(translations(speech).gettext(marked) for speech in speeches)})


def meant_in_any(typed: str, marked: Iterable[str]) -> str:
    """The one of them that was typed, in whichever language and words; or nothing."""
    return _meanings(tuple(marked)).get(" ".join(typed.casefold().split()), "")


@lru_cache
def _meanings(marked: tuple[str, ...]) -> dict[str, str]:
    return {said.casefold(): one for one in reversed(marked) for said in in_every_language(one)}
