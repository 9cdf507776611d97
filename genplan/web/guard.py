"""Who may ask what: the first thing that every request meets.

The server listens on loopback only, but any page in the same browser and any user of the same machine can reach
that. So: the exact Host (against names that resolve to this machine); an address that begins with this run's own way
and the cookie of a browser that was let in (against other users); and for a change the same Origin. The token in each
form is checked where forms are read. Whoever lacks one of these meets the gate and nothing else. Sizes, the time that
a form may take, and the number of requests at a time are limited.

A cookie goes to every port of an address, so to the server of any other user of the machine that the browser visits.
That is why it is kept to the way: a browser sends it along with addresses that begin so, and no other server knows
how they begin. Neither of the two lets anybody in without the other.
"""

from __future__ import annotations

import asyncio
import hmac
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from genplan.language import N_, said, speaking
from genplan.web.spoken import speech_of_request

MOST_BYTES = 200_000
MOST_UPLOAD = 5_300_000
"""A filled sheet, the largest that the program reads, in a form with its other fields."""
MOST_KEY = 2_000
"""The form of the gate, which everybody may send."""
ENTER = "/enter"
MOST_QUERY = 4_000
MOST_AT_ONCE = 16
MOST_AT_GATE = 16
FORM_SECONDS = 30.0
"""On one machine a form of five megabytes is there in a moment; whoever takes longer only holds the place."""
FORM = "application/x-www-form-urlencoded"
UPLOAD = "multipart/form-data"
LET_IN = "genplan: let in"
"""In the state of a request: it comes from a browser that was let in."""

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""The page's own stylesheet and script, its own forms, and nothing else."""

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # 'no-referrer' would make browsers send 'Origin: null' with our own forms
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
FAULT = N_("This is a fault of the program, not of your files. Nothing of what you sent was taken.")


class Refused(Exception):
    """The request is not answered; the text, which is marked, goes back with the status."""

    def __init__(self, status: int, words: str) -> None:
        self.status = status
        super().__init__(words)


@dataclass(frozen=True)
class Door:
    """Of a server: the names that it answers to, the way that all its addresses begin with, the name of its cookie, and
    whose cookie is let in, which has to be looked at in the same time whatever it holds. `from_file`: the gate is also
    asked from a file, which has no origin. `uploads`: where a form may bring a file. `language`: in which it speaks,
    in place of the browser's."""

    hosts: tuple[str, ...]
    way: str
    cookie: str
    is_let_in: Callable[[str], bool]
    scheme: str = "http"
    from_file: bool = False
    uploads: tuple[str, ...] = ()
    language: str | None = None


