"""The page attacked as a whole, on every route: from other pages of the browser, from other users of the machine, and
by addresses that make no sense. Nothing of the case goes out, nothing is written, nothing breaks."""

from __future__ import annotations

import re
import shutil
import socket
import threading
from urllib.parse import quote

import pytest

from genplan.web.app import CHANGES, PAGES, UPLOADS
from tests.fixtures.local_server import FORM, running
from tests.fixtures.places import EXAMPLES

KEYS = re.compile(r"{(\w+)(?::path)?}")
FITS = {
    "week": "2026-W49",
    "section": "learners",
    "id": "ines",
    "target": "coat-on",
    "line": "2",
    "name": "week.html",
    "sitting": "2026-W49-tue-dad-2dc",
    "screen": "child",
    "number": "1",
}
ODD_IDS = (
    "..",
    "%2e%2e",
    "..%2f..%2fsecret",
    "%00",
    "a%00b",
    "%0d%0aX:%20y",
    "é",
    "😀",
    "a" * 3000,
    "'",
    "<b>",
    "con",
    "all",
)
ODD_WEEKS = (
    *ODD_IDS[:4],
    "0002-W01",
    "9998-W52",
    "2026-W54",
    "2026-W1",
    "20261-W01",
    "-001-W01",
    "２０２６-W49",
    "2026-W4９",
)
ODD_LINES = ("0", "1", "-1", "999999999", "1e5", "²", "٣", "a", "9" * 400)
ODD_NAMES = (
    "../secret.html",
    "..%2f..%2fsecret.html",
    "%2e%2e/%2e%2e/secret.html",
    "/etc/passwd",
    "%00",
    "told.json",
    "..\\x",
)
ODD = {
    "week": ODD_WEEKS,
    "section": ODD_IDS,
    "id": ODD_IDS,
    "target": ODD_IDS,
    "line": ODD_LINES,
    "name": ODD_NAMES,
}
ODD_QUERIES = (
    *(f"week={w}" for w in ("..", "0002-W01", "2026-W4９")),
    *(f"target={i}&learner={i}&adult={i}&said={i}" for i in ("..", "%00", "é" * 500)),
    "day=0001-01-01&date=0001-01-01&from=0001-01-01&to=9999-12-31",
    "day=9999-12-31&date=9999-12-31&from=9999-12-31&to=0001-01-01",
    "day=2026-13-01&date=x&from=&to=",
    "weeks=99999999999&trials=999999&pass_mark=6",
    "target=a&target=b&a=%&=&&",
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("attacked") / "case"
    shutil.copytree(EXAMPLES / "family", folder)
    (folder.parent / "secret.html").write_text("not yours")
    return folder


@pytest.fixture(scope="module")
def local(folder):
    with running(folder) as local:
        yield local
        assert local.told == []


@pytest.fixture
def untouched(folder):
    """Nothing of the case is changed, nothing comes to it."""
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    yield
    after = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.name not in (".case.lock",)}
    assert {p: d for p, d in before.items() if p.name != ".case.lock"} == after


def filled(path, **other):
    """A route's address with something that fits for each of its parts."""
    return KEYS.sub(lambda found: {**FITS, "word": "w", **other}[found[1]], path)


def odd_addresses():
    for path in (*PAGES, *CHANGES):
        for key in KEYS.findall(path):
            for value in ODD.get(key, ODD_IDS):
                yield path, filled(path, **{key: quote(value, safe="%/.'\\")})


def answered(local, data):
    """What comes back for exactly these bytes, until the page ends the connection."""
    with socket.create_connection(("127.0.0.1", local.port), timeout=60) as link:
        link.sendall(data)
        link.shutdown(socket.SHUT_WR)
        found = b""
        while part := link.recv(65_536):
            found += part
    return found


def test_the_names_of_this_test_are_names_of_the_case(local):
    """Else it would attack what is not there."""
    assert local.get(filled("/case/{section}/{id}")).status == 200
    assert local.get(filled("/history/{target}")).status == 200


def test_no_odd_part_of_an_address_breaks_anything(local, untouched):
    tried = 0
    for path, address in odd_addresses():
        answer = local.get(address) if path in PAGES else local.post(address)
        assert answer.status < 500, (address[:200], answer.text)
        assert "not yours" not in answer.text
        assert "x" not in {k for k in answer.headers if len(k) == 1}  # a header that an address brought
        tried += 1
    local.site.stop()
    assert tried > 300


def test_no_odd_question_breaks_anything(local, untouched, nightly):
    """By day each page is asked every third question, and each third page the same ones."""
    for number, path in enumerate(p for p in PAGES if not KEYS.findall(p)):
        for query in ODD_QUERIES if nightly else ODD_QUERIES[number % 3 :: 3]:
            answer = local.get(f"{path}?{quote(query, safe='%&=')}")
            assert answer.status < 500, (path, query, answer.text)


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://127.0.0.1:{p}.evil.example", "http://127.0.0.1"]
)
def test_no_other_page_changes_anything(local, untouched, origin):
    """With the cookie, the way, and even the token: as if all had leaked, from another page of the owner's browser."""
    asked = {"Origin": origin.format(p=local.port)}
    for path in CHANGES:
        assert local.post(filled(path), **asked).status == 403, path
    for path in UPLOADS:
        assert local.upload(path, "a.csv", b"x", **asked).status == 403, path


