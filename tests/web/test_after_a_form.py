"""A page that answers a form can be loaded again and come back to: nothing is sent twice, nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest

from genplan.web.app_state import MOST_ANSWERS
from tests.fixtures.browser import DESK, Screen, browser, need_browser
from tests.fixtures.local_server import Local, running
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
