"""Three weeks of two children, lived through with all that happens in a year: a short version of `year.py`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path

import pytest

from genplan.planning import jobs
from tests.soak.year import a_year


@pytest.fixture
def one_pool(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The same solver processes for all six plans: to start them anew for each took half of the time. That they start
    and end with a plan is a matter of `tests/planning/test_processes.py`."""
    with jobs.process_pool() as pool:
        monkeypatch.setattr(jobs, "process_pool", lambda *_, **__: nullcontext(pool))
        yield


@pytest.mark.parametrize("seed", [1])
@pytest.mark.usefixtures("one_pool")
def test_three_weeks_keep_every_promise(tmp_path: Path, seed: int) -> None:
    weeks = list(a_year(tmp_path, weeks=3, learners=2, seed=seed, work=0.05, targets=1))
    assert len(weeks) == 3
    assert all(w.probes for w in weeks)
    # what is written down only grows, and what is open only shrinks: nothing in this case changes what is possible
    assert [w.rows for w in weeks] == sorted(w.rows for w in weeks)
    assert [w.open for w in weeks] == sorted((w.open for w in weeks), reverse=True)
