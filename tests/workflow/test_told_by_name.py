"""Whoever was told is meant by id, name or alias, as everywhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.errors import UsageError
from genplan.workflow.telling import _person
from tests.fixtures.small_case import TEXT


@pytest.mark.parametrize("typed", ["mum", "Mum", "adult:Mum", "MUM"])
def test_an_adult_is_known_by_name(tmp_path: Path, typed: str) -> None:
    (tmp_path / "case.yaml").write_text(TEXT, encoding="utf-8")
    case = load(tmp_path).case
    assert case
    found = _person(case, typed, None)
    assert (found.kind, found.id) == ("adult", "mum")


def test_a_learner_is_not_an_adult(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text(TEXT, encoding="utf-8")
    case = load(tmp_path).case
    assert case
    with pytest.raises(UsageError, match="no adult and no learner called learner:Mum"):
        _person(case, "learner:Mum", None)
