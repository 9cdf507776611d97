"""Who may ask what: the first thing that every request meets.

The server listens on loopback only, but any page in the same browser and any user of the same machine can reach
that. So: the exact Host (against names that resolve to this machine), the cookie of whoever opened the printed
address (against other users), and for a change the same Origin; the token in each form is checked where forms are
read. Sizes and the number of requests at a time are limited.
"""

from __future__ import annotations

import hmac
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 200_000
MOST_UPLOAD = 5_300_000
"""A filled sheet, the largest that the program reads, in a form with its other fields."""
MOST_QUERY = 4_000
MOST_AT_ONCE = 16
FORM = "application/x-www-form-urlencoded"
UPLOAD = "multipart/form-data"
UPLOADS = ("/record/sheet",)
"""Where a form may bring a file."""

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


class Refused(Exception):
    """The request is not answered; the text goes back with the status."""

    def __init__(self, status: int, words: str) -> None:
        self.status = status
        super().__init__(words)


class TooLarge(Exception):
    """The body went on beyond the limit."""


class Guard:
    """Wraps the app. `hosts` are the values of the Host header that are ours, such as 127.0.0.1:8613."""

    def __init__(self, app: ASGIApp, hosts: tuple[str, ...], key: str, cookie: str) -> None:
        self.app, self.hosts, self.key, self.cookie = app, hosts, key, cookie
        self.at_once = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        try:
            self._check(scope)
        except Refused as refused:
            await _answer(send, refused.status, str(refused))
            return
        self.at_once += 1
        try:
            await self.app(scope, _counted(receive, _most(scope)), _with_headers(send))
        except TooLarge:
            await _answer(send, 413, "That was more than this page takes.")
        finally:
            self.at_once -= 1

    def _check(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        if headers.getlist("host") not in [[h] for h in self.hosts]:
            raise Refused(400, "This page answers only at the address that genplan printed.")
        if scope["method"] not in ("GET", "HEAD", "POST"):
            raise Refused(405, "Only GET and POST.")
        if len(scope["query_string"]) > MOST_QUERY:
            raise Refused(414, "That address is too long.")
        if self.at_once >= MOST_AT_ONCE:
            raise Refused(503, "Too many requests at a time. Try again in a moment.")
        if scope["method"] == "POST":
            _check_change(headers, scope)
        if scope["path"] != "/enter" and not hmac.compare_digest(self._cookie(headers), self.key):
            raise Refused(
                403, "Open the address that genplan printed when it started: it lets this browser in."
            )

    def _cookie(self, headers: Headers) -> str:
        try:
            found = SimpleCookie(headers.get("cookie", "")).get(self.cookie)
        except CookieError:
            return ""
        return found.value if found and found.value.isascii() else ""


def _most(scope: Scope) -> int:
    return MOST_UPLOAD if scope["path"] in UPLOADS else MOST_BYTES


def _check_change(headers: Headers, scope: Scope) -> None:
    origin = headers.get("origin")
    ours = origin == f"http://{headers['host']}" if origin else headers.get("sec-fetch-site") == "same-origin"
    if not ours:
        raise Refused(403, "A change is taken only from this page itself.")
    if headers.get("content-type", "").partition(";")[0].strip().lower() != (
        UPLOAD if scope["path"] in UPLOADS else FORM
    ):
        raise Refused(415, "A change comes as a form.")
    length = headers.get("content-length", "0")
    if not length.isdecimal() or len(length) > 12 or int(length) > _most(scope):
        raise Refused(413, "That was more than this page takes.")


def _counted(receive: Receive, most: int) -> Receive:
    """A body without an honest length is cut off at the limit."""
    taken = 0

    async def inner() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooLarge
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


async def _answer(send: Send, status: int, words: str) -> None:
    body = words.encode()
    headers = {**HEADERS, "Content-Type": "text/plain; charset=utf-8", "Content-Length": str(len(body))}
    raw = [(name.lower().encode(), value.encode()) for name, value in headers.items()]
    await send({"type": "http.response.start", "status": status, "headers": raw})
    await send({"type": "http.response.body", "body": body})
