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

pytest.importorskip("uvicorn", reason="the extra 'web' is not installed")
ROOT = Path(genplan.__file__).parents[1]


def words(*more: str) -> list[str]:
    return [sys.executable, "-m", "genplan", "open", *more, "--no-browser"]


@pytest.mark.skipif(os.name != "posix", reason="a signal cannot be sent to one process there")
@pytest.mark.parametrize("end", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_it_prints_its_address_answers_and_leaves_nothing_behind(tmp_path: Path, end: str) -> None:
    """An interrupt, a shutdown, a terminal that is closed."""
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    surroundings = {**os.environ, "TMPDIR": str(scratch)}
    running = subprocess.Popen(
        words(str(tmp_path / "case")), stderr=subprocess.PIPE, text=True, cwd=ROOT, env=surroundings
    )
    assert running.stderr is not None
    try:
        line = running.stderr.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/enter\?key=\S+$", line.strip())
        assert address, line
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        assert b"Make a first case" in opener.open(address[0], timeout=20).read()
        assert [p.name.startswith("genplan-page-") for p in scratch.iterdir()] == [True]
        running.send_signal(getattr(signal, end))
        assert running.wait(20) == 0
        assert "The page is closed." in running.stderr.read()
    finally:
        running.kill()
    assert not (tmp_path / "case").exists()
    assert list(scratch.iterdir()) == []


def test_a_port_in_use_and_a_file_get_a_sentence(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = subprocess.run(words(str(tmp_path), "--port", port), capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 3
    assert f"The port {port} cannot be used" in done.stderr
    (tmp_path / "file").write_text("")
    done = subprocess.run(words(str(tmp_path / "file")), capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 3
    assert "is a file" in done.stderr


@pytest.mark.parametrize("missing", ["starlette", "uvicorn", "python_multipart"])
def test_without_the_extra_packages_it_says_which_and_how(tmp_path: Path, missing: str) -> None:
    program = (
        f"import sys; sys.modules[{missing!r}] = None\n"
        f"from genplan.cli import main; sys.exit(main(['open', {str(tmp_path)!r}, '--no-browser']))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 2
    assert "pip install 'genplan[web]'" in done.stderr
    assert missing in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("port", ["80", "70000", "x", "-1"])
def test_a_port_that_is_none_is_refused(tmp_path: Path, port: str) -> None:
    done = subprocess.run(words(str(tmp_path), f"--port={port}"), capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 2
    assert "is not a port" in done.stderr
