"""What people call things that are usually small enough to be swallowed, or have a magnet or a battery, or are
balloons, in every language. Common practice, no source: whoever has the thing in the hand is asked, and knows
better."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence, Set
from functools import lru_cache
from operator import contains

from genplan.case.safety import NEVER_PLANNED
from genplan.casefile.allergen_words import LONG_IN_A_NAME, ends_of
from genplan.casefile.ids_from_names import MOST_NAMES, ids_in_every_language, whole_id
from genplan.casefile.slips import by_first_letter, slips_of
from genplan.language import pgettext


def _small_words() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "bead beads marble marbles button buttons coin coins penny pennies pebble pebbles dice sequin sequins pom-pom "
        "pom-poms pompom pompoms pea peas lentil lentils bean beans chickpea chickpeas raisin raisins nut nuts peanut "
        "peanuts hazelnut hazelnuts almond almonds grape grapes cherry cherries blueberry blueberries popcorn acorn "
        "acorns chestnut chestnuts confetti rhinestone rhinestones seed seeds pearl pearls gemstone gemstones seashell "
        "seashells earring earrings pellet pellets counters tiddlywinks gravel paperclip paperclips paper-clip "
        "paper-clips thumbtack thumbtacks drawing-pin drawing-pins safety-pin safety-pins hairpin hairpins screw "
        "screws googly-eye googly-eyes candies sweetie sweeties gumdrop gumdrops jellybean jellybeans marshmallow "
        "marshmallows cranberry cranberries beeds peg pegs pegboard pegboards lego finger-ring finger-rings gold-ring "
        "gold-rings silver-ring silver-rings wedding-ring wedding-rings",
    )


def _other_things() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "beanbag beanbags bean-bag bean-bags beanie beanies bean-soup pea-soup lentil-soup coconut coconuts doughnut "
        "doughnuts donut donuts nutcracker grapefruit grapefruits grape-juice cherry-juice almond-milk peanut-butter "
        "screwdriver screwdrivers raising "
        "nutshell nutshells encounter encounters caribbean coincidence coincidences prejudice "
        "peasant peasants buttonless grapevine grapevines marbled marbling mandela bitcoin bitcoins "
        "stalking clothes-peg clothes-pegs tent-peg tent-pegs",
    )


def _magnets_and_batteries() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "magnet magnets magnetic battery batteries button-cell button-cells electric electronic singing talking "
        "musical flashing blinking glowing light-up remote-control remote-controlled torch torches flashlight "
        "flashlights music-box toy-phone toy-phones wooden-train wooden-trains toy-train toy-trains train-set "
        "train-sets wooden-railway wooden-railways toy-railway toy-railways fishing-game fishing-games drawing-board "
        "drawing-boards letter-board letter-boards magic-slate magic-slates kitchen-scale kitchen-scales",
    )


def _magnets() -> str:
    return pgettext(
        "typed, things with a magnet within reach, several words with blanks between them",
        "magnet magnets magnetic",
    )


def _button_cells() -> str:
    return pgettext(
        "typed, things with a button cell, several words with blanks between them",
        "button-cell button-cells button-battery button-batteries coin-cell coin-cells singing-card singing-cards "
        "singing-birthday-card singing-greeting-card musical-card musical-cards musical-birthday-card "
        "musical-greeting-card music-card music-cards talking-card talking-cards sound-book sound-books "
        "flickering-candle flickering-candles flameless-candle flameless-candles led-candle led-candles led-tealight "
        "led-tealights led-tea-light led-tea-lights electric-tealight electric-tealights key-finder key-finders "
        "remote-control remote-controls tv-remote coin-battery coin-batteries watch-battery watch-batteries "
        "laser-pointer laser-pointers finger-light finger-lights singing-book singing-books musical-book "
        "musical-books talking-book talking-books",
    )


def _balloons() -> str:
    return pgettext("typed, balloons, several words with blanks between them", "balloon balloons")


_HAZARDS = {"magnet": _magnets, "button-cell": _button_cells, "balloon": _balloons}
"""By the name of the hazard, as `case.safety.NAMED_HAZARDS` has them."""


@lru_cache(MOST_NAMES)
def hazards_named(name: str) -> frozenset[str]:
    """What the name says that is in a thing, or on it: `Fridge magnets`, `Singende Geburtstagskarte`, `Luftballon`."""
    words = whole_id(name)
    return frozenset(hazard for hazard, known in _HAZARDS.items() if _stands_in(known, words))


@lru_cache(MOST_NAMES)
def usually_small(name: str) -> bool:
    """`Small beads`, `Holzperlen`, `Glasmurmel`. A short word has to stand by itself: there is no pea in a peacock."""
    return _stands_in(_small_words, _without_others(name))


@lru_cache(MOST_NAMES)
def to_be_looked_at(name: str) -> bool:
    """Called as what is usually small, or as what has a magnet or a battery: `singing toy phone`."""
    if usually_small(name) or hazards_named(name) & NEVER_PLANNED:
        return True
    return _stands_in(_magnets_and_batteries, _without_others(name))


def _without_others(name: str) -> str:
    """Without the words that are known to be of something else; most names hold none that such a thing begins with."""
    words = whole_id(name)
    if _by_first_word(_other_things).keys().isdisjoint(words.split("-")):
        return words
    words = f"-{words}-"
    for other in ids_in_every_language(_other_things):
        words = words.replace(f"-{other}-", "--")
    return words


@lru_cache(MOST_NAMES)
def _may_be(word: str) -> Set[str]:
    """Itself, what it begins and ends with, and what it is a slip of."""
    return ends_of(word, LONG_IN_A_NAME, LONG_IN_A_NAME) | slips_of(word, _to_slip_in())


def _stands_in(known: Callable[[], str], name: str) -> bool:
    """Whether one of these, of one word or several, stands in a name, its words one after the other."""
    words = [word for word in name.split("-") if word]
    return any(
        len(rest) < len(words) - i and all(map(contains, map(_may_be, words[i + 1 :]), rest))
        for i, word in enumerate(words)
        for rest in _rests(known, word)
    )


@lru_cache(MOST_NAMES)
def _rests(known: Callable[[], str], word: str) -> Sequence[Sequence[str]]:
    """What follows in those of which the first word may be this one: none of most."""
    by_first = _by_first_word(known)
    return [rest for first in by_first.keys() & _may_be(word) for rest in by_first[first]]


@lru_cache
def _by_first_word(words: Callable[[], str]) -> Mapping[str, Collection[Sequence[str]]]:
    """The words after it, of all that begin with it."""
    found: dict[str, list[Sequence[str]]] = defaultdict(list)
    for first, *rest in (id_.split("-") for id_ in ids_in_every_language(words)):
        found[first].append(rest)
    return found


@lru_cache
def _to_slip_in() -> Mapping[str, Collection[str]]:
    """Without what stands in several words: `singing` is too near to signing."""
    return by_first_letter(
        w
        for known in (_small_words, *_HAZARDS.values())
        for w in ids_in_every_language(known)
        if "-" not in w
    )
