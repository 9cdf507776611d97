"""What is wished of a kept week, by the page: one tap each, and taken back as easily."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.keeping.store import read_kept
from genplan.plan import Unkept, WishAnswer
from genplan.rules.limits import Kind, Limit
from genplan.text.limits import limit_sentence
from genplan.text.wishes import reason_text
from genplan.web.wishes import about
from tests.fixtures.local_server import Local, running
from tests.fixtures.small_case import SUNDAY, WEEK

ADDRESS = f"/week/{WEEK}"


@pytest.fixture
def folder(case):
    return case


@pytest.fixture
def local(folder):
    with running(folder) as local:
        yield local


@pytest.fixture
def first(folder):
    return read_kept(folder, WEEK, workflow.open_case(folder, SUNDAY).case).sittings[0]


def wishes(folder):
    return workflow.open_case(folder, SUNDAY).case.wishes


def forms(page, address):
    """The fields of each form that is sent there, as a browser would send them."""
    found = []
    for action, body in re.findall(
        r'<form class="tap" method="post" action="([^"]*)">(.*?)</form>', page, re.S
    ):
        if action == address:
            pairs = re.findall(r'<input type="\w+"(?: id="[^"]*")? name="([^"]*)" value="([^"]*)"', body)
            found.append({name: unescape(value) for name, value in pairs})
    return found


def test_each_sitting_ahead_has_its_say(local, folder, first):
    page = local.get(ADDRESS).text
    kept = read_kept(folder, WEEK, workflow.open_case(folder, SUNDAY).case).sittings
    asked = forms(page, f"{ADDRESS}/wish")
    for kind in ("hold", "not", "move"):
        assert {f["sitting"] for f in asked if f["kind"] == kind} == {s.id for s in kept}
    assert '<button class="quiet">Call it off' in re.sub("<details.*?</details>", "", page, flags=re.S)
    assert first.learner not in re.sub(r"value=\"[^\"]*\"", "", page) or first.learner == "lark"


@pytest.mark.parametrize("kind", ["hold", "not", "move"])
def test_one_tap_is_a_wish_and_one_takes_it_back(local, folder, first, kind):
    (form,) = [
        f
        for f in forms(local.get(ADDRESS).text, f"{ADDRESS}/wish")
        if (f["kind"], f.get("sitting")) == (kind, first.id)
    ]
    if kind == "move":  # the form is filled in with when it is, and that is no wish
        refused = local.post(f"{ADDRESS}/wish", form | {"once": "as it is"})
        assert (refused.status, "so there is nothing to move" in refused.text) == (422, True)
        form["clock"] = f"{first.start.hour:02}:{first.start.minute + 15:02}"
    answer = local.post(f"{ADDRESS}/wish", form)
    assert answer.status == 303, answer.text
    assert [(w.kind.value, w.sitting) for w in wishes(folder)] == [(kind, first.id)]
    page = local.get(ADDRESS).text
    # what stays as it is needs no plan
    assert ("What you wish of this week" in page) == (kind != "hold")
    assert ("1 wish that this week keeps" in page) == (kind == "hold")
    assert ("Called off." if kind == "not" else "You wished:") in page
    told = local.get(answer.headers["location"]).text
    assert "Wished: " in told
    assert ("The sitting is called off." in told) == (kind == "not")
    assert "Added to" not in told  # no line of a file, in which ids stand
    again = local.post(f"{ADDRESS}/wish", form)
    assert "a second tap adds nothing" in local.get(again.headers["location"]).text
    back = forms(page, f"{ADDRESS}/take-back")
    assert len({f["wish"] for f in back}) == 1
    assert local.post(f"{ADDRESS}/take-back", back[0]).status == 303
    assert wishes(folder) == ()
    gone = local.post(f"{ADDRESS}/take-back", back[0])
    assert gone.status == 422
    assert "not there any more" in gone.text


def test_rather_somebody_else_apart_and_ones_own(local, folder, first):
    opened = workflow.open_case(folder, SUNDAY)
    other = next(a for a in opened.case.adults if a != first.adult)
    asked = {
        "kind": "rather",
        "sitting": first.id,
        "day": str(first.start.date()),
        "adult": other,
        "once": "r",
    }
    assert local.post(f"{ADDRESS}/wish", asked).status == 303
    kept = read_kept(folder, WEEK, opened.case).sittings
    one, two = first.id, next(s.id for s in kept if s.adult != first.adult)
    assert (
        local.post(f"{ADDRESS}/wish", {"kind": "apart", "one": one, "other": two, "once": "a"}).status == 303
    )
    probe = first.probes[0]
    own = {
        "kind": "add",
        "adult": first.adult,
        "location": first.location,
        "day": str(first.start.date()),
        "clock": f"{first.start:%H:%M}",
        "what": f"{probe.target}.{probe.combination[2]}",
        "once": "o",
    }
    assert local.post(f"{ADDRESS}/wish", own).status == 303
    assert {w.kind for w in wishes(folder)} == {WishKind.RATHER, WishKind.APART, WishKind.ADD}
    assert local.get(ADDRESS).text.count("Take back") >= 3


def test_a_skill_that_several_children_learn_is_offered_with_whose_it_is(local: Local, folder: Path) -> None:
    """Of two skills of one name nobody could say otherwise which is which, once a list is closed least of all."""
    text = (folder / "case.yaml").read_text("utf-8")
    child, skill = text.partition("  lark: ")[2].partition("adults:")[0], text.partition("  puts-on: ")[2]
    wren = child.replace("Lark Fernwhistle, alias: L.", "Wren Fernwhistle, alias: W.")
    text = text.replace("adults:", f"  wren: {wren}adults:", 1)
    (folder / "case.yaml").write_text(
        f"{text}  also-on: {skill.replace('learner: lark', 'learner: wren')}", "utf-8"
    )
    page = unescape(local.get(ADDRESS).text)
    things = page.partition('<select id="apart-one"')[2].partition("</select>")[0]
    assert re.findall(r'value="(also-on|puts-on)">([^<]*)<', things) == [
        ("puts-on", "L.: Puts it on"),
        ("also-on", "W.: Puts it on"),
    ]
    own = page.partition('<select id="own-what"')[2].partition("</select>")[0]
    assert '<option value="also-on.hats">W.: Puts it on, Three hats<' in own


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"kind": "other"},
        {"kind": "hold", "sitting": "nobody's"},
        {"kind": "move", "sitting": "2026-W49-tue-gran-abc", "day": "2026-12-03"},
        {"kind": "move", "sitting": "2026-W49-tue-gran-abc", "day": "soon", "clock": "16:00"},
        {"kind": "rather", "sitting": "x", "adult": "gran", "day": "2026-12-03"},
        {"kind": "apart", "one": "", "other": ""},
        {"kind": "apart", "one": "puts-on", "other": ""},
        {"kind": "hold", "sitting": ""},
        {"kind": "move", "sitting": "2026-W49-tue-gran-abc", "day": "", "clock": "16:00"},
        {"kind": "add", "what": "puts-on"},
    ],
)
def test_what_makes_no_sense_is_refused_with_a_sentence(local, folder, asked):
    answer = local.post(f"{ADDRESS}/wish", asked | {"once": "x"})
    assert answer.status == 422
    assert "Nothing was" in answer.text
    assert not re.search("0 of them|&#39;&#39;", answer.text)
    assert not (folder / "changes.yaml").exists()


def test_what_came_into_the_place_of_another_is_not_told_what_was_wished_of_that_one(folder: Path) -> None:
    """Not the one on Tuesday; at the other place at the same time another one. Until that is told the first wish is
    said at the first sitting; then at neither."""
    opened = workflow.open_case(folder, SUNDAY)
    kept = read_kept(folder, WEEK, opened.case)
    assert kept
    old = next(s for s in kept.sittings if s.adult == "mum")
    there = "yard" if old.location == "home" else "home"
    workflow.wish(folder, PlannersWish(kind=WishKind.NOT, sitting=old.id), SUNDAY)
    put_in = PlannersWish(
        kind=WishKind.ADD,
        learner=old.learner,
        adult=old.adult,
        location=there,
        start=old.start.replace(tzinfo=None),
        target=old.probes[0].target,
        values=(("material_set", "hats"),),
    )
    workflow.wish(folder, put_in, SUNDAY)
    opened = workflow.open_case(folder, SUNDAY)
    said = about(opened, WEEK, kept.sittings, None)
    assert said["say"][old.id].mine
    workflow.replan(folder, WEEK, SUNDAY, None, True, lambda _: None)
    told = read_kept(folder, WEEK, opened.case)
    assert told
    (new,) = [s for s in told.sittings if s.start == old.start]
    assert new.location == there
    again = about(opened, WEEK, told.sittings, None)
    assert again["say"][new.id].mine is None
    assert (len(said["wishes"]), len(said["wishes_kept"])) == (2, 0)
    assert (len(again["wishes"]), len(again["wishes_kept"])) == (0, 2)


def test_what_stands_in_the_way_is_on_the_page(local, folder, first):
    night = {
        "kind": "move",
        "sitting": first.id,
        "day": str(first.start.date()),
        "clock": "03:00",
        "once": "n",
    }
    said = local.post(f"{ADDRESS}/wish", night)
    assert "a plan cannot keep it" in local.get(said.headers["location"]).text
    assert "is not free then" in local.get(ADDRESS).text


def test_what_a_child_is_kept_from_is_not_offered_and_is_refused(case: Path) -> None:
    """Though the target varies it; with why. Nothing is written down."""
    text = (case / "case.yaml").read_text("utf-8").replace("alias: L.,", "alias: L., allergens: [egg],")
    (case / "case.yaml").write_text(
        text.replace("{name: Three hats}", "{name: Egg boxes, allergens: [egg]}"), "utf-8"
    )
    with running(case) as local:
        assert re.findall(r'<option value="(puts-on\.\w+)"', local.get(ADDRESS).text) == ["puts-on.boots"]
        own = {"kind": "add", "adult": "mum", "location": "home", "day": "2026-12-02", "clock": "16:00"}
        answer = local.post(f"{ADDRESS}/wish", own | {"what": "puts-on.hats", "once": "o"})
        assert answer.status == 422
        assert "'Egg boxes' holds egg, which L. must not meet. Nothing was added" in unescape(answer.text)
        assert not (case / "changes.yaml").exists()
        assert local.post(f"{ADDRESS}/wish", own | {"what": "puts-on.boots", "once": "o"}).status == 303


def test_what_is_called_off_is_struck_out_in_the_table_of_many(local, folder, first, monkeypatch):
    wish = next(f for f in forms(local.get(ADDRESS).text, f"{ADDRESS}/wish") if f["kind"] == "not")
    local.post(f"{ADDRESS}/wish", wish)
    monkeypatch.setattr("genplan.web.week_choice.ALL_AT_MOST", 0)
    page = local.get(ADDRESS).text
    lines = re.findall(r'<span class="line( off)?"><bdi>([^<]*)</bdi>(.*?)</span>', page)
    struck = [(words, more) for off, words, more in lines if off]
    assert struck == [(f"{first.start:%H:%M} Gran", ' <span class="state">✗ called off')]
    # what is to be is counted at the head, and at each that can be chosen
    assert f"<strong>{len(lines) - 1} sittings" in page
    assert f'<bdi>L.</bdi> <span class="soft">{len(lines) - 1}</span>' in page


def test_a_skill_that_has_its_checks_already_is_named(folder: Path) -> None:
    case = workflow.open_case(folder, SUNDAY).case
    limit = Limit(Kind.TARGET_WEEK, figure=3)
    wish = PlannersWish(kind=WishKind.ADD, learner="lark", adult="mum", location="home", target="puts-on")
    answer = WishAnswer(wish=wish, kept=False, why=Unkept.RULES, limits=(limit,))
    assert reason_text(case, answer).startswith("'Puts it on' has its 3 probes this week, held or planned")
    assert limit_sentence(case, limit).startswith("the target has its 3 probes")


def test_what_is_called_off_is_counted_and_struck_out_as_that(local, folder, first):
    """At the head of the week, on the card and in the picture: nothing stands in its way, somebody said so."""
    wish = next(f for f in forms(local.get(ADDRESS).text, f"{ADDRESS}/wish") if f["kind"] == "not")
    local.post(f"{ADDRESS}/wish", wish)
    for address in (ADDRESS, "/"):
        local.site.now = SUNDAY if address == ADDRESS else SUNDAY.replace(month=11, day=30, hour=8)
        page = local.get(address).text
        tiles = re.findall(r'<p class="pblock[^"]* off">.*?</p>', page, re.S)
        (tile,) = tiles
        assert "✗ called off</span>" in tile
        if address == ADDRESS:
            assert "<strong>1 sitting is called off.</strong>" in page
            assert "can no longer be held" not in page
            assert "<strong>Called off</strong>." in page
        else:
            assert "1 sitting is called off.</span>" in page
            assert "<h2>Called off</h2>" in page
            assert "can no longer be held" not in page
    # nothing of it is asked about once more
    page = local.get(ADDRESS).text
    cards = page.split("<article ")[1:]
    (card,) = (one for one in cards if "<strong>Called off</strong>." in one)
    assert "Will it not be run?" not in card
    assert sum("Will it not be run?" in one for one in cards) == len(cards) - 1


def test_a_wish_of_what_is_past_stands_on_the_week_no_more(local, folder, first) -> None:
    (form,) = [
        f
        for f in forms(local.get(ADDRESS).text, f"{ADDRESS}/wish")
        if (f["kind"], f.get("sitting")) == ("hold", first.id)
    ]
    local.post(f"{ADDRESS}/wish", form)
    local.site.now = first.start.replace(tzinfo=None, hour=7)
    assert "1 wish that this week keeps" in local.get(ADDRESS).text
    local.site.now = first.start.replace(tzinfo=None, hour=21)
    assert "wish that this week keeps" not in local.get(ADDRESS).text


def test_today_says_what_is_wished_and_not_planned_yet(local, folder, first):
    """What stays as it is needs no plan, and what is called off is said as that."""
    heading = "Wished, and not planned yet"
    for wish in (
        {"kind": "hold", "sitting": first.id, "once": "a"},
        {"kind": "not", "sitting": first.id, "once": "b"},
    ):
        assert local.post(f"{ADDRESS}/wish", wish).status == 303
        assert heading not in local.get("/").text
    later = {"kind": "move", "sitting": first.id, "clock": "17:15", "once": "c"}
    later["day"] = first.start.date().isoformat()
    assert local.post(f"{ADDRESS}/wish", later).status == 303
    page = local.get("/").text
    wished = page[page.index(heading) :]
    assert "17:15" in wished.partition("</ul>")[0]
    assert f'href="/plan/{WEEK}"' in wished.partition("</ul>")[0]
    (line,) = {f["wish"] for f in forms(local.get(ADDRESS).text, f"{ADDRESS}/take-back")}
    local.post(f"{ADDRESS}/take-back", {"wish": line, "once": "d"})
    assert not wishes(folder)
    assert heading not in local.get("/").text
