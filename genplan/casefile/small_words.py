"""What people call things that are usually small enough to be swallowed, in every language. Common practice, no source:
whoever has the thing in the hand is asked, and knows better."""

from __future__ import annotations

from functools import lru_cache

from genplan.casefile.allergen_words import LONG_IN_A_NAME, ends_of
from genplan.casefile.ids_from_names import id_from, whole_id
from genplan.language import pgettext
from genplan.language.typed import words_in_every_language


def _small_words() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "bead beads marble marbles button buttons coin coins penny pennies pebble pebbles dice sequin sequins pom-pom "
        "pom-poms pompom pompoms pea peas lentil lentils bean beans chickpea chickpeas raisin raisins nut nuts peanut "
        "peanuts hazelnut hazelnuts almond almonds grape grapes cherry cherries blueberry blueberries popcorn acorn "
        "acorns chestnut chestnuts confetti rhinestone rhinestones seed seeds",
    )


def _other_things() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "beanbag beanbags bean-bag bean-bags beanie beanies bean-soup pea-soup lentil-soup coconut coconuts doughnut "
        "doughnuts donut donuts nutcracker grapefruit grapefruits grape-juice cherry-juice almond-milk peanut-butter",
    )


@lru_cache
def usually_small(name: str) -> bool:
    """`Small beads`, `Holzperlen`, `Glasmurmel`. A short word has to stand by itself: there is no pea in a peacock."""
    words = f"-{whole_id(name)}-"
    for other in _ids_of(_other_things):
        words = words.replace(f"-{other}-", "--")
    small = _ids_of(_small_words)
    apart = (word for word in words.split("-") if word)
    return any(f"-{word}-" in words for word in small if "-" in word) or any(
        not small.isdisjoint(ends_of(word, LONG_IN_A_NAME, LONG_IN_A_NAME)) for word in apart
    )


@lru_cache
def _ids_of(words: object) -> frozenset[str]:
    assert callable(words)
    return frozenset(id_from(word, (), "") for word in words_in_every_language(words))
