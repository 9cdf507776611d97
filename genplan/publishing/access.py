"""The way into the server: address, name and password. No password reaches a text that somebody may read."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from genplan.errors import UsageError
from genplan.language import _

URL, USER, PASSWORD = "GENPLAN_CALDAV_URL", "GENPLAN_CALDAV_USER", "GENPLAN_CALDAV_PASSWORD"
SERVICE = "genplan"
LOOPBACK = ("localhost", "127.0.0.1", "::1")


@dataclass(frozen=True)
class Access:
    """`password` is left out where the value is printed."""

    url: str
    user: str
    password: str = field(repr=False)

    @property
    def host(self) -> str:
        return urlsplit(self.url).hostname or ""


def access_from(url: str | None, user: str | None, password: str | None = None) -> Access:
    """What was typed, else the environment, and for the password then the keyring. Raises UsageError for what lacks."""
    address, name = url or os.environ.get(URL, ""), user or os.environ.get(USER, "")
    if not address:
        raise UsageError(
            _("Where is the CalDAV server? Give its address, or set {url} in the environment.", url=URL)
        )
    _check(address)
    if not name:
        raise UsageError(
            _("Who are you on the server? Give the name, or set {user} in the environment.", user=USER)
        )
    password = password or os.environ.get(PASSWORD) or _from_keyring(name)
    if not password:
        raise UsageError(
            _(
                "There is no password for '{name}'. Set {password} in the environment, or put it into the"
                " system's keyring: 'keyring set {service} {name}' (needs the extra 'keyring'). Never write it"
                " into the case folder.",
                name=name,
                password=PASSWORD,
                service=SERVICE,
            )
        )
    return Access(address, name, password)


def _check(address: str) -> None:
    try:
        parts = urlsplit(address)
        host, __ = parts.hostname, parts.port
    except ValueError:
        raise UsageError(
            _("The address of the CalDAV server is no URL such as https://calendar.example/dav/.")
        ) from None
    if parts.password or parts.username:
        raise UsageError(
            _(
                "The address holds a name or a password. Take it out, and give the name and the password apart."
            )
        )
    if parts.scheme not in ("https", "http") or not host:
        raise UsageError(
            _("'{address}' is no address such as https://calendar.example/dav/.", address=address)
        )
    if parts.scheme == "http" and host not in LOOPBACK:
        raise UsageError(
            _(
                "'{address}' would send the password in the open. Use an address that begins with https.",
                address=address,
            )
        )


def _from_keyring(user: str) -> str | None:
    try:
        import keyring
    except ImportError:
        return None
    try:
        found: str | None = keyring.get_password(SERVICE, user)
    except Exception:  # backends raise what they like, and their words may hold what they read
        raise UsageError(
            _("The system's keyring could not be opened. Unlock it, or set {password}.", password=PASSWORD)
        ) from None
    return found
