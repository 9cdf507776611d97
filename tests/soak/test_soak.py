"""Three weeks of two children, lived through with all that happens in a year: a short version of `year.py`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.soak.year import a_life, lived


@pytest.mark.parametrize("seed", [1])
def test_three_weeks_keep_every_promise(tmp_path: Path, seed: int) -> None:
    weeks = list(lived(a_life(tmp_path, learners=2, seed=seed, work=0.05, targets=1), weeks=3))
    assert len(weeks) == 3
    assert all(w.probes for w in weeks)
    # what is written down only grows, and what is open only shrinks: nothing in this case changes what is possible
    assert [w.rows for w in weeks] == sorted(w.rows for w in weeks)
    assert [w.open for w in weeks] == sorted((w.open for w in weeks), reverse=True)
