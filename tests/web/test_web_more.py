"""What else the command line can do, on the page: filled sheets, several weeks, files in one, marks, the forecast."""

from __future__ import annotations

import io
import re
import zipfile
from html import unescape
from pathlib import Path
from types import SimpleNamespace

import pytest

import genplan.web.plan_files as plan_files
import genplan.web.publish as publish
import genplan.web.reviews as reviews
from genplan import workflow
from genplan.case import Week
from genplan.errors import FileError, UsageError
from genplan.web.long_jobs import Search, looking
from genplan.web.upload import plain_name
from tests.fixtures.light_case import work_less
from tests.fixtures.local_server import NOW, Local, form_fields, running
from tests.fixtures.starter_case import write_starter

pytestmark = pytest.mark.usefixtures("warm_searches")

HEAD = "date,target,kind,adult,location,material_set,correct,trials,note\n"
ROW = "2026-11-28,asks-for-help,probe,mum,home,two-cups,4,5,\n"
SHEET = (HEAD + ROW).encode()


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "case")
    return tmp_path / "case"


@pytest.fixture
def local(folder):
    with running(folder) as local:
        yield local


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A case with three weeks planned over the page, the first of them kept."""
    folder = tmp_path_factory.mktemp("kept") / "case"
    write_starter(folder)
    work_less(folder, 0.1)
    with running(folder) as local:
        assert local.post("/plan/2026-W49/start", {"weeks": "3"}).status == 303
        local.site.search.wait(300)
        page = local.get("/plan/2026-W49").text
        assert 'Planned together with it: <a href="/plan/2026-W50">2026-W50</a>, ' in page
        (fields,) = [f for n in range(page.count("<form")) if "plan" in (f := form_fields(page, n))]
        assert local.post("/plan/2026-W49/keep", fields).status == 303
        yield local


def test_a_filled_sheet_is_taken_once(local, folder):
    assert local.upload("/record/sheet", "filled.csv", SHEET, {"once": "a"}).status == 303
    again = local.upload("/record/sheet", "filled.csv", SHEET, {"once": "a"})
    assert "second tap" in local.get(again.headers["location"]).text
    known = local.upload("/record/sheet", "filled.csv", SHEET, {"once": "b"})
    page = local.get(known.headers["location"]).text
    assert "0 rows added" in page
    assert "Line 2 of filled.csv is in results.csv already, line 2." in page
    assert (folder / "results.csv").read_text("utf-8").count("asks-for-help") == 1


def test_a_sheet_with_errors_is_told_line_by_line_and_nothing_is_added(local, folder):
    before = (folder / "results.csv").read_bytes()
    wrong = (HEAD + ROW.replace(",4,5,", ",6,5,") + ROW.replace("mum", "mam")).encode()
    answer = local.upload("/record/sheet", "<b>a</b>.csv", wrong, {"once": "c"})
    assert answer.status == 422
    assert "b_.csv:2: correct: found 6 of 5 trials" in answer.text
    assert "mam" in answer.text
    assert "<b>" not in answer.text
    assert str(local.site.scratch) not in answer.text
    assert (folder / "results.csv").read_bytes() == before
    assert [p for p in local.site.scratch.iterdir() if p.name.startswith("sheet")] == []


@pytest.mark.parametrize(
    ("name", "data", "status", "words"),
    [
        ("a.csv", b"", 422, "an empty file"),
        ("a.xlsx", b"no spreadsheet at all", 409, "a.xlsx cannot be read as a spreadsheet"),
        ("a.csv", b"\xff\xfe\x00", 422, ""),
        ("", b"", 422, "No file was chosen"),
    ],
)
def test_what_is_no_sheet_gets_a_sentence(local, name, data, status, words):
    answer = local.upload("/record/sheet", name, data, {"once": name})
    assert answer.status == status, answer.text
    assert words in answer.text
    assert str(local.site.scratch) not in answer.text
    assert "fault of the program" not in answer.text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("plan.csv", "plan.csv"),
        ("../../case.yaml", "case.yaml"),
        ("C:\\Users\\me\\week 49.xlsx", "week 49.xlsx"),
        (".hidden", "hidden"),
        ("<i>\n.csv", "_i__.csv"),
        ("...", "sheet"),
        ("x" * 300 + ".csv", "x" * 76 + ".csv"),
    ],
)
def test_the_name_of_a_file_is_made_plain(typed, kept):
    assert plain_name(typed) == kept


def test_several_weeks_stand_on_each_other(kept):
    later = kept.get("/plan/2026-W50").text
    assert "The probes planned for 2026-W49 are counted as met." in later
    assert "Keep this plan" in later
    # the week that was kept is the one they were planned on, so they are not out of date
    assert "have changed since" not in later
    assert kept.get("/plan/2026-W51/files/week.html").status == 200
    assert kept.get("/plan/2026-W52/files/week.html").status == 404


@pytest.mark.parametrize("weeks", ["0", "27", "many", "-1"])
def test_so_many_weeks_are_not_planned(local, weeks):
    assert local.post("/plan/2026-W49/start", {"weeks": weeks}).status == 422
    assert local.site.search is None


def test_a_kept_week_has_its_sheets_and_says_so_when_planned_again(kept):
    page = kept.get("/week/2026-W49").text
    assert "Sheets to print and fill in" in page
    sheets = kept.get("/week/2026-W49/files/sheets.html")
    assert sheets.status == 200
    assert "When to stop" in sheets.text
    assert "Mum" in kept.get("/week/2026-W49/files/pages/adult-mum.html").text
    assert kept.get("/week/2026-W50/files/sheets.html").status == 404
    timetable = kept.get("/week/2026-W49/files/timetable.html").text
    assert "Week 49 by adult" in timetable
    for name, cells in (("timetable.csv", ",mum,home,runs,"), ("timetable-minutes.csv", "adult,mum,")):
        assert cells in kept.get(f"/week/2026-W49/files/{name}").text
    assert "<button>Plan week 49 again</button>" in kept.get("/plan/2026-W49").text  # it lies wholly ahead


@pytest.mark.parametrize("place", ["/plan/2026-W50", "/week/2026-W49"])
def test_all_files_in_one(kept, place):
    first, second = (kept.get(f"{place}/all.zip") for _ in range(2))
    assert (first.status, first.headers["content-type"]) == (200, "application/zip")
    assert first.body == second.body
    with zipfile.ZipFile(io.BytesIO(first.body)) as held:
        names = held.namelist()
        assert {"plan.csv", "sheets.html", "calendars/all.ics", "pages/adult-mum.html"} <= set(names)
        assert "told.json" not in names
        for name in names:
            assert kept.get(f"{place}/files/{name}").body == held.read(name)


def test_files_are_listed_by_kind_and_long_lists_are_folded(kept):
    page = kept.get("/week/2026-W49").text
    assert "Hello Mum," in page  # what to send, to be copied
    page = page[page.index("Files of the week") :]
    links = re.findall(r'href="/week/2026-W49/(?:files/)?([^"]*)"', page)
    assert links[0] == "all.zip"
    assert len(links) == len(set(links))
    folds = re.findall(r"<details( open)?>\s*<summary>(\w+)[^<]* <span class=\"soft\">\((\d+)\)</span>", page)
    pages, calendars = (sum(n.startswith(kind) for n in links) for kind in ("pages/", "calendars/"))
    messages = sum(n.startswith("messages/") for n in links)
    assert 1 <= messages <= 3  # adults who have a sitting
    assert pages == messages + 1  # and the child's, for the fridge
    assert calendars > 6
    assert folds == [
        (" open", "Pages", str(pages)),
        ("", "The", str(messages)),  # they stand above, to be copied
        ("", "Calendars", str(calendars)),
        (" open", "Tables", "3"),
    ]
    with zipfile.ZipFile(io.BytesIO(kept.get("/week/2026-W49/all.zip").body)) as held:
        assert set(links) - {"all.zip", "sheets.pdf"} == set(held.namelist())


def test_nothing_planned_has_no_files(local):
    for path in ("/plan/2026-W50/all.zip", "/week/2026-W50/all.zip", "/week/2026-W50/sheets.pdf"):
        assert local.get(path).status == 404


def test_the_sheets_as_a_pdf(kept, monkeypatch):
    def printed(page, pdf):
        assert "When to stop" in page.read_text("utf-8")
        pdf.write_bytes(b"%PDF-1.7")

    monkeypatch.setattr(plan_files, "print_to_pdf", printed)
    answer = kept.get("/week/2026-W49/sheets.pdf")
    assert (answer.body, answer.headers["content-type"]) == (b"%PDF-1.7", "application/pdf")
    assert [p for p in kept.site.scratch.iterdir() if p.name.startswith("pdf")] == []

    def none_here(page, pdf):
        raise FileError("No browser was found.")

    monkeypatch.setattr(plan_files, "print_to_pdf", none_here)
    answer = kept.get("/week/2026-W49/sheets.pdf")
    assert (answer.status, "No browser was found." in answer.text) == (409, True)
    monkeypatch.setattr(plan_files, "browsers", lambda: iter(()))
    assert "sheets.pdf" not in kept.get("/week/2026-W49").text


def test_a_review_as_page_by_name_and_as_files(local):
    span = "from=2026-10-01&to=2026-11-29"
    assert "review-robin.html" in local.get("/review").text  # the file's name tells what the page does not
    assert "Robin" not in local.get(f"/review/page?{span}&learner=robin").text
    assert "Robin" in local.get(f"/review/page?{span}&learner=robin&names=yes").text
    answer = local.get(f"/review/all.zip?{span}")
    with zipfile.ZipFile(io.BytesIO(answer.body)) as held:
        names = sorted(held.namelist())
    tables = [f"review-{name}.csv" for name in ("asked", "curve", "phases", "points", "rows", "targets")]
    assert names == sorted([*tables, "review-robin.html"])
    assert local.get("/review/all.zip?from=2026-11-29&to=2026-10-01").status == 422


def test_the_loads_of_the_last_weeks(local):
    assert "/loads" in local.get("/review").text
    page = local.get("/loads")
    assert (page.status, "The last 8 weeks" in page.text) == (200, True)
    assert "Robin" not in page.text
    assert "The last 2 weeks" in local.get("/loads?weeks=2").text
    assert [local.get(f"/loads?weeks={n}").status for n in ("0", "27", "x")] == [422] * 3


def test_a_review_as_pdf_where_a_browser_is(local, monkeypatch):
    seen = []
    monkeypatch.setattr(reviews, "pdf_of", lambda page, within: seen.append(page) or b"%PDF-1.4")
    answer = local.get("/review/page.pdf?from=2026-10-01&to=2026-11-29&learner=robin")
    assert (answer.status, answer.body) == (200, b"%PDF-1.4")
    assert b"What the team needs first" in seen[0]
    monkeypatch.setattr(reviews, "can_print", lambda: False)
    assert "page.pdf" not in local.get("/review").text


def test_what_a_mark_can_tell(local):
    page = local.get("/chance").text
    # 0.8^5 + 5 * 0.8^4 * 0.2 = 0.737: an 80 % learner meets 4 of 5
    assert '<th scope="row">80 %</th><td>74 %</td>' in page
    assert "One probe alone proves neither." in page
    ten = local.get("/chance?correct=9&of=10&trials=10").text
    assert "A probe of 10 trials, met with 9 correct." in ten


@pytest.mark.parametrize("asked", ["correct=6&of=5", "correct=0", "of=0", "trials=201", "correct=x"])
def test_a_mark_that_is_none_is_refused(local, asked):
    assert local.get(f"/chance?{asked}").status == 422


SECRET = "correct horse <b>"


@pytest.fixture
def published(monkeypatch):
    """What publishing was asked for."""
    seen, ticked = [], []

    def instead(folder, url, user, now, progress, password=None, **how):
        seen.append((url, user, password))
        ticked.append({name for name, said in how.items() if said})
        if url == "http://calendar.example/":
            raise UsageError("That would send the password in the open.")
        return workflow.Published(("Mum: 3 added.",), ())

    monkeypatch.setattr(workflow, "publish", instead)
    monkeypatch.setattr(publish, "find_spec", lambda name: object())
    return SimpleNamespace(asked=seen, ticked=ticked)


def test_calendars_are_published_and_the_password_is_never_shown(local, published):
    asked = {"url": "https://calendar.example/", "user": "team", "password": f" {SECRET} "}
    done = local.post("/publish", asked)
    assert published.asked == [("https://calendar.example/", "team", f" {SECRET} ")]
    page = local.get(done.headers["location"]).text
    assert "Mum: 3 added." in page
    refused = local.post("/publish", asked | {"url": "http://calendar.example/"})
    assert refused.status == 422
    assert "in the open" in refused.text
    assert 'value="team"' in refused.text
    for text in (page, refused.text, repr(local.site)):
        assert "correct horse" not in text
    assert local.post("/publish", asked | {"password": ""}).status == 303
    assert published.asked[-1][2] is None


def test_what_was_deleted_is_put_back_and_all_is_taken_off_where_that_is_asked_for(local, published):
    asked = {"url": "https://calendar.example/", "user": "team", "password": SECRET}
    for more in ({}, {"put_back": "yes"}, {"withdraw": "yes"}):
        assert local.post("/publish", asked | more).status == 303
    assert published.ticked == [set(), {"put_back"}, {"withdraw"}]
    page = local.get("/publish").text
    assert 'name="put_back"' in page
    assert 'name="withdraw"' in page


def test_without_the_library_publishing_is_hidden_with_a_word(local, monkeypatch):
    monkeypatch.setattr(publish, "find_spec", lambda name: None)
    page = local.get("/publish").text
    assert "pip install 'genplan[publish]'" in unescape(page)
    assert "password" not in page


def test_publishing_without_a_kept_week_says_so(local, monkeypatch):
    monkeypatch.setattr(publish, "find_spec", lambda name: object())
    answer = local.post("/publish", {"url": "https://calendar.example/", "user": "team", "password": "x"})
    assert (answer.status, "nothing to publish" in answer.text) == (422, True)


AHEAD = {"weeks": "3", "taught_within": "2", "first": "2026-W49", "learner": "", "seed": "1"}


def test_a_forecast_is_made_looked_at_and_goes_out_of_date(local, folder):
    assert local.get("/forecast/forecast.csv").status == 404
    assert local.post("/forecast/start", AHEAD).status == 303
    assert local.post("/plan/2026-W49/start").status == 422  # one long job at a time
    assert "busy with the forecast" in local.get("/plan/2026-W49").text
    assert "Looking ahead" in local.get("/forecast").text
    local.site.search.wait(300)
    page = local.get("/forecast").text
    assert "3 weeks, Monday 30 November (2026-W49)" in page
    assert "What this takes for granted" in page
    assert "taught in the first later weeks that have room for it" in page
    assert "300 courses are simulated (“Number of the draw” 1)" in page
    assert "--" not in re.sub(r"<[^>]*>", "", page)
    for label in ("Weeks of teaching", "Number of the draw"):
        assert f">{label}</label>" in page
    assert "have changed since" not in page
    table = local.get("/forecast/forecast.csv")
    assert (table.status, table.headers["content-type"]) == (200, "text/csv; charset=utf-8")
    (folder / "case.yaml").write_text((folder / "case.yaml").read_text("utf-8") + "# mine\n", "utf-8")
    assert "have changed since" in local.get("/forecast").text


def test_the_dates_of_the_weeks_are_looked_at(local):
    assert local.get("/term/term.csv").status == 404
    assert local.post("/term/start", {"weeks": "27", "first": "2026-W49"}).status == 422
    assert local.post("/term/start", {"weeks": "2", "first": "2026-W49"}).status == 303
    assert "Looking ahead" in local.get("/term").text
    local.site.search.wait(300)
    assert "Nothing to plan: no mastered target has a date." in local.get("/term").text
    table = local.get("/term/term.csv")
    assert (table.status, table.headers["content-type"]) == (200, "text/csv; charset=utf-8")


@pytest.mark.parametrize(
    "asked", [{"weeks": "0"}, {"weeks": "27"}, {"weeks": ""}, {"taught_within": "27"}, {"taught_within": ""}]
)
def test_a_forecast_that_makes_no_sense_is_not_made(local, asked):
    assert local.post("/forecast/start", AHEAD | asked).status == 422
    assert local.site.search is None


def test_a_look_that_fails_says_why_in_a_sentence(tmp_path):
    out = tmp_path / "found"
    more = {"weeks": 2, "taught_within": 2, "learner": None, "seed": 1}
    task = looking("forecast", tmp_path / "none", Week(2026, 49), NOW, out, more, "", "/forecast")
    search = Search(task, "")
    search.wait(60)
    assert search.state == "failed"
    (problem,) = search.problems
    assert "no such folder; expected a case folder" in problem
    assert not out.exists()


def test_two_windows_do_not_make_one_person_twice(local: Local, folder: Path) -> None:
    """The second is told, what was typed is kept, and nothing is written; two children may learn the same skill."""
    first, second = (local.form("/case/adults/new") | {"name": [name]} for name in ("Ann Lee", " ann  lee"))
    assert local.post("/case/adults/new", first).status == 303
    before = {file.name: file.read_bytes() for file in folder.glob("*.yaml")}
    refused = local.post("/case/adults/new", second)
    assert (refused.status, "There is an adult called Ann Lee already" in refused.text) == (422, True)
    assert 'value="ann  lee"' in refused.text or 'value="ann lee"' in refused.text
    assert {file.name: file.read_bytes() for file in folder.glob("*.yaml")} == before
    assert local.post("/case/adults/new", second | {"name": ["Ann Lee, the aunt"]}).status == 303
