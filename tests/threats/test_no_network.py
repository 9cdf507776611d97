"""No command but `publish` and `open` asks for a connection, in the program's own process or in one that it starts."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from genplan.cli.parser import build_parser
from tests.fixtures.commands_that_write import COMMANDS, TUESDAY, Ready, printing_browser
from tests.fixtures.places import ROOT

ALLOWED = {"publish", "open"}
"""The one speaks to the server that it is told, the other listens on this machine: tests/publishing and tests/web."""

# Python reads it in every process that is started, before anything else.
# A socket of AF_UNIX is a file of this machine: solver processes are asked for through one.
GUARD = """\
import _socket, os, sys

def is_a_file(arguments):
    return getattr(arguments[0], "family", None) == getattr(_socket, "AF_UNIX", -1)

def guard(event, arguments):
    names = event.startswith("socket.") and event not in ("socket.__new__", "socket.gethostname")
    if names and not is_a_file(arguments):
        with open(os.environ["ASKED"], "a") as file:
            file.write(f"{event} {arguments[1:]} by {sys.argv[:2]}\\n")
        raise PermissionError("no network here")
    if event == "import" and arguments[0] == "genplan":
        say_who()

def say_who():
    with open(os.environ["STARTED"], "a") as file:
        file.write(f"{os.getpid()}\\n")

sys.addaudithook(guard)
os.register_at_fork(after_in_child=say_who)
"""
ONLY_LOOK = (
    ("compare", "case", "out", "later", *TUESDAY),
    ("schema",),
    ("check", "case"),
    ("matrix", "case", *TUESDAY),
    ("history", "case", "--target", "puts-on", *TUESDAY),
    ("progress", "case", *TUESDAY),
    ("week", "case", *TUESDAY),
    ("why", "case", "--week", "2026-W50", *TUESDAY),
    ("exemplars", "case", *TUESDAY),
    ("chance", "4/5"),
    ("help", "retest"),
    ("forget",),
)
PROGRAM = """\
import json, os, shutil, sys

if __name__ == "__main__":
    from genplan.cli import main
    from genplan.report import pdf
    pdf.browsers = lambda: iter([sys.argv[1]])
    codes = {}
    for words in json.loads(sys.argv[2]):
        if words[0] == "new":
            shutil.rmtree(words[1], ignore_errors=True)
        codes[" ".join(words)] = main(words)
    with open("codes.json", "w") as file:
        json.dump(codes, file)
"""


def guarded(folder: Path, program: str, *words: str) -> tuple[int, list[str], set[str]]:
    """The exit code, what was asked of the network, and the processes that loaded the program."""
    (folder / "guard").mkdir(exist_ok=True)
    (folder / "guard" / "sitecustomize.py").write_text(GUARD, encoding="utf-8")
    (folder / "run.py").write_text(program, encoding="utf-8")
    asked, started = folder / "asked.txt", folder / "started.txt"
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join((str(folder / "guard"), str(ROOT))),
        "ASKED": str(asked),
        "STARTED": str(started),
    }
    done = subprocess.run([sys.executable, "run.py", *words], cwd=folder, env=environment, check=False)
    lines = [f.read_text("utf-8").splitlines() if f.exists() else [] for f in (asked, started)]
    return done.returncode, lines[0], set(lines[1])


def test_the_guard_sees_what_is_asked_in_every_process(tmp_path: Path) -> None:
    program = """\
import socket
from multiprocessing import get_context

def ask():
    try:
        socket.create_connection(("192.0.2.1", 80), timeout=1)
    except PermissionError:
        return

if __name__ == "__main__":
    child = get_context("spawn").Process(target=ask)
    child.start()
    child.join()
    try:
        socket.getaddrinfo("example.invalid", 80)
    except PermissionError:
        pass
"""
    code, asked, _ = guarded(tmp_path, program)
    assert code == 0
    assert [line.split()[0] for line in asked] == ["socket.getaddrinfo", "socket.getaddrinfo"]


def test_no_command_asks_for_a_connection(tmp_path: Path) -> None:
    ready = Ready(tmp_path / "ready")
    ready.put("planned again", tmp_path)
    writing = [
        c.words
        for c in COMMANDS
        # of the plan in `out` somebody is away by now: it cannot be kept
        if c.words and c.name not in ("plan again", "record the first", "change more", "keep")
    ]
    # in an order in which each finds what it needs: another place before its check is written down, and what is kept,
    # and changed, last
    order = {"alternatives": 0, "keep": 2, "change": 2, "replan": 2}
    words = [*ONLY_LOOK, *sorted(writing, key=lambda w: order.get(w[0], 1))]
    every = set(next(a for a in build_parser()._actions if a.dest == "command").choices)  # type: ignore[arg-type]
    assert {w[0] for w in words} == every - ALLOWED
    browser = printing_browser(tmp_path)
    code, asked, started = guarded(tmp_path, PROGRAM, str(browser), json.dumps(words))
    assert code == 0
    assert asked == []
    codes = json.loads((tmp_path / "codes.json").read_text("utf-8"))
    assert {w: c for w, c in codes.items() if c} == {}
    assert len(started) > 1, "no process of the solver was watched"
