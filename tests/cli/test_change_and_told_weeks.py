"""A fact is written down though the kept weeks cannot be looked at for what falls with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.cli import main
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

AWAY = ("--away", "gran", "--to", "2026-12-05", "--now", "2026-12-02T12:00")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    from genplan import workflow

    folder = small_case(tmp_path / "case")
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


def change(folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    assert main(["change", str(folder), *AWAY]) == 0
    assert "away: gran" in (folder / "changes.yaml").read_text("utf-8")
    shown, told = capsys.readouterr()
    assert f"Next: 'genplan replan {folder}'" in shown
    return shown, told


def test_what_falls_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shown, told = change(folder, capsys)
    assert "Week 2026-W49, as people were told of it:" in shown
    assert told == ""


@pytest.mark.parametrize("file", ["results.csv", "weeks/2026-W49/told.json"])
def test_a_fact_waits_for_no_other_file(file: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / file).write_text("no such thing", "utf-8")
    shown, told = change(folder, capsys)
    assert "as people were told of it" not in shown
    first, *rest = told.splitlines()
    assert first == "It is written down. Whether the kept weeks can still be held cannot be told:"
    assert rest
    assert all(Path(file).name in line and line.endswith((".", "?")) for line in rest)
