"""A search over the page: it survives a reload, can be stopped, and only what was looked at is kept."""

from __future__ import annotations

import base64
import gc
import json
import pickle
import re
import time
import warnings

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.web import long_jobs
from genplan.web.app_state import case_digest
from genplan.workflow.watching import Draft
from tests.fixtures.light_case import work_less
from tests.fixtures.local_server import NOW, running
from tests.fixtures.small_case import silent
from tests.fixtures.start_answers import answered
from tests.fixtures.starter_case import write_starter
from tests.fixtures.web_search import (
    COLD,
    WEEK,
    failing,
    keep_form,
    plan,
    replace_search,
    waiting,
    while_running,
)

pytestmark = pytest.mark.usefixtures("warm_searches")


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "case")
    work_less(tmp_path / "case", 0.5)
    return tmp_path / "case"


def test_an_empty_week_is_said_to_be_one(tmp_path):
    """It can be kept all the same, and is not offered as a plan."""
    answers = answered(helpers=[{"name": "Dad", "hours": "sat 10-12"}])
    folder = tmp_path / "case"
    workflow.case_of_answers(folder, answers, NOW)
    with running(folder) as local:
        page = plan(local)
        assert "This week is empty, so there is nothing to tell anybody yet" in page
        assert "Keep this plan" not in page
        assert 'href="#left"' in page
        assert 'id="left"' in page
        assert local.post(f"{WEEK}/keep", keep_form(page)).status == 303


@pytest.fixture
def local(folder):
    with running(folder) as local:
        yield local


def test_a_week_is_planned_looked_at_kept_and_compared(local, folder):
    page = plan(local)
    assert local.get("/week").headers["location"] == "/week/2026-W49"
    today = local.get("/").text
    assert re.search('so it holds for nobody yet. <a href="[^"]*/plan/2026-W49">Look at the plan</a>', today)
    assert "No sitting is planned ahead" not in today
    assert "Nothing was kept for this week before" in page
    assert "Search further" not in page
    assert '<a href="/why?week=2026-W49&amp;target=' in page  # from what is left out
    assert "all named in plan.json" not in page
    assert local.get(f"{WEEK}/files/week.html").status == 200
    assert local.post(f"{WEEK}/keep", keep_form(page)).status == 303
    # a tab that is still open gets what the kept week has
    assert local.get(f"{WEEK}/files/week.html").headers["location"].startswith("/week/")
    assert local.get(f"{WEEK}/files/sheets.html").status == 200
    assert local.get("/plan/2026-W52/files/week.html").status == 404
    assert (folder / "weeks" / "2026-W49" / "told.json").exists()
    assert "Write down" in local.get("/week/2026-W49").text
    assert local.get("/week").headers["location"] == "/week/2026-W49"
    assert "<h2>Next</h2>" in local.get("/").text
    page = plan(local)
    assert "Nothing: it is the week that they know." in page
    assert "What it costs" not in page
    assert "Search further" in page
    told = folder / "weeks" / "2026-W49" / "told.json"
    document = json.loads(told.read_text("utf-8"))
    told.write_text(json.dumps(document | {"sittings": document["sittings"][:-1]}), "utf-8")
    page = local.get(WEEK).text
    assert "What this plan costs, compared with the week that people know" in page
    assert "<li>Minutes more or fewer in the second plan than in the first: " in page


def test_the_real_planner_is_heard_while_it_searches(local, monkeypatch):
    monkeypatch.setattr(long_jobs, "_start", COLD)
    assert local.post(f"{WEEK}/start").status == 303
    heard = while_running(local, WEEK)
    assert any("new pairs" in line for line in heard), heard
    assert local.site.search.state == "done"


def test_a_plan_that_was_taken_into_use_is_so_in_a_second_window_too(local, folder):
    form = keep_form(plan(local))
    assert local.post(f"{WEEK}/keep", form).status == 303
    told = (folder / "weeks" / "2026-W49" / "told.json").read_bytes()
    again = local.post(f"{WEEK}/keep", form)
    assert (again.status, again.headers["location"].partition("?")[0]) == (303, "/week/2026-W49")
    assert "taken into use already" in local.get(again.headers["location"]).text
    assert (folder / "weeks" / "2026-W49" / "told.json").read_bytes() == told


def test_a_plan_that_is_not_the_latest_is_not_kept(local, folder):
    """It is the first of three, and of another case than the third."""
    old = keep_form(plan(local))
    changed = (folder / "case.yaml").read_text("utf-8") + "# mine\n"
    for name, text in (("case.yaml", changed), ("results.csv", HEADER + ROW)):
        found = plan(local)
        assert "have changed since" not in found
        assert "Keep this plan" in found
        (folder / name).write_text(text, "utf-8")
        outdated = local.get(WEEK).text
        assert "have changed since" in outdated
        assert "Keep this plan" not in outdated  # to plan it again is all there is to do
        assert "<button>Plan it again" in outdated
    answer = local.post(f"{WEEK}/keep", old)
    assert answer.status == 422
    assert "not the latest any more" in answer.text
    assert not (folder / "weeks" / "2026-W49" / "told.json").exists()


