"""Every address and every form with what makes no sense: a sentence, never a fault of the program."""

from __future__ import annotations

import html
import re
from itertools import cycle, islice
from urllib.parse import quote, urlencode

import pytest

from genplan.web.app import CHANGES, PAGES
from tests.fixtures.local_server import running
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.starter_case import write_starter
from tests.fixtures.web_search import replace_search

ROWS = """\
date,target,kind,adult,location,material_set,correct,trials
2026-11-20,asks-for-help,probe,dad,home,two-cups,1,5
"""
ODD = [
    "0001-W01",
    "9999-W52",
    "9999-12-31",
    "2026-W49 ",
    "24:00",
    "",
    "-1",
    "9" * 30,
    "%00",
    "\0",
    "..",
    "x" * 900,
]
ODD += ["'\"<>", "\u202e", "all"]
GOOD = {
    "week": "2026-W49",
    "section": "adults",
    "id": "mum",
    "target": "asks-for-help",
    "line": "2",
    "sitting": "2026-W49-mon-mum-abc",
}
GOOD |= {"name": "week.html", "word": "x"}
QUERIES = {
    "/record": ["day", "learner"],
    "/record/choose": ["target", "day"],
    "/record/row": ["target", "date", "time", "trials", "kind", "observer", "with-adult", "with-location"],
    "/matrix": ["learner", "said"],
    "/matrix.csv": ["learner", "target"],
    "/loads": ["weeks"],
    "/review/page": ["from", "to", "learner", "names"],
    "/review/all.zip": ["from", "to"],
    "/forecast": ["week"],
    "/term": ["week"],
    "/why": ["week", "target", "learner"],
    "/chance": ["correct", "of", "trials"],
    "/share": ["adult"],
    "/change": ["what"],
    "/week": ["week"],
    "/week/2026-W49": ["by", "of"],
    "/plan": ["week"],
    "/history/asks-for-help": ["with-adult", "with-moon"],
}
QUERY_GOOD = {"from": "2026-11-01", "to": "2026-11-29", "learner": "robin", "target": "asks-for-help"}
FORMS = {
    "/record/add": "/record/row?target=asks-for-help&with-adult=mum&with-location=home&with-material_set=two-cups",
    "/change": "/change",
    "/case/general": "/case/general",
    "/case/adults/new": "/case/adults/new",
    "/case/adults/mum": "/case/adults/mum",
    "/case/learners/robin": "/case/learners/robin",
    "/case/locations/home": "/case/locations/home",
    "/case/material_sets/lunch-box": "/case/material_sets/lunch-box",
    "/case/targets/waits-for-turn": "/case/targets/waits-for-turn",
    "/forecast/start": "/forecast",
    "/term/start": "/term",
    "/why/start": "/why",
    "/history/asks-for-help/2": "/history/asks-for-help/2",
    "/share/part": "/share",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("odd") / "case"
    write_starter(folder)
    (folder / "results.csv").write_text(ROWS, "utf-8")
    return folder


@pytest.fixture(scope="module")
def local(folder):
    with running(folder) as local:
        yield local


def holds(answer, what):
    """What a user may be answered."""
    text = answer.text if "html" in answer.headers.get("content-type", "") else ""
    words = html.unescape(re.sub(r"<[^>]*>", "", re.sub(r"<style>.*?</style>", "", text, flags=re.DOTALL)))
    assert answer.status < 500, what
    assert "fault of the program" not in words, what
    assert not re.search(r"(?<![-\w])--[a-z]", words), what  # no flag of the command line
    if answer.status == 422:
        assert 'role="alert"' in text, what


def test_the_ends_of_the_calendar_get_a_sentence(local):
    for place in ("week", "plan"):
        for week in ("0001-W01", "9999-W52"):
            answer = local.get(f"/{place}/{week}")
            assert answer.status == 422
            assert re.search("years (from )?1900 to 2", answer.text)


def test_an_address_with_a_stroke_too_many_is_not_there(local):
    for path in ("/week/", "/case/adults/mum/", "//week"):
        answer = local.get(path)
        assert (answer.status, "There is no such page here." in answer.text) == (404, True)


@pytest.mark.parametrize("pattern", [p for p in PAGES if "{" in p])
def test_no_address_is_a_fault(local, pattern):
    for odd in ODD:
        for name in re.findall(r"{(\w+)", pattern):
            fill = {**GOOD, name: odd}
            path = re.sub(r"{(\w+)(:path)?}", lambda m, fill=fill: quote(fill[m[1]], safe=""), pattern)
            holds(local.get(path), path)


@pytest.mark.parametrize("path", by_day_the_first(list(QUERIES), 7))
def test_no_question_is_a_fault(local, path):
    for name in QUERIES[path]:
        for odd in ODD:
            asked = f"{path}?{urlencode({n: QUERY_GOOD[n] for n in QUERIES[path] if n in QUERY_GOOD} | {name: odd})}"
            holds(local.get(asked), asked)


@pytest.mark.parametrize("path", by_day_the_first(list(FORMS), 8))
def test_no_form_is_a_fault(local, folder, monkeypatch, path):
    """Each field with an odd value or two in their turn; the case is as before after each."""
    replace_search(monkeypatch, "raise SystemExit(1)")
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    odd = cycle(ODD)
    form = {"correct": ["3"], **local.form(FORMS[path])}
    fields = [n for n in form if n not in ("token", "once", "digest", "fields")]
    for name in fields:
        for value in islice(odd, 2 if len(fields) < 12 else 1):
            answer = local.post(path, {**form, name: [value], "once": [f"{path}{name}{value}"]})
            holds(answer, (path, name, value))
            if answer.status == 303:
                holds(local.get(answer.headers["location"]), (path, name, value))
                undo(folder, before)
            if local.site.search is not None:
                local.site.search.wait(60)


@pytest.mark.parametrize("pattern", [p for p in CHANGES if "{" in p])
def test_no_address_of_a_form_is_a_fault(local, folder, monkeypatch, pattern):
    replace_search(monkeypatch, "raise SystemExit(1)")
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.name[0] != "."}
    for odd in ODD:
        path = re.sub(r"{(\w+)(:path)?}", quote(odd, safe=""), pattern)
        holds(local.post(path, {"once": path}), path)
        if local.site.search is not None:
            local.site.search.wait(60)
    assert before == {p: p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.name[0] != "."}


def undo(folder, before):
    for path in folder.rglob("*"):
        if path.is_file() and path not in before:
            path.unlink()
    for path, data in before.items():
        path.write_bytes(data)
