"""What people type in their own language: days, months, dates, yes and no, the words between hours.

Names of days and months are Babel's, all other words the catalogue's, so a further language needs none here. Whatever
language is spoken, the others are understood too: answers that were begun in one are read on in another.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache

from genplan.language.catalogues import LANGUAGES, Speech
from genplan.language.dates import DAYS, MONTHS
from genplan.language.saying import pgettext, speaking, speech

SHORTEST = 3
"""Letters of a month's name that stand for all of it."""
ENGLISH_DAYS = ("mo", "tu", "we", "th", "fr", "sa", "su")
"""Their first two letters, as in `Tu/Th`."""
WORDS: Mapping[str, Callable[[], str]] = {
    "yes": lambda: pgettext("typed, several words with blanks between them", "yes y"),
    "no": lambda: pgettext("typed, several words with blanks between them", "no n"),
    "again": lambda: pgettext("typed, several words with blanks between them", "again"),
    "other": lambda: pgettext("typed, several words with blanks between them", "other o another"),
    "out": lambda: pgettext("typed, several words with blanks between them", "out"),
    "back": lambda: pgettext("typed, several words with blanks between them", "back undo"),
    "help": lambda: pgettext("typed, several words with blanks between them", "help ? ??"),
    "stop": lambda: pgettext("typed, several words with blanks between them", "stop quit exit"),
    "nothing": lambda: pgettext("typed, several words with blanks between them", "nothing none nobody"),
    "to": lambda: pgettext("typed, several words with blanks between them", "to till til until"),
    "same": lambda: pgettext("typed, several words with blanks between them", "same"),
    "as": lambda: pgettext("typed, several words with blanks between them", "as"),
    "except": lambda: pgettext("typed, several words with blanks between them", "except excluding but not"),
    "halb": lambda: pgettext("typed, several words with blanks between them", "halb"),
    "half": lambda: pgettext("typed, several words with blanks between them", "half"),
    "quarter": lambda: pgettext("typed, several words with blanks between them", "quarter"),
    "dreiviertel": lambda: pgettext("typed, several words with blanks between them", "dreiviertel"),
    "past": lambda: pgettext("typed, several words with blanks between them", "past after"),
    "before": lambda: pgettext("typed, several words with blanks between them", "before"),
    "morning": lambda: pgettext("typed, several words with blanks between them", "morning mornings"),
    "afternoon": lambda: pgettext(
        "typed, several words with blanks between them", "afternoon afternoons evening evenings pm"
    ),
    "noon": lambda: pgettext("typed, several words with blanks between them", "noon midday"),
    "midnight": lambda: pgettext("typed, several words with blanks between them", "midnight"),
    "closed": lambda: pgettext("typed, several words with blanks between them", "closed off never"),
    "daily": lambda: pgettext("typed, several words with blanks between them", "daily day days everyday"),
    "weekdays": lambda: pgettext(
        "typed, several words with blanks between them", "weekdays weekday schooldays"
    ),
    "weekend": lambda: pgettext("typed, several words with blanks between them", "weekend weekends"),
    "": lambda: pgettext(
        "typed, several words with blanks between them",
        "on from at in the between h uhr o clock every each",
    ),
    "also": lambda: pgettext("typed, several words with blanks between them", "and also"),
}
"""What may be meant -> the words for it; nothing: they only fill a sentence. So do those of `also`, but they part what
they stand between. `halb 6` and `dreiviertel 6` are German for 5:30 and 5:45; of English `half 6` nobody can tell."""


def words_in_every_language(words: Callable[[], str]) -> frozenset[str]:
    """The words, which `words` says with blanks between them in the language spoken, of all languages together."""
    found: set[str] = set()
    for language in LANGUAGES:
        with speaking(Speech(language)):
            found.update(words().split())
    return frozenset(found)