def test_a_search_goes_on_over_a_reload_and_is_alone(local, monkeypatch):
    replace_search(monkeypatch, waiting("searching"))
    assert local.post(f"{WEEK}/start").status == 303
    for _ in range(2):
        assert "Searching for the best week" in local.get(WEEK).text
    assert local.post("/plan/2026-W50/start").status == 422
    assert "busy with the week 2026-W49" in local.get("/plan/2026-W50").text
    deadline = time.monotonic() + 60
    while "searching" not in local.get(f"{WEEK}/state").text and time.monotonic() < deadline:
        time.sleep(0.05)
    assert local.get(f"{WEEK}/state").text == '{"state":"running","line":"searching","drafts":0}'
    assert local.post(f"{WEEK}/stop").status == 303
    assert local.get(f"{WEEK}/state").text == '{"state":"stopped","line":"searching","drafts":0}'
    assert "Keep this plan" not in local.get(WEEK).text


@pytest.fixture(scope="module")
def drafted(tmp_path_factory):
    """The sittings of a plan of the case."""
    folder = tmp_path_factory.mktemp("drafted") / "case"
    write_starter(folder)
    return workflow.plan(folder, Week(2026, 49), NOW, None, silent).plan.sittings


def drafting(sittings, worth):
    """A program that has a draft of such worth, and fails once it is asked for its best."""
    draft = pickle.dumps(Draft(Week(2026, 49), sittings, 5, 7, "pairs", worth))
    said = (
        {"progress": "sittings and ways: 9; 5 of at most 7 new pairs"},
        {"draft": base64.b64encode(draft).decode()},
        {"problem": "taken"},
    )
    first, second, third = (json.dumps(one) for one in said)
    return (
        f"import sys; print({first!r}); print({second!r}, flush=True); sys.stdin.buffer.read(1); "
        f"print({third!r}, flush=True); sys.exit(4)"
    )


def test_a_draft_is_seen_cannot_be_kept_and_is_taken_by_a_button(local, drafted, monkeypatch):
    replace_search(monkeypatch, drafting(drafted, (9, 9, 9, 9)))
    assert local.get(f"{WEEK}/so-far").text.strip() == ""
    assert local.post(f"{WEEK}/start").status == 303
    deadline = time.monotonic() + 60
    while '"drafts":0' in local.get(f"{WEEK}/state").text and time.monotonic() < deadline:
        time.sleep(0.05)
    page, part = local.get(WEEK).text, local.get(f"{WEEK}/so-far").text
    for text in (page, part):
        assert "draft: " in text
        assert "It is no plan yet, and nobody is told of it." in text
        assert "Take the best week now" in text
        assert 'class="sitting' in text
    assert "<html" not in part
    assert "Keep this plan" not in page
    assert local.site.draft(Week(2026, 49)) is None
    assert local.post(f"{WEEK}/keep", {"plan": local.site.search.word}).status == 422
    assert [p.name for p in local.site.search.task.out.parent.iterdir()] == []  # no file of it anywhere
    assert "Stop</button>" in page
    monkeypatch.setattr(local.site.search, "taken", True)
    page = local.get(WEEK).text
    assert "Making the best week ready" in page
    assert "The search is over. The best week that it found is being made ready" in page
    assert "Stop</button>" not in page
    assert "Take the best week now" not in page
    assert local.post(f"{WEEK}/take").status == 303
    local.site.search.wait(60)
    assert local.site.search.state == "failed"
    assert local.site.search.problems == ("taken",)
    assert local.get(f"{WEEK}/so-far").text.strip() == ""


def test_a_draft_is_offered_beside_a_plan_only_if_it_shows_more(local, drafted, monkeypatch):
    assert "Keep this plan" in plan(local)
    for worth, offered in (((0, 0, 0, 1), False), ((9, 9, 9, 9), True)):
        with monkeypatch.context() as patch:
            replace_search(patch, drafting(drafted, worth))
            assert local.post(f"{WEEK}/start").status == 303
        deadline = time.monotonic() + 60
        while '"drafts":0' in local.get(f"{WEEK}/state").text and time.monotonic() < deadline:
            time.sleep(0.05)
        page = local.get(WEEK).text
        assert "Keep this plan" in page
        assert ("Take the best week now" in page) is offered
        assert ("stands below, and shows as much or more" in page) is not offered
        assert local.post(f"{WEEK}/stop").status == 303


