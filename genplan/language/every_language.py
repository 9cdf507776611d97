"""A sentence in every language and choice of words: by it a file is known again, whoever it was written for."""

from __future__ import annotations

from genplan.language.catalogues import LANGUAGES, Speech, Words, translations


def in_every_language(marked: str) -> frozenset[str]:
    """All that `N_` marked may have been said as."""
    speeches = (Speech(language, words) for language in LANGUAGES for words in Words)
    return frozenset({marked, *(translations(speech).gettext(marked) for speech in speeches)})
