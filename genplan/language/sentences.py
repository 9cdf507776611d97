"""Words as the beginning of a sentence, and as a noun in one."""

from __future__ import annotations

from genplan.language import speech

NOUNS_HAVE_CAPITALS = frozenset({"de"})


def capital(words: str) -> str:
    """The first letter as a capital, all others as they are: a noun of German, or a name, keeps its own."""
    return words[:1].upper() + words[1:]


def noun(words: str) -> str:
    """What somebody called a thing, as it stands in a sentence of the language of now: in German with a capital."""
    return capital(words) if speech().language in NOUNS_HAVE_CAPITALS else words
