"""The server of the local page, made so that nobody else on the machine can hold it up by opening connections.

A connection that does not go on is ended: one that brings no request, half a one, or takes no answer. There are only
so many; where one more comes, the one goes that has waited longest, and those of browsers that were let in go last.
What the system refuses, or what breaks off, is told in a sentence, once.
"""

from __future__ import annotations

import asyncio
import errno
import logging
import os
from collections.abc import Callable
from ipaddress import IPv4Network
from itertools import count
from typing import Any

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from genplan.errors import reason_of
from genplan.language import _
from genplan.web.guard import LET_IN
from genplan.web.home_network import is_near

MOST = 64
"""Open connections. A browser holds six to one server."""
BACKLOG = 100
"""The system takes so many in one go before the limit is looked at."""
LOOK_SECONDS = 10.0
"""A connection has at least this long, and at most twice as long, to bring its request or to take its answer."""
IDLE_SECONDS = 5
MOST_UNASKED = 8_000_000
"""What is read away of a form that was refused before its end."""
NO_ROOM = (errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM)
_numbers = count()


class Settings(uvicorn.Config):
    """`near`: the network whose connections are answered; None for any that the address can be reached from."""

    near: IPv4Network | None = None


class Patient(H11Protocol):
    """One connection. `known`: a request of a browser that was let in came by it."""

    transport: asyncio.Transport
    config: Settings

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self.number, self.known = next(_numbers), False
        self._unsent, self._unasked = 0, 0
        self._seen: object = None
        self._timer = self.loop.call_later(LOOK_SECONDS, self._look)
        if self.config.near and not is_near(self.client[0] if self.client else "", self.config.near):
            self.end()
        elif len(self.connections) > MOST:
            end_oldest(self.connections, 1)

    def connection_lost(self, exc: Exception | None) -> None:
        self._timer.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._unasked = 0 if self.is_answering else self._unasked + len(data)
        if self._unasked > MOST_UNASKED:
            self.end()

    def on_response_complete(self) -> None:
        self.known = self.known or self.is_known_now
        super().on_response_complete()

    @property
    def is_answering(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete

    @property
    def is_known_now(self) -> bool:
        return self.scope is not None and LET_IN in self.scope["state"]

    @property
    def may_go(self) -> bool:
        return not (self.is_answering and self.is_known_now)

    def end(self) -> None:
        self.connections.discard(self)
        self.transport.abort()

    def _look(self) -> None:
        """Ends it if it is the other side's turn and nothing has come since the last look."""
        unsent = self.transport.get_write_buffer_size()
        waits = not self.is_answering and self._seen is self.cycle and not unsent
        stuck = 0 < self._unsent <= unsent
        self._unsent, self._seen = unsent, self.cycle
        if waits or stuck:
            self.end()
        else:
            self._timer = self.loop.call_later(LOOK_SECONDS, self._look)


def end_oldest(connections: set[Any], most: int) -> None:
    """Ends so many connections of those that answer nobody who was let in, strangers first."""
    idle = [c for c in connections if isinstance(c, Patient) and c.may_go]
    for connection in sorted(idle, key=lambda c: (c.known, c.number))[:most]:
        connection.end()


class Server(uvicorn.Server):
    """`tell` says a sentence to whoever started the program; `secret` are uvicorn's words for TLS."""

    config: Settings

    def __init__(
        self, app: ASGIApp, tell: Callable[[str], None], near: IPv4Network | None = None, **secret: Any
    ) -> None:
        super().__init__(
            Settings(
                app,
                **secret,
                loop="asyncio",
                http=Patient,
                ws="none",
                proxy_headers=False,
                log_level="error",
                access_log=False,
                server_header=False,
                backlog=BACKLOG,
                timeout_keep_alive=IDLE_SECONDS,
            )
        )
        self.config.near = near
        self.tell, self._told = tell, set[str]()

    async def startup(self, sockets: Any = None) -> None:
        asyncio.get_running_loop().set_exception_handler(self._heard)
        logging.getLogger("asyncio").setLevel(logging.CRITICAL)  # it warns of each byte for one who has gone
        await super().startup(sockets)

    def _heard(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        if os.environ.get("GENPLAN_DEBUG"):
            loop.default_exception_handler(context)
            return
        if self.should_exit:
            return  # the page does not go on, and what breaks off is what is being closed
        error = context.get("exception")
        if isinstance(error, OSError) and error.errno in NO_ROOM:
            end_oldest(self.server_state.connections, MOST)
            words = _(
                "The system has no room for another connection at the moment ({why}).",
                why=reason_of(error),
            )
            words += " " + _("Those that bring no request were ended, and the page goes on.")
        else:
            words = _("A connection broke off ({kind}). The page goes on.", kind=type(error).__name__)
        if words not in self._told:
            self._told.add(words)
            self.tell(words)
