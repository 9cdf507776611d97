"""Why not, and what would help: asked over the page, followed, stopped, looked at; the case stays as it is."""

from __future__ import annotations

import pickle
import re
import time
from dataclasses import replace
from types import SimpleNamespace

import pytest

from genplan.case import Week
from genplan.planning.what_if import GAINED, More
from genplan.web import long_jobs
from genplan.web.app_state import case_digest
from tests.fixtures.browser import PHONE, Screen, browser, need_browser
from tests.fixtures.light_case import work_less
from tests.fixtures.local_server import NOW, form_fields, running
from tests.fixtures.starter_case import write_starter
from tests.fixtures.web_search import failing, replace_search, waiting, while_running

pytestmark = pytest.mark.usefixtures("warm_searches")

WEEK = "2026-W49"
FAILED = """\
date,target,kind,adult,location,material_set,correct,trials
2026-11-20,asks-for-help,probe,dad,home,two-cups,1,5
"""
WAITS = waiting("trying changes: 1 of 9")


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "case")
    return tmp_path / "case"


@pytest.fixture
def local(folder):
    with running(folder) as local:
        yield local


def files_of(folder):
    return {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def ask(local, about=""):
    assert local.post("/why/start", {"week": WEEK, "about": about}).status == 303
    local.site.search.wait(300)
    return local.get("/why").text


@pytest.fixture(scope="module")
def asked(tmp_path_factory):
    """A folder, what was in it before, what was said on the way, the answer about a target, the screen of it."""
    folder = tmp_path_factory.mktemp("asked") / "case"
    write_starter(folder)
    work_less(folder, 0.1)
    (folder / "results.csv").write_text(FAILED, "utf-8")
    before = files_of(folder)
    with running(folder) as local:
        assert local.post("/why/start", {"week": WEEK, "about": "target.asks-for-help"}).status == 303
        heard = while_running(local, "/why")
        page = local.get("/why").text
        return folder, before, heard, local.site.search.task.out.read_bytes(), page


@pytest.fixture(scope="module")
def answered(asked):
    """The folder, what was in it before, the answer, the screen of it."""
    folder, before, _, found, page = asked
    return folder, before, found, page


def shown(local, found, **asked):
    """A server that has just found this."""
    out = local.site.room_for("why") / "found"
    out.write_bytes(found)
    task = long_jobs.looking("why", local.site.folder, Week(2026, 49), NOW, out, asked, "", "/why")
    local.site.results["/why"] = SimpleNamespace(task=task, case_digest=case_digest(local.site.folder))


def test_of_a_target_everything_is_named_and_the_case_stays_as_it_is(answered):
    folder, before, _, page = answered
    assert "Left out of “<bdi>Asks for help</bdi>”, and why" in page
    assert "<dt><bdi>Aunt Bea + Home</bdi></dt><dd>" in page
    assert "What would help most" in page
    assert "small changes were looked at" in page
    assert form_fields(page)["about"] == ["target.asks-for-help"]
    assert "Ask again" in page
    assert files_of(folder) == before


def test_the_real_one_is_heard_on_the_way(asked):
    heard = asked[2]
    assert any("new pairs" in line for line in heard), heard
    assert any(line.startswith("trying ") for line in heard), heard


def test_dates_are_in_words(answered):
    page = answered[3]
    assert "<dd>Not met on 20 Nov 2026: it is taught this week and probed again once" in page
    assert re.findall(r">[^<]*\d{4}-\d\d-\d\d[^<]*<", page) == []


def test_what_more_people_told_would_bring_names_the_button_and_no_command(local, answered):
    view = pickle.loads(answered[2])
    anyway = More(more=tuple(2 * (name == "new tuples") for name in GAINED), learners=("robin",))
    why = replace(view.why, gains=replace(view.why.gains, anyway=anyway))
    shown(local, pickle.dumps(replace(view, why=why)), learner="robin", target=None)
    page = local.get("/why").text
    (button,) = re.findall(r"2 more pairs for R\.: '([^']*)' looks for it", page.replace("&#39;", "'"))
    assert button == "Search further"
    assert "genplan replan" not in page


def test_an_answer_goes_out_of_date(local, folder, answered):
    shown(local, answered[2], learner="robin", target="asks-for-help")
    assert "have changed since" not in local.get("/why").text
    (folder / "case.yaml").write_text((folder / "case.yaml").read_text("utf-8") + "# mine\n", "utf-8")
    assert "have changed since" in local.get("/why").text


def test_it_goes_on_over_a_reload_is_alone_and_can_be_stopped(local, monkeypatch):
    replace_search(monkeypatch, WAITS)
    assert local.post("/why/start", {"week": WEEK, "about": ""}).status == 303
    for _ in range(2):
        assert "Looking for reasons" in local.get("/why").text
    assert local.post(f"/plan/{WEEK}/start").status == 422
    assert local.post("/forecast/start", FORECAST).status == 422
    assert "busy with the reasons" in local.get(f"/plan/{WEEK}").text
    deadline = time.monotonic() + 60
    while "trying" not in local.get("/why/state").text and time.monotonic() < deadline:
        time.sleep(0.05)
    assert local.post("/why/stop").status == 303
    assert local.get("/why/state").text == '{"state":"stopped","line":"trying changes: 1 of 9","drafts":0}'
    assert "What would help most" not in local.get("/why").text


def test_one_that_fails_says_why(local, monkeypatch):
    replace_search(monkeypatch, failing("It was <b>killed</b>."))
    page = ask(local)
    assert "No answer was found." in page
    assert "It was &lt;b&gt;killed&lt;/b&gt;." in page


@pytest.mark.parametrize(
    "asked",
    [{"week": "2026-W47"}, {"week": ""}, {"about": "target.none"}, {"about": "learner.none"}, {"about": "x"}],
)
def test_a_question_that_makes_no_sense_is_not_asked(local, asked):
    assert local.post("/why/start", {"week": WEEK, "about": ""} | asked).status == 422
    assert local.site.search is None


@pytest.mark.parametrize(
    ("link", "week", "about"),
    [
        ("", WEEK, ""),
        ("?target=asks-for-help", WEEK, "target.asks-for-help"),
        ("?target=asks-for-help&week=2026-W50", "2026-W50", "target.asks-for-help"),
        ("?target=asks-for-help&week=2027-W20", "2027-W20", "target.asks-for-help"),
        ("?learner=robin", WEEK, ""),  # the one child there is
        ("?target=none", WEEK, ""),
    ],
)
def test_a_link_chooses_week_and_target(local, link, week, about):
    fields = form_fields(local.get(f"/why{link}").text)
    assert (fields["week"], fields["about"]) == ([week], [about])


@pytest.mark.parametrize(
    "place", ["/plan/2026-W50", "/forecast?week=2026-W50", "/term?week=2026-W50", "/why?week=2026-W50"]
)
def test_the_week_that_is_looked_at_stays_the_one_that_is_asked_about(local, place):
    page = local.get(place).text
    links = re.findall(
        r'<a href="(/(?:plan|forecast|term|why)[^"]*)"',
        page.partition('aria-label="About the weeks ahead"')[2],
    )
    assert links[:4] == [
        *("/plan/2026-W50", "/forecast?week=2026-W50", "/term?week=2026-W50", "/why?week=2026-W50")
    ]
    assert form_fields(local.get("/forecast?week=2026-W50").text)["first"] == ["2026-W50"]


def test_the_matrix_leads_there(local):
    assert '<a href="/why?target=asks-for-help">' in local.get("/matrix").text


FORECAST = {"weeks": "3", "taught_within": "1", "first": "2026-W50", "learner": "robin", "seed": "7"}


def test_a_forecast_is_asked_from_a_week_of_a_learner_with_a_draw(local, monkeypatch):
    replace_search(monkeypatch, "pass")
    assert local.post("/forecast/start", FORECAST).status == 303
    asked = dict(local.site.search.task.asked)
    assert asked.pop("now") == "2026-11-29T12:00:00"
    assert asked == {"week": "2026-W50", "weeks": 3, "taught_within": 1, "learner": "robin", "seed": 7}
    local.site.search.wait(60)


@pytest.mark.parametrize("asked", [{"first": "2026-W40"}, {"first": "x"}, {"learner": "x"}, {"seed": "-1"}])
def test_a_forecast_of_what_is_not_there_is_not_made(local, asked):
    assert local.post("/forecast/start", FORECAST | asked).status == 422
    assert local.site.search is None


def test_the_table_of_the_matrix_is_of_everything_or_of_one(local):
    whole = local.get("/matrix.csv").text.splitlines()
    one = local.get("/matrix.csv?target=asks-for-help")
    assert one.headers["content-disposition"] == 'attachment; filename="matrix-asks-for-help.csv"'
    rows = one.text.splitlines()
    assert [whole[0], *(r for r in whole if ",asks-for-help," in r)] == rows
    assert 1 < len(rows) < len(whole)
    assert local.get("/matrix.csv?learner=robin").text.splitlines() == whole
    assert local.get("/matrix.csv?learner=nobody").status == 404


@pytest.mark.nightly  # by day its screen is one of `test_every_screen_of_an_example`
def test_it_is_read_on_a_phone(folder, answered):
    need_browser()

    of_target = answered[2]
    of_all = pickle.dumps(replace(pickle.loads(of_target), target=None))  # the starter has one child
    with browser() as chromium, running(folder) as local:
        screen = Screen(chromium, local, PHONE)
        page = screen.page
        screen.go("/matrix")
        screen.follow(page.get_by_role("link", name="Why not, and what would help? Asks for help"), "/why")
        assert page.get_by_label("About", exact=True).input_value() == "target.asks-for-help"
        screen.checked("asking")
        for found, heading in ((of_target, "Left out of “Asks for help”"), (of_all, "Left out for R.")):
            shown(local, found, learner=None, target=None)
            screen.go("/why")
            page.get_by_role("heading", name=heading).wait_for()
            for summary in page.locator("summary").all():
                summary.tap()
            screen.checked(heading)
