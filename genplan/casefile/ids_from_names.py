"""An id out of a name: nobody has to think of one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection
from functools import lru_cache

from genplan.casefile.scalar_types import LONGEST_ID
from genplan.language.typed import words_in_every_language

LONGEST = 30
"""Characters of an id that comes from a name; lines with several of them stay lines."""
KEPT_WORDS = frozenset({"all", "none", "otherwise"})
"""Words that mean something else where ids stand."""

_LETTERS = str.maketrans(
    {
        **dict(zip("абвгдезийклмнопрстуфыэі", "abvgdezijklmnoprstufyei", strict=True)),
        "ж": "zh",
        "х": "kh",
        "ц": "ts",
        "ч": "ch",
        "ш": "sh",
        "щ": "shch",
        "ю": "yu",
        "я": "ya",
        "ё": "yo",
        "ъ": "",
        "ь": "",
        "є": "ye",
        "ї": "yi",
        "ґ": "g",
        "ђ": "dj",
        "ј": "j",
        "љ": "lj",
        "њ": "nj",
        "џ": "dz",
        **dict(zip("αβγδεζηικλμνξοπρσςτυω", "abgdeziiklmnxoprsstyo", strict=True)),
        "θ": "th",
        "φ": "f",
        "χ": "ch",
        "ψ": "ps",
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "ð": "d",
        "þ": "th",
        "ı": "i",
        "ä": "ae",
        "ö": "oe",
        "ü": "ue",
        "å": "aa",
        "&": " and ",
    }
)
"""Letters that do not fall apart into a plain one and a mark. Cyrillic and Greek as they are commonly written in Latin
letters, no standard."""
_APOSTROPHES = re.compile("['’‘`´]")
_OTHERS = re.compile("[^a-z0-9]+")
MOST_NAMES = 4096
"""Names of which it is known what they say: a page asks of all things of a case with each change of one."""


def id_from(name: str, taken: Collection[str], otherwise: str, *, longest: int = LONGEST) -> str:
    """An id that is not taken; from `otherwise` and a number where the name's letters are not known here."""
    word = _OTHERS.sub("-", _in_plain_letters(name)).strip("-")
    if len(word) > longest:
        word = word[: longest + 1].rpartition("-")[0] or word[:longest]
    return _free(word or otherwise, taken, numbered=not word)


def _in_plain_letters(name: str) -> str:
    if name.isascii():  # as most are
        return _APOSTROPHES.sub("", name.lower().replace("&", " and "))
    letters = unicodedata.normalize("NFC", name).lower().translate(_LETTERS)
    apart = unicodedata.normalize("NFKD", _APOSTROPHES.sub("", letters)).translate(_LETTERS)
    return apart.encode("ascii", "ignore").decode()


@lru_cache(MOST_NAMES)
def whole_id(name: str, otherwise: str = "") -> str:
    """All words of a name, however long it is: to look for a word in it, not to be an id."""
    return id_from(name, (), otherwise, longest=LONGEST + 8 * len(name))


@lru_cache
def ids_in_every_language(words: Callable[[], str]) -> frozenset[str]:
    """The ids of words, which `words` says with blanks between them, of all languages together: what is typed is looked
    for among them."""
    return frozenset(id_from(word, (), "") for word in words_in_every_language(words))


def _free(word: str, taken: Collection[str], *, numbered: bool) -> str:
    if not numbered and word not in taken and word not in KEPT_WORDS:
        return word
    number = 1 if numbered else 2
    while (found := f"{word[: LONGEST_ID - 4]}-{number}") in taken:
        number += 1
    return found
