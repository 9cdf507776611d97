"""Countries and large cities as people call them, and the time zones there, as Babel has them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, available_timezones

from genplan.language.catalogues import LANGUAGES, Speech
from genplan.language.saying import speech

ALSO_CALLED = {
    "england": "GB",
    "scotland": "GB",
    "wales": "GB",
    "northern ireland": "GB",
    "great britain": "GB",
    "britain": "GB",
    "uk": "GB",
    "usa": "US",
    "großbritannien": "GB",
    "schottland": "GB",
    "nordirland": "GB",
}
"""What people call countries beside the names that Babel has."""


@lru_cache
def known_zones() -> frozenset[str]:
    """Read from the disk once: it takes a tenth of a second."""
    return frozenset(available_timezones())


def likely_country() -> str:
    """In which most people speak the language spoken, by two letters."""
    from babel import Locale
    from babel.core import get_global

    locale = Locale.parse(speech().locale)
    return locale.territory or get_global("likely_subtags").get(locale.language, "").rpartition("_")[2]


def country_name(country: str) -> str:
    """In the language spoken."""
    from babel import Locale

    return str(Locale.parse(speech().locale).territories.get(country, ""))


def zone_of(country: str) -> str:
    """Nothing where clocks of the country differ."""
    zones = zones_of(country)
    return zones[0] if len(zones) == 1 else ""


@lru_cache
def zones_of(country: str) -> tuple[str, ...]:
    """One for each way in which clocks go there in a year."""
    from babel.core import get_global

    found: dict[tuple[timedelta | None, ...], str] = {}
    for zone in get_global("territory_zones").get(country, ()):
        if zone in known_zones():
            found.setdefault(_offsets(zone), zone)
    return tuple(found.values())


def _offsets(zone: str) -> tuple[timedelta | None, ...]:
    weeks = (datetime(2026, 1, 1, tzinfo=UTC) + timedelta(weeks=n) for n in range(52))
    return tuple(week.astimezone(ZoneInfo(zone)).utcoffset() for week in weeks)


def zones_called(text: str) -> tuple[str, ...]:
    """The zones that a name may stand for: its own, a city's or a country's in any language. Nothing for none."""
    if text in known_zones():
        return (text,)
    typed = " ".join(text.casefold().replace("_", " ").split())
    city = _cities().get(typed)
    return (city,) if city else zones_of(_countries().get(typed, ""))


@lru_cache
def _cities() -> dict[str, str]:
    from babel import Locale

    found = {
        zone.rpartition("/")[2].replace("_", " ").casefold(): zone
        for zone in sorted(known_zones())
        if "/" in zone
    }
    for language in LANGUAGES:
        for zone, names in Locale.parse(Speech(language).locale).time_zones.items():
            if zone in known_zones() and (city := names.get("city")):
                found.setdefault(str(city).casefold(), zone)
    return found


@lru_cache
def _countries() -> dict[str, str]:
    return {**dict(_named()), **ALSO_CALLED}


def _named() -> Iterator[tuple[str, str]]:
    from babel import Locale

    for language in LANGUAGES:
        for country, name in Locale.parse(Speech(language).locale).territories.items():
            yield name.casefold(), country
