"""What keeps the local page to its owner: each rule by an offence and a near miss."""

from __future__ import annotations

import socket
import threading
import time

import pytest

from genplan.case import Week
from genplan.keeping.store import kept_bytes
from genplan.keeping.told import KeptWeek
from genplan.web import guard
from genplan.workflow import open_case
from tests.fixtures.local_server import FORM, NOW, running
from tests.fixtures.starter_case import write_starter


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("guarded") / "case"
    write_starter(folder)
    (folder.parent / "secret.html").write_text("not yours")
    return folder


@pytest.fixture(scope="module")
def local(folder):
    with running(folder) as local:
        yield local


def test_it_listens_on_loopback_alone(local):
    address = local_address_of_this_machine()
    if address.startswith("127."):
        pytest.skip("this machine has no other address than loopback")
    with pytest.raises(OSError, match="refused"):
        socket.create_connection((address, local.port), timeout=2)


def local_address_of_this_machine():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(
                ("192.0.2.1", 9)
            )  # TEST-NET-1 of RFC 5737; a datagram socket sends nothing on connect
        except OSError:
            return "127.0.0.1"
        return probe.getsockname()[0]


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example:{p}", "127.0.0.1", "127.0.0.1:1", "", None]
)
def test_another_host_is_refused(local, host):
    asked = host and host.format(p=local.port)
    assert local.get("/check", Host=asked).status == 400


@pytest.mark.parametrize("host", ["127.0.0.1:{p}", "localhost:{p}"])
def test_our_own_hosts_are_answered(local, host):
    assert local.get("/check", Host=host.format(p=local.port)).status == 200


@pytest.mark.parametrize(
    "cookie", [None, "", "genplan-{p}=wrong", "genplan-1={k}", "other={k}", "genplan-{p}=\u00e9"]
)
def test_without_the_key_nothing_is_shown(local, cookie):
    asked = cookie and cookie.format(p=local.port, k=local.site.ticket)
    answer = local.get("/case", Cookie=asked)
    assert answer.status == 403
    assert "Robin" not in answer.text


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://127.0.0.1:1"}, 403),
        ({"Origin": "https://127.0.0.1:{p}"}, 403),
        ({"Origin": None}, 403),
        ({"Origin": None, "Sec_Fetch_Site": "cross-site"}, 403),
        ({"Origin": None, "Sec_Fetch_Site": "same-origin"}, 303),
        ({"Origin": "http://127.0.0.1:{p}"}, 303),
    ],
)
def test_a_change_comes_from_the_page_itself(local, headers, status):
    asked = {k: v and v.format(p=local.port) for k, v in headers.items()}
    assert local.post("/plan/2026-W49/stop", **asked).status == status


@pytest.mark.parametrize("token", ["", "wrong", "é"])
def test_a_change_without_the_token_is_refused(local, token):
    assert local.post("/plan/2026-W49/stop", {"token": token}).status == 403