def test_what_was_found_stays_when_the_next_search_begins_before_anybody_looked(local):
    for week in ("2026-W49", "2026-W50"):
        assert local.post(f"/plan/{week}/start").status == 303
        local.site.search.wait(120)
    assert "Keep this plan" in local.get("/plan/2026-W49").text
    assert "Keep this plan" in local.get("/plan/2026-W50").text


def test_a_search_that_fails_says_why(local, monkeypatch):
    replace_search(monkeypatch, failing("The solver was <b>killed</b>."))
    assert local.post(f"{WEEK}/start").status == 303
    local.site.search.wait(120)
    page = local.get(WEEK).text
    assert "No plan was found." in page
    assert "The solver was &lt;b&gt;killed&lt;/b&gt;." in page
    assert "Plan the week of Monday 30 November" in page


def test_a_search_that_was_killed_says_so(local, monkeypatch):
    replace_search(monkeypatch, "import os, signal; os.kill(os.getpid(), signal.SIGTERM)")
    assert local.post(f"{WEEK}/start").status == 303
    local.site.search.wait(120)
    page = local.get(WEEK).text
    assert "No plan was found." in page
    assert "it was killed, or the machine ran out of memory" in page


@pytest.mark.parametrize("program", ["pass", "import time; time.sleep(60)"])
def test_a_search_leaves_no_pipe_open(local, monkeypatch, program):
    replace_search(monkeypatch, program)
    with warnings.catch_warnings(record=True) as found:
        warnings.simplefilter("always")
        search = long_jobs.Search(
            long_jobs.planning(local.site.folder, Week(2026, 49), 1, None, local.site.scratch), ""
        )
        if program != "pass":
            search.stop()
        search.wait(60)
        assert search.state in ("done", "stopped")
        del search
        gc.collect()
    assert [str(w.message) for w in found if w.category is ResourceWarning] == []


def test_a_search_s_pipes_are_held_until_it_has_ended(local, monkeypatch, tmp_path):
    """The end of what it says is not its end: it may be told by their closing that its page is gone."""
    go = tmp_path / "go"
    wait = f"import os, time; os.close(1)\nwhile not os.path.exists({str(go)!r}): time.sleep(0.05)"
    replace_search(monkeypatch, wait)
    task = long_jobs.planning(local.site.folder, Week(2026, 49), 1, None, local.site.scratch)
    search = long_jobs.Search(task, "")
    search._reader.join(1)
    assert search._reader.is_alive()
    go.touch()
    search.wait(60)
    assert search.state == "done"


def test_a_week_that_is_over_is_not_planned(local):
    answer = local.post("/plan/2026-W47/start")
    assert answer.status == 422
    assert "is over" in answer.text
    assert "This week is over." in local.get("/plan/2026-W47").text


@pytest.mark.parametrize(
    "path", ["/plan/2026-W99", "/week/soon", "/record?day=x", "/review/page?from=x&to=y"]
)
def test_an_address_that_makes_no_sense_gets_a_sentence(local, path):
    answer = local.get(path)
    assert answer.status == 422
    assert "is not" in answer.text or "has no week" in answer.text


@pytest.mark.parametrize("path", ["/nowhere", "/case/things/x", "/case/adults/nobody", "/case/x/new"])
def test_what_is_not_there_is_said_so(local, path):
    assert local.get(path).status == 404


def test_an_empty_folder_gets_a_first_case(tmp_path):
    with running(tmp_path / "fresh") as local:
        assert "Make an example" in local.get("/").text
        assert local.post("/make-case").status == 303
        assert local.get("/case").status == 200
        assert local.post("/make-case").status == 409


def test_the_scratch_folder_goes_with_the_server(tmp_path):
    with running(tmp_path / "fresh") as local:
        scratch = local.site.scratch
        assert scratch.exists()
    assert not scratch.exists()


HEADER = "date,time,target,kind,adult,location,material_set,trials,correct\n"
ROW = "2026-11-28,,asks-for-help,probe,mum,home,two-cups,5,4\n"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("results.csv", HEADER + ROW),
        ("changes.yaml", "changes:\n  - {away: mum, from: 2026-12-02}\n"),
        ("busy/mum.ics", "BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"),
        ("weeks/2026-W49/told.json", "{}"),
    ],
)
def test_a_plan_is_outdated_once_anything_that_it_was_made_from_changes(folder, name, text):
    """Results among it: a plan that was found before a probe was written down would ask for it once more."""
    before = case_digest(folder)
    assert case_digest(folder) == before
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    there = case_digest(folder)
    assert there != before
    (folder / name).write_text(text + "\n", encoding="utf-8")
    assert case_digest(folder) not in (before, there)
