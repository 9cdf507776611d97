"""Three weeks of two children, lived through with all that happens in a year: a short version of `year.py`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.soak.year import a_life, lived


@pytest.mark.parametrize("seed", [1])
def test_three_weeks_keep_every_promise(tmp_path: Path, seed: int, nightly: bool) -> None:
    """By day two of them."""
    count = 3 if nightly else 2
    weeks = list(lived(a_life(tmp_path, learners=2, seed=seed, work=0.05, targets=1), weeks=count))
    assert len(weeks) == count
    assert all(w.probes for w in weeks)
    # what is written down only grows, and what is open only shrinks: nothing in this case changes what is possible
    assert [w.rows for w in weeks] == sorted(w.rows for w in weeks)
    assert [w.open for w in weeks] == sorted((w.open for w in weeks), reverse=True)


@pytest.mark.nightly
def test_two_lives_of_one_seed_are_the_same_bytes(tmp_path: Path) -> None:
    """Plans, results, what was told and its calendars: only what a run took differs."""
    one, other = (_bytes_of_a_life(tmp_path / name) for name in ("one", "other"))
    assert [path for path in one.keys() | other.keys() if one.get(path) != other.get(path)] == []
    assert {"case/results.csv", "case/weeks/2026-W50/told.json", "out/plan.json"} <= one.keys()


def _bytes_of_a_life(folder: Path) -> dict[str, bytes]:
    list(lived(a_life(folder, learners=2, seed=3, work=0.05, targets=1), weeks=2))
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != "run.json"
    }
