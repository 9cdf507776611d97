"""Every command that the README and the reference show, run in their order on the case they speak of.

The clock is no part of it: commands on the examples say `--now` and `--week` themselves, and those on a case of the
reader's own are run at several moments, the latest years ahead. Searches work less than they would and forecasts look
less far ahead, or the suite would take half an hour: the answer may be worse, the commands are the same. `--nightly`
runs them as they are.
"""

from __future__ import annotations

import csv
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from genplan.cli.parser import build_parser
from tests.fixtures.calendar_server import SECRET, Server, needs_server
from tests.fixtures.light_case import work_less
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import README, ROOT
from tests.fixtures.reference import PAGES
from tests.fixtures.warm import RunProgram

OWN = "my-case"
EXAMPLES = ("examples/family", "examples/school-transfer", "examples/caseload")
LATER = ("2026-11-30T10:00", "2039-12-31T23:30")
"""Moments at which a reader may try the lines: soon, and years ahead at the very end of one."""
LONG = ("genplan forecast examples/caseload ", "genplan why examples/family ")
"""What takes long even where the search works little is run with all the rest as it is."""
SET_UP = re.compile(r"python3 -m venv .*pytest|pip install 'genplan\[[a-z]+\]'")
"""The lines of them that are not the program's own; the first is what `.ci/run` does."""


def commands() -> list[list[str]]:
    """Each command in the order of the text: the lines of blocks, and what stands in a sentence with all that it
    needs. Words in capitals stand for something of the reader's, so these are no commands yet."""
    text = re.sub(r"\.venv/bin/genplan", "genplan", "\n".join((README, *PAGES.values())))
    text = re.sub(r"^#+ .*", "", text, flags=re.MULTILINE)  # a heading names a command and shows none
    found = re.finditer(r"^```sh\n(.*?)^```|`(genplan [a-z]+ [^`]*)`", text, re.MULTILINE | re.DOTALL)
    return [list(words) for one in found for words in (_block(one[1]) if one[1] else _inline(one[2]))]


def _block(lines: str) -> Iterator[list[str]]:
    for line in lines.splitlines():
        last = line.split(" && ")[-1]
        if not SET_UP.fullmatch(line):
            assert last.startswith("genplan "), f"no command of the program: {line}"
            yield shlex.split(last)


def _inline(command: str) -> Iterator[list[str]]:
    words = shlex.split(command)
    if not re.search(r"…|\b[A-Z]{2,}\b", re.sub(r"\d{4}-W\d\d|T\d\d:\d\d", "", command)):
        yield words


COMMANDS = commands()


def of(case: str) -> list[list[str]]:
    """Those on one case, in their order. What is shown twice on an example is run once: it writes nothing there."""
    found = [words for words in COMMANDS if case in words]
    return found if case == OWN else [w for n, w in enumerate(found) if w not in found[:n]]


def test_the_commands_are_found_and_each_belongs_to_a_case() -> None:
    assert {words[1] for words in COMMANDS} >= {
        *(
            "new",
            "check",
            "plan",
            "keep",
            "change",
            "replan",
            "publish",
            "record",
            "forecast",
            "why",
            "share",
        ),
        *("open", "chance"),
    }
    cases = [sum(case in words for case in (OWN, *EXAMPLES)) for words in COMMANDS if words[1] != "chance"]
    assert set(cases) == {1}


def test_windows_lines_say_what_the_others_say() -> None:
    lines = re.findall(r"^```bat\n(.*?)\n```", README, re.MULTILINE | re.DOTALL)
    plain = [re.sub(r"^py ", "python3 ", b).replace("Scripts", "bin").replace("\\", "/") for b in lines]
    blocks = re.findall(r"^```sh\n(python3 .*?)\n```", README, re.MULTILINE | re.DOTALL)
    assert plain == [block.replace("'", "") for block in blocks]


