"""Text on its way out: what no file, no terminal and no calendar can bear is taken out once, here."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from genplan.language.dates import clock as clock  # whoever writes dates finds it here


@lru_cache(maxsize=4000)  # the same names stand in every cell and on every page
def one_line(text: str) -> str:
    """One line: runs of blanks, line ends and control characters become one space, a lone surrogate becomes
    U+FFFD, and what could turn round the words after it is left out. Accents, emoji and the joiners inside them
    stay."""
    return " ".join(bearable(text).split())


def bearable(text: str) -> str:
    """The same of a line in which blanks stand for something: all of them stay."""
    return text if text.isprintable() else text.translate(_BEARABLE)


_BEARABLE = {
    **dict.fromkeys((*range(0x20), *range(0x7F, 0xA0)), " "),
    **dict.fromkeys(range(0xD800, 0xE000), "\N{REPLACEMENT CHARACTER}"),
    **dict.fromkeys(map(ord, "\u2028\u2029"), " "),
    **dict.fromkeys(map(ord, "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")),
}
"""Control characters (category Cc), lone surrogates (Cs), ends of lines and of paragraphs, marks of direction."""


def as_read(id_: str) -> tuple[str | int, ...]:
    """What ids are ordered by where a person reads them: C2 before C10. Never by which anything is decided."""
    return tuple(int(part) if at % 2 else part for at, part in enumerate(re.split("([0-9]+)", id_)))


def in_order(ids: Iterable[str]) -> list[str]:
    """Ids as a person would order them."""
    return sorted(ids, key=as_read)


def ended(text: str) -> str:
    """With a full stop, unless a mark of its own ends it: a person's words, or an alias, may bring one."""
    return text if text.endswith((".", "?", "!", "…")) else f"{text}."
