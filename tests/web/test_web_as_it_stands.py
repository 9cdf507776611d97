"""The page after a change: what can no longer be held is marked, another place is one tap away, a change is tried."""

from __future__ import annotations

import re
from datetime import datetime

import pytest

from genplan import workflow
from genplan.workflow import ChangeRequest
from tests.fixtures.local_server import running
from tests.fixtures.small_case import WEDNESDAY, silent

ILL = {"what": "away", "id-away": "gran", "first": "2026-12-02", "last": "2026-12-04"}


@pytest.fixture
def folder(case):
    return case


@pytest.fixture
def local(folder):
    with running(folder) as local:
        local.site.now = WEDNESDAY
        yield local


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def test_a_change_leads_to_the_week_with_what_can_no_longer_be_held_and_how_to_go_on(local):
    assert "can no longer be held" not in local.get("/week/2026-W49").text
    answer = local.post("/change", ILL | {"once": "c"})
    place = answer.headers["location"]
    assert (answer.status, place.partition("?")[0]) == (303, "/week/2026-W49")
    page = local.get(place).text
    assert "Written down: Gran is away, Wednesday 2 December to Friday 4 December." in words(page)
    top = page[: page.index('<div class="day')]
    assert "can no longer be held." in words(top)
    assert re.search(
        r'<form method="post" action="/plan/2026-W49/start">\s*<input[^>]*>\s*<p class="sides">', top
    )
    assert "Plan the rest of this week" in top
    # a sign and words on each of them, and on no other
    marks = re.findall(r'class="sitting n\d( gone| partly)?"', page)
    gone = {s.sitting.id for s in workflow.told_week(local.site.folder, None, WEDNESDAY).otherwise}
    assert marks.count(" gone") == len(gone) == page.count("✗ </span><strong>Can no longer be held")
    assert words(page).count("Gran is not free then") == len(gone)
    # 'Plan' leads to this week and not to the next one, until it holds again
    assert "Plan week 49" in local.get("/plan").text
    (local.site.folder / "changes.yaml").unlink()
    assert "Plan week 50" in local.get("/plan").text


def test_another_place_is_looked_for_and_taken_with_one_tap(local, folder):
    assert ">Another time or adult?</a>" in local.get("/week/2026-W49").text
    local.post("/change", ILL | {"once": "c"})
    page = local.get("/week/2026-W49").text
    asked = re.findall(r'href="(/week/2026-W49/alternatives/[^"]*)">(Who could stand in|Another time)', page)
    address = next(a for a, word in asked if word == "Who could stand in")
    offered = local.get(address)
    assert offered.status == 200
    assert "To be told: Gran, Mum and the family of L." in words(offered.text)
    places = re.findall(r'name="place" value="([^"]*)"', offered.text)
    assert places
    refused = local.post(address, {"place": "gran home 5000", "once": "a"})
    assert (refused.status, "not offered any more" in refused.text) == (422, True)
    taken = local.post(address, {"place": places[0], "once": "b"})
    assert (taken.status, taken.headers["location"].partition("?")[0]) == (303, "/plan/2026-W49")
    written = (folder / "changes.yaml").read_text("utf-8")
    again = local.post(address, {"place": places[0], "once": "b"})
    assert "a second tap adds nothing" in local.get(again.headers["location"]).text
    assert (folder / "changes.yaml").read_text("utf-8") == written
    assert workflow.open_case(folder, WEDNESDAY).case.wishes


def test_a_sitting_that_nobody_was_told_of_has_no_such_page(local):
    for address in ("/week/2026-W49/alternatives/2026-W49-tue-mum-3fa", "/week/2026-W50/alternatives/x"):
        assert local.get(address).status == 404


