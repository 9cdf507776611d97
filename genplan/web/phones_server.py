"""The server for phones, beside the page's own: on one private address, in a thread, with limits of its own."""

from __future__ import annotations

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from ipaddress import IPv4Network
from pathlib import Path
from typing import Any
from weakref import WeakSet

from genplan.errors import FileError
from genplan.language import _, said
from genplan.web.app_state import AppState
from genplan.web.connections import MOST, Server
from genplan.web.home_network import is_near, named_address, network_of, own_address
from genplan.web.phones import CAN_BE_READ, SECRET, Phones
from genplan.web.phones_app import build_for_phones
from genplan.web.serve import ForPhones, listen_on

MOST_OF_ONE = 24
"""Open connections of one device. A browser holds six to one server."""
MOST_IN_ALL = MOST + 32
"""With those that have not finished agreeing on a secret and are not counted by the server yet."""
GOODBYE_SECONDS = 10.0


@dataclass(frozen=True)
class Certificate:
    file: Path
    key: Path

    def check(self) -> None:
        """Raises FileError for what a server could not use."""
        for path, words in ((self.file, "certificate"), (self.key, "key")):
            if not path.is_file():
                raise FileError(
                    _("{path}: there is no such file. Name the file of the {words}.", path=path, words=words)
                )
        try:
            ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(self.file, self.key, password=_none)
        except (OSError, ValueError) as error:
            raise FileError(
                _(
                    "{file} and {key} cannot be used ({why}). Expected a certificate and its key in PEM "
                    "form, the key without a password.",
                    file=self.file,
                    key=self.key,
                    why=_why(error),
                )
            ) from error


def checked(wanted: ForPhones) -> tuple[str, Certificate | None]:
    """The address to listen on and what makes it secret. Raises UsageError and FileError."""
    certificate = Certificate(*wanted.certificate) if wanted.certificate else None
    if certificate:
        certificate.check()
    return named_address(wanted.address) if wanted.address else own_address(), certificate


def told_of_phones(phones: Phones) -> tuple[str, ...]:
    """On the terminal: that it is on, and who could see what."""
    return (
        _(
            "Phones in this home's network can write down until this is closed, at {address}/",
            address=phones.address,
        ),
        _("The page says under Phones how one gets in."),
        said(SECRET if phones.is_secret else CAN_BE_READ),
    )


def _none() -> str:
    return ""  # otherwise it would be asked for on the terminal


def _why(error: Exception) -> str:
    return getattr(error, "reason", None) or getattr(error, "strerror", None) or str(error)


class NearSocket(socket.socket):
    """Takes connections from one network, and not too many. All others are closed with no answer, before anything that
    they send is read. Where a system takes connections by itself (Windows) the server looks at the network alone."""

    def __init__(self, near: IPv4Network) -> None:
        super().__init__(socket.AF_INET, socket.SOCK_STREAM)
        self.near, self.taken = near, WeakSet[socket.socket]()

    def accept(self) -> tuple[socket.socket, Any]:
        found, peer = super().accept()
        if is_near(peer[0], self.near) and self._has_room(peer[0]):
            self.taken.add(found)
            return found, peer
        found.close()
        raise ConnectionAbortedError  # what a server is told by where somebody went away before the answer

    def _has_room(self, address: str) -> bool:
        peers = [_peer(s) for s in self.taken if s.fileno() != -1]
        return len(peers) < MOST_IN_ALL and peers.count(address) < MOST_OF_ONE


def _peer(connection: socket.socket) -> str:
    try:
        return str(connection.getpeername()[0])
    except OSError:
        return ""  # it broke off just now


@contextmanager
def phones_let_in(
    site: AppState, address: str, certificate: Certificate | None, tell: Callable[[str], None]
) -> Iterator[Phones]:
    """Within it phones can find the page at this private address. Raises FileError for one that is not this
    machine's."""
    near = network_of(address)
    assert near is not None  # `home_network` lets no other through
    with NearSocket(near) as listening:
        port = listen_on(listening, address, None)
        phones = site.phones = Phones(f"{address}:{port}", is_secret=certificate is not None)
        files = {"ssl_certfile": certificate.file, "ssl_keyfile": certificate.key} if certificate else {}
        server = Server(build_for_phones(site, phones), tell, near, **files)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        try:
            yield phones
        finally:
            server.should_exit = True
            thread.join(GOODBYE_SECONDS)
            site.phones = None
