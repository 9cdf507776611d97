"""What everything after the plan makes of a second adult: telling, calendars, changes, tables, pages, recording."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest

from genplan.case import Case
from genplan.cli.asking import Questions
from genplan.evidence.filled_sheet import read_filled
from genplan.evidence.planned_probes import read_planned
from genplan.keeping.differences import Change, differences
from genplan.keeping.revision import revise
from genplan.keeping.store import kept_bytes, read_kept
from genplan.keeping.told import KeptWeek, Told, still_expected
from genplan.plan import Beside, Plan, Sitting
from genplan.report.adult_page import adult_page
from genplan.report.calendars import calendar_files
from genplan.report.document import plan_json
from genplan.report.page import week_page
from genplan.report.sheets import sheets_page
from genplan.report.tables import csv_bytes, plan_table
from genplan.report.terminal import week_summary
from genplan.report.week_changes import changes_by_day, changes_of_people, changes_summary
from genplan.workflow import Opened, Proposed
from tests.fixtures.second_cases import NOTHING_RUN, SUNDAY, WEEK, case_of, having, planned, skill

MONDAY = SUNDAY + timedelta(days=1)


def the_case(**policy: object) -> Case:
    """Ann runs two sets of Wren's skill; half of the probes are to be observed."""
    return case_of(skill("wren", "ann"), **{"observed_share": 0.5, **policy})


def observed_by(plan: Plan, *observers: str) -> tuple[Sitting, ...]:
    """The sittings with these observers ('' is nobody)."""
    return tuple(
        replace(s, beside=o, beside_as=Beside.OBSERVER if o else Beside.NOBODY)
        for s, o in zip(plan.sittings, observers, strict=True)
    )


CASE = the_case()
PLAN = planned(CASE)
BEN = observed_by(PLAN, "ben", "")
CAT = observed_by(PLAN, "cat", "")
NOBODY = observed_by(PLAN, "", "")


def kept(*sittings: Sitting) -> tuple[Told, ...]:
    return revise((), sittings, SUNDAY, settled=True)


# Telling


def test_losing_an_observer_is_a_change_of_that_sitting_alone() -> None:
    before = kept(*BEN)
    first, second = revise(before, NOBODY, MONDAY, settled=True)
    # kept first: sequence 1; a change that is kept: two more; where and when stay, so the place's own event stays
    assert (first.sequence, first.changed, first.use_sequence) == (3, MONDAY, 1)
    assert [(r.id, r.sequence) for r in first.released] == [("ben", 3)]
    assert second == before[1]
    (change,) = differences(before, NOBODY, MONDAY)
    assert (change.change, change.adults) == (Change.BESIDE, ("ann", "ben"))


def test_the_same_observer_is_no_change() -> None:
    before = kept(*BEN)
    assert revise(before, BEN, MONDAY, settled=True) == before
    assert differences(before, BEN, MONDAY) == ()


def test_another_part_of_the_same_adult_is_a_change() -> None:
    companion = (replace(BEN[0], beside_as=Beside.COMPANION), BEN[1])
    assert [d.change for d in differences(kept(*BEN), companion, MONDAY)] == [Change.BESIDE]


def test_an_observer_who_comes_back_is_released_no_more() -> None:
    away = revise(kept(*BEN), CAT, MONDAY, settled=True)
    back = revise(away, BEN, MONDAY + timedelta(hours=1), settled=True)
    assert [r.id for r in away[0].released] == ["ben"]
    assert [r.id for r in back[0].released] == ["cat"]
    assert back[0].sequence == 5


def test_who_was_released_stays_known_and_no_calendar_is_told_of_it_once_the_sitting_is_over() -> None:
    away = revise(kept(*BEN), CAT, MONDAY, settled=True)
    until = away[0].until
    assert revise(away, CAT, until, settled=True) == away
    assert next(still_expected(away, until)).released == ()
    assert next(still_expected(away, until - timedelta(minutes=1))).released == away[0].released


def test_what_was_told_is_read_back(tmp_path: Path) -> None:
    week = KeptWeek(WEEK, SUNDAY, revise(kept(*BEN), CAT, MONDAY, settled=True))
    folder = tmp_path / "weeks" / str(WEEK)
    folder.mkdir(parents=True)
    (folder / "told.json").write_bytes(kept_bytes(week, CASE))
    assert read_kept(tmp_path, WEEK, CASE) == week