def phrases_in_every_language(phrases: Callable[[], str]) -> frozenset[str]:
    """The same for what has blanks within it, and is said with ` / ` between one and the next."""
    found: set[str] = set()
    for language in LANGUAGES:
        with speaking(Speech(language)):
            found.update(phrases().split(" / "))
    return frozenset(found)


def meant_by(word: str) -> str | None:
    """The key of `WORDS` that a word stands for."""
    return _meanings(speech().language).get(word.lower())


def is_word(word: str, meaning: str) -> bool:
    return meant_by(word) == meaning


def day_of(word: str) -> int | None:
    """`Mo`, `montags`, `tues` -> the day, Monday is 0."""
    return _day_of(word.lower(), speech().language)


@lru_cache(maxsize=4096)
def _day_of(typed: str, spoken: str) -> int | None:
    for language in _spoken_first(spoken):
        for number, names in enumerate(_day_names(language)):
            if typed in names or any(f"{name}s" == typed for name in names if len(name) > SHORTEST):
                return number
    return _english_day(typed)


@lru_cache
def day_names() -> frozenset[str]:
    """What days are called in every language."""
    return frozenset[str]().union(*(names for language in LANGUAGES for names in _day_names(language)))


def month_of(word: str) -> int | None:
    """`March`, `Sept`, `Mär` -> the month, from 1."""
    typed = word.lower()
    for language in _spoken_first(speech().language):
        for number, names in enumerate(_month_names(language), 1):
            if typed in names or (len(typed) >= SHORTEST and any(n.startswith(typed) for n in names)):
                return number
    return None


def order_of_figures() -> str | None:
    """`dMy`: in which order day, month and year stand in the language spoken; None where they stand in several."""
    return _order_of_figures(speech().language)


@lru_cache
def _meanings(language: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for one in _spoken_first(language):
        with speaking(Speech(one)):
            for meaning, words in WORDS.items():
                for word in words().split():
                    found.setdefault(word, meaning)
    return found


def _spoken_first(language: str) -> Iterator[str]:
    yield language
    yield from (other for other in LANGUAGES if other != language)


def _english_day(typed: str) -> int | None:
    """`tues`, `thur`: so many letters as it takes; `weds` leaves some out."""
    if typed in ENGLISH_DAYS:
        return ENGLISH_DAYS.index(typed)
    if typed == "weds":
        return 2
    found = [
        n for n, name in enumerate(DAYS) if len(typed) >= SHORTEST and f"{name.lower()}s".startswith(typed)
    ]
    return found[0] if found else None


@lru_cache
def _day_names(language: str) -> tuple[frozenset[str], ...]:
    if language == LANGUAGES[0]:
        return tuple(frozenset({name.lower(), name[:3].lower()}) for name in DAYS)
    from babel.dates import get_day_names

    return _all_names(range(7), get_day_names, ("wide", "abbreviated", "short"), Speech(language).locale)


@lru_cache
def _month_names(language: str) -> tuple[frozenset[str], ...]:
    if language == LANGUAGES[0]:
        return tuple(frozenset({name.lower()}) for name in MONTHS)
    from babel.dates import get_month_names

    return _all_names(range(1, 13), get_month_names, ("wide", "abbreviated"), Speech(language).locale)


def _all_names(
    numbers: range, names: Callable[..., Mapping[int, str]], widths: tuple[str, ...], locale: str
) -> tuple[frozenset[str], ...]:
    forms = [names(width, context, locale) for width in widths for context in ("format", "stand-alone")]
    return tuple(frozenset(form[n].rstrip(".").lower() for form in forms) for n in numbers)


@lru_cache
def _order_of_figures(language: str) -> str | None:
    if language == LANGUAGES[0]:
        return None
    from babel.dates import get_date_format

    pattern = str(get_date_format("short", Speech(language).locale).pattern)
    order = re.sub(r"[^dMy]", "", re.sub(r"([dMy])\1+", r"\1", pattern))
    return order if len(order) == 3 else None
