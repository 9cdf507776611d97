"""What it would cost to keep two things apart: asked for on the page of the week, answered by a job of its own."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.keeping.deeper import Deeper
from genplan.language import Speech, Words, speaking
from genplan.plan import WishAnswer
from genplan.report.week_changes import price_lines
from genplan.web import long_jobs, worker
from genplan.web.app_state import case_digest
from tests.fixtures.local_server import Local, running
from tests.fixtures.small_case import SUNDAY, WEEK

TWO = {"one": "2026-W49-mon-gran-c89", "other": "2026-W49-tue-mum-c89"}
WISH = PlannersWish(kind=WishKind.APART, two=tuple(sorted(TWO.values())))


@pytest.fixture
def local(case: Path) -> Iterator[Local]:
    with running(case) as local:
        yield local


def priced(case: Path, **more: int) -> tuple[workflow.PricedWeek, ...]:
    price = Deeper(**{"taken": False, "people": 0, "rather": 0, "due": 0, "new": 0} | more)
    opened = workflow.open_case(case, SUNDAY)
    return (workflow.PricedWeek(opened.case, WEEK, (WishAnswer(wish=WISH, kept=True),), price),)


def test_the_button_beside_the_wish_begins_the_job_and_the_screen_names_the_two(
    local: Local, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert f'/week/{WEEK}/price"' in local.get(f"/week/{WEEK}").text
    assert local.get("/price").status == 404
    refused = local.post(f"/week/{WEEK}/price", {"one": TWO["one"], "other": ""})
    assert "choose both" in refused.text
    assert refused.status == 422
    assert f'<option value="{TWO["one"]}" selected>' in refused.text  # what was chosen is still chosen
    assert f'<option value="{TWO["other"]}" selected>' not in refused.text
    wished = local.post(
        f"/week/{WEEK}/wish", {"kind": "apart", "once": "y", "one": "", "other": TWO["other"]}
    )
    assert (wished.status, "choose both" in wished.text) == (422, True)
    assert f'<option value="{TWO["other"]}" selected>' in wished.text
    begun: list[long_jobs.Job] = []
    monkeypatch.setattr(local.site, "begin", begun.append)
    assert local.post(f"/week/{WEEK}/price", TWO).headers["location"].endswith("/price")
    assert [(job.verb, job.asked["one"], job.asked["other"]) for job in begun] == [("price", *TWO.values())]


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        ("nothing", "elsewhere", "nothing"),
        ("puts-on", "puts-on", "the same twice"),
        (TWO["one"],) * 2 + ("twice",),
    ],
)
def test_what_could_not_be_wished_is_asked_no_price_of(
    local: Local, monkeypatch: pytest.MonkeyPatch, one: str, other: str, said: str
) -> None:
    begun: list[long_jobs.Job] = []
    monkeypatch.setattr(local.site, "begin", begun.append)
    refused = local.post(f"/week/{WEEK}/price", {"one": one, "other": other})
    assert (refused.status, begun) == (422, [])
    assert said in refused.text
    assert (
        "changes.yaml" not in refused.text or one != other
    )  # what a family can choose is told without files
    assert 'formaction="/week/2026-W49/price"' in refused.text  # to choose others


def test_what_was_found_is_told_with_the_wish_to_write_down(local: Local, case: Path) -> None:
    found = local.site.room_for("price") / "found"
    found.write_bytes(pickle.dumps(priced(case, new=-3)))
    task = long_jobs.looking("price", case, WEEK, SUNDAY, found, TWO, "", "/price")
    local.site.results["/price"] = SimpleNamespace(task=task, case_digest=case_digest(case))  # type: ignore[assignment]
    page = local.get("/price").text
    assert "Week 2026-W49, planned again with it, against the same without it: 3 " in page
    assert "3 fewer" in page
    assert not (case / "changes.yaml").exists()
    form = {"kind": "apart", "once": "x", **TWO}
    assert local.post(f"/week/{WEEK}/wish", form).status == 303
    assert "apart" in (case / "changes.yaml").read_text("utf-8")


def test_the_job_asks_for_the_price_of_just_that_wish(
    case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []

    def price(folder: Path, wanted: PlannersWish, now: object, progress: object) -> object:
        asked.append((folder, wanted, now))
        return priced(case)

    monkeypatch.setattr(workflow, "price_of_wish", price)
    page: Any = SimpleNamespace(progress=lambda _: None)
    worker.VERBS["price"](case, WEEK, SUNDAY, tmp_path / "found", TWO, page)
    assert asked == [(case, WISH, SUNDAY)]
    assert pickle.loads((tmp_path / "found").read_bytes())[0].answers[0].kept


def test_a_family_reads_the_price_in_words_of_everyday(case: Path) -> None:
    (one,) = priced(case, new=-1, due=-2)
    with speaking(Speech("en", Words.PLAIN)):
        (line,) = price_lines(one.case, one.week, one.price)
    assert line == (
        "With this wish, week 2026-W49 would have 2 fewer skills that are due to be looked at again, "
        "1 fewer combination tried for the first time than without it."
    )
    assert "2 fewer checks that are due" in next(price_lines(one.case, one.week, one.price))