def test_every_change_is_refused_without_the_token(local, folder):
    from genplan.web.app import CHANGES, UPLOADS

    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    for path in CHANGES:
        real = path.replace("{week}", "2026-W49").replace("{section}", "adults").replace("{id}", "mum")
        real = real.replace("{target}", "asks-for-help").replace("{line}", "2")
        real = real.replace("{sitting}", "2026-W49-tue-mum-3fa")
        assert local.post(real, {"token": "wrong"}).status == 403, path
        # 422: a form that asks what it is about
        assert local.get(real, Origin=None).status in (200, 404, 405, 422), path
    for path in UPLOADS:
        assert local.upload(path, "a.csv", b"x", {"token": "wrong"}).status == 403, path
    assert before == {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize("headers", [{"Origin": "http://evil.example"}, {"Origin": None}, {"Cookie": None}])
def test_a_file_comes_from_the_page_itself(local, headers):
    assert local.upload("/record/sheet", "a.csv", b"x", **headers).status == 403


def test_a_file_is_taken_only_where_one_is_asked_for(local):
    assert local.upload("/plan/2026-W49/stop", "a.csv", b"x").status == 415
    assert local.post("/record/sheet").status == 415


def test_a_large_file_is_refused(local):
    fits = local.upload("/record/sheet", "a.csv", b"x" * (guard.MOST_UPLOAD - 1000))
    assert (fits.status, "larger than" in fits.text or "too" in fits.text) == (409, True)
    assert local.upload("/record/sheet", "a.csv", b"x" * guard.MOST_UPLOAD).status == 413
    head = b'--x\r\nContent-Disposition: form-data; name="sheet"; filename="a.csv"\r\n\r\n'
    chunks = [head, *[b"x" * 1_000_000] * 6, b"\r\n--x--\r\n"]
    whole = b"".join(b"%x\r\n%b\r\n" % (len(c), c) for c in chunks) + b"0\r\n\r\n"
    kind = "multipart/form-data; boundary=x"
    answer = local.send("POST", "/record/sheet", whole, Transfer_Encoding="chunked", Content_Type=kind)
    assert answer.status == 413


def test_two_files_or_a_form_that_is_none_are_refused(local):
    part = b'Content-Disposition: form-data; name="sheet"; filename="a.csv"\r\n\r\nx\r\n'
    two = b"--xyz\r\n" + part + b"--xyz\r\n" + part + b"--xyz--\r\n"
    kind = {"Content_Type": "multipart/form-data; boundary=xyz"}
    assert local.send("POST", "/record/sheet", two, **kind).status == 400
    assert local.send("POST", "/record/sheet", b"nothing of the kind", **kind).status in (400, 403)
    assert local.send("POST", "/record/sheet", b"x", Content_Type="multipart/form-data").status in (400, 403)


@pytest.mark.parametrize("kind", ["text/plain", "application/json", "multipart/form-data; boundary=x", None])
def test_a_change_comes_as_a_form(local, kind):
    assert local.post("/plan/2026-W49/stop", Content_Type=kind).status == 415
    assert local.post("/plan/2026-W49/stop", Content_Type=f"{FORM}; charset=utf-8").status == 303


def test_a_large_form_is_refused(local):
    head = f"token={local.site.token}&note=".encode()
    fits = head + b"x" * (guard.MOST_BYTES - len(head))
    assert local.send("POST", "/plan/2026-W49/stop", fits).status == 303
    assert local.send("POST", "/plan/2026-W49/stop", fits + b"x").status == 413


def test_a_large_form_without_its_length_is_refused(local):
    chunk = b"x" * 50_000
    whole = b"".join(b"%x\r\n%b\r\n" % (len(chunk), chunk) for _ in range(5)) + b"0\r\n\r\n"
    assert local.send("POST", "/plan/2026-W49/stop", whole, Transfer_Encoding="chunked").status == 413


def test_a_long_address_is_refused(local):
    assert local.get("/check?x=" + "y" * guard.MOST_QUERY).status == 414
    assert local.get("/check?x=" + "y" * (guard.MOST_QUERY - 2)).status == 200


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(local, method):
    assert local.send(method, "/check", b"").status == 405


def nothing_told(folder):
    opened = open_case(folder, NOW)
    return kept_bytes(KeptWeek(Week(2026, 49), opened.now, ()), opened.case)


PLACES = ["week/2026-W49", "plan/2026-W49"]
OUTSIDE = [
    "../secret.html",
    "..%2F..%2Fsecret.html",
    "%2e%2e/%2e%2e/secret.html",
    "....//secret.html",
    "/etc/passwd",
]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("name", [*OUTSIDE, "../../case.yaml", "told.json", "calendars", "link.html"])
def test_no_file_but_the_plan_s_own_is_served(local, folder, place, name):
    week = folder / "weeks" / "2026-W49"
    week.mkdir(parents=True, exist_ok=True)
    (week / "told.json").write_bytes(nothing_told(folder))
    (week / "calendars").mkdir(exist_ok=True)
    if not (week / "link.html").is_symlink():
        (week / "link.html").symlink_to(folder.parent / "secret.html")
    answer = local.get(f"/{place}/files/{name}")
    assert answer.status == 404
    assert "not yours" not in answer.text


def test_a_file_of_a_kept_week_is_served_as_what_it_is(local, folder):
    week = folder / "weeks" / "2026-W48" / "calendars"
    week.mkdir(parents=True, exist_ok=True)
    (week / "all.ics").write_text("BEGIN:VCALENDAR")
    answer = local.get("/week/2026-W48/files/calendars/all.ics")
    assert (answer.status, answer.text) == (200, "BEGIN:VCALENDAR")
    assert answer.headers["content-disposition"] == 'attachment; filename="all.ics"'


def test_every_answer_carries_a_strict_policy(local):
    for path in ("/check", "/page.css", "/nowhere", "/case/adults/nobody"):
        headers = local.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert (headers["x-content-type-options"], headers["cache-control"]) == ("nosniff", "no-store")
    assert "content-security-policy" in local.get("/check", Host="evil.example").headers


def test_what_a_user_typed_is_escaped(tmp_path):
    folder = tmp_path / "case"
    write_starter(folder)
    nasty = """<script>alert(1)</script>"'&<img src=x onerror=alert(1)>"""
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(
        text.replace("name: Mum", "name: " + repr(nasty).replace("\\'", "''")), "utf-8"
    )
    with running(folder) as local:
        for path in (
            "/case",
            "/case/adults/mum",
            "/matrix",
            "/record/row?target=asks-for-help&note=" + "%3Cscript%3E",
        ):
            page = local.get(path).text
            assert "alert(1)" in page or "note=" in path
            assert "<script>alert" not in page
            assert "<img" not in page
            assert "<script>" not in page


def test_too_many_requests_at_a_time_are_refused(local, monkeypatch):
    monkeypatch.setattr(guard, "MOST_AT_ONCE", 1)
    waiting = socket.create_connection(("127.0.0.1", local.port))
    head = f"POST /{local.site.way}/plan/2026-W49/stop HTTP/1.1\r\nHost: 127.0.0.1:{local.port}\r\n"
    head += f"Origin: {local.origin}\r\nCookie: {local.cookie}\r\nContent-Type: {FORM}\r\nContent-Length: 9\r\n\r\n"
    waiting.sendall(head.encode())
    deadline = time.monotonic() + 60
    while (answer := local.get("/check").status) != 503 and time.monotonic() < deadline:
        threading.Event().wait(0.05)
    assert answer == 503
    waiting.close()
    while (answer := local.get("/check").status) != 200 and time.monotonic() < deadline:
        threading.Event().wait(0.05)
    assert answer == 200
