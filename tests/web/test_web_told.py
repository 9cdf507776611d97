"""What is to be told to each of a week that changed, and that somebody was told it."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from genplan.cli import main
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
    today = words(local.get("/").text)
    everybody = asked(local)
    assert "learner:lark" in everybody
    page = local.get(PAGE).text
    link, texts = page.index('href="#to-send"'), page.index('id="to-send"')
    assert link < page.index('class="day') < texts  # who looks for them need not go down the whole week
    assert (
        f"To the texts to send {len(everybody)} people still have to be told something. It is about what"
        in today
    )
    for form in everybody.values():
        told = local.post(f"{PAGE}/told", form)
        assert "was told what is different in week 49." in words(local.get(told.headers["location"]).text)
    assert asked(local) == {}
    assert "To the texts to send" not in words(local.get("/").text)
    again = local.post(f"{PAGE}/told", form)
    assert "a second tap adds nothing" in local.get(again.headers["location"]).text
    nothing = local.get(f"{PAGE}/files/changes/learner-lark.txt").text
    assert "nothing is different any more" in nothing
    # taken back, one is asked for again
    back = local.post(f"{PAGE}/not-told", {"who": "learner:lark", "once": "b"})
    assert "Taken back: the family of L." in words(local.get(back.headers["location"]).text)
    assert list(asked(local)) == ["learner:lark"]
    assert "1 person still has to be told something" in words(local.get("/").text)
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


def test_who_was_taken_out_of_the_case_can_be_marked(
    local: Local, case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (case / "case.yaml").read_text("utf-8")
    gran = next(line for line in text.splitlines(True) if line.strip().startswith("gran:"))
    (case / "case.yaml").write_text(text.replace(gran, ""), "utf-8")
    form = asked(local)["adult:gran"]
    assert "Cancelled" in words(local.get(PAGE).text)
    assert local.post(f"{PAGE}/told", form).status == 303
    assert "adult:gran" not in asked(local)
    assert "nothing is different any more" in local.get(f"{PAGE}/files/changes/adult-gran.txt").text
    assert 'value="adult:gran"' in local.get(PAGE).text  # by which it is taken back
    typed = (str(case), "--now", "2026-12-02T12:00")
    assert main(["week", *typed, "--not-told", "gran"]) == 0
    assert "adult:gran" in asked(local)
    assert main(["week", *typed, "--told", "gran"]) == 0
    assert "adult:gran" not in asked(local)
    capsys.readouterr()
    for who in ("", "adult:", "nobody"):
        assert main(["week", *typed, "--told", who]) == main(["week", *typed, "--not-told", who]) == 2
        shown, told = capsys.readouterr()
        assert shown == ""
        assert told.count("There are: mum, lark, gran.") == 2


def test_what_is_past_is_not_offered_to_be_sent(local: Local) -> None:
    assert asked(local)
    local.site.now = datetime(2026, 12, 6, 23)
    assert asked(local) == {}
    assert "What changes for" not in words(local.get(PAGE).text)


def test_the_messages_of_the_first_week_are_offered_until_each_was_sent(local: Local) -> None:
    local.site.now = datetime(2026, 11, 29, 12)
    case = local.site.folder / "case.yaml"
    case.write_text(case.read_text("utf-8").replace(", hazards: [cord]", ""), "utf-8")
    untold = asked(local)
    assert {who.partition(":")[0] for who in untold} == {"adult"}
    n = len(untold)
    people = f"messages for {n} people are" if n > 1 else "a message for 1 person is"
    assert f"To the messages to send Week 49 is kept, and {people} ready to be sent." in words(
        local.get("/").text
    )
    for form in untold.values():
        told = local.post(f"{PAGE}/told", form)
        assert "was told of week 49." in words(local.get(told.headers["location"]).text)
    assert asked(local) == {}
    assert "To the messages" not in words(local.get("/").text)
    local.post(f"{PAGE}/not-told", {"who": form["who"], "once": "b"})
    assert "a message for 1 person is ready" in words(local.get("/").text)
    local.site.now = WEDNESDAY  # the week has begun
    assert "To the messages" not in words(local.get("/").text)
    assert asked(local) == {}
