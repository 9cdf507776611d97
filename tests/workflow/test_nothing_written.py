"""Results that were emptied or taken away while kept weeks are over: check says so."""

from __future__ import annotations

import shutil
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from genplan import workflow
from genplan.cli import main
from tests.fixtures.light_case import light_family

HALIFAX = ZoneInfo("America/Halifax")
LATER = datetime(2026, 12, 9, 12, tzinfo=HALIFAX)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = light_family(tmp_path_factory.mktemp("told") / "case", 0.02)
    now, out = datetime(2026, 11, 29, 12, tzinfo=HALIFAX), folder.parent / "out"
    at = ["--now", f"{now:%Y-%m-%dT%H:%M}"]
    assert main(["plan", str(folder), "--week", "2026-W49", *at, "--out", str(out)]) == 0
    assert main(["keep", str(folder), "--from", str(out), *at]) == 0
    return folder


@pytest.mark.parametrize("lost", ["emptied", "taken away", "as it was"])
def test_check_warns_of_results_that_are_gone(kept: Path, tmp_path: Path, lost: str) -> None:
    folder = Path(shutil.copytree(kept, tmp_path / "case"))
    results = folder / "results.csv"
    if lost == "emptied":
        results.write_text(results.read_text("utf-8").splitlines()[0] + "\n", "utf-8")
    elif lost == "taken away":
        results.unlink()
    told = [f for f in workflow.check(folder, LATER) if f.found.startswith("no row, though")]
    assert len(told) == (0 if lost == "as it was" else 1)
    assert all("your own copy" in f.hint for f in told)
    early = datetime(2026, 11, 29, 13, tzinfo=HALIFAX)
    assert not [f for f in workflow.check(folder, early) if f.found.startswith("no row, though")]
