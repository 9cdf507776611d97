"""The timetable as a workbook: read back by another library, and how it lies on paper."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from genplan import workflow
from genplan.case import Case, Policy
from genplan.errors import UsageError
from genplan.plan import Beside, Plan
from genplan.planning.hours_used import hours_used
from genplan.report.document import plan_json
from genplan.report.timetable_lines import timetable_lines
from genplan.report.timetable_workbook import timetable_workbook
from genplan.tables.printed import PrintedSheet, printed_workbook
from tests.fixtures import builders as b
from tests.fixtures.planning_cases import NOW, WEEK, told_sitting
from tests.fixtures.small_case import SUNDAY, small_case

pytest.importorskip("openpyxl")

CASE = replace(b.a_case(), policy=Policy(days=(0, 1, 2, 3, 4)))
TUESDAY, SATURDAY = b.the_sittings()
SEEN = replace(TUESDAY, beside="teacher", beside_as=Beside.OBSERVER)


def written(case: Case = CASE) -> bytes:
    sittings = (SATURDAY, SEEN)
    return timetable_workbook(case, b.WEEK, sittings, hours_used(case, b.WEEK, {}, sittings))


def cells(data: bytes) -> dict[str, list[list[Any]]]:
    """By another library than the one that wrote it."""
    calamine = pytest.importorskip("python_calamine")
    book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def test_a_sheet_by_adult_by_place_and_by_child_with_minutes() -> None:
    found = cells(written())
    assert list(found) == ["By adult", "By place", "By child"]
    title, head, *rows = found["By adult"]
    assert title[0] == "Week 49 by adult: Monday 30 November to Sunday 6 December 2026"
    assert head[:3] == ["Adult", "Monday 30 Nov", "Tuesday 1 Dec"]
    assert head[-4:] == ["Minutes used", "Minutes available", "Minutes left", "Share"]
    assert [row[0] for row in rows] == ["Grandad", "Mum", "Class teacher"]
    assert rows[0][2] == "15:30–15:45 W., The park"
    assert rows[2][2] == "15:30–15:45 W., The park (observes)"
    # always free on five days; numbers are numbers
    assert rows[0][-4:] == [15, 7200, 7185, pytest.approx(15 / 7200)]
    assert found["By place"][3][-4:-1] == [15, 14400, 14385]  # the park has room for two
    assert "Wren" not in str(found)


def test_a_name_like_a_formula_stays_a_text() -> None:
    import openpyxl

    mum = replace(CASE.adults["mum"], name='=HYPERLINK("x")')
    data = written(replace(CASE, adults={**CASE.adults, "mum": mum}))
    assert '=HYPERLINK("x")' in [row[0] for row in cells(data)["By adult"]]
    kinds = {c.data_type for sheet in openpyxl.load_workbook(io.BytesIO(data)) for row in sheet for c in row}
    assert "f" not in kinds


def test_each_sheet_lies_across_one_page_wide() -> None:
    import openpyxl

    for sheet in openpyxl.load_workbook(io.BytesIO(written())):
        setup = sheet.page_setup
        assert (setup.orientation, setup.fitToWidth, setup.fitToHeight) == ("landscape", 1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.print_title_rows == "$1:$2"


def test_a_row_is_as_high_as_its_longest_cell() -> None:
    import openpyxl

    sheet = PrintedSheet("x", "t", ("a", "b"), (("one\ntwo", "w" * 50), ("one", None)))
    page = openpyxl.load_workbook(io.BytesIO(printed_workbook([sheet], "")))["x"]
    assert [page.row_dimensions[n].height for n in (2, 3, 4)] == [15, 45, 15]


def test_the_same_week_gives_the_same_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    first, later = written(), time.localtime(2_000_000_000)
    monkeypatch.setattr(time, "localtime", lambda *_: later)
    assert written() == first
    assert b"2000-01-01" in zipfile.ZipFile(io.BytesIO(first)).read("docProps/core.xml")


@pytest.fixture
def planned(tmp_path: Path) -> Path:
    """A case, and beside it a plan of one sitting in `out`."""
    case = workflow.open_case(small_case(tmp_path / "case"), SUNDAY).case
    (tmp_path / "out").mkdir()
    sitting = told_sitting(case, 0, 16, ("puts-on", ("mum", "home", "hats")))
    data = plan_json(case, Plan.of_sittings(WEEK, NOW, (sitting,)))
    (tmp_path / "out" / "plan.json").write_bytes(data)
    return tmp_path


def test_the_timetable_of_a_plan_that_is_not_kept(planned: Path) -> None:
    file = planned / "week.xlsx"
    view = workflow.timetable(planned / "case", None, planned / "out", SUNDAY, file)
    assert [s.adult for s in view.sittings] == ["mum"]
    assert cells(file.read_bytes())["By child"][2][:2] == ["L.", "16:00–16:10 Mum, Home"]
    lines = list(timetable_lines(view.case, view.week, view.sittings, view.used))
    assert lines[:2] == [
        "Week 2026-W49: Monday 30 November to Sunday 6 December 2026",
        "1 sitting with 1 probe.",
    ]
    assert "Mum    10            600        590            2 %" in lines


def test_what_has_no_timetable_is_said(planned: Path) -> None:
    def refused(*given: Any) -> str:
        with pytest.raises(UsageError) as caught:
            workflow.timetable(planned / "case", *given)
        return str(caught.value)

    out = planned / "out"
    assert refused(None, out, SUNDAY, Path("week.ods")) == (
        "week.ods is to be a workbook: give it a name that ends in .xlsx."
    )
    assert refused(WEEK.next(), out, SUNDAY, None).endswith("is of the week 2026-W49, not of 2026-W50.")
    assert refused(WEEK, None, SUNDAY, None).startswith("The week 2026-W49 was not kept")
    assert refused(None, None, SUNDAY, None).startswith("No week was kept that is not over.")
