"""The timetable to hang up: what its page says and how it lies on paper, and its two tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from genplan.case import Absence, Case, Policy
from genplan.case.people import AdultLimits
from genplan.plan import Beside, Sitting
from genplan.planning.hours_used import hours_used
from genplan.report.timetable import timetable_files
from genplan.report.timetable_lines import timetable_lines
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import Element, faults, read

CASE = replace(b.a_case(), policy=Policy(days=(0, 1, 2, 3, 4)))
TUESDAY, SATURDAY = b.the_sittings()
SEEN = replace(TUESDAY, beside="teacher", beside_as=Beside.OBSERVER)


def files(sittings: Sequence[Sitting], case: Case = CASE) -> dict[str, str]:
    used = hours_used(case, b.WEEK, {}, sittings)
    return {n: data.decode() for n, data in timetable_files(case, b.WEEK, sittings, used).items()}


def tables(sittings: Sequence[Sitting], case: Case = CASE) -> list[Element]:
    return read(files(sittings, case)["timetable.html"]).all("table")


def rows(table: Element) -> list[list[str]]:
    return [[cell.words for cell in tr.all("th", "td")] for tr in table.all("tr")]


def test_the_page_has_a_table_by_adult_by_place_and_by_child() -> None:
    page = files((SATURDAY, SEEN))["timetable.html"]
    assert faults(page) == []
    adult, place, child = map(rows, tables((SATURDAY, SEEN)))
    # the five days of the policy, and Saturday for its sitting; who has none has a row all the same
    assert adult[0][:3] == ["Adult", "Monday 30 Nov", "Tuesday 1 Dec"]
    assert [row[0] for row in adult[1:]] == ["Grandad", "Mum", "Class teacher"]
    assert (adult[1][2], adult[2][6]) == ("15:30–15:45 W., The park", "09:45–09:55 W., Home")
    assert adult[3][2] == "15:30–15:45 W., The park (observes)"
    # always free on five days: 5 * 24 hours, in the park twice over
    assert adult[1][7] == "15 min of 120 h under 1 %"
    assert [row[0] for row in place[1:]] == ["Home", "The park", "School"]
    assert place[2][2] == "15:30–15:45 W. with Grandad (observes: Class teacher)"
    assert (place[2][7], place[3][7]) == ("15 min of 240 h under 1 %", "0 min of 120 h 0 %")
    assert [row[0] for row in child[1:]] == ["W."]
    assert child[1][2] == "15:30–15:45 Grandad (observes: Class teacher), The park"
    assert "Wren" not in page


def test_minutes_of_day_and_night_are_said_in_words() -> None:
    every_day = replace(CASE, policy=Policy(days=tuple(range(7))))
    adult, place, _child = map(rows, tables((SATURDAY, SEEN), every_day))
    assert adult[1][-1] == "15 minutes used; always free"
    assert (place[2][-1], place[3][-1]) == (
        "15 minutes used; always open",
        "0 minutes used; always open",
    )
    shut = replace(
        every_day.locations["park"],
        closed=(Absence(datetime(2026, 12, 2, 9), datetime(2026, 12, 2, 10)),),
    )
    one_hour_less = replace(every_day, locations={**every_day.locations, "park": shut})
    # room for two: all but one of 168 hours, twice
    assert rows(tables((SEEN,), one_hour_less)[1])[2][-1] == "15 min of 334 h under 1 %"
    used = hours_used(every_day, b.WEEK, {}, (SEEN,))
    lines = list(timetable_lines(every_day, b.WEEK, (SEEN,), used))
    (park,) = [line for line in lines if line.startswith("The park")]
    assert park.split() == ["The", "park", "15", "always", "open"]


def test_what_was_called_off_is_listed_below_and_in_no_table() -> None:
    used = hours_used(CASE, b.WEEK, {}, (SATURDAY,))
    found = timetable_files(CASE, b.WEEK, (SATURDAY,), used, (SEEN,))
    page = found["timetable.html"].decode()
    assert faults(page) == []
    assert "<s><bdi>Tuesday 1 December, 15:30 to 15:45, with Grandad: W.</bdi></s>" in page
    assert not any(
        "15:30" in cell for table in read(page).all("table") for row in rows(table) for cell in row
    )
    assert b"15:30" not in found["timetable.csv"]
    assert "Called off" not in files((SATURDAY, SEEN))["timetable.html"]


def test_sittings_of_a_day_stand_in_order_of_time() -> None:
    later = replace(TUESDAY, id="a", start=TUESDAY.start + timedelta(hours=1), end=TUESDAY.end)
    (cell,) = [c for c in rows(tables((later, TUESDAY))[2])[1] if c.startswith("15:30")]
    assert cell.index("15:30") < cell.index("16:30")


def many(children: int, a_day: int) -> tuple[Case, tuple[Sitting, ...]]:
    learners = [b.a_learner(f"child-{n}", alias=f"Child {n}") for n in range(children)]
    case = replace(b.a_case(learners, [b.a_target(learner="child-0")]), policy=Policy(days=(0, 1, 2, 3, 4)))
    starts = [datetime(2026, 11, 30 + d, 9 + h, tzinfo=b.ZONE) for d in (0,) for h in range(a_day)]
    return case, tuple(b.a_sitting(x.id, start=s, location="school") for x in learners for s in starts)


def test_letters_are_as_large_as_a_page_of_all_rows_allows() -> None:
    def size(children: int, a_day: int) -> str:
        case, sittings = many(children, a_day)
        return tables(sittings, case)[2].attributes["class"]

    assert size(12, 1) == "hung z10"
    # '09:00–09:05 Grandad, School' has 27 letters: two lines of 8 points, one of 7
    assert size(11, 2) == "hung z8"
    assert size(12, 3) == "hung z7"
    assert size(12, 5) == "hung z8"  # 60 lines of 7 points are more than a page: on several, then


def test_nobody_is_free_and_nothing_is_planned() -> None:
    nobody = replace(CASE, policy=Policy(days=()))
    assert rows(tables((), nobody)[2]) == [
        ["Child", "Minutes used of the hours available"],
        ["W.", "0 min of 0 h"],
    ]


def test_the_tables_have_a_row_for_each_adult_and_one_for_everybody() -> None:
    found = files((SATURDAY, SEEN))
    assert found["timetable.csv"].splitlines() == [
        "day,start,end,learner,adult,location,role,probes,teachings,minutes",
        "2026-12-01,15:30,15:45,wren,grandad,park,runs,2,0,15",
        "2026-12-01,15:30,15:45,wren,teacher,park,observes,2,0,15",
        "2026-12-05,09:45,09:55,wren,mum,home,runs,1,0,10",
    ]
    lines = found["timetable-minutes.csv"].splitlines()
    assert lines[:3] == [
        "kind,id,used_minutes,free_minutes,share,limit_minutes,left_minutes",
        "learner,wren,25,7200,0.003,,7185",  # none of Saturday was free
        "adult,grandad,15,7200,0.002,,7185",
    ]
    assert len(lines) == 1 + 1 + 3 + 3
    beside = replace(SEEN, beside_as=Beside.COMPANION)
    assert ",teacher,park,beside," in files((beside,))["timetable.csv"]


def test_an_adult_has_no_more_minutes_than_the_limit_of_the_week() -> None:
    """Two hours of the week are given, and 15 minutes of them used: 105 are left, though every hour is free."""
    grandad = replace(CASE.adults["grandad"], limits=AdultLimits(minutes_per_week=120))
    case = replace(CASE, adults={**CASE.adults, "grandad": grandad}, policy=Policy(days=tuple(range(7))))
    adult = rows(tables((SATURDAY, SEEN), case)[0])
    assert adult[1][-1] == "15 min of 2 h 12 % 105 minutes left"
    assert adult[2][-1] == "10 minutes used; always free"
    found = files((SATURDAY, SEEN), case)["timetable-minutes.csv"].splitlines()
    assert next(line for line in found if ",grandad," in line) == "adult,grandad,15,10080,0.001,120,105"
    lines = list(timetable_lines(case, b.WEEK, (SEEN,), hours_used(case, b.WEEK, {}, (SEEN,))))
    assert next(line for line in lines if "Grandad" in line).split() == [
        "Grandad",
        "15",
        "120",
        "105",
        "12",
        "%",
    ]
    assert next(line for line in lines if "Adult" in line).split()[1:] == [
        "minutes",
        "used",
        "available",
        "of",
        "these",
        "left",
        "used",
    ]
    assert "no limit on sittings or minutes keeps it from being used" in lines[-1]
