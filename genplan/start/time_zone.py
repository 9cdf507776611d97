"""The time zone of this machine, by its IANA name."""

from __future__ import annotations

import os
from pathlib import Path
from zoneinfo import available_timezones

LOCALTIME = Path("/etc/localtime")
TIMEZONE = Path("/etc/timezone")


def local_zone() -> str:
    """What the system says, or nothing where it says no name that is known: then it is asked."""
    known = available_timezones()
    for found in (os.environ.get("TZ", "").lstrip(":"), _named(), _linked()):
        if found in known and "/" in found and not found.startswith("Etc/"):
            return found
    return ""


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
