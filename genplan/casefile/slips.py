"""Words that are a slip of the pen away from a known one: `marbels`, `magnits`, `penut`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from genplan.casefile.ids_from_names import ids_in_every_language
from genplan.language import pgettext

LONG_ENOUGH = 6
"""Letters of a word in which any slip is looked for: among shorter ones too many are one letter apart."""
SHORT = 4
"""Letters of one in which only two letters the wrong way round and a letter typed twice are looked for."""
BESIDE = 4
"""Letters that stand beside a word in a longer one in which a slip in it is looked for: `Kühlschrankmagnte`."""


def _are_words() -> str:
    return pgettext(
        "typed, words of their own that differ by one letter from something small or an allergen, with blanks between",
        "raising grave graves grades graces graphs counter earning earnings ballot ballots linen rosie pears pallet "
        "pallets pompous magnate magneto linden mantel burton cheery peddle peddles shrews barely bailey barney "
        "sulfate cashed pawns candles "
        "manuel countess peasant peasants carb carbs lines",
    )


def by_first_letter(words: Iterable[str]) -> Mapping[str, Collection[str]]:
    """The words that are long enough, as `slips_of` looks them up: hardly anybody is wrong in the first letter."""
    found: dict[str, list[str]] = defaultdict(list)
    for word in sorted({w for w in words if len(w) >= SHORT}):
        found[word[0]].append(word)
    return dict(found)


def slips_of(word: str, known: Mapping[str, Collection[str]]) -> set[str]:
    """The known words from which it is one letter away, as a letter too many, too few, another, or two the wrong way
    round; of a long word also those from which its end is. None for a word of its own."""
    own = ids_in_every_language(_are_words)
    if len(word) < SHORT or word in own:
        return set()
    found = {other for other in known.get(word[:1], ()) if _is_near(word, other)}
    for at in range(BESIDE, len(word) - LONG_ENOUGH + 2):
        if (near := known.get(word[at], ())) and (end := word[at:]) not in own:
            # not another letter: `entsperren` would be beads, and `distribution` a button
            found |= {
                other
                for other in near
                if len(other) >= LONG_ENOUGH
                and _is_slip(end, other)
                and (len(end) != len(other) or sorted(end) == sorted(other))
            }
    return found


def _is_near(word: str, other: str) -> bool:
    if len(other) >= LONG_ENOUGH:
        return len(word) >= LONG_ENOUGH - 1 and _is_slip(word, other)
    if len(word) > len(other):
        return any(word == other[:n] + other[n - 1 :] for n in range(1, len(other) + 1))
    pairs = range(1, len(other) - 1)
    return word != other and any(word == other[:n] + other[n + 1] + other[n] + other[n + 2 :] for n in pairs)


def _is_slip(word: str, other: str) -> bool:
    pairs = enumerate(zip(word, other, strict=False))
    at = next((n for n, (a, b) in pairs if a != b), min(len(word), len(other)))
    one, two = word[at:], other[at:]
    letter_less_or_more = one[1:] == two or one == two[1:]
    another_letter = one[1:] == two[1:] and one != two
    two_swapped = one[:2] == two[:2][::-1] and one[2:] == two[2:]
    return word != other and (letter_less_or_more or another_letter or two_swapped)
