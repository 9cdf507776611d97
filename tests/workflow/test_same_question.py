"""The same question asked twice, by any command: no search, and the same bytes as without a store."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.errors import FileError
from tests.fixtures.own_store import store_in
from tests.fixtures.planning_cases import Inline
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

SUNDAY_NOW = ("--week", "2026-W49", "--now", "2026-11-29T12:00")


@pytest.fixture
def answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return store_in(tmp_path, monkeypatch)


class Listed(Inline):
    """Says what it was asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.asked.append(args[0].__name__ if fn.__name__ == "answer_of" else fn.__name__)
        return super().submit(fn, *args, **kwargs)


@pytest.fixture
def searched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was searched, in this process."""
    inner = Listed()

    @contextmanager
    def pool(workers: int | None = None, hear: Any = None) -> Iterator[Executor]:
        yield inner

    monkeypatch.setattr("genplan.planning.solver_pool.process_pool", pool)
    return inner.asked


def planned(folder: Path, out: Path) -> dict[str, bytes]:
    workflow.plan(folder, WEEK, SUNDAY, out, silent)
    return {str(p.relative_to(out)): p.read_bytes() for p in out.rglob("*") if p.is_file()}


def test_the_same_bytes_with_no_store_an_empty_one_and_a_full_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, searched: list[str]
) -> None:
    case = small_case(tmp_path / "case")
    without = planned(case, tmp_path / "without")
    asked = len(searched)
    answers = store_in(tmp_path, monkeypatch)
    empty = planned(case, tmp_path / "empty")
    assert len(searched) == 2 * asked > 0
    assert len(list(answers.iterdir())) == asked
    full = planned(case, tmp_path / "full")
    assert len(searched) == 2 * asked
    runs = [json.loads(files.pop("run.json")) for files in (without, empty, full)]
    assert without == empty == full
    assert [run["answers"] for run in runs] == [{}, {"searched": asked}, {"kept": asked}]
    assert list(case.iterdir()) == [case / "case.yaml"]


def test_every_command_that_plans_knows_what_another_found(
    tmp_path: Path, answers: Path, searched: list[str]
) -> None:
    case = small_case(tmp_path / "case")
    workflow.plan(case, WEEK, SUNDAY, None, silent)
    searched.clear()
    workflow.why(case, WEEK, SUNDAY, silent)
    assert "run_solve" not in searched
    workflow.forecast(case, WEEK, SUNDAY, 2, silent)
    searched.clear()
    workflow.plan(case, WEEK, SUNDAY, None, silent)
    workflow.plan_weeks(case, WEEK, 1, SUNDAY, None, silent)
    workflow.why(case, WEEK, SUNDAY, silent)
    workflow.forecast(case, WEEK, SUNDAY, 2, silent)
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    assert searched == []
    workflow.replan(case, WEEK, SUNDAY, None, False, silent)  # people were told now: that is another question
    assert searched
    searched.clear()
    workflow.replan(case, WEEK, SUNDAY, None, False, silent)
    assert searched == []


def test_switched_off_nothing_is_kept_and_nothing_is_read(
    tmp_path: Path, answers: Path, searched: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    case = small_case(tmp_path / "case")
    workflow.plan(case, WEEK, SUNDAY, None, silent)
    asked = len(searched)
    before = {p: p.stat().st_mtime_ns for p in answers.iterdir()}
    monkeypatch.setenv("GENPLAN_STORE", "off")
    workflow.plan(case, WEEK, SUNDAY, None, silent)
    assert len(searched) == 2 * asked
    assert {p: p.stat().st_mtime_ns for p in answers.iterdir()} == before


def test_a_home_that_cannot_be_written_is_no_reason_not_to_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = small_case(tmp_path / "case")
    monkeypatch.delenv("GENPLAN_STORE")
    (tmp_path / "file").write_text("no folder")
    for cache in (str(tmp_path / "file"), "/proc", str(tmp_path / "far" / "away")):
        monkeypatch.setenv("XDG_CACHE_HOME", cache)
        assert workflow.plan(case, WEEK, SUNDAY, None, silent).plan.sittings
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.delenv("HOME")
    assert workflow.plan(case, WEEK, SUNDAY, None, silent).run.answers == {}


def test_the_terminal_says_how_many_were_known(
    tmp_path: Path, answers: Path, searched: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    case = small_case(tmp_path / "case")
    for times in range(2):
        assert main(["plan", str(case), *SUNDAY_NOW]) == 0
        asked = len(searched)
        assert (f"Of {asked} answers {asked} were known from earlier runs." in capsys.readouterr().err) == (
            times == 1
        )


def test_forgetting_says_what_was_deleted_and_searches_anew(
    tmp_path: Path, answers: Path, searched: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    case = small_case(tmp_path / "case")
    workflow.plan(case, WEEK, SUNDAY, None, silent)
    asked = len(searched)
    assert main(["forget"]) == 0
    said = capsys.readouterr().out
    assert re.fullmatch(
        rf"Deleted what was kept of earlier searches: {asked} answers, [1-9][\d.]* kB\.\n", said
    ), said
    assert not answers.exists()
    workflow.plan(case, WEEK, SUNDAY, None, silent)
    assert len(searched) == 2 * asked
    workflow.forget()
    assert main(["forget"]) == 0
    assert capsys.readouterr().out == "There was nothing to delete.\n"


def test_what_cannot_be_deleted_is_said_in_a_sentence(
    tmp_path: Path, answers: Path, searched: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    workflow.plan(small_case(tmp_path / "case"), WEEK, SUNDAY, None, silent)

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "unlink", refused)
    monkeypatch.setattr(Path, "unlink", refused)
    with pytest.raises(
        FileError, match=r"cannot be deleted \(it is not allowed\)\. Delete that folder by hand\."
    ):
        workflow.forget()
