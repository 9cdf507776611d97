"""The program as a process of its own: what it loads, and pipes that are narrow, closed or full."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from genplan.cli import output
from tests.fixtures.places import ROOT

HEAVY = {"ortools", "pandas", "numpy", "icalendar", "jinja2", "yaml", "recurring_ical_events", "filelock"}
COMMANDS = ("new", "check", "plan", "record", "matrix")

FAKE = """
import sys
import genplan
from tests.fixtures import fake_workflow
genplan.workflow = sys.modules["genplan.workflow"] = fake_workflow.FakeWorkflow()
from genplan.cli import main
sys.exit(main(sys.argv[1:]))
"""


def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, env={**os.environ, **environment}, capture_output=True
    )


def test_help_loads_nothing_heavy() -> None:
    done = run("-X", "importtime", "-m", "genplan", "--help")
    assert done.returncode == 0
    loaded = {line.rsplit("|", 1)[1].strip().split(".")[0] for line in done.stderr.decode().splitlines()}
    assert "genplan" in loaded
    assert not loaded & HEAVY


@pytest.mark.parametrize("command", COMMANDS)
def test_each_help_page_teaches(command: str) -> None:
    page = run("-m", "genplan", command, "--help", COLUMNS="80").stdout.decode()
    assert f"genplan {command} my-case" in page
    assert "exit codes:" in page
    assert max(map(len, page.splitlines())) <= 80


def test_the_first_page_names_every_command_and_exit_code() -> None:
    page = run("-m", "genplan", "--help", COLUMNS="80").stdout.decode()
    assert all(f"\n    {command} " in page for command in COMMANDS)
    assert all(f"\n  {code} " in page for code in ("0", "1", "2", "3", "4", "5", "70", "130"))
    assert max(map(len, page.splitlines())) <= 80


@pytest.mark.parametrize("encoding", ["ascii", "latin-1"])
def test_a_stream_that_cannot_show_a_name_shows_the_rest(encoding: str) -> None:
    done = run("-c", FAKE, "plan", "case", PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert done.returncode == 0
    assert b"W. with Mum; Zo" in done.stdout
    assert b"Traceback" not in done.stderr


def test_a_pipe_gets_whole_lines_however_narrow_the_terminal() -> None:
    narrow = run("-c", FAKE, "plan", "case", COLUMNS="40").stdout
    assert narrow == run("-c", FAKE, "plan", "case", COLUMNS="200").stdout
    assert max(map(len, narrow.decode().splitlines())) > 80


def test_a_table_in_a_pipe_is_utf_8_whatever_the_terminal() -> None:
    done = run("-c", FAKE, "matrix", "case", "--csv", PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.stdout.decode("utf-8").splitlines()[0].startswith("learner,target,adult")


def test_a_reader_who_leaves_early_is_no_error() -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", FAKE, "plan", "case"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    process.stdout.close()
    assert process.stderr is not None
    errors = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait() == 0
    assert "Broken" not in errors
    assert "Traceback" not in errors


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a device that is always full")
def test_a_full_disk_is_a_sentence() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-c", FAKE, "plan", "case"], cwd=ROOT, stdout=full, stderr=subprocess.PIPE
        )
    assert done.returncode == 3
    assert b"A file could not be read or written" in done.stderr
    assert b"Traceback" not in done.stderr
    assert b"ignored" not in done.stderr


def test_what_is_printed_line_by_line_steers_no_terminal_either(capsys: pytest.CaptureFixture[str]) -> None:
    output.show_lines(["  in  a row", "\x1b[2Jgone\u202eround\x07", "", "one\ntwo\rthree"])
    assert capsys.readouterr().out == "  in  a row\n [2Jgoneround \n\none\ntwo three\n"
    output.show("  in  a row\n\x1b[2Jgone\u202eround\x07")
    assert capsys.readouterr().out == "in a row\n[2Jgoneround\n"
