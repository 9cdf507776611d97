"""'genplan open' as a process: its address, its end, and a sentence for what cannot be."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

import genplan
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.warm import RunProgram

ROOT = Path(genplan.__file__).parents[1]


def words(*more: str) -> list[str]:
    return [sys.executable, "-m", "genplan", "open", *more, "--no-browser"]


def entrance(page: subprocess.Popen[str]) -> tuple[str, str]:
    """The address and the key that a page tells in its first lines."""
    assert page.stderr is not None
    lines = [page.stderr.readline() for _ in range(2)]
    address = re.search(r" (http://127\.0\.0\.1:\d+/)$", lines[0].strip())
    key = re.search(r"key: ([a-z0-9]{5}(-[a-z0-9]{5}){3})$", lines[1].strip())
    assert address, lines
    assert key, lines
    return address[1], key[1]


@pytest.mark.skipif(os.name != "posix", reason="a signal cannot be sent to one process there")
@pytest.mark.parametrize("end", by_day_the_first(["SIGINT", "SIGTERM", "SIGHUP"]))
def test_it_prints_its_address_answers_and_leaves_nothing_behind(tmp_path: Path, end: str) -> None:
    """An interrupt, a shutdown, a terminal that is closed."""
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    surroundings = {**os.environ, "TMPDIR": str(scratch)}
    running = subprocess.Popen(
        words(str(tmp_path / "case")),
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=surroundings,
        # tests that were started under nohup ignore it, and so would all that they start
        preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_DFL),
    )
    assert running.stderr is not None
    try:
        address, key = entrance(running)
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        entered = opener.open(f"{address}enter", f"key={key}".encode(), timeout=20).read().decode()
        way = re.search(r'url=/([^"]+)"', entered)
        assert way, entered
        assert b"Make an example" in opener.open(address + way[1], timeout=20).read()
        assert [p.name.startswith("genplan-page-") for p in scratch.iterdir()] == [True]
        running.send_signal(getattr(signal, end))
        assert running.wait(20) == 0
        assert "The page is closed." in running.stderr.read()
    finally:
        running.kill()
    assert not (tmp_path / "case").exists()
    assert list(scratch.iterdir()) == []


def test_a_port_in_use_gets_a_sentence(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = subprocess.run(words(str(tmp_path), "--port", port), capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 3
    assert f"The port {port} cannot be used" in done.stderr


def test_a_file_gets_a_sentence(tmp_path: Path, run_program: RunProgram) -> None:
    (tmp_path / "file").write_text("")
    done = run_program(["genplan", "open", str(tmp_path / "file"), "--no-browser"], ROOT, os.environ)
    assert done.returncode == 3
    assert "is a file" in done.stderr


@pytest.mark.nightly
@pytest.mark.skipif(os.name != "posix", reason="a signal cannot be sent to one process there")
def test_the_port_of_a_page_that_was_closed_can_be_used_at_once(tmp_path: Path) -> None:
    """Though connections that the page ended linger with the system; and one in use is still refused."""
    port = "0"
    for turn in range(2):
        page = subprocess.Popen(
            words(str(tmp_path), *(["--port", port] if turn else [])),
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        assert page.stderr is not None
        try:
            address, _ = entrance(page)
            port = address.rstrip("/").rpartition(":")[2]
            with socket.create_connection(("127.0.0.1", int(port)), timeout=20) as link:
                link.sendall(
                    f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n".encode()
                )
                while link.recv(65_536):  # the page's side ends first, so that side lingers
                    pass
            if turn:  # where nothing lingers is tried above
                taken = subprocess.run(
                    words(str(tmp_path), "--port", port), capture_output=True, text=True, cwd=ROOT
                )
                assert (taken.returncode, f"The port {port} cannot be used" in taken.stderr) == (3, True)
        finally:
            page.send_signal(signal.SIGINT)
            page.wait(20)
            page.stderr.close()


@pytest.mark.parametrize("missing", by_day_the_first(["starlette", "uvicorn", "python_multipart"]))
def test_without_its_packages_it_says_which_and_how(tmp_path: Path, missing: str) -> None:
    program = (
        f"import sys; sys.modules[{missing!r}] = None\n"
        f"from genplan.cli import main; sys.exit(main(['open', {str(tmp_path)!r}, '--no-browser']))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 2
    assert "pip install ." in done.stderr
    assert missing in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("port", ["80", "70000", "x", "-1"])
def test_a_port_that_is_none_is_refused(tmp_path: Path, port: str, run_program: RunProgram) -> None:
    done = run_program(["genplan", "open", str(tmp_path), f"--port={port}", "--no-browser"], ROOT, os.environ)
    assert done.returncode == 2
    assert "is not a port" in done.stderr
