"""Connections that bring nothing, half a request, or take no answer: they are ended, and the page goes on.

All traffic is on loopback, bounded in count, and ends with the test."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from types import SimpleNamespace

import pytest

from genplan.web import connections, guard
from tests.fixtures.local_server import FORM, running
from tests.fixtures.starter_case import write_starter

PATIENCE = 60.0


@pytest.fixture
def local(tmp_path):
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local:
        yield local
        assert local.told == []


@contextlib.contextmanager
def held_open(local, count, sent=b""):
    """So many connections that have sent this much and wait."""
    held = []
    try:
        for _ in range(count):
            link = socket.create_connection(("127.0.0.1", local.port), timeout=PATIENCE)
            held.append(link)
            with contextlib.suppress(OSError):  # the page may have ended it already
                link.sendall(sent)
        yield held
    finally:
        for link in held:
            link.close()


def is_ended(link):
    """Whether the page ends a connection, within the patience of the test."""
    try:
        while link.recv(65_536):
            pass
    except ConnectionError:
        return True
    return True  # a test that waits in vain fails by the socket's own limit


def go_on_sending(link, data, times, pause):
    for _ in range(times):
        link.sendall(data)
        time.sleep(pause)


def head(local, length, path="/plan/2026-W49/stop"):
    lines = (
        f"POST /{local.site.way}{path} HTTP/1.1",
        f"Host: 127.0.0.1:{local.port}",
        f"Origin: {local.origin}",
    )
    more = (f"Cookie: {local.cookie}", f"Content-Type: {FORM}", f"Content-Length: {length}", "", "")
    return "\r\n".join((*lines, *more)).encode()


@pytest.mark.parametrize(
    "sent", [b"", b"G", b"GET / HTTP/1.1\r\nHost: 127.0.0.1", b"\r\n", b"POST /enter HTTP/1.1\r\n"]
)
def test_a_request_that_does_not_come_is_not_waited_for(local, monkeypatch, sent):
    monkeypatch.setattr(connections, "LOOK_SECONDS", 0.2)
    with held_open(local, 1, sent) as (link,):
        assert is_ended(link)


def test_a_head_that_drips_does_not_hold_its_place(local, monkeypatch):
    """A byte now and then is no sign of life: what counts is a whole request."""
    monkeypatch.setattr(connections, "LOOK_SECONDS", 0.3)
    with (
        held_open(local, 1, b"GET / HTTP/1.1\r\nX: ") as (link,),
        pytest.raises(OSError, match=r"[Bb]roken|reset"),
    ):
        go_on_sending(link, b"x", 1000, 0.02)


def test_a_form_that_does_not_come_to_its_end_is_refused(local, monkeypatch):
    monkeypatch.setattr(guard, "FORM_SECONDS", 0.3)
    with held_open(local, 1, head(local, 1000) + b"token=") as (link,):
        assert link.recv(65_536).startswith(b"HTTP/1.1 408 ")
    with held_open(local, 1, b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n" % local.port) as (link,):
        link.sendall(f"Content-Type: {FORM}\r\nContent-Length: 99\r\n\r\nkey=".encode())
        assert link.recv(65_536).startswith(b"HTTP/1.1 408 ")
    assert local.get("/check").status == 200


def test_an_answer_that_nobody_takes_is_not_waited_for(local, monkeypatch, tmp_path):
    """More than all buffers hold, to one who never reads."""
    monkeypatch.setattr(connections, "LOOK_SECONDS", 0.3)
    week = tmp_path / "case" / "weeks" / "2026-W48"
    week.mkdir(parents=True)
    (week / "plan.csv").write_bytes(b"x" * 20_000_000)
    ended = threading.Event()
    real = connections.Patient.connection_lost
    monkeypatch.setattr(connections.Patient, "connection_lost", lambda *all: (real(*all), ended.set()))
    ask = f"GET /{local.site.way}/week/2026-W48/files/plan.csv HTTP/1.1\r\nHost: 127.0.0.1:{local.port}\r\n"
    with held_open(local, 1, f"{ask}Cookie: {local.cookie}\r\n\r\n".encode()):
        assert ended.wait(PATIENCE)
    assert len(local.get("/week/2026-W48/files/plan.csv").body) == 20_000_000


def test_what_is_sent_on_after_a_refusal_is_not_read_for_ever(local, monkeypatch):
    monkeypatch.setattr(connections, "MOST_UNASKED", 300_000)
    start = b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nTransfer-Encoding: chunked\r\n" % local.port
    with (
        held_open(local, 1, start + f"Content-Type: {FORM}\r\n\r\n".encode()) as (link,),
        pytest.raises(OSError, match=r"[Bb]roken|reset"),
    ):
        go_on_sending(link, b"4000\r\n" + b"x" * 0x4000 + b"\r\n", 1000, 0)


def test_a_stranger_s_many_connections_leave_the_page_to_its_owner(local):
    """Neither the idle ones, nor those in the middle of a request, nor those in the middle of the gate's form."""
    gate = f"POST /enter HTTP/1.1\r\nHost: 127.0.0.1:{local.port}\r\nContent-Type: {FORM}\r\nContent-Length: 99\r\n\r\n"
    for sent in (b"", b"GET / HTTP/1.1\r\n", gate.encode()):
        with held_open(local, 3 * connections.MOST, sent):
            for _ in range(3):
                assert local.get("/check").status == 200


