"""A fact, or a wish, is written down though it cannot be told what becomes of the kept weeks with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.cli import main, week_commands

AWAY = ("--away", "gran", "--to", "2026-12-05", "--now", "2026-12-02T12:00")


@pytest.fixture
def folder(case: Path) -> Path:
    return case


def change(folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    assert main(["change", str(folder), *AWAY]) == 0
    assert "away: gran" in (folder / "changes.yaml").read_text("utf-8")
    shown, told = capsys.readouterr()
    assert f"For a week that people were told of, next: genplan replan {folder}" in shown
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


def test_a_wish_waits_for_no_calendar(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (folder / "case.yaml").read_text("utf-8")
    gran = "gran: {name: Gran,"
    assert gran in text
    (folder / "case.yaml").write_text(text.replace(gran, f"{gran} busy: busy/gran.ics,"), "utf-8")
    (folder / "busy").mkdir()
    (folder / "busy" / "gran.ics").write_text("no calendar", "utf-8")
    words = ("--not", "2026-W49-thu-gran-c89", "--now", "2026-12-02T12:00")
    assert main(["change", str(folder), *words]) == 0
    assert "not: 2026-W49-thu-gran-c89" in (folder / "changes.yaml").read_text("utf-8")
    first, *rest = capsys.readouterr().err.splitlines()
    assert first == "Whether it can be kept cannot be told:"
    assert "gran.ics" in rest[0]


@pytest.mark.parametrize(
    ("wish", "answer"),
    [
        (("--hold", "2026-W49-thu-gran-c89"), "stays as it is: kept."),
        (("--not", "2026-W49-thu-gran-c89"), ": kept."),
        (("--rather", "gran", "--from", "2026-12-03"), ": kept."),
    ],
)
def test_a_wish_that_is_tried_says_what_becomes_of_it_and_writes_nothing(
    wish: tuple[str, ...], answer: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    assert main(["change", str(folder), *wish, "--try", "--now", "2026-12-02T12:00"]) == 0
    first, second, price, *__ = capsys.readouterr().out.splitlines()
    assert price.startswith("Week 2026-W49, planned again with it, ")
    assert first.startswith("Nothing was written. With this wish: ")
    assert not {"{", "2026-W49"} & set(first.split())
    assert "with Gran" in first
    assert answer in second
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_try_takes_no_wish_back(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--not", "2026-W49-thu-gran-c89", "--try", "--take-back", "--now", "2026-12-02T12:00")
    assert main(["change", str(folder), *words]) == 2
    assert "--try says nothing beside --take-back." in capsys.readouterr().err


def test_who_stops_it_while_the_kept_weeks_are_looked_at_is_told_that_it_is_written_down(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(week_commands, "show_otherwise", stopped)
    assert main(["change", str(folder), *AWAY]) == 130
    assert "away: gran" in (folder / "changes.yaml").read_text("utf-8")
    assert capsys.readouterr().err.startswith("It is written down. Stopped before")
