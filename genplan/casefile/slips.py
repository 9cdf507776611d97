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
SWAPPED = 5
"""Letters of one that is looked for in the beginning and the end of a longer word with two the wrong way round."""
BESIDE = 4
"""Letters that stand beside a word in a longer one in which a slip in it is looked for: `Kühlschrankmagnte`."""


def _are_words() -> str:
    return pgettext(
        "typed, words of their own that differ by one letter from something small or an allergen, with blanks between",
        "raising grave graves grades graces graphs counter earning earnings ballot ballots linen rosie pears pallet "
        "pallets pompous magnate magneto linden mantel burton cheery peddle peddles shrews barely bailey barney "
        "sulfate cashed pawns candles diary diaries erring hydrogen nitrogen estrogen fingering "
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
    round; of a long word also those from which its beginning or its end is. None for a word of its own."""
    own = ids_in_every_language(_are_words)
    if len(word) < SHORT or word in own:
        return set()
    found = {other for other in known.get(word[:1], ()) if _is_near(word, other)}
    found |= {
        other
        for other in known.get(word[:1], ())
        if SWAPPED <= len(other) <= len(word) - BESIDE
        and (beginning := word[: len(other)]) not in own
        and _are_two_swapped(beginning, other)
    }
    return found if _ends_in_a_word(word, own, known) else found | _in_its_end(word, known)


def _ends_in_a_word(word: str, own: Collection[str], known: Mapping[str, Collection[str]]) -> bool:
    """Whether its end is spelled rightly: as a word of its own, or one that is known."""
    ends = (word[at:] for at in range(1, len(word) - SHORT + 1))
    return any(end in own or end in known.get(end[:1], ()) for end in ends)


def _in_its_end(word: str, known: Mapping[str, Collection[str]]) -> set[str]:
    """Not another letter, nor one too many that is not typed twice: `entsperren` would be beads, `distribution` a
    button, and `Strickliesel` a pebble. The last letter stays, as that is how words are inflected: `Hubschrauber`."""
    ends = (word[at:] for at in range(BESIDE, len(word) - SWAPPED + 1))
    return {
        other
        for end in ends
        for other in known.get(end[0], ())
        if (len(other) >= SWAPPED and _are_two_swapped(end, other))
        or (
            len(other) >= LONG_ENOUGH
            and end[-1] == other[-1]
            and (_is_typed_twice(end, other) or (len(end) < len(other) and _is_slip(end, other)))
        )
    }


def _is_typed_twice(word: str, other: str) -> bool:
    return any(word == other[:n] + other[n - 1 :] for n in range(1, len(other) + 1))


def _are_two_swapped(word: str, other: str) -> bool:
    pairs = range(1, len(other) - 1)
    return word != other and any(word == other[:n] + other[n + 1] + other[n] + other[n + 2 :] for n in pairs)


def _is_near(word: str, other: str) -> bool:
    if len(other) >= LONG_ENOUGH:
        return len(word) >= LONG_ENOUGH - 1 and _is_slip(word, other)
    if len(word) > len(other):
        return _is_typed_twice(word, other)
    return _are_two_swapped(word, other)


def _is_slip(word: str, other: str) -> bool:
    pairs = enumerate(zip(word, other, strict=False))
    at = next((n for n, (a, b) in pairs if a != b), min(len(word), len(other)))
    one, two = word[at:], other[at:]
    letter_less_or_more = one[1:] == two or one == two[1:]
    another_letter = one[1:] == two[1:] and one != two
    two_swapped = one[:2] == two[:2][::-1] and one[2:] == two[2:]
    return word != other and (letter_less_or_more or another_letter or two_swapped)
