"""A told visit that somebody struck out is called off in all that people are given of the week, and only there where
somebody struck it out."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zipfile import ZipFile

import pytest
from icalendar import Calendar

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.errors import UsageError
from genplan.evidence.results import COLUMNS
from genplan.keeping.store import read_kept
from genplan.plan import Sitting
from genplan.report.calendars import uid
from genplan.report.called_off import called_off_words
from genplan.report.names_and_words import Names
from genplan.web.shelf import shelf_of_kept
from genplan.workflow import ChangeRequest
from genplan.workflow.keeping import keep_sittings
from genplan.workflow.telling import texts_to_send
from genplan.workflow.week_as_told import told_week_in_force
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK

FRIDAY_NIGHT = datetime(2026, 12, 4, 23)


def visit_of(case: Path, adult: str) -> Sitting:
    """The first that is still ahead on Wednesday."""
    week = workflow.told_week(case, WEEK, WEDNESDAY)
    return next(s.sitting for s in week.sittings if s.sitting.adult == adult and not s.begun)


def leave_out(case: Path, visit: Sitting) -> None:
    workflow.wish(case, PlannersWish(kind=WishKind.NOT, sitting=visit.id), WEDNESDAY)


def leave_out_by_hand(case: Path, visit: Sitting) -> None:
    (case / "changes.yaml").write_text(f"format: 1\nchanges:\n  - {{not: {visit.id}}}\n", "utf-8")


def is_away(case: Path, visit: Sitting) -> None:
    start, end = (m.replace(tzinfo=None) for m in (visit.start, visit.end))
    workflow.change(case, ChangeRequest("away", visit.adult, start=start, end=end), WEDNESDAY)


def written(case: Path, visit: Sitting, **cells: str) -> None:
    """A row for each line of it."""
    with (case / "results.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        rows.writeheader()
        for p in visit.probes:
            adult, location, material_set = p.combination
            row = {"date": visit.start.date(), "target": p.target, "adult": adult, "location": location}
            rows.writerow({**row, "material_set": material_set, **cells})


def will_not_run(case: Path, visit: Sitting) -> None:
    written(case, visit, kind="not run", note="on a trip")


def other_hours(case: Path, visit: Sitting) -> None:
    """For good, and no absence is entered."""
    text, days = (case / "case.yaml").read_text("utf-8"), ("wed", "thu", "fri")
    left = [d for d in days if d != days[visit.start.weekday() - 2]]
    hours = ", ".join(f'{d}: "15:00-17:00"' for d in left)
    assert 'wed-fri: "15:00-17:00"' in text
    (case / "case.yaml").write_text(text.replace('wed-fri: "15:00-17:00"', hours), "utf-8")


WAYS = [leave_out, leave_out_by_hand, is_away, will_not_run, other_hours]
Strike = Callable[[Path, Sitting], None]


def in_calendar(data: bytes, event: str) -> tuple[str, int]:
    (found,) = (e for e in Calendar.from_ical(data).walk("VEVENT") if e["UID"] == uid("sitting", event))
    return str(found["STATUS"]), int(found["SEQUENCE"])


@pytest.mark.parametrize("strike", WAYS)
def test_it_is_called_off_in_all_that_people_are_given(case: Path, tmp_path: Path, strike: Strike) -> None:
    visit = visit_of(case, "gran")
    before = read_kept(case, WEEK, workflow.open_case(case, WEDNESDAY).case)
    assert before
    told = next(t for t in before.told if t.sitting == visit)
    strike(case, visit)
    opened = workflow.open_case(case, WEDNESDAY)
    week = told_week_in_force(opened, WEEK)
    assert week.struck == (visit,)
    assert {s.id for s in week.kept} == {s.id for s in before.sittings} - {visit.id}
    assert week.unread == ()
    said = called_off_words(Names(opened.case), visit, "gran")

    shelf = shelf_of_kept(opened, WEEK, before)
    message = shelf.read("messages/adult-gran.txt").decode()
    off, _, ahead = message.partition("asked")
    assert said in off
    assert said not in ahead
    page = shelf.read("pages/adult-gran.html").decode()
    assert f"<s><bdi>{said}" in page
    assert visit.id not in page
    fridge = shelf.read("pages/fridge-lark.html").decode()
    assert f"<s><bdi>{called_off_words(Names(opened.case), visit)}" in fridge
    assert fridge.count("<p><strong>") == len(week.kept)
    assert shelf.read("sheets.html").decode().count('<article class="sheet"') == len(week.kept)
    rows = list(csv.DictReader(shelf.read("timetable.csv").decode("utf-8-sig").splitlines()))
    assert len(rows) == len(week.kept)
    hung = shelf.read("timetable.html").decode()
    assert f"<s><bdi>{called_off_words(Names(opened.case), visit)}: L.</bdi></s>" in hung
    assert visit.id not in shelf.read("plan.csv").decode()
    cancelled = ("CANCELLED", told.sequence + 2)
    for name in ("all", "adult-gran", "learner-lark"):
        assert in_calendar(shelf.read(f"calendars/{name}.ics"), told.event) == cancelled

    workflow.share_part(case, "gran", tmp_path / "part.zip", WEDNESDAY)
    with ZipFile(tmp_path / "part.zip") as part:
        assert in_calendar(part.read(f"{WEEK}/calendar.ics"), told.event) == cancelled
        assert f"<s><bdi>{said}" in part.read(f"{WEEK}/week.html").decode()
        sheets = [n for n in part.namelist() if n.endswith("sheets.html")]
        hers = sum(s.adult == "gran" for s in week.kept)
        assert [part.read(n).decode().count('<article class="sheet"') for n in sheets] == [hers]
    view = workflow.timetable(case, WEEK, None, WEDNESDAY, None)
    assert view.sittings == week.kept
    assert view.remarks
    planned = {s for seats in workflow.matrix(case, WEDNESDAY).planned.values() for s in seats}
    assert planned
    assert visit.id not in {s.id for s in planned}
    # the files that were kept are those of the telling
    on_disk = (case / "weeks" / str(WEEK) / "calendars" / "adult-gran.ics").read_bytes()
    assert in_calendar(on_disk, told.event) == ("CONFIRMED", told.sequence)


@pytest.mark.parametrize("strike", WAYS)
def test_it_stays_called_off_when_its_time_has_come(case: Path, strike: Strike) -> None:
    visit = visit_of(case, "gran")
    strike(case, visit)
    week = told_week_in_force(workflow.open_case(case, FRIDAY_NIGHT), WEEK)
    assert week.struck == (visit,)
    assert week.otherwise == ()


@pytest.mark.parametrize("strike", [leave_out, is_away, other_hours])
def test_what_was_run_all_the_same_was_not_called_off(case: Path, strike: Strike) -> None:
    visit = visit_of(case, "gran")
    strike(case, visit)
    written(case, visit, kind="probe", trials="5", correct="5")
    opened = workflow.open_case(case, FRIDAY_NIGHT)
    assert len(opened.log.results) == len(visit.probes)
    assert told_week_in_force(opened, WEEK).struck == ()


def test_a_week_that_nobody_struck_anything_out_of_is_as_it_was_told(case: Path) -> None:
    opened = workflow.open_case(case, WEDNESDAY)
    week = told_week_in_force(opened, WEEK)
    assert week.struck == ()
    assert week.in_force == week.told
    shelf, folder = shelf_of_kept(opened, WEEK, week.told), case / "weeks" / str(WEEK)
    for name in shelf.names:
        if name.startswith("calendars/") or name == "plan.csv":
            assert shelf.read(name) == (folder / name).read_bytes()


def test_keeping_it_afterwards_cancels_the_same_event_no_lower(case: Path) -> None:
    visit = visit_of(case, "gran")
    leave_out(case, visit)
    opened = workflow.open_case(case, WEDNESDAY)
    week = told_week_in_force(opened, WEEK)
    keep_sittings(opened, WEEK, week.kept, opened.now)
    kept = read_kept(case, WEEK, opened.case)
    assert kept

    def numbers(told: workflow.ToldWeek | None) -> list[tuple[str, int, bool]]:
        of = told.in_force if told else kept
        assert of
        return [(t.event, t.sequence, t.cancelled) for t in of.told]

    assert numbers(None) == numbers(week)
    assert told_week_in_force(workflow.open_case(case, WEDNESDAY), WEEK).struck == ()


def test_after_the_week_is_kept_again_it_is_still_said_to_be_called_off(case: Path) -> None:
    """Also to somebody who has nothing left, and who is not asked whether a time suits."""
    opened = workflow.open_case(case, SUNDAY)
    week = told_week_in_force(opened, WEEK)
    gone = [s for s in week.kept if "gran" in s.adults]
    keep_sittings(opened, WEEK, [s for s in week.kept if s not in gone], opened.now)
    opened = workflow.open_case(case, SUNDAY)
    kept = read_kept(case, WEEK, opened.case)
    assert kept
    assert gone
    shelf = shelf_of_kept(opened, WEEK, kept)
    names = Names(opened.case)
    message = shelf.read("messages/adult-gran.txt").decode()
    assert "nothing else is asked of you" in message
    assert "If a time does not suit" not in message
    for visit in gone:
        to_her, of_child = called_off_words(names, visit, "gran"), called_off_words(names, visit)
        assert f"  - {to_her}\n" in message
        assert f"<s><bdi>{to_her}" in shelf.read("pages/adult-gran.html").decode()
        assert f"<s><bdi>{of_child}" in shelf.read("pages/fridge-lark.html").decode()
        assert f"<s><bdi>{of_child}" in shelf.read("sheets.html").decode()
    assert "Called off" not in shelf.read("pages/adult-mum.html").decode()
    # what is told anew is not called off
    keep_sittings(opened, WEEK, week.kept, opened.now)
    opened = workflow.open_case(case, SUNDAY)
    shelf = shelf_of_kept(opened, WEEK, read_kept(case, WEEK, opened.case))
    assert "called off" not in shelf.read("messages/adult-gran.txt").decode()


def test_a_limit_or_a_result_calls_nothing_off(case: Path) -> None:
    """That a visit no longer fits is the program's to say; that it is called off, somebody's."""
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(
        text.replace("probes_per_target_per_week: 5", "probes_per_target_per_week: 1")
    )
    week = workflow.told_week(case, WEEK, SUNDAY)
    assert any(s.fell_through for s in week.sittings)
    assert week.struck == ()
    assert week.in_force == week.told


def test_a_set_that_is_gone_takes_its_probe_alone(case: Path) -> None:
    week = workflow.told_week(case, WEEK, SUNDAY)
    two = next((s for s in week.sittings if len({p.combination[2] for p in s.sitting.probes}) > 1), None)
    gone = two.sitting.probes[0].combination[2] if two else "boots"
    workflow.change(case, ChangeRequest("missing", gone, end=datetime(2026, 12, 5)), SUNDAY)
    after = workflow.told_week(case, WEEK, SUNDAY)
    assert not any(p.combination[2] == gone for s in after.kept for p in s.probes)
    without = [s.sitting for s in week.sittings if all(p.combination[2] == gone for p in s.sitting.probes)]
    assert list(after.struck) == without


def test_a_stand_in_is_looked_for_only_where_an_adult_is_lacking(case: Path) -> None:
    visit = visit_of(case, "gran")
    is_away(case, visit)
    away = next(s for s in workflow.told_week(case, WEEK, WEDNESDAY).otherwise)
    assert (away.lacks_an_adult, away.was_left_out) == (True, False)
    leave_out(case, visit)
    out = next(s for s in workflow.told_week(case, WEEK, WEDNESDAY).otherwise)
    assert (out.lacks_an_adult, out.was_left_out) == (False, True)


FAULTY = "date,time,target,kind\nyesterday,,nothing,probe\n"


def test_results_that_cannot_be_read_are_said_and_what_is_known_is_called_off(
    case: Path, tmp_path: Path
) -> None:
    visit = visit_of(case, "gran")
    is_away(case, visit)
    (case / "results.csv").write_text(FAULTY, "utf-8")
    done = workflow.share_part(case, "gran", tmp_path / "part", WEDNESDAY)
    assert "Not everything could be read" in done.sentence
    assert "results.csv" in done.sentence
    opened = workflow.open_case(case, WEDNESDAY, with_results=False)
    page = (tmp_path / "part" / str(WEEK) / "week.html").read_text("utf-8")
    assert f"<s><bdi>{called_off_words(Names(opened.case), visit, 'gran')}" in page
    view = workflow.timetable(case, WEEK, None, WEDNESDAY, None)
    assert visit not in view.sittings
    assert any("results.csv" in line for line in view.remarks)


def test_a_busy_calendar_that_cannot_be_read_is_said(case: Path, tmp_path: Path) -> None:
    visit = visit_of(case, "gran")
    leave_out(case, visit)
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(
        text.replace("gran: {name: Gran,", "gran: {name: Gran, busy: busy/gran.ics,")
    )
    (case / "busy").mkdir()
    (case / "busy" / "gran.ics").write_text("no calendar at all", "utf-8")
    done = workflow.share_part(case, "gran", tmp_path / "part", WEDNESDAY)
    assert "busy/gran.ics" in done.sentence
    opened = workflow.open_case(case, WEDNESDAY)
    week = told_week_in_force(opened, WEEK)
    assert week.struck == (visit,)
    assert week.unread
    message = shelf_of_kept(opened, WEEK, week.told).read("messages/adult-gran.txt").decode()
    assert called_off_words(Names(opened.case), visit, "gran") in message.partition("asked")[0]


def shared(case: Path, out: Path, event: str) -> tuple[bytes, tuple[str, int]]:
    workflow.share_part(case, "gran", out, WEDNESDAY)
    with ZipFile(out) as part:
        calendar = part.read(f"{WEEK}/calendar.ics")
    return calendar, in_calendar(calendar, event)


def test_what_is_on_again_goes_beyond_its_cancelling(case: Path, tmp_path: Path) -> None:
    """RFC 5546, 2.1.5: whoever took in the cancelling passes over what has a lower sequence."""
    visit, out = visit_of(case, "gran"), tmp_path / "part.zip"
    event = next(t.event for t in workflow.told_week(case, WEEK, WEDNESDAY).told.told if t.sitting == visit)
    found = [shared(case, out, event)]
    told_file = case / "weeks" / str(WEEK) / "told.json"
    as_kept = told_file.read_bytes()
    for strike in (True, True, False, False, True, False):
        leave_out_by_hand(case, visit) if strike else (case / "changes.yaml").unlink(missing_ok=True)
        found.append(shared(case, out, event))
    assert [said for _data, said in found] == [
        ("CONFIRMED", 1),
        *[("CANCELLED", 3)] * 2,
        *[("CONFIRMED", 5)] * 2,
        ("CANCELLED", 7),
        ("CONFIRMED", 9),
    ]
    assert (found[1], found[3]) == (found[2], found[4])
    assert as_kept != told_file.read_bytes()

    # the page hands out what `share` does, and what is kept then goes on from there
    opened = workflow.open_case(case, WEDNESDAY)
    week = told_week_in_force(opened, WEEK)
    shelf = shelf_of_kept(opened, WEEK, week.told)
    assert in_calendar(shelf.read("calendars/adult-gran.ics"), event) == ("CONFIRMED", 9)
    keep_sittings(opened, WEEK, week.kept, opened.now)
    assert shared(case, out, event)[1] == ("CONFIRMED", 9)
    assert b"handed_out" not in told_file.read_bytes()
    leave_out_by_hand(case, visit)
    assert shared(case, out, event)[1] == ("CANCELLED", 11)
    keep_sittings(opened, WEEK, [s for s in week.kept if s != visit], opened.now)
    assert shared(case, out, event)[1] == ("CANCELLED", 11)


def test_a_share_of_a_week_as_it_was_told_leaves_the_case_alone(case: Path, tmp_path: Path) -> None:
    before = {p: p.read_bytes() for p in case.rglob("*") if p.is_file()}
    workflow.share_part(case, "gran", tmp_path / "part.zip", WEDNESDAY)
    assert {p: p.read_bytes() for p in case.rglob("*") if p.is_file()} == before


def test_who_asks_about_a_cancelled_visit_hears_when_it_was_cancelled(case: Path) -> None:
    opened = workflow.open_case(case, SUNDAY)
    gone, *stay = told_week_in_force(opened, WEEK).kept
    keep_sittings(opened, WEEK, stay, opened.now)
    said = f"The sitting {gone.id} was cancelled on 29 November at "
    with pytest.raises(UsageError, match=said):
        workflow.alternatives(case, gone.id, WEDNESDAY)
    with pytest.raises(UsageError, match=f"{said}.* Nothing was added"):
        workflow.fell_through(case, gone.id, "", WEDNESDAY)
    assert not (case / "results.csv").exists()


def test_what_was_called_off_is_told_after_its_time_and_what_was_only_not_run_is_not(case: Path) -> None:
    visit = visit_of(case, "gran")
    is_away(case, visit)
    later = visit.end.replace(tzinfo=None)
    texts = {n: t.decode() for n, t in texts_to_send(workflow.told_week(case, WEEK, later)).items()}
    assert texts.keys() == {"changes/adult-gran.txt", "changes/learner-lark.txt"}
    assert all(text.count("- Was cancelled: Wednesday 2 December, ") == 1 for text in texts.values())
    assert not any("- Cancelled" in text or "bring" in text for text in texts.values())
    for who in ("gran", "lark"):
        workflow.mark_told(case, WEEK, who, later)
    assert not texts_to_send(workflow.told_week(case, WEEK, later))


def test_what_was_not_run_was_called_off_for_nobody(case: Path) -> None:
    visit = visit_of(case, "gran")
    written(case, visit, kind="not run", note="no, she said")
    assert not texts_to_send(workflow.told_week(case, WEEK, visit.end.replace(tzinfo=None)))
