"""The files that small commands are measured with, and that what is measured can be run."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.cli import main
from genplan.findings import Severity
from genplan.workflow import check, open_case
from tests.benchmarks.small_things import NAMED, ROWS_OF_A_TARGET, SETS, TARGETS, commands, write_long_log
from tests.fixtures.local_server import NOW


@pytest.mark.parametrize("things", [SETS, NAMED])
def test_what_is_measured_is_a_case_without_errors_and_can_be_run(things: int, tmp_path: Path) -> None:
    case = write_long_log(tmp_path / "case", 1, ROWS_OF_A_TARGET, things)
    assert not [f for f in check(case, NOW) if f.severity is Severity.ERROR]
    rows = len(open_case(case, NOW).log.results)
    assert rows == TARGETS * ROWS_OF_A_TARGET
    assert [main(words) for words in commands(case)] == [0] * 5
    assert len(open_case(case, NOW).log.results) == rows + 1