def test_who_waited_longest_goes_first_and_who_was_let_in_last():
    ended = []

    def connection(number, known, may_go=True):
        made = connections.Patient.__new__(connections.Patient)
        made.number, made.known = number, known
        made.cycle = SimpleNamespace(response_complete=may_go)
        made.scope = {"state": {guard.LET_IN: True}}
        made.end = lambda: ended.append(number)
        return made

    some = {
        connection(1, True),
        connection(2, False, may_go=False),
        connection(3, False),
        connection(4, False),
    }
    connections.end_oldest(some, 1)
    assert ended == [3]
    ended.clear()
    connections.end_oldest(some, 9)
    assert ended == [3, 4, 1]


@pytest.mark.parametrize("there", [0, 1])
def test_a_connection_that_is_dropped_in_a_form_is_no_fault(local, capfd, there):
    """Half of a form to write a result, and to the gate; and a page that nobody waits for any more."""
    with held_open(local, 1, head(local, 5000, "/record/add") + b"token=x&" * there):
        pass
    gate = f"POST /enter HTTP/1.1\r\nHost: 127.0.0.1:{local.port}\r\nContent-Type: {FORM}\r\nContent-Length: 99\r\n\r\n"
    with held_open(local, 1, gate.encode() + b"key=" * there):
        pass
    with held_open(local, 1, head(local, 0).replace(b"POST", b"GET")):
        pass
    assert local.get("/check").status == 200
    assert local.get("/check").status == 200
    assert capfd.readouterr() == ("", "")


def test_a_fault_of_the_program_is_a_sentence(local, capfd, monkeypatch):
    from genplan.web import endpoints

    def broken(*all, **more):
        raise ZeroDivisionError

    monkeypatch.setattr(endpoints, "_guarded", broken)
    answer = local.get("/check")
    assert answer.status == 500
    assert "fault of the program" in answer.text
    assert capfd.readouterr() == ("", "")


@pytest.mark.skipif(os.name != "posix", reason="limits of a process are set in another way there")
def test_more_connections_than_the_system_gives_are_no_traceback(tmp_path):
    """The page may open 60 files at a time, and 300 connections come and stay. It answers again and ends in order."""
    write_starter(tmp_path / "case")
    words = [sys.executable, "-m", "genplan", "open", str(tmp_path / "case"), "--no-browser"]
    surroundings = {**os.environ, "TMPDIR": str(tmp_path)}
    page = subprocess.Popen(
        ["sh", "-c", 'ulimit -n 60; exec "$@"', "sh", *words],
        stderr=subprocess.PIPE,
        text=True,
        env=surroundings,
    )
    try:
        port = int(re.search(r":(\d+)/", page.stderr.readline())[1])
        with held_open(SimpleNamespace(port=port), 300):
            assert asked(port).startswith(b"HTTP/1.1 200")
        assert asked(port).startswith(b"HTTP/1.1 200")
        page.send_signal(signal.SIGINT)
        said = page.stderr.read()
        assert page.wait(20) == 0
    finally:
        page.kill()
        page.stderr.close()
    assert "Traceback" not in said
    assert len(said.splitlines()) <= 4, said
    assert "no room for another connection" in said


def asked(port):
    """The gate's answer; who is turned away comes again, as a person would."""
    deadline = time.monotonic() + PATIENCE
    while time.monotonic() < deadline:
        with (
            contextlib.suppress(ConnectionError),
            socket.create_connection(("127.0.0.1", port), PATIENCE) as link,
        ):
            link.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n" % port)
            if found := link.recv(65_536):
                return found
        time.sleep(0.05)
    return b""
