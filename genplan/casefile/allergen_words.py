"""What people call the known allergens, in every language: an egg is an egg, whatever it is called in a case."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Set
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain

from genplan.casefile.ids_from_names import MOST_NAMES, ids_in_every_language, whole_id
from genplan.casefile.slips import by_first_letter, slips_of
from genplan.language import pgettext

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
    "nuts": lambda: pgettext("typed, several words with blanks between them", "nuts nut"),
    "tree-nuts": lambda: pgettext(
        "typed, several words with blanks between them",
        "tree-nuts tree-nut hazelnuts hazelnut almonds almond walnuts walnut cashews cashew "
        "pistachios pistachio pecans pecan macadamias macadamia",
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


ILLNESSES: Mapping[str, Callable[[], str]] = {
    "gluten": lambda: pgettext(
        "typed, several words with blanks between them",
        "coeliac coeliacs celiac celiacs coeliac-disease celiac-disease",
    ),
}
"""What a child has who must not meet a known allergen. No word for what is in a thing: what is made for such a child,
and called so, most likely holds none."""


MADE_OF: Mapping[str, Callable[[], str]] = {
    "milk": lambda: pgettext(
        "typed, several words with blanks between them",
        "butter cheese cream yoghurt yogurt curd whey casein buttermilk",
    ),
    "egg": lambda: pgettext(
        "typed, several words with blanks between them", "albumen albumin yolk meringue mayonnaise omelette"
    ),
    "fish": lambda: pgettext(
        "typed, several words with blanks between them", "salmon tuna cod haddock trout herring anchovy"
    ),
    "crustaceans": lambda: pgettext("typed, several words with blanks between them", "lobster scampi krill"),
    "molluscs": lambda: pgettext(
        "typed, several words with blanks between them",
        "oyster oysters squid octopus snail snails clam clams",
    ),
    "wheat": lambda: pgettext(
        "typed, several words with blanks between them", "flour spelt semolina couscous bread pasta"
    ),
    "soy": lambda: pgettext("typed, several words with blanks between them", "tofu tempeh edamame"),
    "sesame": lambda: pgettext("typed, several words with blanks between them", "tahini halva hummus"),
    "tree-nuts": lambda: pgettext("typed, several words with blanks between them", "marzipan praline"),
}
"""What is mostly made of a known allergen, or is a kind of it: whoever writes one is asked which is meant. Common
practice, no source; what is missing here is an allergen of its own, as any other word."""


DISHES: Mapping[str, Callable[[], str]] = {
    "egg": lambda: pgettext(
        "typed, several words with blanks between them",
        "pancake pancakes crepe crepes waffle waffles custard pudding cake cakes cupcake cupcakes muffin muffins "
        "brownie brownies biscuit biscuits cookie cookies quiche frittata noodle noodles ice-cream batter trifle "
        "french-toast fried-rice",
    ),
    "milk": lambda: pgettext(
        "typed, several words with blanks between them",
        "pancake pancakes crepe crepes waffle waffles custard pudding cake cakes cupcake cupcakes muffin muffins "
        "brownie brownies biscuit biscuits cookie cookies quiche chocolate ice-cream milkshake porridge pizza lasagne "
        "batter trifle cocoa french-toast formula mashed-potato mashed-potatoes cracker crackers soup soups sandwich "
        "sandwiches sweets candy candies toffee fudge caramel lolly lollies popsicle popsicles muesli granola cereal "
        "cereals",
    ),
    "wheat": lambda: pgettext(
        "typed, several words with blanks between them",
        "pancake pancakes crepe crepes waffle waffles cake cakes cupcake cupcakes muffin muffins brownie brownies "
        "biscuit biscuits cookie cookies cracker crackers noodle noodles spaghetti macaroni pizza toast sandwich "
        "sandwiches pretzel pretzels lasagne quiche batter pastry pie dough",
    ),
    "gluten": lambda: pgettext(
        "typed, several words with blanks between them", "porridge muesli granola cereal malt crispbread"
    ),
    "tree-nuts": lambda: pgettext(
        "typed, several words with blanks between them",
        "muesli granola nougat pesto baklava chocolate trail-mix cookie cookies brownie brownies",
    ),
    "peanut": lambda: pgettext("typed, several words with blanks between them", "satay trail-mix pb"),
    "sesame": lambda: pgettext("typed, several words with blanks between them", "falafel"),
}
"""What usually holds a known allergen, though its name does not say so. Common knowledge, no source: whoever made it
is asked, and knows better."""


LONG_ENOUGH = 3
"""Letters of a word that is looked for anywhere in a longer one: an `ei` stands within too many, and is looked for at
the ends alone."""
BEGINNING = 3
LONG_COMPOUND = 5
LONG_IN_A_NAME = 4
"""Letters of a word at the beginning or the end of a longer one in the name of a thing, which may be of any kind. Of a
shorter one at an end, as the `ei` in `Osterei`, it is asked whether it is meant."""
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
    return _by_name().get(name) or _illnesses().get(name, ())


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
            maybe += called or _within(word)
            others.append(word)
    return Found(tuple(dict.fromkeys(known)), tuple(dict.fromkeys(maybe)), tuple(others))


def _called_without_filling(word: str) -> tuple[str, ...]:
    """Of `nussallergie`, `eggs-allergy`."""
    stems = [word.removesuffix(ending) for ending in ("s", "es")]
    stems += [
        word.removesuffix(end) + more for end in filling() if len(end) > LONG_COMPOUND for more in ENDINGS
    ]
    return next((called for stem in stems if stem != word and (called := allergens_called(stem))), ())


def _within(word: str) -> tuple[str, ...]:
    """`coconut`, `erdnussbutter`, `eipulver`, `vollmilchpulver`, `cheese`."""
    found: dict[str, None] = {}
    for names in (_by_name(), _made_of()):
        for name, allergens in sorted(names.items(), key=lambda item: -len(item[0])):
            at_its_end = word.endswith(name) and not _ends_otherwise(word, name)
            at_an_end = (len(word) >= LONG_COMPOUND and word.startswith(name)) or at_its_end
            if name in word if len(name) >= LONG_ENOUGH else at_an_end:
                found |= dict.fromkeys(allergens)
    return tuple(found)


@lru_cache(MOST_NAMES)
def named_in(name: str) -> tuple[str, ...]:
    """The known allergens that the name of a thing says it holds: `Egg sandwich`, `Milchreis`, `cheese`. A short word
    has to stand by itself: there is no egg in leggings."""
    return tuple(dict.fromkeys(chain.from_iterable(map(_named_by, _words_of(name)))))


@lru_cache(MOST_NAMES)
def may_be_in(name: str) -> tuple[str, ...]:
    """The known allergens that a thing of this name usually holds, or that a part of a word in it, or a slip in one,
    may mean: `Pancakes`, `Osterei`, `Butterbrot`, `penuts`. Those that `named_in` finds are not among them."""
    found, named = chain.from_iterable(map(_maybe_by, _words_of(name))), named_in(name)
    return tuple(a for a in dict.fromkeys(found) if a not in named)


@lru_cache(MOST_NAMES)
def _named_by(word: str) -> tuple[str, ...]:
    """Asked once of a word, which stands in many names."""
    ends = ends_of(word, LONG_IN_A_NAME, LONG_IN_A_NAME)
    return (*_made_of().get(word, ()), *_at_its_ends(ends, _by_name()))


@lru_cache(MOST_NAMES)
def _maybe_by(word: str) -> tuple[str, ...]:
    ends = ends_of(word, LONG_IN_A_NAME, LONG_IN_A_NAME)
    short = ends_of(word, LONG_ENOUGH, 1) & _by_name().keys()
    ends |= {called for called in short if not _ends_otherwise(word, called)}
    slips = slips_of(word, _to_slip_in())
    tables = ((ends, _by_name()), (ends, _made_of()), (ends, _dishes()), (slips, _by_name()))
    return tuple(a for some, table in tables for a in _at_its_ends(some, table))


def _at_its_ends(ends: Set[str], table: Mapping[str, tuple[str, ...]]) -> Iterator[str]:
    """The allergens of the names among these, in the order of the table; most words have none."""
    if not ends.isdisjoint(table):
        yield from (a for called, allergens in table.items() if called in ends for a in allergens)


def ends_of(word: str, at_its_beginning: int, at_its_end: int) -> frozenset[str]:
    """The word, and what it begins and ends with, each of so many letters at least: looked up, since there are some
    hundred names, and each load of a case asks of each thing in it."""
    beginnings = (word[:n] for n in range(at_its_beginning, len(word)))
    return frozenset((word, *beginnings, *(word[-n:] for n in range(at_its_end, len(word)))))


def _ends_otherwise(word: str, called: str) -> bool:
    """Whether the word for a known allergen stands at its end by chance: no egg is in a `Kartoffelbrei`."""
    return any(word.endswith(other) and other.endswith(called) for other in _other_endings())


@lru_cache
def _other_endings() -> tuple[str, ...]:
    return tuple(sorted(ids_in_every_language(_endings_by_chance)))


def _endings_by_chance() -> str:
    return pgettext(
        "ends of words that are no allergen although one seems to stand there, with blanks between them",
        "doughnut",
    )


@lru_cache(MOST_NAMES)
def _words_of(name: str) -> tuple[str, ...]:
    """Without those that are known to be of something else. Two that stand together as one are one."""
    words = f"-{whole_id(name)}-"
    for other in _others() if _begins_another(words) else ():
        words = words.replace(f"-{other}-", "--")
        words = words.replace(other, "") if len(other) > LONG_COMPOUND else words
    apart = tuple(filter(None, words.split("-")))
    if _first_of_several().isdisjoint(apart):
        return apart
    for dish in _of_several_words():
        words = words.replace(f"-{dish}-", f"-{dish.replace('-', '')}-")
    return tuple(filter(None, words.split("-")))


def _begins_another(words: str) -> bool:
    """Whether the first letters of some other thing stand in it: of most names none do, and there are many."""
    return not _beginnings().isdisjoint(words[n : n + BEGINNING] for n in range(len(words)))


@lru_cache
def _beginnings() -> frozenset[str]:
    return frozenset(other[:BEGINNING] for other in _others())


def is_another(name: str) -> bool:
    """A name that is known to be of something else, although it holds the word for a known allergen."""
    return name in _others()


@lru_cache
def _others() -> tuple[str, ...]:
    """The longest first: a `coconut` stands in `coconut-milk`."""
    return tuple(sorted(ids_in_every_language(_other_things), key=lambda name: (-len(name), name)))


def _other_things() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "coconut-milk coconut nutmeg buckwheat butternut eggplant rice-flour corn-flour maize-flour coats boats goats "
        "floats butterfly butterflies toothpaste fishing goldfish jellyfish starfish "
        "soup-spoon soup-spoons soup-bowl soup-bowls soup-plate soup-plates soup-ladle sweets-box sweets-jar "
        "sweets-tin sandwich-box sandwich-boxes sandwich-bag sandwich-bags biscuit-tin cookie-tin cookie-cutter "
        "cookie-cutters christmas-cracker christmas-crackers firecracker nutcracker nutcrackers formula-1 formula-one "
        "lolly-stick lolly-sticks cake-tin cake-stand pizza-cutter "
        "nutshell nutshells nutrition nutritional nutrient nutrients brother throat throats toaster "
        "clamp clamps scream screaming screams selfish fisheries battery "
        "batteries gathering bothering breadth flourish malta barkley austerity "
        "sergei gregg greggs mei meis taipei huawei",
    )


@lru_cache
def filling() -> frozenset[str]:
    """What stands beside the name of an allergen and changes nothing about which it is."""
    return ids_in_every_language(_filling_words)


def _filling_words() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "allergy allergies allergic intolerance intolerant to against of a an the all any is has severe "
        "severely mild known so far yet",
    )


@lru_cache
def _by_name() -> dict[str, tuple[str, ...]]:
    return _allergens_by_word(WORDS)


@lru_cache
def _to_slip_in() -> Mapping[str, Collection[str]]:
    return by_first_letter(_by_name())


@lru_cache
def _illnesses() -> dict[str, tuple[str, ...]]:
    return _allergens_by_word(ILLNESSES)


@lru_cache
def _made_of() -> dict[str, tuple[str, ...]]:
    return _allergens_by_word(MADE_OF)


@lru_cache
def _dishes() -> dict[str, tuple[str, ...]]:
    found = _allergens_by_word(DISHES)
    return found | {d.replace("-", ""): allergens for d, allergens in found.items()}


@lru_cache
def _of_several_words() -> tuple[str, ...]:
    return tuple(dish for dish in _dishes() if "-" in dish)


@lru_cache
def _first_of_several() -> frozenset[str]:
    return frozenset(dish.partition("-")[0] for dish in _of_several_words())


def _allergens_by_word(table: Mapping[str, Callable[[], str]]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for allergen, words in table.items():
        for name in sorted(ids_in_every_language(words)):
            found[name] += (allergen,)
    return dict(found)
