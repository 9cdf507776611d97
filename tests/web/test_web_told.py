"""What is to be told to each of a week that changed, and that somebody was told it."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from tests.fixtures.local_server import Local, running
from tests.fixtures.small_case import WEDNESDAY

PAGE = "/week/2026-W49"


@pytest.fixture
def local(case: Path) -> Iterator[Local]:
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(
        text.replace("{name: Three hats}", "{name: Three hats, hazards: [cord]}"), "utf-8"
    )
    with running(case) as local:
        local.site.now = WEDNESDAY
        yield local


def words(page: str) -> str:
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", page)))


def asked(local: Local) -> dict[str, dict[str, str]]:
    """The form of each who is to be told."""
    forms = re.findall(rf'<form method="post" action="{PAGE}/told">(.*?)</form>', local.get(PAGE).text, re.S)
    found = [dict(re.findall(r'name="([^"]*)" value="([^"]*)"', one)) for one in forms]
    return {one["who"]: one for one in found}


def test_once_each_was_told_nothing_asks_for_it_until_it_changes_again(local: Local, case: Path) -> None:
    assert "Tell people what to look out for" in words(local.get("/").text)
    everybody = asked(local)
    assert "learner:lark" in everybody
    for form in everybody.values():
        told = local.post(f"{PAGE}/told", form)
        assert "was told what is different in week 49." in words(local.get(told.headers["location"]).text)
    assert asked(local) == {}
    assert "Tell people" not in words(local.get("/").text)
    again = local.post(f"{PAGE}/told", form)
    assert "a second tap adds nothing" in local.get(again.headers["location"]).text
    nothing = local.get(f"{PAGE}/files/changes/learner-lark.txt").text
    assert "Nothing is different any more" in nothing
    # taken back, one is asked for again
    back = local.post(f"{PAGE}/not-told", {"who": "learner:lark", "once": "b"})
    assert "Taken back: the family of L." in words(local.get(back.headers["location"]).text)
    assert list(asked(local)) == ["learner:lark"]
    assert "Tell people what to look out for" in words(local.get("/").text)
    assert local.post(f"{PAGE}/not-told", {"who": "learner:lark", "once": "c"}).status == 422
    # the hazard goes: of those who were told of it each is told that, and nobody else
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(text.replace(", hazards: [cord]", ""), "utf-8")
    assert set(asked(local)) == everybody.keys() - {"learner:lark"}
    assert "No longer written down for 'Three hats'" in words(local.get(PAGE).text)


def test_what_was_not_seen_is_not_told(local: Local, case: Path) -> None:
    form = asked(local)["learner:lark"]
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(text.replace("[cord]", "[cord, heat]"), "utf-8")
    refused = local.post(f"{PAGE}/told", form)
    assert (refused.status, "has changed meanwhile" in refused.text) == (422, True)
    assert "learner:lark" in asked(local)
    assert local.post(f"{PAGE}/told", {"who": "nobody", "once": "n"}).status == 422


def test_what_is_past_is_not_offered_to_be_sent(local: Local) -> None:
    assert asked(local)
    local.site.now = datetime(2026, 12, 6, 23)
    assert asked(local) == {}
    assert "What changes for" not in words(local.get(PAGE).text)