def test_a_week_told_by_an_earlier_version_has_nobody_beside(tmp_path: Path) -> None:
    week = KeptWeek(WEEK, SUNDAY, kept(*NOBODY))
    document = json.loads(kept_bytes(week, CASE))
    for item in document["sittings"]:
        del item["beside"], item["beside_as"], item["released"]
    folder = tmp_path / "weeks" / str(WEEK)
    folder.mkdir(parents=True)
    (folder / "told.json").write_text(json.dumps(document), "utf-8")
    assert read_kept(tmp_path, WEEK, CASE) == week


# Calendars


def events(files: dict[str, bytes], name: str) -> list[tuple[str, str, int, str]]:
    """(UID, status, sequence, summary) in the order of the file."""
    calendar = icalendar.Calendar.from_ical(files[f"calendars/{name}.ics"])
    return [
        (str(e["UID"]), str(e["STATUS"]), int(e["SEQUENCE"]), str(e["SUMMARY"]))
        for e in calendar.walk("VEVENT")
    ]


def test_the_observers_calendar_holds_the_sitting() -> None:
    files = calendar_files(CASE, PLAN, kept(*BEN))
    (own,) = events(files, "adult-ben")
    assert own[1:] == ("CONFIRMED", 1, "Observer beside Ann with W.")
    assert own[0] not in {e[0] for e in events(files, "all")}
    assert len(events(files, "adult-ann")) == len(events(files, "all")) == 2
    assert events(files, "adult-cat") == []
    assert b"Ben observes and counts too" in files["calendars/all.ics"]


def test_a_lost_observers_event_is_cancelled_and_comes_back_with_a_higher_sequence() -> None:
    first = kept(*BEN)
    (before,) = events(calendar_files(CASE, PLAN, first), "adult-ben")
    away = revise(first, CAT, MONDAY, settled=True)
    files = calendar_files(CASE, PLAN, away)
    (gone,) = events(files, "adult-ben")
    assert gone == (before[0], "CANCELLED", 3, "Cancelled: beside Ann with W.")
    assert [e[1] for e in events(files, "adult-cat")] == ["CONFIRMED"]
    assert {e[1] for e in events(files, "all")} == {"CONFIRMED"}
    back = revise(away, BEN, MONDAY + timedelta(hours=1), settled=True)
    assert events(calendar_files(CASE, PLAN, back), "adult-ben") == [
        (before[0], "CONFIRMED", 5, "Observer beside Ann with W.")
    ]


def test_a_dropped_sitting_is_cancelled_for_the_observer_too() -> None:
    gone = revise(kept(*BEN), BEN[1:], MONDAY, settled=True)
    (event,) = events(calendar_files(CASE, PLAN, gone), "adult-ben")
    assert event[1:] == ("CANCELLED", 3, "Cancelled: beside Ann with W.")


# Changes in words


def words_of(before: tuple[Sitting, ...], after: tuple[Sitting, ...]) -> dict[str, list[str]]:
    """Person -> lines."""
    text = changes_summary(CASE, differences(kept(*before), after, MONDAY)).strip()
    return {part.split("\n")[0]: part.split("\n")[1:] for part in text.split("\n\n")}


def test_who_has_to_be_told_of_another_observer() -> None:
    found = words_of(BEN, CAT)
    assert list(found) == ["Ann", "Ben", "Cat", "W."]
    assert "Cat observes and counts too. Ben is no longer there." in found["Ann"][0]
    assert found["Ben"][0].strip().startswith("- Cancelled: ")
    assert found["Cat"][0].strip().startswith("- New: ")
    assert "beside Ann with W. at Home: Cat observes and counts too." in found["Cat"][0]


def test_of_whoever_sat_beside_and_runs_it_now_nobody_is_told_that_they_are_gone() -> None:
    runs_it = tuple(replace(s, adult=s.beside, beside="", beside_as=Beside.NOBODY) for s in BEN)
    found = words_of(BEN, runs_it)
    assert found["W."][0].strip().startswith("- Ben in place of Ann: ")
    assert "no longer there" not in " ".join(line for lines in found.values() for line in lines)
    cat_runs_it = tuple(replace(s, adult="cat") for s in runs_it)
    assert "Ben is no longer there." in words_of(BEN, cat_runs_it)["W."][0]


