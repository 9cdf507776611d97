"""What a page that was killed leaves: its search ends by itself, and the next start ends and clears the rest."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from genplan.web import scratch
from genplan.web.app_state import AppState
from genplan.web.long_jobs import Job, Search
from tests.fixtures.local_server import Local
from tests.fixtures.starter_case import write_starter

pytestmark = pytest.mark.skipif(
    os.name != "posix" or shutil.which("ps") is None, reason="there is no list of processes to look at"
)
PATIENCE = 60.0


@pytest.fixture
def place(tmp_path, monkeypatch):
    """Where the folders of runs are made and looked for."""
    folder = tmp_path / "scratch"
    folder.mkdir()
    monkeypatch.setattr(scratch.tempfile, "tempdir", str(folder))
    return folder


def until(condition):
    deadline = time.monotonic() + PATIENCE
    while not (found := condition()):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    return found


def is_there(pid):
    """A process that has ended, and that nobody has asked about, is there no more."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        if Path("/proc/self").exists():
            return False
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def searches_in(place):
    said = subprocess.run(
        ["ps", "-A", "-ww", "-o", "pid=", "-o", "args="], capture_output=True, text=True
    ).stdout
    return [
        int(line.split()[0]) for line in said.splitlines() if f"{place}/" in line and " -m genplan" in line
    ]


def page_with_a_search(tmp_path, place):
    """A page as a process, and its search, which would take some seconds."""
    case = tmp_path / "case"
    write_starter(case)
    words = [sys.executable, "-m", "genplan", "open", str(case), "--no-browser", "--now", "2026-11-29T12:00"]
    surroundings = {**os.environ, "TMPDIR": str(place)}
    page = subprocess.Popen(words, stderr=subprocess.PIPE, text=True, env=surroundings)
    port = int(re.search(r":(\d+)/", page.stderr.readline())[1])
    key = page.stderr.readline().split()[-1]
    entered = Local(None, port).ask("POST", "/enter", f"key={key}".encode())
    way = re.search(r"url=(/[^/]+)/", entered.text)[1]
    cookie = entered.headers["set-cookie"].partition(";")[0]
    local = Local(None, port)
    token = re.search(
        r'name="token" value="([^"]+)"', local.ask("GET", f"{way}/plan/2026-W49", Cookie=cookie).text
    )[1]
    body = f"token={token}&weeks=26".encode()
    assert local.ask("POST", f"{way}/plan/2026-W49/start", body, Cookie=cookie).status == 303
    return page, until(lambda: searches_in(place))[0]


@pytest.mark.parametrize("halted", [False, True])
def test_after_a_kill_the_search_ends_and_the_next_start_clears(tmp_path, place, halted):
    """A search that was halted cannot notice that its page is gone; the next start ends it."""
    page, search = page_with_a_search(tmp_path, place)
    try:
        if halted:
            os.kill(search, signal.SIGSTOP)
        page.kill()
        page.wait(20)
        assert list(place.iterdir()) != []
        if not halted:
            until(lambda: not is_there(search))
        scratch.clear_left_behind()
        until(lambda: not is_there(search))
        assert list(place.iterdir()) == []
    finally:
        page.stderr.close()
        if is_there(search):
            os.kill(search, signal.SIGKILL)


def test_the_start_of_a_page_clears_what_another_left(tmp_path, place):
    left = scratch.Scratch()
    left._held.close()  # as the system does for a run that was killed
    (left.folder / "plan").mkdir()
    words = [sys.executable, "-m", "genplan", "open", str(tmp_path / "case"), "--no-browser"]
    page = subprocess.Popen(
        words, stderr=subprocess.PIPE, text=True, env={**os.environ, "TMPDIR": str(place)}
    )
    try:
        page.stderr.readline()
        until(lambda: not left.folder.exists())
    finally:
        page.terminate()
        page.communicate(timeout=20)
    assert list(place.iterdir()) == []


def test_a_run_that_lives_is_let_be(tmp_path, place):
    site = AppState(tmp_path / "case")
    (site.scratch / "plan").mkdir()
    scratch.clear_left_behind()
    assert (site.scratch / "plan").exists()
    site.close()
    assert list(place.iterdir()) == []


def test_what_others_put_into_a_shared_place_is_let_be(tmp_path, place):
    """A link, a file, a folder without a lock, one of another user: none of them is a run's."""
    mine = tmp_path / "precious"
    mine.mkdir()
    (mine / scratch.LOCK).touch()
    (place / f"{scratch.PREFIX}link").symlink_to(mine)
    (place / f"{scratch.PREFIX}file").touch()
    (place / f"{scratch.PREFIX}bare").mkdir()
    odd = place / f"{scratch.PREFIX}odd"
    odd.mkdir()
    (odd / scratch.LOCK).symlink_to(mine / scratch.LOCK)
    if os.geteuid() == 0:
        theirs = place / f"{scratch.PREFIX}theirs"
        theirs.mkdir()
        (theirs / scratch.LOCK).touch()
        os.chown(theirs, 65534, 65534)
    before = sorted(place.rglob("*"))
    scratch.clear_left_behind()
    assert sorted(place.rglob("*")) == before
    assert (mine / scratch.LOCK).exists()


def test_a_search_has_a_folder_of_the_run_in_its_words(tmp_path, place):
    """By that the next start knows it, and no other process is ended."""
    site = AppState(tmp_path / "case")
    try:
        out = site.room_for("2026-W49") / "plan"
        asked = {"weeks": 1, "week": "2026-W49", "now": None}
        search = Search(Job("plan", tmp_path / "case", out, asked, "", "/"), "")
        search.wait(PATIENCE)
        assert search.state == "failed"
        assert f"{site.scratch}/" in " ".join(search._process.args)
        assert search._process.stdin.closed
        assert search._process.stdout.closed
    finally:
        site.close()


ATTACHED = """
import subprocess, sys, time
from genplan.web.worker_lifetime import end_with_the_page
end_with_the_page()
solver = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
print(solver.pid, flush=True)
time.sleep(600)
"""


def test_a_process_and_what_it_started_end_when_the_other_end_of_stdin_does():
    command = [sys.executable, "-c", ATTACHED]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as attached:
        solver = int(attached.stdout.readline())
        os.kill(solver, 0)
        attached.stdin.close()
        assert attached.wait(PATIENCE) == -signal.SIGTERM
        assert attached.stdout.read() == ""  # the solver held it open too