@pytest.mark.parametrize("case", EXAMPLES)
def test_lines_on_an_example_name_their_moment(case: str) -> None:
    assert [" ".join(words) for words in of(case) if not {"--now", "--week"} <= set(words)] == []


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder as the reader has it: with the examples in it."""
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    return tmp_path


def as_several_files(workbook: Path, names: list[str]) -> None:
    """The reader's own workbooks of other names: each says of people and places what the one says."""
    from openpyxl import load_workbook

    book = load_workbook(workbook)
    del book["results"]
    for name in names:
        if not (workbook.parent / name).exists():
            book.save(workbook.parent / name)


Run = Callable[..., str]


@pytest.fixture
def run(run_program: RunProgram, nightly: bool) -> Run:
    """Runs a command, which has to end well; returns what it prints."""

    def run(words: list[str], folder: Path, now: str | None = None, **environment: str) -> str:
        line = [*words[1:]]
        if not nightly and line[0] == "forecast" and "--weeks" not in line:
            line += ["--weeks", "1"]
        if now and "--now" not in line and takes_now(line[0]):
            line += ["--now", now]
        done = run_program(["genplan", *line], folder, {**os.environ, **environment})
        assert done.returncode == 0, f"{shlex.join(words)}\n{done.stdout[-500:]}\n{done.stderr[-2000:]}"
        return done.stdout

    return run


def takes_now(verb: str) -> bool:
    parsers = next(a for a in build_parser()._actions if isinstance(a.choices, dict)).choices
    return any("--now" in action.option_strings for action in parsers[verb]._actions)


def open_and_close(words: list[str], folder: Path) -> None:
    """The page is open when it says so, and ends in order. No browser: nobody is there to look."""
    # not every machine has an address in a home's network
    named = ["127.0.0.1"] if words[-1] == "--phones" else []
    page = subprocess.Popen(
        [sys.executable, "-m", "genplan", *words[1:], *named, "--no-browser"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stderr=subprocess.PIPE,
        text=True,
    )
    with page:
        assert page.stderr is not None
        told = page.stderr.readline() + page.stderr.readline()  # where it is, and how to stop it
        page.send_signal(signal.SIGTERM)  # a background job may be deaf to an interrupt
        told += page.stderr.read()
    assert "The page is open" in told
    assert page.returncode == 0


@pytest.mark.parametrize("case", by_day_the_first(EXAMPLES))
def test_every_line_on_an_example(run: Run, folder: Path, case: str, nightly: bool) -> None:
    if not nightly:
        work_less(folder / case)
    lines = [words for words in of(case) if nightly or not shlex.join(words).startswith(LONG)]
    assert lines
    for words in lines:
        assert run(words, folder).strip()
    assert (folder / "out" / "week.html").exists()


@needs_server
@pytest.mark.skipif(os.name != "posix", reason="a signal cannot be sent to one process there")
@pytest.mark.parametrize("now", by_day_the_first(LATER))
def test_every_line_on_a_case_of_ones_own(
    run: Run, folder: Path, radicale: Server, now: str, nightly: bool
) -> None:
    server = {
        "GENPLAN_CALDAV_URL": radicale.url,
        "GENPLAN_CALDAV_USER": "team",
        "GENPLAN_CALDAV_PASSWORD": SECRET,
    }
    opened: list[list[str]] = []
    for words in of(OWN):
        if words[1] == "open":
            if nightly or words not in opened:  # a page that nobody looks at writes nothing
                open_and_close(words, folder)
            opened.append(words)
            continue
        if words[1:3] == ["tables", "read"]:
            as_several_files(folder / "people.xlsx", words[3:-1])
        run(words, folder, now, **server)
        if words[1] == "new" and not nightly:
            work_less(folder / OWN)
    kept = (folder / OWN / "weeks" / "2026-W49" / "plan.csv").read_text("utf-8")
    rows = list(csv.DictReader(kept.splitlines()))
    assert [r["start"] for r in rows if r["adult"] == "mum" and r["start"] > "2026-12-02T08:00"] == []
    assert rows
    assert (folder / "for-aunt.zip").stat().st_size > 0
    assert radicale.objects()


def test_what_stands_for_itself(run: Run, tmp_path: Path) -> None:
    for words in (words for words in COMMANDS if words[1] == "chance"):
        assert "53 %" in run(words, tmp_path)
