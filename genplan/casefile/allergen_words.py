"""What people call the known allergens, in every language: an egg is an egg, whatever it is called in a case."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from functools import lru_cache

from genplan.casefile.ids_from_names import id_from
from genplan.language import pgettext
from genplan.language.typed import words_in_every_language

WORDS: Mapping[str, Callable[[], str]] = {
    "gluten": lambda: pgettext("typed, several words with blanks between them", "gluten rye barley oats"),
    "wheat": lambda: pgettext("typed, several words with blanks between them", "wheat"),
    "crustaceans": lambda: pgettext(
        "typed, several words with blanks between them",
        "crustaceans crustacean shrimps shrimp prawns prawn crabs crab shellfish",
    ),
    "egg": lambda: pgettext("typed, several words with blanks between them", "egg eggs"),
    "fish": lambda: pgettext("typed, several words with blanks between them", "fish"),
    "peanut": lambda: pgettext("typed, several words with blanks between them", "peanut peanuts"),
    "soy": lambda: pgettext("typed, several words with blanks between them", "soy soya soybean soybeans"),
    "milk": lambda: pgettext("typed, several words with blanks between them", "milk dairy lactose"),
    "nuts": lambda: pgettext(
        "typed, several words with blanks between them",
        "nuts nut tree-nuts tree-nut hazelnuts hazelnut almonds almond walnuts walnut cashews cashew",
    ),
    "celery": lambda: pgettext("typed, several words with blanks between them", "celery"),
    "mustard": lambda: pgettext("typed, several words with blanks between them", "mustard"),
    "sesame": lambda: pgettext("typed, several words with blanks between them", "sesame"),
    "sulphites": lambda: pgettext(
        "typed, several words with blanks between them", "sulphites sulphite sulfites sulfite"
    ),
    "lupin": lambda: pgettext("typed, several words with blanks between them", "lupin lupins"),
    "molluscs": lambda: pgettext(
        "typed, several words with blanks between them", "molluscs mollusc mussels mussel shellfish"
    ),
    "latex": lambda: pgettext("typed, several words with blanks between them", "latex"),
}
"""Each of `ALLERGENS` -> everyday words for it, or for what Annex II of Regulation (EU) 1169/2011 lists under it."""


def allergens_called(name: str) -> tuple[str, ...]:
    """The known allergens that the id of a word stands for; two, where the word leaves open which is meant."""
    return _by_name().get(name, ())


@lru_cache
def _by_name() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for allergen, words in WORDS.items():
        for name in sorted({id_from(word, (), "") for word in words_in_every_language(words)}):
            found[name] += (allergen,)
    return dict(found)
