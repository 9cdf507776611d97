"""The time zone of this machine, by its IANA name."""

from __future__ import annotations

import os
import re
from pathlib import Path

from genplan.language.countries import known_zones, likely_country, zone_of

LOCALTIME = Path("/etc/localtime")
TIMEZONE = Path("/etc/timezone")
UTC_NAMES = {"UTC", "Etc/UTC", "UCT", "Zulu", "Universal", "Etc/UCT", "Etc/Zulu", "Etc/Universal"}


def local_zone() -> str:
    """What the system says, or nothing where it says no name that is known: then it is asked."""
    known = known_zones()
    for found in (os.environ.get("TZ", "").lstrip(":"), _named(), _linked()):
        if found in known and "/" in found and not found.startswith("Etc/"):
            return found
    return ""


def machine_zone() -> str:
    """The same, or UTC where the machine is set to it, as a server is."""
    return local_zone() or ("Etc/UTC" if {_named(), _linked(), os.environ.get("TZ")} & UTC_NAMES else "")


def likely_zone() -> str:
    """The zone of this machine; where it says none that of the country that its settings name, or in which most speak
    the language spoken. Nothing where a country has several."""
    return local_zone() or zone_of(country())


def country() -> str:
    """As the machine's settings name it, else by the language spoken."""
    for setting in ("LC_ALL", "LC_TIME", "LANG"):
        if found := re.match(r"[a-z]{2,3}_([A-Z]{2})\b", os.environ.get(setting, "")):
            return found[1]
    return likely_country()


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
