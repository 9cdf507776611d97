"""What was read or reviewed before is not looked at again, until a byte or a row of it is another."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from genplan.coverage import review as reviews
from genplan.coverage.matrix import MatrixRow
from genplan.evidence import results
from genplan.report.matrix_lines import matrix_view
from genplan.workflow import matrix_of, open_case, progress_of, reading
from tests.fixtures.places import EXAMPLES

NOW = datetime(2026, 11, 29, 12)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(results, "_last", None)
    monkeypatch.setattr(reading, "_reviewed", None)
    return Path(shutil.copytree(EXAMPLES / "caseload", tmp_path / "case"))


def counting(monkeypatch: pytest.MonkeyPatch, module: Any, name: str) -> list[Any]:
    """The second arguments of all calls from now on."""
    asked: list[Any] = []
    real: Callable[..., Any] = getattr(module, name)
    monkeypatch.setattr(module, name, lambda *given: asked.append(given[1]) or real(*given))
    return asked


def add_row(folder: Path) -> str:
    """The last row once more, a year later; returns its learner."""
    file = folder / "results.csv"
    lines = file.read_text("utf-8").splitlines()
    day, rest = lines[-1].split(",", 1)
    file.write_text("\n".join((*lines, f"2027{day[4:]},{rest}")) + "\n", "utf-8")
    opened = open_case(folder, NOW)
    return opened.case.targets[opened.log.results[-1].target].learner


def test_rows_are_read_again_only_where_a_byte_or_the_case_is_another(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = counting(monkeypatch, results, "_parsed")
    first = open_case(folder, NOW)
    assert open_case(folder, NOW).log is first.log
    assert len(read) == 1
    add_row(folder)
    assert len(read) == 2
    case = replace(first.case, targets={})
    results.read_results(folder, case, NOW)
    assert len(read) == 3


def test_what_is_ahead_is_told_by_the_clock_of_each_look(folder: Path) -> None:
    add_row(folder)
    told = [
        [f.words for f in open_case(folder, now).findings if "still ahead" in f.words]
        for now in (NOW, NOW.replace(year=2028), NOW)
    ]
    assert [len(words) for words in told] == [1, 0, 1]


def test_a_child_is_reviewed_again_only_where_its_rows_are_others(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reviewed = counting(monkeypatch, reviews, "review")
    opened = open_case(folder, NOW)
    before = progress_of(opened)
    assert reviewed == list(opened.case.learners)
    assert progress_of(open_case(folder, NOW)) == replace(before, findings=before.findings)
    assert len(reviewed) == len(opened.case.learners)
    learner = add_row(folder)
    progress_of(open_case(folder, NOW))
    assert reviewed[len(opened.case.learners) :] == [learner]


class CountedRows(tuple[MatrixRow, ...]):
    """Rows that count how often somebody goes through them."""

    walks = 0

    def __iter__(self) -> Iterator[MatrixRow]:
        CountedRows.walks += 1
        return super().__iter__()


def test_a_matrix_of_many_targets_goes_through_its_rows_once(folder: Path) -> None:
    view = matrix_of(open_case(folder, NOW))
    assert len(view.case.mastered) > 10
    assert matrix_view(view.case, CountedRows(view.rows)) == matrix_view(view.case, view.rows)
    assert CountedRows.walks == 1
