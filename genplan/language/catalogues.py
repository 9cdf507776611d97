"""The catalogues: one for each language and choice of words, found by gettext, each falling back to the next."""

from __future__ import annotations

import gettext
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from pathlib import Path

DOMAIN = "genplan"
LOCALES = Path(__file__).parent / "locale"
LANGUAGES = ("en", "de")
"""The first is the language of the code."""
CALLED = {"en": "English", "de": "Deutsch"}
"""Each by its own name, in every language."""


class Words(StrEnum):
    """`trade`: target, probe, sitting. `plain`: skill, check, visit."""

    TRADE = "trade"
    PLAIN = "plain"


@dataclass(frozen=True)
class Speech:
    """How things are said: a language of `LANGUAGES`, and in which words."""

    language: str = LANGUAGES[0]
    words: Words = Words.TRADE

    def __post_init__(self) -> None:
        if self.language not in LANGUAGES:
            raise ValueError(f"no catalogue for the language {self.language!r}, only for {LANGUAGES}")

    def __hash__(self) -> int:
        """Asked for with every sentence; that of a word of an Enum takes three times as long."""
        return hash(self.language)

    @property
    def catalogues(self) -> tuple[str, ...]:
        """Their folders, the first first: what one does not have is looked up in the next."""
        plain = (f"{self.language}@plain",) if self.words is Words.PLAIN else ()
        return (*plain, self.language)

    @property
    def locale(self) -> str:
        """By which Babel writes dates and lists."""
        return {"en": "en_GB"}.get(self.language, self.language)

    @property
    def tag(self) -> str:
        """What a page says of its language."""
        return self.locale.replace("_", "-")


@lru_cache
def translations(speech: Speech) -> gettext.NullTranslations:
    """Every sentence that is in no catalogue is said as it stands in the code."""
    return gettext.translation(DOMAIN, LOCALES, languages=speech.catalogues, fallback=True)
