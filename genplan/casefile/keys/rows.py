"""Rows that several things have."""

from __future__ import annotations

from genplan.casefile.composite_types import absences, ids_or_all, weekly_hours
from genplan.casefile.privacy import AS_IS, DATES, ids
from genplan.casefile.privacy import said as a_text
from genplan.casefile.record_types import BY_HAND, Field, Key
from genplan.casefile.scalar_types import integer, text
from genplan.language import N_, said
from genplan.language.sentences import capital

DAYS_OFF = N_("One a line: 2026-12-03, or 2026-12-04 09:00-12:00, or 2026-12-24..2027-01-03")
HOURS = N_("Such as 15:30-18:00, or 09:00-12:00, 14:00-16:00. Leave a day empty for none.")
LIMIT = integer(1, 10_080, N_("leave the key out for no limit"))


def chosen(given: tuple[str, ...] | None) -> frozenset[str] | None:
    """Ids as a set; None is all."""
    return None if given is None else frozenset(given)


def name(words: str, start: str, hint: str = "") -> Key:
    field = Field(N_("Name"), hint=hint or (lambda: f"{capital(said(words))}."))
    return Key(text(), words, copy=a_text(start), form=field, default=N_("the id"))


def free(words: str, label: str) -> Key:
    return Key(weekly_hours(), words, copy=AS_IS, form=Field(label, "hours", HOURS), default=N_("never"))


def away(words: str, why: str, label: str) -> Key:
    return Key(absences(why), words, copy=DATES, form=Field(label, "lines", DAYS_OFF))


def limit(words: str, label: str) -> Key:
    return Key(LIMIT, words, copy=AS_IS, form=Field(label, "number"), default=N_("no limit"))


def goes_with(words: str, section: str, label: str, every: str) -> Key:
    """Ids of those that something goes together with; all, if nothing is said."""
    field = Field(label, "several", of=section, args=(every,))
    return Key(ids_or_all(), words, copy=ids(section), form=field, default="all", to=chosen)


def varied(words: str, section: str, label: str, every: str = N_("every one that is possible")) -> Key:
    """The values that a target takes of one of the first three dimensions."""
    field = Field(label, "several", of=section, args=(every,))
    return Key(ids_or_all(least=1), words, copy=ids(section), form=field, default=every, lands=BY_HAND)
