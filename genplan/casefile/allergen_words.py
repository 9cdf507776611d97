"""What people call the known allergens, in every language: an egg is an egg, whatever it is called in a case."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
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


LONG_ENOUGH = 3
"""Letters of a word that is looked for at the ends of a longer one: an `ei` begins and ends too many."""
LONG_COMPOUND = 5
ENDINGS = ("", "e", "n", "en")
"""What a German compound drops from its first word: `Muschelallergie`."""


@dataclass(frozen=True)
class Found:
    """What stands in the name of an allergy: known allergens, those that a part of a word may mean, all else."""

    known: tuple[str, ...] = ()
    maybe: tuple[str, ...] = ()
    others: tuple[str, ...] = ()


def allergens_called(name: str) -> tuple[str, ...]:
    """The known allergens that the id of a word stands for; two, where the word leaves open which is meant."""
    return _by_name().get(name, ())


def found_in(name: str) -> Found:
    """`egg-allergy`, `eiallergie`: egg. `coconut`: maybe nuts. A word that leaves open which is meant is a maybe."""
    known: list[str] = []
    maybe: list[str] = []
    others: list[str] = []
    words = name.split("-")
    while words:
        size = next((n for n in range(len(words), 0, -1) if allergens_called("-".join(words[:n]))), 1)
        word, words = "-".join(words[:size]), words[size:]
        if word in filling():
            continue
        called = allergens_called(word) or _called_without_filling(word)
        if len(called) == 1:
            known += called
        else:
            maybe += called or _at_an_end(word)
            others.append(word)
    return Found(tuple(dict.fromkeys(known)), tuple(dict.fromkeys(maybe)), tuple(others))


def _called_without_filling(word: str) -> tuple[str, ...]:
    """Of `nussallergie`, `eggs-allergy`."""
    stems = [word.removesuffix(ending) for ending in ("s", "es")]
    stems += [
        word.removesuffix(end) + more for end in filling() if len(end) > LONG_COMPOUND for more in ENDINGS
    ]
    return next((called for stem in stems if stem != word and (called := allergens_called(stem))), ())


def _at_an_end(word: str) -> tuple[str, ...]:
    """`coconut`, `erdnussbutter`, `wachtelei`."""
    found: dict[str, None] = {}
    for name, allergens in sorted(_by_name().items(), key=lambda item: -len(item[0])):
        begins = len(name) >= LONG_ENOUGH and word.startswith(name)
        if begins or (word.endswith(name) and len(word) >= LONG_COMPOUND):
            found |= dict.fromkeys(allergens)
    return tuple(found)


@lru_cache
def filling() -> frozenset[str]:
    """What stands beside the name of an allergen and changes nothing about which it is."""
    return frozenset(id_from(word, (), "") for word in words_in_every_language(_filling_words))


def _filling_words() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "allergy allergies allergic intolerance intolerant to against of a an the all any is has severe "
        "severely mild known",
    )


@lru_cache
def _by_name() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for allergen, words in WORDS.items():
        for name in sorted({id_from(word, (), "") for word in words_in_every_language(words)}):
            found[name] += (allergen,)
    return dict(found)
