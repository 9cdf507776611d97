"""A run of commands on one case, by the real program: each warning is said in full by `check` and on a first plan, and
in one line by the others. What a command comes upon itself is always said in full."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.cli import main
from tests.fixtures.small_case import small_case

NOW = ["--now", "2026-11-29T12:00"]
FULL = "it is not said what counts as correct"


@pytest.fixture
def case(tmp_path: Path) -> str:
    folder = small_case(tmp_path / "case")
    text = (folder / "case.yaml").read_text(encoding="utf-8")
    without = text.replace("correct_when: It is on within a minute, ", "")
    (folder / "case.yaml").write_text(without, encoding="utf-8")
    return str(folder)


def said(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    assert main([*words, *NOW]) == code
    printed = capsys.readouterr()
    return printed.out + printed.err


def record(capsys: pytest.CaptureFixture[str], case: str, *more: str) -> str:
    what = ["--target", "puts-on", "--adult", "mum", "--location", "home", "--material-set", "boots"]
    return said(capsys, "record", case, *what, "--correct", "4", *more)


def test_each_warning_once_in_a_run_of_commands(case: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert FULL in said(capsys, "check", case)
    assert FULL in said(capsys, "plan", case)
    record(capsys, case, "--date", "2026-11-28")
    one_line = f"Warning: the case has warnings. They are shown by: genplan check {case}"
    for command in (["plan", case], ["matrix", case], ["progress", case], ["keep", case], ["replan", case]):
        text = said(capsys, *command)
        assert text.count(one_line) == 1, command
        assert FULL not in text, command
    assert FULL in said(capsys, "check", case)


def test_what_is_still_ahead_is_not_written_down_unless_somebody_says_so(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody can be asked here, neither of what was run nor of what was not."""
    file = Path(case) / "results.csv"
    before = file.read_bytes() if file.exists() else b""
    what = ["--target", "puts-on", "--adult", "mum", "--location", "home", "--material-set", "boots"]
    row = ["record", case, *what, "--correct", "4", "--date", "2026-12-02"]
    sheet = tmp_path / "filled.csv"
    cells = "2026-12-02,puts-on,probe,mum,home,boots,5,4"
    sheet.write_text(
        f"date,target,kind,adult,location,material_set,trials,correct\n{cells}\n", encoding="utf-8"
    )
    for words, where in ((row, ""), (["record", case, "--from", str(sheet)], "filled.csv:2: ")):
        text = said(capsys, *words, code=2)
        assert (
            f"This is still ahead: {where}2 December 2026, Puts it on, Mum, Home, Two boots: 4 of 5 correct."
            in text
        )
        assert "Nothing was added: with --ahead it is added all the same." in text
        assert (file.read_bytes() if file.exists() else b"") == before
    not_run = ["--date", "2026-12-02", "--kind", "not-run", "--note", "ill"]
    assert "It is not over yet" in said(capsys, "record", case, *what, *not_run, code=2)
    assert (file.read_bytes() if file.exists() else b"") == before
    said(capsys, "record", case, *what, *not_run, "--ahead")
    assert len(file.read_text(encoding="utf-8").splitlines()) == 2
    said(capsys, "record", case, "--from", str(sheet), "--ahead")
    assert len(file.read_text(encoding="utf-8").splitlines()) == 3
    assert "--ahead does not go with --ask" in said(capsys, "record", case, "--ask", "--ahead", code=2)


def test_what_a_command_comes_upon_is_said_in_full(case: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = record(capsys, case, "--date", "2026-12-02", "--ahead")
    assert "Warning: results.csv:2: date: 2026-12-02 is still ahead" in text
    assert "is still ahead" not in said(capsys, "matrix", case)
    assert "is still ahead" in said(capsys, "check", case)


def test_a_case_without_warnings_has_no_such_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = str(small_case(tmp_path / "case"))
    record(capsys, folder, "--date", "2026-11-28")
    assert "arning" not in said(capsys, "matrix", folder)
