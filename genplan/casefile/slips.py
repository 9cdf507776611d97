"""Words that are a slip of the pen away from a known one: `marbels`, `magnits`, `penut`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from genplan.casefile.ids_from_names import ids_in_every_language
from genplan.language import pgettext

LONG_ENOUGH = 6
"""Letters of a word in which a slip is looked for: among shorter ones too many are one letter apart."""


def _are_words() -> str:
    return pgettext(
        "typed, words of their own that differ by one letter from something small or an allergen, with blanks between",
        "raising grave graves grades graces graphs counter earning earnings ballot ballots linen rosie pears pallet "
        "pallets pompous magnate magneto linden mantel burton cheery peddle peddles shrews barely bailey barney "
        "sulfate cashed pawns candles "
        "manuel countess peasant peasants",
    )


def by_first_letter(words: Iterable[str]) -> Mapping[str, Collection[str]]:
    """The words that are long enough, as `slips_of` looks them up: hardly anybody is wrong in the first letter."""
    found: dict[str, list[str]] = defaultdict(list)
    for word in sorted({w for w in words if len(w) >= LONG_ENOUGH}):
        found[word[0]].append(word)
    return dict(found)


def slips_of(word: str, known: Mapping[str, Collection[str]]) -> set[str]:
    """The known words from which it is one letter away, as a letter too many, too few, another, or two the wrong way
    round. None for a word of its own."""
    near = known.get(word[:1], ())
    if len(word) < LONG_ENOUGH - 1 or not near or word in ids_in_every_language(_are_words):
        return set()
    return {other for other in near if _is_slip(word, other)}


def _is_slip(word: str, other: str) -> bool:
    pairs = enumerate(zip(word, other, strict=False))
    at = next((n for n, (a, b) in pairs if a != b), min(len(word), len(other)))
    one, two = word[at:], other[at:]
    letter_less_or_more = one[1:] == two or one == two[1:]
    another_letter = one[1:] == two[1:] and one != two
    two_swapped = one[:2] == two[:2][::-1] and one[2:] == two[2:]
    return word != other and (letter_less_or_more or another_letter or two_swapped)
