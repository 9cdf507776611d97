"""Something to hand on, made over the page: byte for byte what the command line makes, and the case stays as it is."""

from __future__ import annotations

import io
import zipfile

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.web import app_state as sites
from tests.fixtures.light_case import work_less
from tests.fixtures.local_server import NOW, form_fields, running
from tests.fixtures.starter_case import write_starter

WEEK = Week(2026, 49)
ROWS = """\
date,target,kind,adult,location,material_set,correct,trials,note
2026-11-20,asks-for-help,probe,dad,home,two-cups,1,5,Qnote
"""


def silent(_):
    """No progress."""


def files_of(folder):
    return {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shared") / "case"
    write_starter(folder)
    (folder / "results.csv").write_text(ROWS, "utf-8")
    work_less(folder, 0.1)
    workflow.keep(folder, WEEK, None, NOW, silent)
    with running(folder) as local:
        yield local


@pytest.fixture
def local(tmp_path):
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local:
        yield local


def packed(answer):
    assert (answer.status, answer.headers["content-type"]) == (200, "application/zip")
    with zipfile.ZipFile(io.BytesIO(answer.body)) as held:
        return {name: held.read(name) for name in held.namelist()}


def made(local, path, fields=None):
    """The address of what was made, and its screen."""
    done = local.post(path, fields)
    assert done.status == 303, done.text
    return done.headers["location"], local.get(done.headers["location"]).text


def left_over(local):
    return [p for p in local.site.scratch.iterdir() if p.name.startswith("share")]


def test_one_adult_s_part_is_what_the_command_line_makes(kept, tmp_path):
    folder = kept.site.folder
    before = files_of(folder)
    fields = form_fields(kept.get("/share?adult=dad").text)
    assert fields["adult"] == ["dad"]
    address, page = made(kept, "/share/part", fields | {"adult": "mum"})
    assert "The part of Mum in 2026-W49: children by alias" in page
    workflow.share_part(folder, "mum", tmp_path / "typed.zip", NOW)
    saved = kept.get(f"{address}/all.zip")
    assert saved.body == (tmp_path / "typed.zip").read_bytes()
    assert saved.headers["content-disposition"] == 'attachment; filename="part-of-mum.zip"'
    files = packed(saved)
    assert set(files) == {f"{WEEK}/{name}" for name in ("week.html", "calendar.ics", "sheets.html")}
    for name, data in files.items():
        assert f'href="{address}/files/{name}"' in page
        assert kept.get(f"{address}/files/{name}").body == data
        assert b"Dad" not in data
    shown = kept.get(f"{address}/files/{WEEK}/week.html").headers
    assert shown["content-security-policy"].startswith("default-src 'none'; style-src 'unsafe-inline'")
    assert "attachment" in kept.get(f"{address}/files/{WEEK}/calendar.ics").headers["content-disposition"]
    assert files_of(folder) == before


def test_a_copy_for_asking_for_help_holds_no_word_of_the_case(kept, tmp_path):
    before = files_of(kept.site.folder)
    address, page = made(kept, "/share/copy")
    assert "Your week 2026-W49 is " in page
    saved = kept.get(f"{address}/all.zip")
    assert saved.headers["content-disposition"] == 'attachment; filename="copy-without-names.zip"'
    files = packed(saved)
    assert {"case.yaml", "ABOUT.txt", "results.csv"} < set(files)
    (week,) = (name for name in files if name.startswith("weeks/"))
    assert f'<a href="{address}/files/{week}">What was kept, in other words</a>' in page
    text = b"\n".join(files.values()).decode()
    assert [w for w in ("Robin", "robin", "Mum", "aunt", "asks-for-help", "Qnote", "2026") if w in text] == []
    about = kept.get(f"{address}/files/ABOUT.txt")
    assert about.headers["content-type"] == "text/plain; charset=utf-8"
    assert "roughly how old a child is" in about.text
    assert page.index("ABOUT.txt") < page.index("case.yaml")
    (tmp_path / "copy").mkdir()
    for name in ("case.yaml", "results.csv"):
        (tmp_path / "copy" / name).write_bytes(files[name])
    assert [f for f in workflow.check(tmp_path / "copy") if f.severity.value == "error"] == []
    assert files_of(kept.site.folder) == before


def test_two_copies_are_moved_by_secret_numbers_of_weeks(kept, monkeypatch):
    import secrets

    drawn = iter((0, -1))
    monkeypatch.setattr(secrets, "choice", lambda several: several[next(drawn)])
    cases = [packed(kept.get(f"{made(kept, '/share/copy')[0]}/all.zip"))["case.yaml"] for _ in range(2)]
    assert cases[0] != cases[1]


def test_without_a_kept_week_there_is_no_part_and_it_says_so(local):
    page = local.get("/share").text
    assert "No kept week is still ahead" in page
    assert 'action="/share/part"' not in page
    assert local.post("/share/part", {"adult": "mum"}).status == 422
    assert left_over(local) == []


@pytest.mark.parametrize("adult", ["", "mam", "../../x", "a/b", "\0", "x" * 500, 'm"um', "mum\r\nX-A: b"])
def test_a_part_of_nobody_is_not_made(kept, adult):
    before = left_over(kept)
    answer = kept.post("/share/part", {"adult": adult})
    assert answer.status == 422, answer.text
    assert "fault of the program" not in answer.text
    assert left_over(kept) == before


def test_a_case_with_errors_is_copied_and_has_no_parts(local):
    case = local.site.folder / "case.yaml"
    case.write_text(case.read_text("utf-8").replace("name: Mum", "nmae: Mum", 1), "utf-8")
    page = local.get("/share").text
    assert "so no part can be made" in page
    assert "without results, busy times and kept weeks" in page
    address, page = made(local, "/share/copy")
    assert "The case has errors, so its results" in page
    assert "What the check of the case says" in page
    assert set(packed(local.get(f"{address}/all.zip"))) == {"case.yaml", "ABOUT.txt"}
    assert 'href="/share"' in local.get("/check").text
    assert local.post("/share/part", {"adult": "mum"}).status == 422


def test_a_case_that_cannot_be_read_gets_a_sentence(local):
    (local.site.folder / "case.yaml").write_text("a: [", "utf-8")
    assert local.get("/share").status == 200
    answer = local.post("/share/copy")
    assert (answer.status, "case.yaml:" in answer.text) == (422, True)
    assert left_over(local) == []


@pytest.mark.parametrize(
    "name", ["../all.zip", "..%2Fall.zip", "case.yaml%00", "/etc/passwd", "weeks", "nothing.html", ""]
)
def test_nothing_but_its_own_files_is_shown(kept, name):
    address, _ = made(kept, "/share/copy")
    assert kept.get(f"{address}/files/{name}").status == 404


@pytest.mark.parametrize("path", ["part", "copy", "x", "x/all.zip", "x/files/case.yaml"])
def test_what_was_not_made_is_not_there(kept, path):
    assert kept.get(f"/share/{path}").status == 404


def test_the_oldest_gives_way(kept, monkeypatch):
    monkeypatch.setattr(sites, "MOST_HANDED", 2)
    first, second, third = (made(kept, "/share/part", {"adult": "mum"})[0] for _ in range(3))
    assert [kept.get(f"{a}/all.zip").status for a in (first, second, third)] == [404, 200, 200]
    assert len(left_over(kept)) == 2