def test_a_change_is_tried_on_the_page(local, folder):
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    answer = local.post("/change/try", ILL)
    text = words(answer.text)
    assert answer.status == 200
    assert "Nothing was written" in text
    assert "Can no longer be held: Gran is not free then." in text
    assert "To be told: Gran" in text
    assert 'value="2026-12-04"' in answer.text  # what was typed stays
    assert before == {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    wrong = local.post("/change/try", ILL | {"id-away": ""})
    assert (wrong.status, "Nothing was written" in wrong.text) == (422, True)


def test_a_case_that_cannot_say_what_is_held_still_shows_the_week(local, folder):
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(
        text.replace("gran: {name: Gran,", "gran: {name: Gran, busy: busy/gran.ics,"), "utf-8"
    )
    (folder / "busy").mkdir()
    (folder / "busy" / "gran.ics").write_text("no calendar", "utf-8")
    page = local.get("/week/2026-W49")
    assert page.status == 200
    assert "Whether all of it can still be held cannot be told" in page.text


def test_results_that_cannot_be_read_still_show_the_week_and_what_the_case_calls_off(local, folder):
    local.post("/change", ILL | {"once": "c"})
    as_read = re.findall(r'class="sitting n\d( gone| partly)?"', local.get("/week/2026-W49").text)
    assert " gone" in as_read
    head = "date,time,target,kind,adult,location,material_set,trials,correct\n"
    (folder / "results.csv").write_text(f"{head}yesterday,,puts-on,probe,mum,home,boots,5,5\n", "utf-8")
    page = local.get("/week/2026-W49")
    assert page.status == 200
    told = words(page.text)
    assert "yesterday, Puts it on, with Mum: Date: found" in told
    assert "results.csv" not in told
    assert "'yesterday'" in told.replace("&#39;", "'")
    assert re.findall(r'class="sitting n\d( gone| partly)?"', page.text) == as_read
    assert "/alternatives/" not in page.text
    calendar = local.get("/week/2026-W49/files/calendars/adult-gran.ics")
    assert calendar.status == 200


def test_each_person_has_a_text_to_send_on_the_page(local, folder):
    workflow.change(folder, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    workflow.replan(folder, None, WEDNESDAY, None, True, silent)
    page = local.get("/week/2026-W49").text
    for name in ("adult-gran", "learner-lark"):
        file = local.get(f"/week/2026-W49/files/changes/{name}.txt")
        assert (file.status, file.headers["content-type"]) == (200, "text/plain; charset=utf-8")
        assert f"changes/{name}.txt" in page
    assert "What changes for each person, ready to send" in page
    # what changes comes first, also for her who has no sitting left; the whole week is folded
    said = words(page)
    sent = said.index("What to send to each")
    (changed, whole) = (said.index(x, sent) for x in ("What changes for Gran", "The whole week once more"))
    assert changed < said.index("What changes for the family of L.", sent) < whole
    assert re.search(r"<details>\s*<summary>The whole week once more", page)
    assert "Hello Mum," not in said[sent:whole]
    # as few people as can be are told something: nothing changes for Mum
    assert local.get("/week/2026-W49/files/changes/adult-mum.txt").status == 404
    assert "changes/adult-mum.txt" not in page


def test_a_day_with_nothing_left_leads_to_what_was_not_written_down_before(local):
    held = workflow.told_week(local.site.folder, None, WEDNESDAY).sittings
    begun = [s.sitting for s in held if s.begun]
    assert begun
    page = local.get("/record?day=2026-12-06").text
    for day in {s.start.date() for s in begun}:
        number = sum(len(s.probes) for s in begun if s.start.date() == day)
        assert re.search(rf'href="/record\?day={day}">[^<]*</a>: {number} thing', page)
    # from a day that has things left itself too, but not to this day
    day = begun[0].start.date()
    page = local.get(f"/record?day={day}").text.partition("Not written down yet")[2]
    others = {s.start.date() for s in begun} - {day}
    assert set(re.findall(r'href="/record\?day=([-0-9]+)"', page)) == {str(d) for d in others}


def test_what_was_not_written_down_is_offered_across_the_border_of_the_week(local):
    held = workflow.told_week(local.site.folder, None, WEDNESDAY).sittings
    first = min(s.sitting.start.date() for s in held if s.begun)
    local.site.now = datetime(2026, 12, 7, 9)
    today = local.get("/").text.partition("Not written down yet")[2]
    assert re.search(rf'href="/record/row\?[^"]*date={first}', today)
    assert f'href="/record?day={first}"' in local.get("/record").text


def test_no_other_time_is_offered_for_what_was_run_and_written_down(local, folder):
    held = workflow.told_week(folder, None, WEDNESDAY).sittings
    sitting = next(s.sitting for s in held if not s.begun)
    local.site.now = now = sitting.end.replace(tzinfo=None)
    address = f'href="/week/2026-W49/alternatives/{sitting.id}"'
    assert address in local.get("/week/2026-W49").text
    for p in sitting.probes:
        adult, place, materials = p.combination[:3]
        entry = workflow.RecordRequest(
            p.target, adult, place, materials, kind="probe" if p.kind.is_probe else "teaching",
            date=sitting.start.date(), time=sitting.start.time(), correct=p.trials,
        )  # fmt: skip
        workflow.record(folder, entry, now)
    assert address not in local.get("/week/2026-W49").text


def test_a_told_week_counts_what_was_not_run_apart(local, folder):
    held = workflow.told_week(folder, None, WEDNESDAY).sittings
    sitting = next(s.sitting for s in held if s.begun)
    probe = sitting.probes[0]
    whole = sum(len(s.sitting.probes) for s in held)
    adult, place, materials = probe.combination[:3]
    asked = workflow.RecordRequest(
        probe.target, adult, place, materials, kind="not run", date=sitting.start.date(), note="tired"
    )
    workflow.record(folder, asked, WEDNESDAY)
    assert f"{whole - 1} probes; 1 more was not run" in words(local.get("/week/2026-W49").text)


def _save(local, **said):
    fields = local.form("/case/material_sets/hats")
    saved = local.post("/case/material_sets/hats", fields | said)
    assert saved.status == 303
    return local.get(saved.headers["location"]).text


def _hats(html):
    """The sittings of the week with the hats in them, and those without."""
    found = [words(part.partition("</article>")[0]) for part in html.split('<article class="sitting')[1:]]
    ahead = [one for one in found if "Still ahead" in one]
    return [one for one in ahead if "Three hats" in one], [one for one in ahead if "Three hats" not in one]


def test_a_thing_that_was_found_dangerous_is_not_brought_and_nobody_is_looked_for(local):
    with_hats, without = _hats(local.get("/week/2026-W49").text)
    assert with_hats
    assert all("Another time or adult?" in one for one in with_hats + without)
    _save(local, hazards=["button-cell"])
    with_hats, without = _hats(local.get("/week/2026-W49").text)
    for one in with_hats:
        assert "holds a button cell that a child can get at" in one
        assert "'Three hats': a button cell that a child can get at." in one.replace("&#39;", "'")
        assert "Not known whether" not in one
        assert "Who could stand in?" not in one
        assert "Another time or adult?" not in one
    assert all("Another time or adult?" in one for one in without)
    today = words(local.get("/").text)
    fallen = [part for part in today.split("Bring")[1:] if part.startswith(" Three hats")]
    assert "can no longer be held" in today
    assert not fallen
    assert "Find another place" not in today


def test_a_balloon_that_was_ticked_since_says_what_it_can_do_at_each_visit(local):
    choke = "uninflated or burst it can choke"
    assert choke not in local.get("/week/2026-W49").text
    _save(local, hazards=["balloon"])
    with_hats, without = _hats(local.get("/week/2026-W49").text)
    assert with_hats
    assert all(choke in one and "Another time or adult?" in one for one in with_hats)
    assert not any(choke in one for one in without)


def test_the_form_asks_what_the_name_of_a_thing_leaves_open(local):
    assert "By its name" not in local.get("/case/material_sets/hats").text
    page = words(_save(local, name=["Marbles and a fridge magnet"]))
    assert "By its name it may have pieces small enough to be swallowed." in page
    assert "By its name it may hold a magnet that a child can get at." in page
    assert "Until then it is planned for nobody." in page
    assert "By its name" not in words(_save(local, small_parts=["no"], free_of=["magnet"]))


def test_a_text_of_what_changes_says_the_last_state_alone(local, folder):
    """Told anew on Wednesday, then one of the new sittings is called off; what is past is called off nowhere."""
    workflow.change(folder, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    workflow.replan(folder, None, WEDNESDAY, None, True, silent)
    workflow.replan(folder, None, WEDNESDAY, None, True, silent)
    added = next(
        s.sitting
        for s in workflow.told_week(folder, None, WEDNESDAY).sittings
        if s.sitting.adult == "mum" and not s.begun
    )
    day = f"{added.start:%A} {added.start.day} December"
    there = local.get("/week/2026-W49/files/changes/adult-mum.txt").text
    assert f"- New: {day}" in there
    workflow.change(folder, ChangeRequest("away", "mum", end=datetime(2026, 12, 5)), WEDNESDAY)
    text = local.get("/week/2026-W49/files/changes/adult-mum.txt").text
    assert f"- Cancelled: {day}" in text
    assert f"New: {day}" not in text


def test_a_page_in_another_language_says_in_which_what_is_sent_is(local):
    assert "Alles, was verschickt wird" in local.get("/week/2026-W49", **{"Accept-Language": "de"}).text
    assert "All that is sent is in the language" not in local.get("/week/2026-W49").text


def test_a_place_for_what_has_begun_is_taken_once_it_is_said_that_it_was_not_held(local, folder):
    held = workflow.told_week(folder, None, WEDNESDAY).sittings
    sitting = next(s.sitting for s in held if not s.begun)
    local.site.now = sitting.start.replace(tzinfo=None, minute=sitting.start.minute + 1)
    address = f"/week/2026-W49/alternatives/{sitting.id}"
    page = local.get(address).text
    assert 'class="offer"' in page
    assert f'action="{address}"' not in page
    (first,) = re.findall(r'href="(/record/fell-through[^"]*)">It was not held<', page)
    assert 'action="/record/fell-through"' in local.get(first).text
    workflow.fell_through(folder, sitting.id, "no time", local.site.now)
    assert f'href="{address}"' in local.get("/week/2026-W49").text
    assert f'href="{address}"' in local.get(f"/record?day={sitting.start.date()}").text
    page = local.get(address).text
    assert "/record/fell-through" not in page
    place = re.search(r'name="place" value="([^"]*)"', page)[1]
    assert local.post(address, {"place": place, "once": "p"}).status == 303
