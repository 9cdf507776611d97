"""A page that answers a form can be loaded again and come back to: nothing is sent twice, nothing typed is lost."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest
from starlette.routing import compile_path

from genplan.web.after_a_form import PAGES_TO_STAY_ON
from genplan.web.app import CHANGES, UPLOADS
from genplan.web.app_state import MOST_ANSWERS
from tests.fixtures.browser import DESK, Screen, browser, need_browser
from tests.fixtures.local_server import Local, form_fields, running
from tests.fixtures.phones import ROW
from tests.fixtures.starter_case import write_starter

REFUSED = {**ROW, "once": "a", "correct": "many", "note": "Wind, and a dog"}


@pytest.fixture
def local(tmp_path: Path) -> Iterator[Local]:
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as found:
        yield found


def sent(local: Local, fields: dict[str, str]) -> str:
    """Where the answer to a form stands, as the server says it."""
    way = f"/{local.site.way}"
    body = urlencode({"token": local.site.token, **fields}).encode()
    answer = local.ask("POST", f"{way}/record/add", body, Cookie=local.cookie)
    assert answer.status == 303
    return answer.headers["location"].removeprefix(way)


def test_what_was_refused_stands_at_an_address_of_its_own(local: Local) -> None:
    place = sent(local, REFUSED)
    assert place.startswith("/answer/")
    for _ in range(2):  # the second time it is loaded again
        page = local.get(place)
        assert page.status == 422
        assert "no number" in page.text
        assert "Wind, and a dog" in page.text
    assert not (local.site.folder / "results.csv").exists() or "many" not in (
        local.site.folder / "results.csv"
    ).read_text("utf-8")


def forms_of(page: str) -> list[tuple[str, dict[str, list[str]]]]:
    """Where each form of a page that is posted goes, as it is written there, and its fields."""
    tags = re.findall(r"<form[^>]*>", page)
    places = [re.search(r'\saction="([^"]*)"', tag) for tag in tags]
    return [
        (found[1] if found else "", form_fields(page, number))
        for number, (tag, found) in enumerate(zip(tags, places, strict=True))
        if 'method="post"' in tag
    ]


def test_a_refused_correction_is_sent_again(local: Local) -> None:
    local.post("/record/add", {**ROW, "once": "a", "correct": "4"})
    line = len((local.site.folder / "results.csv").read_text("utf-8").splitlines())
    ((place, fields),) = forms_of(local.get(f"/history/{ROW['target']}/{line}").text)
    refused = local.post(place, {**fields, "correct": "7", "note": "Wind"})
    assert refused.status == 422
    assert "Correct without help: found 7 of 5 trials; expected at most 5." in refused.text
    assert "the new row" not in refused.text
    ((place, fields),) = forms_of(refused.text)
    assert (fields["correct"], fields["note"]) == (["7"], ["Wind"])
    assert local.post(place, {**fields, "correct": "3"}).status == 303
    assert "Wind" in (local.site.folder / "results.csv").read_text("utf-8")


HIDDEN = ("token", "once", "row", "target")
SLOW = ("/start", "/publish", "/share/part", "/share/copy")
"""How the places end that begin a search of a minute, or make or send files: their forms are looked at, not sent."""


def test_every_form_says_where_it_goes_on_a_page_that_answers_one_too(local: Local) -> None:
    """Every page that links lead to from the first, and what each form on it leads to, with every text field wrong and
    with every field empty."""
    local.post("/record/add", {**ROW, "once": "a", "correct": "4"})
    routes = [compile_path(path)[0] for path in (*CHANGES, *UPLOADS)]
    seen: set[str] = set()
    sent: set[str] = set()
    answered: set[str] = set()

    def looked_at(page: str, where: str) -> None:
        for place, fields in forms_of(page):
            assert any(route.match(place) for route in routes), f"{where}: a form goes to '{place}'"
            shape = re.sub(r"\d+", "#", place)
            if shape in sent or place.endswith(SLOW) or place == "/record/sheet":
                continue
            sent.add(shape)
            for typed in ("?", ""):
                wrong = {n: v if n in HIDDEN else typed for n, v in fields.items()}
                answer = local.post(place, wrong)
                if answer.status in PAGES_TO_STAY_ON:
                    answered.add(shape)
                    looked_at(answer.text, f"the answer to {place}")

    waiting = ["/", "/start/family", "/case/adults/new", f"/record/row?{urlencode(ROW)}"]
    while waiting:
        path = waiting.pop()
        shape = re.sub(r"\d+", "#", path.partition("?")[0])
        if shape in seen or "." in shape or shape.startswith("/help/"):
            continue
        seen.add(shape)
        page = local.get(path).text
        looked_at(page, path)
        waiting += [html.unescape(link) for link in re.findall(r'href="(/[^"#]*)', page)]
    assert len(seen) > 20, seen
    assert {"/record/add", f"/history/{ROW['target']}/#"} <= answered, answered


def test_what_was_taken_leads_on_as_before(local: Local) -> None:
    assert sent(local, {**REFUSED, "correct": "4"}).startswith("/record?day=")


def test_the_last_few_are_kept_and_an_older_one_says_so(local: Local) -> None:
    first = sent(local, REFUSED)
    others = [sent(local, REFUSED) for _ in range(MOST_ANSWERS)]
    assert len({first, *others}) == MOST_ANSWERS + 1
    gone = local.get(first)
    assert gone.status == 404
    assert "This page is not kept any more" in gone.text
    assert local.get(others[0]).status == 422
    assert local.get("/answer/guessed").status == 404


@pytest.mark.nightly
def test_a_browser_comes_back_to_it_and_loads_it_again(local: Local) -> None:
    need_browser()
    with browser() as chromium:
        screen = Screen(chromium, local, DESK)
        page = screen.page
        screen.go(f"/record/row?{urlencode(ROW)}")
        page.get_by_label("Note", exact=True).fill("Wind, and a dog")
        page.get_by_role("button", name="Add it").click()
        page.wait_for_url("**/answer/**")
        page.reload()
        assert page.get_by_label("Note", exact=True).input_value() == "Wind, and a dog"
        screen.go("/week")
        page.go_back()
        assert "/answer/" in page.url
        assert page.get_by_label("Note", exact=True).input_value() == "Wind, and a dog"
        screen.checked("an answer that was come back to")