@pytest.mark.parametrize(
    "host", ["rebound.example:{p}", "127.0.0.1.nip.example:{p}", "[::1]:{p}", "127.1:{p}", "LOCALHOST:{p}."]
)
def test_a_name_that_was_bound_to_this_machine_gets_nothing(local, untouched, host):
    """A page of another name that resolves to this machine is of the same origin as itself, in the browser's eyes."""
    name = host.format(p=local.port)
    for path in (*PAGES, *CHANGES, *UPLOADS):
        method = "GET" if path in PAGES else "POST"
        answer = local.send(method, filled(path), b"", Host=name, Origin=f"http://{name}")
        assert (answer.status, b"Ines" in answer.body) == (400, False), path


def test_a_stranger_gets_the_same_gate_on_every_route(local, untouched):
    """Without the cookie, with one of another run, and without the way: guessed, left out, or dressed up."""
    way = local.site.way
    ways = (
        "",
        f"/{way[:-1]}",
        f"/{way}x",
        f"//{way}",
        f"/./{way}",
        f"/x/../{way}",
        f"/{way.swapcase()}",
    )
    stale = f"genplan-{local.port}={'a' * 32}"
    wrong = [
        (f"/{way}", cookie)
        for cookie in (None, stale, f"genplan-{local.port}={local.site.key}", "genplan-x=\xff")
    ]
    for before, cookie in [*wrong, *((w, local.cookie) for w in ways)]:
        for path in (*PAGES, *CHANGES, *UPLOADS):
            if before + filled(path) in ("/", "//"):
                continue
            method = "GET" if path in PAGES else "POST"
            answer = local.ask(
                method, before + filled(path), b"token=" + local.site.token.encode(), Cookie=cookie
            )
            assert (answer.status, "The key, please" in answer.text) == (403, True), (before, path)
            assert way not in answer.text


@pytest.mark.parametrize(
    "line",
    [
        b"GET http://evil.example/ HTTP/1.1",
        b"GET //evil.example/ HTTP/1.1",
        b"CONNECT evil.example:80 HTTP/1.1",
        b"GET * HTTP/1.1",
        b"GET /\xff\xfe HTTP/1.1",
        b"GET /%ff%fe HTTP/1.1",
        b"GET / HTTP/9.9",
        b"GET /",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
        b"PRI * HTTP/2.0",
        b"GET /" + b"a" * 100_000 + b" HTTP/1.1",
    ],
)
def test_a_line_that_is_no_request_of_ours_gets_nothing(local, line):
    found = answered(
        local, line + b"\r\nHost: 127.0.0.1:%d\r\nCookie: %b\r\n\r\n" % (local.port, local.cookie.encode())
    )
    assert b"Ines" not in found
    refused = (b"HTTP/1.1 400", b"HTTP/1.1 403", b"HTTP/1.1 404", b"HTTP/1.1 405")
    assert found == b"" or found.startswith(refused) or b"The key, please" in found


@pytest.mark.parametrize(
    "more",
    [
        "Host: evil.example",
        "Host: 127.0.0.1:{p}",
        "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Key: x\r\nSec-WebSocket-Version: 13",
        "X: " + "a" * 70_000,
        "Content-Length: 5\r\nContent-Length: 6",
        "Content-Length: 5\r\nTransfer-Encoding: chunked",
        "Content-Length: ٣",
        "Content-Length: -1",
        "Transfer-Encoding: gzip, chunked",
    ],
)
def test_heads_that_could_be_read_in_two_ways_change_nothing(local, untouched, more):
    """A second request hidden in the body of a first one is no request."""
    hidden = f"POST /{local.site.way}/make-case HTTP/1.1\r\nHost: x\r\n\r\n"
    head = f"POST /enter HTTP/1.1\r\nHost: 127.0.0.1:{local.port}\r\nContent-Type: {FORM}\r\n"
    head += f"{more.format(p=local.port)}\r\n\r\n"
    found = answered(local, (head + hidden).encode())
    assert b"Set-Cookie" not in found
    assert re.findall(rb"HTTP/1.1 (?!4\d\d)", found) == []


def test_many_guesses_at_once_let_nobody_in_and_do_not_keep_the_owner_out(local):
    statuses = []

    def guess(number):
        for turn in range(20):
            statuses.append(local.ask("POST", "/enter", f"key=guess-{number}-{turn}".encode()).status)

    some = [threading.Thread(target=guess, args=(n,)) for n in range(8)]
    for thread in some:
        thread.start()
    for _ in range(5):
        assert local.get("/case").status == 200
    for thread in some:
        thread.join(60)
    assert len(statuses) == 160
    assert set(statuses) <= {403, 503}