def test_what_is_new_to_an_observer_stands_under_the_day_when_it_is() -> None:
    """Ann's sitting of Monday moves to Wednesday and Ben is beside then; on Tuesday he is beside another."""
    monday, tuesday = (
        replace(s, start=s.start - shift, end=s.end - shift, beside="", beside_as=Beside.NOBODY)
        for n, s in enumerate(PLAN.sittings)
        if (shift := s.start.replace(hour=9, minute=0) - (MONDAY.replace(hour=9) + timedelta(days=n)))
    )
    before = kept(monday, tuesday)
    two = timedelta(days=2)
    moved = replace(monday, start=monday.start + two, end=monday.end + two)
    after = tuple(replace(s, beside="ben", beside_as=Beside.OBSERVER) for s in (tuesday, moved))
    found = differences(before, after, SUNDAY)
    assert [(d.before or d.sitting).start.day for d in found] == [1, 30]
    (lines,) = (p.lines for p in changes_of_people(CASE, found) if p.id == "ben")
    assert ["Tuesday" in lines[0], "Wednesday" in lines[1]] == [True, True]
    days = {d.day.day: [whom for whom, _line in d.lines] for d in changes_by_day(CASE, found)}
    assert days == {30: ["Ann", "the family of W."], 1: ["Ann", "Ben", "the family of W."], 2: ["Ben"]}


def test_the_heading_says_whether_somebody_else_is_beside_or_nobody() -> None:
    alone = tuple(replace(s, beside="", beside_as=Beside.NOBODY) for s in BEN)
    assert words_of(BEN, CAT)["W."][0].strip().startswith("- Another beside: ")
    gone = words_of(BEN, alone)["W."][0].strip()
    assert gone.startswith("- Without Ben now: ")
    assert gone.count("Ben") == 1  # it is said once
    assert words_of(alone, BEN)["W."][0].strip().startswith("- Somebody beside now: ")
    needed = tuple(replace(s, beside_as=Beside.COMPANION) if s.beside else s for s in BEN)
    assert words_of(BEN, needed)["W."][0].strip().startswith("- Another task beside: ")


def test_an_observer_is_told_of_a_moved_and_of_a_dropped_sitting() -> None:
    later = replace(BEN[0], start=BEN[0].start + timedelta(hours=1), end=BEN[0].end + timedelta(hours=1))
    assert words_of(BEN, (later, BEN[1]))["Ben"][0].strip().startswith("- Moved: ")
    assert words_of(BEN, BEN[1:])["Ben"][0].strip().startswith("- Cancelled: ")
    assert words_of(BEN[1:], BEN)["Ben"][0].strip().startswith("- New: ")


# Tables and pages


def rows(case: Case, plan: Plan) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_bytes(plan_table(case, plan)).decode())))


def test_plan_csv_has_two_more_columns_at_its_end_only_where_they_are_asked_for() -> None:
    with_ = list(plan_table(CASE, PLAN).columns)
    plain = having_no_policy()
    without = list(plan_table(plain, planned(plain)).columns)
    assert with_ == [*without, "beside", "beside_as"]
    assert {(r["beside"], r["beside_as"]) for r in rows(CASE, PLAN)} == {("ben", "observer"), ("", "")}


def having_no_policy() -> Case:
    return the_case(observed_share=0.0)


def test_a_kept_observer_has_a_column_after_the_policy_has_changed() -> None:
    assert rows(having_no_policy(), replace(PLAN, sittings=BEN))[0]["beside"] == "ben"


def test_plan_json_tells_the_second_adult_and_the_shares() -> None:
    document = json.loads(plan_json(CASE, PLAN))
    assert sorted((s["beside"], s["beside_as"]) for s in document["sittings"]) == [
        ("", ""),
        ("ben", "observer"),
    ]
    (share,) = document["observed"]
    assert {k: v for k, v in share.items() if k != "sentence"} == {
        "learner": "wren",
        "probes": 2,
        "observed": 1,
        "new": 1,
        "wanted": 1,
        "unwatched": None,
        "without": 0,
        "hindered": [],
    }
    assert json.loads(plan_json(having_no_policy(), planned(having_no_policy())))["observed"] == []


def test_pages_sheets_and_the_terminal_name_the_observer() -> None:
    for text in (week_page(CASE, PLAN), week_summary(CASE, PLAN), sheets_page(CASE, PLAN)):
        assert text.count("Ben observes and counts too") == 1


def test_an_adults_page_tells_own_sittings_and_those_beside_apart() -> None:
    page = adult_page(CASE, PLAN, "ben")
    assert "1 sitting beside another adult" in page
    assert "0 sittings" not in page
    assert "W. and Ann" in page
    assert "Comes with the child" not in page
    assert "beside another adult" not in adult_page(CASE, PLAN, "ann")


def test_the_minutes_of_an_observer_are_in_the_loads() -> None:
    # two sittings of Ann's and one of Ben's beside her: 20 and 10 minutes
    assert "2 adults share 30 minutes in 2 sittings" in week_page(CASE, PLAN)


