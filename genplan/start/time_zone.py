"""The time zone of this machine, of a country, of a large city: by its IANA name."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

from genplan.language import LANGUAGES, Speech, speech

LOCALTIME = Path("/etc/localtime")
TIMEZONE = Path("/etc/timezone")


def local_zone() -> str:
    """What the system says, or nothing where it says no name that is known: then it is asked."""
    known = available_timezones()
    for found in (os.environ.get("TZ", "").lstrip(":"), _named(), _linked()):
        if found in known and "/" in found and not found.startswith("Etc/"):
            return found
    return ""


def likely_zone() -> str:
    """The zone of this machine; where it says none that of the country that its settings name, or in which most speak
    the language spoken. Nothing where a country has several."""
    return local_zone() or zone_of(country())


def country() -> str:
    """By two letters."""
    for setting in ("LC_ALL", "LC_TIME", "LANG"):
        if found := re.match(r"[a-z]{2,3}_([A-Z]{2})\b", os.environ.get(setting, "")):
            return found[1]
    from babel import Locale
    from babel.core import get_global

    locale = Locale.parse(speech().locale)
    likely = get_global("likely_subtags").get(locale.language, "")
    return locale.territory or likely.rpartition("_")[2]


def country_name(territory: str) -> str:
    """In the language spoken."""
    from babel import Locale

    return str(Locale.parse(speech().locale).territories.get(territory, ""))


def zone_of(territory: str) -> str:
    """Nothing where there are several that show different times."""
    zones = zones_of(territory)
    return zones[0] if len(zones) == 1 else ""


@lru_cache
def zones_of(territory: str) -> tuple[str, ...]:
    """One for each way in which clocks go there in the years to come."""
    from babel.core import get_global

    found: dict[tuple[timedelta | None, ...], str] = {}
    for zone in get_global("territory_zones").get(territory, ()):
        if zone in available_timezones():
            found.setdefault(_offsets(zone), zone)
    return tuple(found.values())


def _offsets(zone: str) -> tuple[timedelta | None, ...]:
    weeks = (datetime(2026, 1, 1, tzinfo=UTC) + timedelta(weeks=n) for n in range(52))
    return tuple(week.astimezone(ZoneInfo(zone)).utcoffset() for week in weeks)


def zone_called(text: str) -> tuple[str, ...]:
    """The zones that a name may stand for: their own, a city's in any language, a country's. Nothing for none."""
    known = available_timezones()
    if text in known:
        return (text,)
    typed = " ".join(text.casefold().replace("_", " ").split())
    if typed in (cities := _cities()):
        return (cities[typed],)
    return zones_of(_countries().get(typed, ""))


@lru_cache
def _cities() -> dict[str, str]:
    from babel import Locale

    found = {
        zone.rpartition("/")[2].replace("_", " ").casefold(): zone
        for zone in sorted(available_timezones())
        if "/" in zone
    }
    for language in LANGUAGES:
        for zone, names in Locale.parse(Speech(language).locale).time_zones.items():
            if zone in available_timezones() and (city := names.get("city")):
                found.setdefault(str(city).casefold(), zone)
    return found


OF_A_COUNTRY = {
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
    "brd": "DE",
}
"""What people call countries beside the names that babel has."""


@lru_cache
def _countries() -> dict[str, str]:
    return {**dict(_named_countries()), **OF_A_COUNTRY}


def _named_countries() -> Iterator[tuple[str, str]]:
    from babel import Locale

    for language in LANGUAGES:
        for territory, name in Locale.parse(Speech(language).locale).territories.items():
            yield name.casefold(), territory


def _named() -> str:
    try:
        return TIMEZONE.read_text("ascii").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def _linked() -> str:
    try:
        return os.readlink(LOCALTIME).rpartition("zoneinfo/")[2]
    except OSError:
        return ""