class Guard:
    """Wraps the app and the gate in front of it. Each request is answered in its own language."""

    def __init__(self, app: ASGIApp, gate: ASGIApp, door: Door) -> None:
        self.app, self.gate, self.door = app, gate, door
        self.at_once = {True: 0, False: 0}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)
        with speaking(speech_of_request(self.door.language, headers)):  # the app knows the case's words, too
            await self._answered(headers, scope, receive, send)

    async def _answered(self, headers: Headers, scope: Scope, receive: Receive, send: Send) -> None:
        inside = self._is_let_in(headers, scope)
        try:
            self._check(headers, scope, inside)
            if inside:
                scope = self._at_home(scope)
            most = self._most(scope, inside)
            if scope["method"] == "POST" and (inside or scope["path"] == ENTER):
                self._check_form(headers, scope, most, inside)
        except Refused as refused:
            await _answer(send, refused)
            return
        self.at_once[inside] += 1
        try:
            await _run(self.app if inside else self.gate, scope, _limited(receive, most), _with_headers(send))
        finally:
            self.at_once[inside] -= 1

    def _is_let_in(self, headers: Headers, scope: Scope) -> bool:
        """Both are compared, so that the time it takes tells nothing about one of them."""
        way = scope["path"][1:].partition("/")[0].encode()
        known = hmac.compare_digest(way, self.door.way.encode())
        return self.door.is_let_in(self._cookie(headers)) and known

    def _check(self, headers: Headers, scope: Scope, inside: bool) -> None:
        if headers.getlist("host") not in [[h] for h in self.door.hosts]:
            raise Refused(400, N_("This page answers only at the address that genplan printed."))
        if scope["method"] not in ("GET", "HEAD", "POST"):
            raise Refused(405, N_("Only GET and POST."))
        if len(scope["query_string"]) > MOST_QUERY:
            raise Refused(414, N_("That address is too long."))
        if self.at_once[inside] >= (MOST_AT_ONCE if inside else MOST_AT_GATE):
            raise Refused(503, N_("Too many requests at a time. Try again in a moment."))

    def _at_home(self, scope: Scope) -> Scope:
        """The request as the app knows it, without the way."""
        start = len(self.door.way) + 1
        scope.setdefault("state", {})[LET_IN] = True  # also for the connection that it came by
        return {**scope, "path": scope["path"][start:] or "/", "raw_path": None}

    def _cookie(self, headers: Headers) -> str:
        try:
            found = SimpleCookie(headers.get("cookie", "")).get(self.door.cookie)
        except CookieError:
            return ""
        return found.value if found else ""

    def _most(self, scope: Scope, inside: bool) -> int:
        if not inside:
            return MOST_KEY
        return MOST_UPLOAD if scope["path"] in self.door.uploads else MOST_BYTES

    def _check_form(self, headers: Headers, scope: Scope, most: int, inside: bool) -> None:
        origin, address = headers.get("origin"), f"{self.door.scheme}://{headers['host']}"
        ours = origin == address if origin else headers.get("sec-fetch-site") == "same-origin"
        if not ours and (inside or not self.door.from_file):
            raise Refused(403, N_("A change is taken only from this page itself."))
        kind = UPLOAD if inside and scope["path"] in self.door.uploads else FORM
        if headers.get("content-type", "").partition(";")[0].strip().lower() != kind:
            raise Refused(415, N_("A change comes as a form."))
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdecimal()) or len(length) > 12 or int(length) > most:
            raise Refused(413, N_("That was more than this page takes."))


async def _run(app: ASGIApp, scope: Scope, receive: Receive, send: Send) -> None:
    """Nothing that breaks in there, or in the connection, becomes a traceback on the terminal."""
    try:
        await app(scope, receive, send)
    except ClientDisconnect:
        pass  # there is nobody to answer any more
    except Exception:
        if os.environ.get("GENPLAN_DEBUG"):
            raise
        # the app has answered with `fault` before it raised this once more


async def fault(request: Request, error: Exception) -> Response:
    """What an app answers where it has no better words."""
    return PlainTextResponse(said(FAULT), 500)


async def refusal(request: Request, error: Exception) -> Response:
    """What an app answers where reading a form was broken off."""
    assert isinstance(error, Refused)
    return PlainTextResponse(said(str(error)), error.status)


def _limited(receive: Receive, most: int) -> Receive:
    """A body without an honest length is cut off at the limit, and one that does not come to its end in time."""
    taken, whole, ends = 0, False, asyncio.get_running_loop().time() + FORM_SECONDS

    async def inner() -> Message:
        nonlocal taken, whole
        if whole:
            return await receive()
        try:
            async with asyncio.timeout_at(ends):
                message = await receive()
        except TimeoutError:
            raise Refused(408, N_("The form did not come to its end in time. Nothing was taken.")) from None
        taken += len(message.get("body", b""))
        if taken > most:
            raise Refused(413, N_("That was more than this page takes."))
        whole = not message.get("more_body", False)
        return message

    return inner


def _with_headers(send: Send) -> Send:
    async def inner(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return inner


async def _answer(send: Send, refused: Refused) -> None:
    body = said(str(refused)).encode()
    headers = {**HEADERS, "Content-Type": "text/plain; charset=utf-8", "Content-Length": str(len(body))}
    raw = [(name.lower().encode(), value.encode()) for name, value in headers.items()]
    await send({"type": "http.response.start", "status": refused.status, "headers": raw})
    await send({"type": "http.response.body", "body": body})
