"""How far the steps of a probe were kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest

from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.procedure import as_written, procedure_kept, read_steps_kept


def ran(line: int, adult: str, kept: tuple[int, int] | None, kind: str = "probe", **more: object) -> Result:
    return Result(
        line=line, date=date(2026, 11, line), time=None, target="zips", kind=ResultKind(kind),
        combination=(adult, "home", "coats"), trials=5, correct=4, steps_kept=kept, **more,  # type: ignore[arg-type]
    )  # fmt: skip


@pytest.mark.parametrize(("text", "kept"), [("7/8", (7, 8)), ("0 of 3", (0, 3)), ("8 / 8", (8, 8))])
def test_kept_steps_are_read_and_written_in_one_form(text: str, kept: tuple[int, int]) -> None:
    assert read_steps_kept(text) == kept
    assert read_steps_kept(as_written(kept)) == kept


@pytest.mark.parametrize(
    "text", ["9/8", "0/0", "7", "7/8/9", "-1/8", "seven of eight", "07-Aug", "1000/1000"]
)
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(InvalidValue):
        read_steps_kept(text)


def test_steps_are_counted_by_adult_with_the_probes_that_were_observed() -> None:
    rows = [
        ran(1, "mum", (7, 8)), ran(2, "mum", None), ran(3, "mum", (8, 8), "maintenance"), ran(4, "dad", None),
        ran(5, "aunt", (1, 3)), ran(6, "mum", None, "teaching"),
    ]  # fmt: skip
    aunt, mum = procedure_kept(rows)
    assert (aunt.adult, aunt.observed, aunt.probes, aunt.kept, aunt.marked) == ("aunt", 1, 1, 1, 3)
    assert (mum.adult, mum.observed, mum.probes, mum.kept, mum.marked) == ("mum", 2, 3, 15, 16)
    assert mum.share * 16 == 15


def test_a_row_that_was_corrected_counts_no_more() -> None:
    wrong, right = (ran(line, "mum", kept) for line, kept in ((1, (1, 8)), (2, (7, 8))))
    at = {"date": date(2026, 11, 1), "time": time(9, 30)}
    rows = [replace(row, **at) for row in (wrong, right)]
    (mum,) = procedure_kept(rows)
    assert (mum.kept, mum.probes) == (7, 1)
