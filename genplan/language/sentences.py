"""Words as the beginning of a sentence."""

from __future__ import annotations


def capital(words: str) -> str:
    """The first letter as a capital, all others as they are: a noun of German, or a name, keeps its own."""
    return words[:1].upper() + words[1:]
