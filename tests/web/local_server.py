"""A server of the local page in a thread, and a client that sends exactly what a test says."""

from __future__ import annotations

import http.client
import re
import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from urllib.parse import urlencode

import pytest

pytest.importorskip("starlette", reason="the extra 'web' is not installed")
pytest.importorskip("uvicorn", reason="the extra 'web' is not installed")
pytest.importorskip("python_multipart", reason="the extra 'web' is not installed")

from genplan.web.app import build
from genplan.web.connections import Server
from genplan.web.gate import write_entrance
from genplan.web.serve import _listen
from genplan.web.site import Site

NOW = datetime(2026, 11, 29, 12, 0)
FORM = "application/x-www-form-urlencoded"


@dataclass
class Answer:
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode("utf-8")


@dataclass
class Local:
    site: Site
    port: int
    told: list[str] = field(default_factory=list)
    """What was said on the terminal."""

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def address(self) -> str:
        """What the addresses of a browser that was let in begin with."""
        return f"{self.origin}/{self.site.way}"

    @property
    def cookie(self) -> str:
        return f"genplan-{self.port}={self.site.ticket}"

    def entrance(self) -> str:
        """The file that a browser is started with, once."""
        return write_entrance(self.site, self.port).as_uri()

    def send(self, method: str, path: str, body: bytes | None = None, **headers: str | None) -> Answer:
        """One request as a browser that was let in sends it, by the page's own names for its addresses; a header given
        as None is left out."""
        way = f"/{self.site.way}"
        found = self.ask(method, way + path, body, **{"Cookie": self.cookie, **headers})
        if "location" in found.headers:
            assert found.headers["location"].startswith(f"{way}/")
            found.headers["location"] = found.headers["location"].removeprefix(way)
        return replace(found, body=found.body.replace(f'="{way}/'.encode(), b'="/'))

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str | None) -> Answer:
        """One request as anybody can send it, to exactly this path."""
        all_headers = {
            "Host": f"127.0.0.1:{self.port}",
            **({"Origin": self.origin, "Content-Type": FORM} if method == "POST" else {}),
            **{k.replace("_", "-"): v for k, v in headers.items()},
        }
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=90)
        try:
            link.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in all_headers.items():
                if value is not None:
                    link.putheader(name, value)
            if body is not None and not any(n in headers for n in ("Content_Length", "Transfer_Encoding")):
                link.putheader("Content-Length", str(len(body)))
            link.endheaders(body)
            found = link.getresponse()
            return Answer(found.status, {k.lower(): v for k, v in found.getheaders()}, found.read())
        finally:
            link.close()

    def get(self, path: str, **headers: str | None) -> Answer:
        return self.send("GET", path, **headers)

    def post(self, path: str, fields: dict[str, object] | None = None, **headers: str | None) -> Answer:
        """A form with this run's token, unless the fields name another."""
        body = urlencode({"token": self.site.token, **(fields or {})}, doseq=True).encode()
        return self.send("POST", path, body, **headers)

    def upload(
        self, path: str, name: str, data: bytes, fields: dict[str, str] | None = None, **headers: str | None
    ) -> Answer:
        """A form with one file, as a browser sends it."""
        parts = [
            f'Content-Disposition: form-data; name="{n}"\r\n\r\n{v}'.encode()
            for n, v in {"token": self.site.token, **(fields or {})}.items()
        ]
        head = f'Content-Disposition: form-data; name="sheet"; filename="{name}"\r\nContent-Type: text/csv\r\n\r\n'
        parts.append(head.encode() + data)
        body = b"".join(b"--xyz\r\n" + part + b"\r\n" for part in parts) + b"--xyz--\r\n"
        kind = {"Content_Type": "multipart/form-data; boundary=xyz"}
        return self.send("POST", path, body, **{**kind, **headers})

    def form(self, path: str, number: int = 0) -> dict[str, list[str]]:
        """The fields of a form of a page, as a browser would send them back untouched."""
        return form_fields(self.get(path).text, number)


@contextmanager
def running(folder: Path):
    site = Site(folder, NOW)
    listening = _listen(None)
    port = listening.getsockname()[1]
    told: list[str] = []
    server = Server(build(site, port), told.append)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield Local(site, port, told)
    finally:
        server.should_exit = True
        thread.join(10)
        site.close()
        listening.close()


def form_fields(page: str, number: int = 0) -> dict[str, list[str]]:
    """Names and values of the form with this number; the pages are ours, so a few patterns read them."""
    text = re.findall(r"<form.*?</form>", page, re.DOTALL)[number]
    found: dict[str, list[str]] = {}

    def add(name: str, value: str) -> None:
        import html

        found.setdefault(html.unescape(name), []).append(html.unescape(value))

    for tag in re.findall(r"<input[^>]*>", text):
        attributes = dict(re.findall(r'([a-z_-]+)="([^"]*)"', tag))
        if attributes.get("type") not in ("radio", "checkbox") or " checked" in tag:
            add(attributes["name"], attributes.get("value", "on"))
    for name, inner in re.findall(r'<textarea[^>]* name="([^"]*)"[^>]*>(.*?)</textarea>', text, re.DOTALL):
        add(name, inner)
    for name, inner in re.findall(r'<select[^>]* name="([^"]*)"[^>]*>(.*?)</select>', text, re.DOTALL):
        options = re.findall(r'<option value="([^"]*)"( selected)?', inner)
        add(name, next((v for v, chosen in options if chosen), options[0][0]))
    return found
