"""What everything after the plan makes of a planned teaching: words, calendars, sheets, matrix, tables, telling."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest

from genplan.case import Case, PassMark, Target
from genplan.case.targets import TargetState
from genplan.coverage.review import review
from genplan.evidence.history import history
from genplan.keeping.differences import differences
from genplan.keeping.json_fields import document_of
from genplan.keeping.revision import revise
from genplan.keeping.store import kept_bytes, read_kept, sitting_from
from genplan.keeping.told import KeptWeek
from genplan.plan import Beside, Plan, ProbeKind, Sitting
from genplan.report.adult_page import adult_page
from genplan.report.calendars import calendar_files
from genplan.report.document import left_out_of, plan_json
from genplan.report.evidence_lines import history_lines, progress_lines
from genplan.report.frames import as_frame
from genplan.report.grid import grid, legend, planned_cells
from genplan.report.matrix_lines import matrix_view
from genplan.report.messages import message
from genplan.report.names_and_words import PLANNED, TO_TEACH, Names, amount_words, probes_words
from genplan.report.page import week_page
from genplan.report.review_page import review_page
from genplan.report.sheets import NO_HOW, sheets_page
from genplan.report.tables import csv_bytes, matrix_table, plan_table
from genplan.report.terminal import week_summary
from genplan.report.week_changes import changes_summary
from genplan.report.why_lines import causes
from genplan.sharing.adult_part import part_of
from tests.fixtures import builders as b
from tests.fixtures import taught_week as t
from tests.fixtures.pagecheck import faults, read

ADULT_PLACE_SET = ("adult", "location", "material_set")
CASE = t.the_case()
PLAN = t.the_plan(CASE)
PLAIN = b.a_case()
BESIDE, ALONE, RETEST = PLAN.sittings


def text_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page.split("</style>")[-1]).split())


# Words


@pytest.mark.parametrize("how", ["", "As on the card"])
def test_the_text_to_send_says_whom_to_ask_where_nobody_said_how_it_is_taught(how: str) -> None:
    """As the page does."""
    targets = {i: replace(x, how_taught=how) for i, x in CASE.targets.items()}
    texts = [
        message(replace(CASE, targets=targets), PLAN, s.adult, PLAN.now)
        for s in PLAN.sittings
        if any(not p.kind.is_probe for p in s.probes)
    ]
    assert texts
    ask = "This one is taught, not tested. The case does not say how it is taught: ask the practitioner in charge"
    assert all((ask in text) is (not how) for text in texts)


@pytest.mark.parametrize(
    ("probes", "words"),
    [
        ([], "0 probes"),
        ([t.probe()], "1 probe"),
        ([t.teaching()], "1 teaching"),
        ([t.probe(), t.probe(), t.teaching(), t.teaching()], "2 probes and 2 teachings"),
    ],
)
def test_probes_and_teachings_are_counted_apart(probes: list[object], words: str) -> None:
    assert probes_words(probes) == words  # type: ignore[arg-type]


def test_the_week_is_told_with_its_teachings() -> None:
    assert amount_words(PLAN.sittings) == "3 sittings with 1 probe and 2 teachings"
    said = week_summary(CASE, PLAN)
    assert "Zips up a jacket: The fleece (teaching)" in said
    assert "1 teaching (Class teacher + School + The fleece)" in said


def test_a_page_of_a_week_says_what_it_is_a_week_of() -> None:
    heads = {
        "Probes and teachings": PLAN,
        "Teachings": replace(PLAN, sittings=PLAN.sittings[:2]),
        "Probes": replace(PLAN, sittings=PLAN.sittings[2:]),
    }
    for words, plan in heads.items():
        assert f"<h1>{words} of week 49</h1>" in week_page(CASE, plan)


def test_a_week_without_teachings_has_no_word_of_them() -> None:
    """Legend, columns and words are those of probes alone."""
    plan = b.a_plan(PLAIN)
    for page in (week_page(PLAIN, plan), sheets_page(PLAIN, plan), adult_page(PLAIN, plan, "grandad")):
        assert "teachings" not in page.lower()
        assert TO_TEACH.meaning not in page


def test_the_columns_of_all_learners_tell_probes_and_teachings_apart() -> None:
    case = replace(CASE, learners={**CASE.learners, "owl": b.a_learner("owl", alias="O.")})
    rows = [[c.words for c in r.all("th") + r.all("td")] for r in read(week_page(case, PLAN)).all("tr")]
    assert ["Learner", "Sittings", "Probes", "Teachings", "New", "Still open", "Further probes"] in rows
    assert ["W.", "3", "1", "2", "3", "12", "5"] in rows
    assert ["W.", "15:30 to 15:40", "Grandad and Mum", "Home", "0", "1"] in rows


def test_no_page_of_teachings_has_a_fault() -> None:
    for page in (week_page(CASE, PLAN), sheets_page(CASE, PLAN), adult_page(CASE, PLAN, "mum")):
        assert faults(page) == []


def test_a_caution_says_that_teaching_is_planned_and_by_whom_it_is_decided() -> None:
    for text in (week_page(CASE, PLAN), sheets_page(CASE, PLAN), week_summary(CASE, PLAN)):
        assert "How they are taught the practitioner decides. It prescribes no treatment." in text
        assert "plans checks of skills that were already taught" not in text
    assert "plans checks of skills that were already taught" in week_summary(PLAIN, b.a_plan(PLAIN))


# The second adult


def beside(as_: Beside, sitting: Sitting = BESIDE) -> str:
    return Names(CASE).beside(replace(sitting, beside="mum", beside_as=as_))


def test_a_teacher_beside_is_told_with_what_is_taught() -> None:
    assert beside(Beside.TEACHER) == "Mum sits beside and teaches 'Zips up a jacket'"
    both = "Mum sits beside and teaches 'Zips up a jacket'; Grandad has not worked with W. yet"
    assert beside(Beside.COMPANION) == both


def test_who_teaches_from_beside_has_the_sheet_and_is_spoken_to() -> None:
    """Mum teaches in Grandad's sitting: the sheet of it is among hers, and among nobody else's."""
    assert (BESIDE.adult, BESIDE.beside, len(BESIDE.probes)) == ("grandad", "mum", 1)
    hers, his = (text_of(sheets_page(CASE, PLAN, adult=a)) for a in ("mum", "grandad"))
    assert "15:30 to" in hers
    assert "Taught, tick" in hers
    assert "Taught, tick" not in his
    assert "You are beside Grandad: you teach 'Zips up a jacket'." in message(CASE, PLAN, "mum", PLAN.now)


def test_an_observer_or_a_companion_who_has_nothing_to_teach_is_told_as_before() -> None:
    assert beside(Beside.COMPANION, RETEST) == "Mum sits beside: Grandad has not worked with W. yet"
    assert beside(Beside.COMPANION, ALONE) == "Mum sits beside: Class teacher has not worked with W. yet"
    assert beside(Beside.OBSERVER) == "Mum observes and counts too"


def test_a_teacher_beside_of_whom_the_case_has_changed_is_told_all_the_same() -> None:
    case = replace(CASE, adults={i: a for i, a in CASE.adults.items() if i != "grandad"})
    assert Names(case).beside(BESIDE) == "Mum sits beside and teaches"


def test_the_adult_page_of_a_teacher_beside() -> None:
    page = text_of(adult_page(CASE, PLAN, "mum"))
    assert "1 sitting beside another adult" in page
    assert "with W. and Grandad , Home Mum sits beside and teaches &#39;Zips up a jacket&#39;" in page


# Calendars


def events(name: str, plan: Plan = PLAN) -> list[icalendar.Event]:
    found = icalendar.Calendar.from_ical(calendar_files(CASE, plan)[f"calendars/{name}.ics"])
    return list(found.walk("VEVENT"))


def test_a_calendar_names_what_is_in_a_sitting() -> None:
    assert [str(e["SUMMARY"]) for e in events("adult-teacher")] == ["W.: Zips up a jacket (teaching)"]
    assert [str(e["SUMMARY"]) for e in events("adult-mum")] == ["Teaching beside Grandad with W."]
    mixed = replace(PLAN, sittings=(replace(ALONE, probes=(*ALONE.probes, t.probe())),))
    (event,) = events("all", mixed)
    assert str(event["SUMMARY"]) == "W. with Class teacher: 1 probe and 1 teaching"


def test_an_event_describes_a_teaching_without_saying_how() -> None:
    (event,) = events("adult-teacher")
    lines = str(event["DESCRIPTION"]).split("\n")
    assert "1. Zips up a jacket (teaching)" in lines
    assert "- Say “Zip it up”" in lines
    assert "- A lesson of 5 trials, not a test; how it is taught stands on the sheet" in lines
    assert not any("without help or teaching" in line for line in lines)
    assert all("elbow" not in data.decode() for data in calendar_files(CASE, PLAN).values())
    assert any(line.startswith("- If W. says no, walks away or is distressed, stop.") for line in lines)


def test_where_nobody_wrote_how_every_page_says_whom_to_ask() -> None:
    case = t.the_case(t.the_target(how_taught="  \n "))
    ask = (
        "the case does not say how it is taught: ask the practitioner in charge, or whoever else advises you, "
        "before you begin"
    )
    found = icalendar.Calendar.from_ical(calendar_files(case, PLAN)["calendars/adult-teacher.ics"])
    (event,) = found.walk("VEVENT")
    assert f"- A lesson of 5 trials, not a test; {ask}" in str(event["DESCRIPTION"]).split("\n")
    for page in (adult_page(case, PLAN, "teacher"), week_page(case, PLAN)):
        assert ask in page
    told = "how it is taught stands on the sheet"
    for page in (adult_page(CASE, PLAN, "teacher"), week_page(CASE, PLAN)):
        assert told in page
        assert ask not in page


def test_a_sitting_keeps_its_event_when_it_turns_into_a_lesson() -> None:
    """The same meeting of the same people: a calendar shows one event, changed."""
    before = revise((), (replace(ALONE, probes=(t.probe(t.AT_SCHOOL),)),), b.NOW, settled=True)
    after = revise(before, (ALONE,), b.NOW + timedelta(hours=1), settled=True)
    one, other = (calendar_files(CASE, PLAN, told) for told in (before, after))
    uids = [re.findall(rb"UID:(\S+)", files["calendars/all.ics"]) for files in (one, other)]
    assert uids[0] == uids[1]
    assert (before[0].sequence, after[0].sequence) == (1, 3)


# Sheets


def sheet_of(case: Case, *sittings: Sitting) -> str:
    return text_of(sheets_page(case, replace(PLAN, sittings=sittings)))


def test_a_sheet_has_the_short_form_of_a_teaching() -> None:
    page = sheet_of(CASE, ALONE)
    assert "Zips up a jacket Teaching 1 of 1" in page
    assert "Say “ Zip it up ”" in page
    assert "How Show it once, then wait. Help at the elbow, never at the hand. Correct" in page
    assert "Trials 5 trials. This is no test" in page
    assert "Sheet 1 of 1 Who" in page  # the id of a sitting is for programs
    assert ALONE.id not in page
    assert "Taught, tick Trials Correct without help Correct with help A word on it Not run because" in page
    for of_a_probe in ("A probe is a test", "Met", "Observer", "After a prompt"):
        assert of_a_probe not in page


def test_how_it_is_taught_is_printed_line_by_line_as_it_was_written() -> None:
    page = sheets_page(CASE, replace(PLAN, sittings=(ALONE,)))
    assert (
        "<bdi>Show it once, then wait.</bdi><br><bdi>Help at the elbow, never at the hand.</bdi></dd>" in page
    )
    nasty = t.the_case(t.the_target(how_taught="<script>x</script>\n\n \u202eback & forth"))
    page = sheets_page(nasty, replace(PLAN, sittings=(ALONE,)))
    assert "<bdi>&lt;script&gt;x&lt;/script&gt;</bdi><br><bdi>back &amp; forth</bdi></dd>" in page
    assert faults(page) == []


def test_where_a_mark_is_asked_for_the_sheet_asks_for_the_count() -> None:
    page = sheet_of(t.the_case(t.the_target(taught_when=PassMark(4, 5))), ALONE)
    assert "correct with help apart, 4 of 5 without help for it to count." in page
    assert "for it to count" not in sheet_of(CASE, ALONE)


def test_where_nobody_wrote_how_the_sheet_says_whom_to_ask_and_nothing_of_its_own() -> None:
    assert NO_HOW in sheet_of(t.the_case(t.the_target(how_taught="  \n ")), ALONE)


def test_the_sheet_names_who_teaches_where_it_is_not_the_adult() -> None:
    assert "Teaches Mum" in sheet_of(CASE, BESIDE)
    assert "Teaches" not in sheet_of(CASE, ALONE)


def test_a_sheet_with_both_numbers_each_kind_by_itself() -> None:
    mixed = replace(RETEST, probes=(t.probe(), t.teaching(), t.teaching(t.AT_SCHOOL)))
    page = sheet_of(CASE, mixed)
    assert "A probe is a test without teaching." in page
    for words in ("Probe 1 of 1", "Teaching 1 of 2", "Teaching 2 of 2"):
        assert words in page
    own = page.split("An observer's sheet to copy")[0]
    assert own.count("After a prompt") == 2  # the row and the total of the one probe


def test_the_part_of_a_teacher_beside_has_the_sheet_of_the_lesson() -> None:
    kept = KeptWeek(b.WEEK, b.NOW, revise((), PLAN.sittings, b.NOW, settled=True))
    page = part_of(CASE, kept, "mum")[f"{b.WEEK}/sheets.html"].decode()
    assert "Help at the elbow" in page
    assert page.count('<article class="sheet"') == 1
    watched = replace(BESIDE, beside_as=Beside.OBSERVER)
    kept = KeptWeek(b.WEEK, b.NOW, revise((), (watched,), b.NOW, settled=True))
    assert not any(n.endswith("sheets.html") for n in part_of(CASE, kept, "mum"))


# Matrix


def cells(plan: Plan) -> dict[str, object]:
    found = grid(Names(CASE), CASE.targets["zips-jacket"], plan.matrix, planned_cells(plan.planned()))
    return {c.word: c for block in found.blocks for line in block.lines for c in line.cells}


def test_the_matrix_tells_a_planned_teaching_from_a_planned_probe() -> None:
    found = cells(PLAN)
    assert found["to teach"].mark == TO_TEACH  # type: ignore[attr-defined]
    assert found["to teach"].fine == ("Wed 15:30", "teaching", "before: not met 0/5")  # type: ignore[attr-defined]
    assert found["planned"].fine[:2] == ("Sat 15:30", "retest")  # type: ignore[attr-defined]
    for part in ("sign", "word", "meaning", "style"):
        assert getattr(TO_TEACH, part) != getattr(PLANNED, part)


def test_the_cell_of_a_teaching_has_a_line_of_its_own_to_be_told_apart_in_grey() -> None:
    page = week_page(CASE, PLAN)
    assert (
        page.count('<td class="planned taught"><span class="sign" aria-hidden="true">»</span>to teach') == 3
    )
    style = page.split("</style>")[0]
    assert re.search(r"\.taught \{ border-left: 5px double", style)


def test_the_legend_explains_a_planned_teaching_only_where_there_is_one() -> None:
    assert TO_TEACH in legend([ProbeKind.NEW, ProbeKind.TEACHING])
    assert TO_TEACH not in legend([ProbeKind.NEW, ProbeKind.RETEST])


def test_a_teaching_that_has_begun_is_planned_no_more() -> None:
    begun = replace(PLAN, sittings=(replace(BESIDE, begun=True), *PLAN.sittings[1:]))
    assert ("zips-jacket", t.AT_HOME) in PLAN.planned()
    assert ("zips-jacket", t.AT_HOME) not in begun.planned()


def test_what_is_taught_twice_in_a_week_is_shown_with_both_sittings() -> None:
    again = replace(
        BESIDE, id="again", start=BESIDE.start + timedelta(days=2), end=BESIDE.end + timedelta(days=2)
    )
    plan = replace(PLAN, sittings=(BESIDE, again))
    assert cells(plan)["to teach"].fine[0] == "Tue 15:30 and Thu 15:30"  # type: ignore[attr-defined]
    table = as_frame(matrix_table(CASE, plan.matrix, plan.planned()))
    assert f"{BESIDE.id}; again" in set(table["planned"])
    matrix = document_of(plan_json(CASE, plan))["matrix"]
    assert f"{BESIDE.id}; again" in {row["planned"] for row in matrix}


def test_what_a_combination_waits_for_is_counted() -> None:
    said = matrix_view(CASE, PLAN.matrix)
    assert "1 of 2 teachings before its retest: Grandad, Home, Two jackets with different zips." in said
    assert "0 of 2 teachings before its retest: Class teacher, School, The fleece." in said
    assert "Taught since it was not met: due for a retest: Grandad, The park, Three winter coats." in said
    case = t.the_case(t.the_target(teachings_before_retest=1, retest_after_days=12))
    said = matrix_view(case, t.the_plan(case).matrix)
    assert "due for a retest from 2 Dec 2026 on: Grandad, Home" in said
    soon = t.the_case(t.the_target(teachings_before_retest=1, retest_after_days=3))
    said = matrix_view(soon, t.the_plan(soon).matrix)
    assert "due for a retest: Grandad, Home" in said  # 23 November is over
    assert "Waits for teaching in it before it is probed again: Class teacher" in said


# Tables and plan.json


def test_plan_csv_has_a_row_for_a_teaching() -> None:
    found = list(csv.DictReader(io.StringIO(csv_bytes(plan_table(CASE, PLAN)).decode())))
    kept = [(r["kind"], r["adult"], r["trials"], r["beside"], r["beside_as"]) for r in found]
    assert kept == [
        ("teaching", "grandad", "5", "mum", "teacher"),
        ("teaching", "teacher", "5", "", ""),
        ("retest", "grandad", "5", "", ""),
    ]


def test_matrix_csv_names_the_sitting_of_a_teaching_and_what_is_still_owed() -> None:
    table = as_frame(matrix_table(CASE, PLAN.matrix, PLAN.planned()))
    (row,) = table[(table["adult"] == "teacher") & (table["status"] == "not met")].to_dict("records")
    assert (row["planned"], row["why"]) == (ALONE.id, "0 of 2 teachings before its retest")


def test_plan_json_is_read_back() -> None:
    document = document_of(plan_json(CASE, PLAN))
    assert tuple(sitting_from(s, CASE) for s in document["sittings"]) == PLAN.sittings
    assert tuple(map(left_out_of, document["left_out"])) == PLAN.left_out
    assert document["left_out"][0]["kind"] == "teaching"
    assert "elbow" not in json.dumps(document)


def test_what_people_were_told_is_read_back(tmp_path: Path) -> None:
    week = KeptWeek(b.WEEK, b.NOW, revise((), PLAN.sittings, b.NOW, settled=True))
    folder = tmp_path / "weeks" / str(b.WEEK)
    folder.mkdir(parents=True)
    (folder / "told.json").write_bytes(kept_bytes(week, CASE))
    assert read_kept(tmp_path, b.WEEK, CASE) == week


STAND_IN = ("grandad", "school", "fleece")
HELD_OUT = t.the_case(t.the_target(hold_out=({"adult": "teacher", "location": "school"},)))
IN_PLACE = b.a_sitting(
    "wren", "grandad", "school", ALONE.start, (replace(t.teaching(STAND_IN), instead_of=(t.AT_SCHOOL,)),)
)


def test_a_sheet_says_why_something_is_taught_that_never_failed_and_names_nobody_else() -> None:
    said = (
        "Why here The target was not met in another combination with School and The fleece, which is not taught itself"
        " (held out)."
    )
    page = sheets_page(HELD_OUT, replace(PLAN, sittings=(IN_PLACE,)))
    assert said in text_of(page)
    assert "Class teacher" not in text_of(page)
    assert faults(page) == []
    assert "Why here" not in sheet_of(HELD_OUT, ALONE)


def test_what_people_were_told_keeps_in_whose_place_it_is() -> None:
    week = KeptWeek(b.WEEK, b.NOW, revise((), (IN_PLACE,), b.NOW, settled=True))
    (told,) = json.loads(kept_bytes(week, HELD_OUT))["sittings"]
    assert sitting_from(told, HELD_OUT).probes == IN_PLACE.probes
    other = replace(IN_PLACE, probes=(t.teaching(STAND_IN),))
    assert differences(week.told, (other,), b.NOW) == ()


def test_what_is_left_out_in_place_of_something_says_so_and_reads_back() -> None:
    (item,) = t.left_out()
    item = replace(item, values=tuple(zip(ADULT_PLACE_SET, STAND_IN, strict=True)), instead_of=(t.AT_SCHOOL,))
    (document,) = json.loads(plan_json(HELD_OUT, replace(PLAN, left_out=(item,))))["left_out"]
    assert document["what"] == (
        "Grandad + School + The fleece, in place of Class teacher, School, The fleece (held out)"
    )
    assert left_out_of(document) == item


# Reasons


def test_what_is_left_out_is_called_a_teaching_and_stands_before_new_combinations() -> None:
    plan = replace(PLAN, left_out=(*b.left_out(), *t.left_out()))
    page = text_of(week_page(CASE, plan))
    order = ("1 maintenance probe", "1 teaching", "12 pairs")
    assert sorted(order, key=page.index) == list(order)
    (cause,) = [c for c in causes(Names(CASE), plan.left_out) if "1 teaching" in c.amount]
    assert cause.amount == "12 new pairs and 1 teaching"


# What changes


def told(before: tuple[Sitting, ...], after: tuple[Sitting, ...]) -> dict[str, list[str]]:
    """Person -> lines."""
    found = differences(revise((), before, b.NOW, settled=True), after, b.NOW)
    parts = changes_summary(CASE, found).strip().split("\n\n")
    return {p.split("\n")[0]: [line.strip(" -") for line in p.split("\n")[1:]] for p in parts}


def test_a_teaching_that_moved() -> None:
    later = replace(ALONE, start=ALONE.start + timedelta(days=1), end=ALONE.end + timedelta(days=1))
    (line,) = told((ALONE,), (later,))["Class teacher"]
    assert line == (
        "Moved: Thursday 3 December, 15:30 to 15:40, with W. at School. Before: Wednesday 2 December, 15:30 to 15:40."
        " Comes with W.: The fleece."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at School."
        " Mind: 'The fleece': a cord: an adult watches that it goes round no neck."
    )


def test_a_new_sitting_says_that_it_is_for_teaching() -> None:
    found = told((), (BESIDE,))
    assert found["Grandad"] == [
        "New: Tuesday 1 December, 15:30 to 15:40, with W. at Home. 1 teaching:"
        " Zips up a jacket (Two jackets with different zips, teaching, 5 trials)."
        " Mum sits beside and teaches 'Zips up a jacket'. Comes with W.: Two jackets with different zips."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home."
    ]
    assert found["Mum"] == [
        "New: Tuesday 1 December, 15:30 to 15:40, beside Grandad with W. at Home:"
        " Mum sits beside and teaches 'Zips up a jacket'."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home."
    ]


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ((t.probe(),), (t.teaching(t.IN_THE_PARK),), "Other probes and teachings"),
        ((t.teaching(),), (t.teaching(t.AT_SCHOOL),), "Other teachings"),
        ((t.probe(),), (t.probe(t.AT_SCHOOL),), "Other probes"),
        ((t.probe(),), (t.probe(), t.teaching()), "Other teachings"),
    ],
)
def test_which_things_of_a_sitting_are_others_now(
    before: tuple[object, ...], after: tuple[object, ...], words: str
) -> None:
    old, new = (replace(RETEST, probes=probes) for probes in (before, after))  # type: ignore[arg-type]
    (line,) = told((old,), (new,))["Grandad"]
    assert line.startswith(f"{words}: Saturday 5 December")


def test_a_probe_that_turned_into_a_lesson_is_told_as_one() -> None:
    lesson = replace(RETEST, probes=(t.teaching(t.IN_THE_PARK),))
    (line,) = told((RETEST,), (lesson,))["Grandad"]
    assert "Zips up a jacket: Three winter coats, teaching in place of Three winter coats." in line


def test_another_teacher_beside_is_told() -> None:
    alone = replace(BESIDE, beside="", beside_as=Beside.NOBODY)
    (line,) = told((alone,), (BESIDE,))["Grandad"]
    assert "Mum sits beside and teaches 'Zips up a jacket'." in line


# What the results say


def progress_of(target: Target, last: date = date(2026, 11, 29)) -> str:
    case = t.the_case(target)
    found = review(case, "wren", t.the_log(), date(2026, 11, 1), last)
    return "\n".join(progress_lines(case, [found]))


def test_progress_counts_the_teachings_that_are_still_owed() -> None:
    said = progress_of(t.the_target())
    assert (
        "Waits for teaching or a decision: Grandad, Home, Two jackets with different zips"
        " (1 of 2 teachings before its retest)."
    ) in said
    assert "Probe again, after teaching: Grandad, The park, Three winter coats." in said


def test_progress_says_from_when_a_retest_may_be_run() -> None:
    said = progress_of(t.the_target(retest_after_days=7))
    assert "Taught, waits for its retest from 1 Dec 2026 on: Grandad, The park, Three winter coats." in said
    later = progress_of(t.the_target(retest_after_days=7), date(2026, 12, 1))
    assert "Probe again, after teaching: Grandad, The park, Three winter coats." in later


def test_the_review_page_says_the_same() -> None:
    found = review(CASE, "wren", t.the_log(), date(2026, 11, 1), date(2026, 11, 29))
    assert "1 of 2 teachings before its retest" in review_page(CASE, found, b.NOW)


def test_the_history_says_what_a_lesson_did() -> None:
    target = t.the_target()
    said = "\n".join(history_lines(t.the_case(target), target, history(target, t.the_log())))
    assert "teaching -> 1 of 2 teachings before its retest" in said
    assert "teaching 4/5 -> due for a retest" in said
    marked = t.the_target(teachings_before_retest=1, taught_when=b.PassMark(5, 5), retest_after_days=2)
    said = "\n".join(history_lines(t.the_case(marked), marked, history(marked, t.the_log())))
    assert "teaching 4/5, counts as no teaching: that takes 5/5" in said
    marked = replace(marked, taught_when=b.PassMark(4, 5))
    said = "\n".join(history_lines(t.the_case(marked), marked, history(marked, t.the_log())))
    assert "teaching 4/5 -> due for a retest from 2026-11-26 on" in said


def test_a_lesson_of_a_target_that_is_still_taught_is_shown_like_any_other() -> None:
    """It has no matrix and no coverage, since it is not probed."""
    case = t.the_case(t.the_target(state=TargetState.TEACHING))
    plan = Plan.of_sittings(b.WEEK, b.NOW, (ALONE,))
    for page in (week_page(case, plan), sheets_page(case, plan), adult_page(case, plan, "teacher")):
        assert "Zips up a jacket" in page
        assert faults(page) == []
