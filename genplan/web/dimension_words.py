"""What a dimension of a target is called on a screen: as elsewhere, with a capital as its first letter."""

from __future__ import annotations

from genplan.language.sentences import capital
from genplan.report.names_and_words import clean
from genplan.text.dimension_words import dimension_word


def dimension_label(name: str) -> str:
    word = dimension_word(name)
    return clean(capital(word))
