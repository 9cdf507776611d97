"""Numbers as people type them: `20`, `twenty`, `zwanzig`, `20 minutes`, `half an hour`."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache

from genplan.language.catalogues import LANGUAGES, Speech
from genplan.language.saying import pgettext, speaking
from genplan.language.typed import words_in_every_language

IN_WORDS = (*range(21), 25, 30, 40, 45, 50, 60, 90)
"""The numbers that are understood when they are spelt out."""
MINUTES_IN_HOUR = 60


def number_of(text: str) -> int | None:
    """`20`, `twenty`; None for anything else."""
    typed = text.strip().lower()
    if re.fullmatch(r"[0-9]{1,5}", typed):
        return int(typed)
    return _numbers().get(typed)


def amount_of(text: str, *, in_minutes: bool) -> int | None:
    """The same, with what is counted behind it: of a number of minutes `20 minutes`, `1 hour`, `half an hour`, of any
    other `2 visits`, `5 times`. None for what is not understood: '20 minutes' are no number of visits."""
    typed = re.sub(r"(?<=[0-9])(?=[^\W\d_])", " ", text.strip().lower()).rstrip(".")
    *number, unit = typed.split() or [""]
    if not number:
        return number_of(unit)
    if unit in _words(_times):
        return None if in_minutes else number_of(" ".join(number))
    if not in_minutes or unit not in _words(_minutes) | _words(_hours):
        return number_of(typed)
    if unit in _words(_minutes):
        return number_of(" ".join(number))
    beside = [number_of(word) for word in number if word not in _words(_half)]
    if len(beside) < len(number):
        return MINUTES_IN_HOUR // 2 if beside in ([], [1]) else None
    hours = number_of(" ".join(number))
    return None if hours is None else hours * MINUTES_IN_HOUR


def share_of(text: str) -> tuple[int, int] | None:
    """`4 of 5`, `4/5`, in every language, as the two numbers; None for anything else, and for more than all."""
    found = re.fullmatch(r"([0-9]{1,4})\s*(/|[^\W\d_]+)\s*([0-9]{1,4})", text.strip(), re.IGNORECASE)
    if not found or found[2].lower() not in {"/", *_words(_of)}:
        return None
    part, whole = int(found[1]), int(found[3])
    return (part, whole) if part <= whole and whole else None


def _of() -> str:
    return pgettext("typed between two numbers, several words with blanks between them", "of")


def _minutes() -> str:
    return pgettext("typed, several words with blanks between them", "minutes minute mins min")


def _hours() -> str:
    return pgettext("typed, several words with blanks between them", "hours hour hrs hr h")


def _half() -> str:
    return pgettext("typed, several words with blanks between them", "half")


def _times() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "times time x visits visit tries try trials trial pieces piece",
    )


@lru_cache
def _words(said: Callable[[], str]) -> frozenset[str]:
    return words_in_every_language(said)


@lru_cache
def _numbers() -> dict[str, int]:
    """Every word for a number, of all languages together."""
    found: dict[str, int] = {}
    for language in LANGUAGES:
        with speaking(Speech(language)):
            said = pgettext(
                "typed, numbers in this order with blanks between them, / between several words for one",
                "zero one/a/an two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
                " sixteen seventeen eighteen nineteen twenty twenty-five thirty forty forty-five fifty sixty ninety",
            )
        for number, words in zip(IN_WORDS, said.split(), strict=True):
            found.update(dict.fromkeys(words.split("/"), number))
    return found
