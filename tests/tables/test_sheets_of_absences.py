"""Who is away, as offices keep it: sheets, headings and days are taken as they are written there."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.workflow import read_tables
from tests.fixtures.given_tables import SHEETS, csv_of
from tests.fixtures.random_cases import NOW


@pytest.mark.parametrize("sheet", ["changes", "Absences", "Abwesend", "Krankmeldungen"])
@pytest.mark.parametrize(
    "rows",
    [
        [["away", "from", "to"], ["Rosa", "2026-11-30", "2026-12-01"]],
        [["Away", "From", "Until"], ["Rosa", "30.11.2026", "1 Dec 2026"]],
        [["Abwesend", "Von", "Bis"], ["Rosa", "30. November 2026", "1.12.2026"]],
        [["Name", "Krank von", "Krank bis"], ["Rosa", "30/11/2026", "2026-12-01"]],
    ],
)
def test_who_is_away_is_read_as_it_is_written(tmp_path: Path, sheet: str, rows: list[list[str]]) -> None:
    tables = csv_of(tmp_path / "t", {**SHEETS, sheet: rows})
    done = read_tables(tmp_path / "case", [tables], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    (away,) = case.adults["rosa"].away
    assert (away.start.date(), away.end.date()) == (date(2026, 11, 30), date(2026, 12, 2))
    asked = [f.found for f in done.findings if "with points the day stands first" in f.found]
    assert len(asked) == ("1.12.2026" in rows[1])
