"""Several things in one sentence: `A, B and C`."""

from __future__ import annotations

from collections.abc import Sequence

from genplan.language.dates import in_english
from genplan.language.saying import ngettext, speech


def and_list(words: Sequence[str]) -> str:
    """`A`, `A and B`, `A, B and C`; empty of nothing."""
    return _joined(words, "and", "standard")


def or_list(words: Sequence[str]) -> str:
    """`A`, `A or B`, `A, B or C`."""
    return _joined(words, "or", "or")


def and_list_of(words: Sequence[str], at_most: int) -> str:
    """The same with no more than so many named: `A, B and 3 others`."""
    left = len(words) - at_most
    others = [ngettext("{n} other", "{n} others", left)] if left > 0 else []
    return and_list([*words[:at_most], *others])


def _joined(words: Sequence[str], word: str, style: str) -> str:
    if len(words) < 2:
        return "".join(words)
    if in_english():
        return f" {word} ".join([", ".join(words[:-1]), words[-1]])
    from babel.lists import format_list

    return format_list(words, style, locale=speech().locale)  # type: ignore[arg-type]