def test_a_companion_is_named_with_the_reason() -> None:
    case = case_of(skill("wren", "ben"), accompany_new_adults=True)
    assert "Ann sits beside: Ben has not worked with W. yet" in week_summary(case, planned(case))


# Recording


@pytest.fixture
def plan_file(tmp_path: Path) -> Path:
    file = tmp_path / "plan.csv"
    file.write_bytes(csv_bytes(plan_table(CASE, replace(PLAN, sittings=BEN))))
    return file


def test_a_proposed_probe_has_its_observer(plan_file: Path) -> None:
    assert [p.observer for p in read_planned(plan_file, CASE)] == ["ben", ""]


def test_a_companion_is_no_observer_of_a_proposed_probe(plan_file: Path) -> None:
    plan_file.write_text(plan_file.read_text("utf-8").replace("observer", "companion"), "utf-8")
    assert [p.observer for p in read_planned(plan_file, CASE)] == ["", ""]


def test_an_observer_who_is_gone_from_the_case_is_not_proposed(plan_file: Path) -> None:
    case = replace(CASE, adults={i: a for i, a in CASE.adults.items() if i != "ben"})
    assert [p.observer for p in read_planned(plan_file, case)] == ["", ""]


@pytest.mark.parametrize(
    ("cells", "observer", "count"),
    [("4,3,", "ben", "3"), ("4,3,cat", "cat", "3"), ("4,,", "", "")],
)
def test_a_filled_plan_has_the_planned_observer_where_a_count_is_written(
    plan_file: Path, cells: str, observer: str, count: str
) -> None:
    lines = plan_file.read_text("utf-8").splitlines()
    plan_file.write_text(
        "\n".join([f"{lines[0]},correct,observer_correct,observer", f"{lines[1]},{cells}"]) + "\n", "utf-8"
    )
    (row,) = read_filled(plan_file, CASE, NOTHING_RUN).rows
    assert (row.get("observer", ""), row.get("observer_correct", "")) == (observer, count)


@pytest.mark.parametrize(
    ("answer", "observer"), [("yes", "ben"), ("no", ""), ("", ""), ("Cat's gran", "Cat's gran")]
)
def test_the_questions_ask_for_the_planned_observer(plan_file: Path, answer: str, observer: str) -> None:
    asked: list[str] = []
    answers = iter(["1", "yes", "4", "", answer, *(["3"] if observer else []), "", "no", ""])

    def ask(question: str) -> str:
        asked.append(question)
        return next(answers)

    opened = Opened(plan_file.parent, None, CASE, NOTHING_RUN, SUNDAY, ())  # type: ignore[arg-type]
    probes = read_planned(plan_file, CASE)
    Questions(Proposed(opened, date(2026, 12, 1), probes, plan_file), ask).run()
    assert "Did Ben count too? 'yes', who else did, or Enter alone if nobody: " in asked
    (confirm,) = [q for q in asked if q.startswith("Add this? ")]
    assert (f": {observer.capitalize()}; " in confirm and ": 3" in confirm) is bool(observer), confirm


def test_the_local_page_fills_in_the_observer() -> None:
    from genplan.web.sitting_cards import days

    (first, second) = days(CASE, NOTHING_RUN, BEN, BEN[0].start)
    card = first.sittings[0]
    assert card.beside == "Ben observes and counts too"
    assert card.probes[0].record.endswith("&observer=ben")
    assert second.sittings[0].beside == ""
    assert "observer" not in second.sittings[0].probes[0].record


def test_an_unknown_second_adult_of_a_kept_week_is_named() -> None:
    from genplan.keeping.store import unknown_ids

    case = replace(CASE, adults={i: a for i, a in CASE.adults.items() if i != "ben"})
    week = KeptWeek(WEEK, SUNDAY, kept(*BEN))
    assert [what for _, what in unknown_ids(week, case)] == ["the adult 'ben'"]
    assert list(unknown_ids(week, CASE)) == []


def test_replanning_without_the_observer_tells_it() -> None:
    """Ben falls ill; Cat takes his place, at the same times."""
    first = planned(CASE)
    told = kept(*first.sittings)
    ill = having(CASE, "adults", "ben", learners=frozenset())
    again = planned(ill, kept=first.sittings)
    assert [s.start for s in again.sittings] == [s.start for s in first.sittings]
    assert {s.beside for s in again.sittings} == {"cat", ""}
    assert {d.change for d in differences(told, again.sittings, SUNDAY)} == {Change.BESIDE}
