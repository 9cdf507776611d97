"""Who has worked with a learner: by results, by what was taught, and not by what was not run."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.evidence.familiarity import familiar_adults
from genplan.evidence.log import Log, Result, ResultKind
from tests.fixtures.evidence_case import CASE


@pytest.mark.parametrize("kind", ResultKind)
def test_a_row_acquaints_unless_it_was_not_run(kind: ResultKind) -> None:
    row = Result(
        line=2,
        date=date(2026, 11, 2),
        time=None,
        target="zips",
        kind=kind,
        combination=("grandad", "home", "coats"),
    )
    known = set() if kind is ResultKind.NOT_RUN else {"grandad"}
    assert familiar_adults(CASE, Log.of([row])) == {"wren": known}


def test_teaching_that_the_case_names_acquaints() -> None:
    zips = replace(CASE.targets["zips"], taught=({"adult": "mum", "location": "home"}, {"location": "park"}))
    taught = replace(CASE, targets={**CASE.targets, "zips": zips})
    assert familiar_adults(taught, Log()) == {"wren": {"mum"}}
