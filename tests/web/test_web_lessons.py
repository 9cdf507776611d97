"""A planned teaching on the local page: on the week's cards, among what is to be written down, in its own form."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest

from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.store import read_kept
from genplan.web.sitting_cards import days
from genplan.workflow import open_case
from tests.fixtures.local_server import form_fields, running
from tests.fixtures.small_case import SUNDAY
from tests.fixtures.small_case import WEEK as TOLD_WEEK
from tests.fixtures.taught_week import a_kept_lesson

WEEK, DAY = "/week/2026-W49", "/record?day=2026-12-01"
ROW = "2026-12-01,16:00,puts-on,teaching,mum,home,hats,,,,,,"


@pytest.fixture
def folder(tmp_path):
    return a_kept_lesson(tmp_path / "case")


@pytest.fixture
def local(folder):
    """On the evening of the day of the lesson."""
    with running(folder) as local:
        local.site.now = local.site.now.replace(month=12, day=1, hour=20)
        yield local


def rows(folder):
    return (folder / "results.csv").read_text("utf-8").splitlines()[1:]


def taps(page):
    """The forms of one tap on a page."""
    forms = [form_fields(page, n) for n in range(page.count("<form"))]
    return [f for f in forms if f.get("kind") == ["teaching"]]


@pytest.mark.parametrize("page", [WEEK, DAY])
def test_a_planned_teaching_is_done_with_one_tap(local, folder, page):
    (fields,) = taps(local.get(page).text)
    answer = local.post("/record/add", fields)
    assert answer.status == 303
    assert "hats: teaching." in local.get(answer.headers["location"]).text
    assert rows(folder) == [ROW]
    assert taps(local.get(page).text) == []
    again = local.post("/record/add", fields)
    assert "a second tap adds nothing" in local.get(again.headers["location"]).text
    assert rows(folder) == [ROW]


def test_a_tap_on_an_old_page_is_asked_about(local, folder):
    """Somebody else wrote it down meanwhile."""
    old, new = (taps(local.get(WEEK).text)[0] for _ in range(2))
    assert local.post("/record/add", new).status == 303
    answer = local.post("/record/add", old)
    assert answer.status == 409
    assert "while the form was open" in answer.text
    assert len(rows(folder)) == 1


def test_the_week_says_what_it_holds_and_what_was_written_down(local, folder):
    page = local.get(WEEK).text
    assert "2 sittings with 1 probe and 1 teaching" in page
    assert "with counts, or not run" in page
    local.post("/record/add", taps(page)[0])
    page = local.get(WEEK).text
    # and on paper, where what is to be pressed is hidden
    (line,) = re.findall(r'<p class="(\w+)">[^\n]*Written down: taught</p>', page)
    assert line == "written"


def test_each_lesson_has_a_tap_of_its_own(local):
    """Two taps on one page, as after going back, are two forms and not one sent twice."""
    one, other = local.get(WEEK).text, local.get(DAY).text
    words = [f["once"][0] for page in (one, other) for f in taps(page)]
    assert len(set(words)) == 2
    assert all("/record/row?" in html.unescape(w) for w in words)


def test_one_of_two_lessons_of_a_day_is_written_down_for_itself(folder):
    """Both are in the same combination; what is known of one is not shown of the other."""
    case = open_case(folder, SUNDAY).case
    kept = read_kept(folder, TOLD_WEEK, case)
    first = kept.sittings[0]
    second = replace(first, id="later", start=first.start.replace(hour=17), end=first.end.replace(hour=17))
    row = Result(
        line=2,
        date=second.start.date(),
        time=second.start.time(),
        target="puts-on",
        kind=ResultKind.TEACHING,
        combination=second.probes[0].combination,
    )
    (day,) = days(case, Log.of([row]), (first, second), second.start)
    assert [s.probes[0].done for s in day.sittings] == ["", "taught"]


def test_the_form_of_a_lesson_needs_no_count(local, folder):
    page = local.get(DAY).text
    address = next(
        p for p in html.unescape(page).split('href="') if p.startswith("/record/row") and "kind=teaching" in p
    )
    page = local.get(address.split('"')[0]).text
    assert "Correct without help, of 5, if it was counted" in page
    assert "Nothing has to be met." in page
    assert "does not count as correct" not in page
    assert (
        "The case does not say how. Ask the practitioner in charge, or whoever else advises you, before"
        in page
    )
    assert "If L. says no, walks away or is distressed, stop." in page
    fields = form_fields(page)
    assert fields["correct"] == [""]
    assert (
        local.post("/record/add", fields | {"correct": ["3"], "prompted": ["1"], "note": ["sang"]}).status
        == 303
    )
    assert rows(folder) == ["2026-12-01,16:00,puts-on,teaching,mum,home,hats,5,3,1,,,sang"]
    assert "Written down: taught, 3 of 5 correct" in local.get(WEEK).text


def test_how_it_is_taught_stands_on_the_form_as_it_was_written(local, folder):
    text = (folder / "case.yaml").read_text("utf-8")
    how = 'how_taught: "One <b> boot first.\\nThen wait."'
    (folder / "case.yaml").write_text(text.replace("cover: all}", f"cover: all, {how}}}"), "utf-8")
    page = local.get("/record/row?target=puts-on&kind=teaching").text
    assert "<bdi>One &lt;b&gt; boot first.</bdi><br><bdi>Then wait.</bdi>" in page
    assert "boot first" not in local.get("/record/row?target=puts-on&kind=probe").text


def test_a_lesson_that_was_not_held_is_written_down_with_its_reason(local, folder):
    (fields,) = taps(local.get(DAY).text)
    more = {"kind": ["not run"], "note": ["She said no"]}
    assert local.post("/record/add", fields | more).status == 303
    assert rows(folder) == ["2026-12-01,16:00,puts-on,not run,mum,home,hats,,,,,,She said no"]
    assert "Written down: not run" in local.get(WEEK).text


def test_a_lesson_that_is_still_ahead_has_no_tap(local, folder):
    """An old page, or the form, asks first; that it will not be held may be known before."""
    fields = taps(local.get(WEEK).text)[0]
    local.site.now = local.site.now.replace(hour=15)
    for page in (WEEK, DAY):
        assert taps(local.get(page).text) == []
    assert "Still ahead. Will it not be run?" in local.get(WEEK).text
    answer = local.post("/record/add", fields)
    assert answer.status == 409
    assert (
        "This is still ahead: 1 December 2026, 16:00, Puts it on, Mum, Home, Three hats: teaching."
        in answer.text
    )
    assert not (folder / "results.csv").exists()
    not_run = fields | {"kind": ["not run"], "note": ["ill"]}
    asked = local.post("/record/add", not_run)
    assert asked.status == 409
    assert "It is not over yet: 1 December 2026, 16:00, Puts it on" in asked.text
    assert not (folder / "results.csv").exists()
    ticks = re.findall(r'name="sure" value="(\w+)"', asked.text)
    assert local.post("/record/add", not_run | {"sure": ticks}).status == 303
    assert "not run" in rows(folder)[0]


def test_where_a_mark_is_asked_for_a_lesson_is_counted(local, folder):
    """A tap without counts would write down a teaching that counts for nothing."""
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace("cover: all}", "cover: all, taught_when: 4/5}"), "utf-8")
    for page in (WEEK, DAY):
        assert taps(local.get(page).text) == []
    page = local.get("/record/row?target=puts-on&kind=teaching").text
    assert "4 of 5 for it to count as a teaching; without a count it does not." in page
    assert "Nothing has to be met." not in page
    address = next(
        p for p in html.unescape(local.get(WEEK).text).split('href="') if "kind=teaching" in p.split('"')[0]
    )
    fields = form_fields(local.get(address.split('"')[0]).text)
    answer = local.post("/record/add", fields)
    said = "It does not count as teaching: 4 of 5 correct without help are asked for, and it has no count."
    assert said in local.get(answer.headers["location"]).text


def test_the_matrix_screen_tells_a_lesson_from_a_probe(local):
    local.site.now = local.site.now.replace(month=11, day=29, hour=12)
    page = local.get("/matrix?now").text
    assert "to teach" not in page  # the present week is the one before
    local.site.now = local.site.now.replace(month=12, day=1, hour=9)
    page = local.get("/matrix").text
    assert "to teach Tue 16:00" in page
    assert "planned Tue 17:00" in page
    assert "a teaching in this combination, no probe, is in the plan of this week" in page
