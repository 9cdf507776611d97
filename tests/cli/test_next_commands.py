"""What the commands print to be typed next: from a folder with a blank in its name each can be copied and is run."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from genplan.cli import main
from genplan.cli.as_typed import command_of
from genplan.files import read_file
from tests.fixtures.commands_that_write import CASE, RESULTS, ROW

SUNDAY = ("--now", "2026-11-29T12:00")
MONDAY = ("--now", "2026-11-30T07:00")
TUESDAY = ("--now", "2026-12-01T07:00")
NAME, ENDS = "Lark's own folder", "s own folder"
WORTH_A_WARNING = "correct_when: It is on within a minute, "
"""Where it is not said."""


def next_commands(printed: str) -> list[list[str]]:
    """All that are named with the case's folder, each once; the rest of the line is the command."""
    lines = [line for line in printed.splitlines() if "genplan " in line and ENDS in line]
    return [shlex.split(command)[1:] for command in dict.fromkeys(s[s.index("genplan ") :] for s in lines)]


def does(folder: Path, command: list[str], now: tuple[str, ...]) -> int:
    """Runs it, and puts the folder back as it was."""
    copy = folder.with_name("as it was")
    shutil.copytree(folder, copy)
    words = ["1" if word == "N" else word for word in command]
    code = main([*words, *now])
    shutil.rmtree(folder)
    copy.rename(folder)
    return code


def test_each_can_be_copied_and_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A coordinator's days, by what is typed."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder, out = tmp_path / NAME, str(tmp_path / "out of it")
    folder.mkdir()
    (folder / "case.yaml").write_text(CASE.replace(WORTH_A_WARNING, ""), "utf-8")
    (folder / "results.csv").write_text(RESULTS, "utf-8")
    case, named = str(folder), set[str]()

    def run(*words: str, now: tuple[str, ...] = SUNDAY) -> str:
        assert main([*words, *now]) == 0
        shown = capsys.readouterr()
        for command in next_commands(f"{shown.out}\n{shown.err}"):
            assert str(folder) in command
            code = 0 if "SITTING" in command else does(folder, command, now)
            assert (command, code, capsys.readouterr().err if code else "") == (command, 0, "")
            named.add(command[0])
        return shown.out

    run("plan", case, "--week", "2026-W49", "--out", out)
    run("keep", case, "--from", out)
    told = run("week", case, "--week", "2026-W49")
    sittings = re.findall(r"2026-W49-[a-z]{3}-[\w-]+", told)
    run("alternatives", case, sittings[0])
    run("change", case, "--not", sittings[-1])
    run("change", case, "--hold", sittings[0])
    adult = next(a for a in ("mum", "gran") if f"-{a}-" in sittings[1])
    run("change", case, "--away", adult, "--to", "2026-12-02", now=MONDAY)
    run("week", case, now=MONDAY)
    run("alternatives", case, sittings[1], now=MONDAY)
    run("replan", case, "--keep", now=MONDAY)
    run("record", case, *ROW, now=TUESDAY)
    for command in ("matrix", "progress", "loads", "forecast", "earlier", "timetable", "why", "term"):
        run(command, case, now=TUESDAY)
    assert named >= {"replan", "week", "alternatives", "check"}


def test_the_first_steps_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / NAME
    assert main(["new", str(folder)]) == 0
    (check,) = next_commands(capsys.readouterr().out)
    assert check == ["check", str(folder)]
    assert main(["tables", "case", str(tmp_path / "no sheets"), str(folder)]) != 0


@pytest.mark.parametrize("name", ["a b", "it's", 'say "so"', "~me", "$HOME", "a;b", "Käthe", "", "a\\b"])
def test_a_word_of_any_kind_is_one_word(name: str) -> None:
    assert shlex.split(command_of("plan", Path("/tmp") / name, name)) == [
        "genplan",
        "plan",
        str(Path("/tmp") / name),
        name,
    ]


def test_no_sentence_puts_a_command_and_a_folder_together_itself() -> None:
    """A folder behind the name of a command stands in marks where it has to: `command_of` alone does that."""
    root = Path(__file__).parents[2] / "genplan"
    lines = ((p.name, line) for p in root.rglob("*.py") for line in read_file(p, 10**6).decode().splitlines())
    loose = [
        (name, line)
        for name, line in lines
        if re.search(r"genplan [a-z]+ \{(?!folder\}.*\{week\}|folder\} SITTING)", line)
    ]
    assert [one for one in loose if one[0] != "plain_text.py"] == []
