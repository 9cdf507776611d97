"""The family of the example, lived with until every skill is through: a short version of `family.py`."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import islice
from pathlib import Path

import pytest

from genplan import workflow
from genplan.plan import ProbeKind
from tests.fixtures.small_case import silent
from tests.soak.family import FIRST, lived, promised, the_family

BY_DAY = 3
"""Weeks; that weeks come to an end is tried in a small case: `test_weeks_after_each_other_come_to_an_end`."""


def test_every_skill_of_the_family_is_through_and_nothing_waits_that_nobody_plans(
    tmp_path: Path, nightly: bool
) -> None:
    family = the_family(tmp_path / "case", seed=1, work=0.05)
    weeks = list(islice(lived(family, most_weeks=20), None if nightly else BY_DAY))
    if nightly:
        assert weeks[-1].open == weeks[-1].owed == 0
        assert len(family.through) == 6
    assert weeks[-1].open < weeks[0].open
    assert any(w.failed for w in weeks)
    assert any(w.planned[ProbeKind.TEACHING] for w in weeks)
    # what was not met gives way to what is new in some weeks, but never for long: a figure of our own
    assert max(family.waited.values(), default=0) <= 6


def test_a_plan_that_is_silent_about_what_waits_is_caught(tmp_path: Path) -> None:
    family = the_family(tmp_path / "case", seed=1, work=0.05)
    sunday = datetime(2026, 11, 29, 22)
    outcome = workflow.plan(family.folder, FIRST, sunday, None, silent)
    log = workflow.open_case(family.folder, sunday).log
    promised(outcome.case, log, outcome.plan)
    taught_away = tuple(
        replace(s, probes=tuple(p for p in s.probes if p.kind is not ProbeKind.TEACHING))
        for s in outcome.plan.sittings
    )
    with pytest.raises(AssertionError, match="nobody plans it"):
        promised(outcome.case, log, replace(outcome.plan, sittings=taught_away, left_out=()))
