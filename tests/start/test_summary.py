"""What is read over before the case is made, and the time zone of a system that names none."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.language import Speech, speaking
from genplan.start import time_zone
from genplan.start.asked_about_people import PURPOSE
from genplan.start.case_text import case_text
from genplan.start.screens import screen_of
from genplan.start.summary import lines_of
from genplan.web.start.form import drawn
from tests.fixtures.start_answers import HOURS, answered


def lines(key: str, **groups: list[dict[str, str]]) -> tuple[str, ...]:
    screen = screen_of(key)
    assert screen is not None
    return lines_of(screen, answered(**groups))


def test_a_skill_is_told_in_words_that_say_what_is_what() -> None:
    skill = {"name": "Coat on", "correct": "Both arms in.", "things": "Red coat, Rain jacket", "places": "l2"}
    things = [{"name": "Red coat"}, {"name": "Rain jacket"}]
    assert lines("skills", skills=[skill], things=things) == (
        "Coat on: Both arms in; learned using Red coat; to be tried using Rain jacket too; learned with Mum; at Home;"
        " to be tried with Mum, Dad; to be tried at Home, Park",
    )


def test_what_a_skill_will_be_tried_with_is_told_where_nothing_was_chosen() -> None:
    things = [{"name": "Fork"}, {"name": "Spoon"}, {"name": "Marbles", "cautions": "small"}]
    skills = [
        {"name": "Eats", "correct": "a"},
        {"name": "Sorts", "correct": "b", "things": "marbles"},
        {"name": "Asks", "correct": "c", "things": ""},
    ]
    helpers = [{"name": "Mum", "hours": HOURS}, {"name": "Lee", "hours": HOURS, "children": "c2"}]
    children = [{"name": name, "born": "2019-01", "hours": HOURS} for name in ("Ada", "Bo")]
    told = lines("skills", skills=skills, things=things, helpers=helpers, children=children)
    assert [line.partition("; learned with")[0].split("; ", 2)[2] for line in told] == [
        "learned using Fork; to be tried using Spoon, Marbles too",
        "learned using marbles",
        "no things",
    ]
    assert told[0].endswith("; to be tried with Mum; to be tried at Home, Park")


def test_an_allergy_is_not_told_as_its_opposite() -> None:
    child = {"name": "Lia", "hours": HOURS, "allergies": "eggs, strawberry"}
    assert lines("children", children=[child]) == (
        "Lia: Monday to Friday 15:00–18:00; allergies: egg, strawberry",
    )
    with speaking(Speech("de")):
        (german,) = lines("children", children=[child])
    assert german.endswith("Allergien: Ei, Strawberry")


@pytest.mark.parametrize(("system", "folded"), [("Europe/Dublin", True), ("UTC", False), ("Etc/UTC", False)])
def test_the_zone_is_asked_openly_where_the_system_names_no_region(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, system: str, folded: bool
) -> None:
    monkeypatch.setenv("TZ", system)
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    for setting in ("LC_TIME", "LANG"):
        monkeypatch.delenv(setting, raising=False)
    monkeypatch.setattr(time_zone, "LOCALTIME", tmp_path / "none")
    monkeypatch.setattr(time_zone, "TIMEZONE", tmp_path / "none")
    (entry,) = drawn(PURPOSE, answered(purpose=[]), ())
    zone = next(d for d in (*entry.first, *entry.more) if d.question.key == "timezone")
    assert (zone in entry.more, zone.text, zone.is_guess) == (
        folded,
        system if folded else "Europe/London",
        not folded,
    )


FOUR = [{"name": name, "hours": HOURS} for name in ("Mum", "Dad", "Granny", "Kindergarten teacher")]


def test_who_can_be_where_is_said_also_where_nobody_chose() -> None:
    """A place called as somebody is theirs, and whoever is called as a place is at no other; a tick says otherwise."""
    places = [{"name": name} for name in ("Home", "Granny's flat", "Kindergarten", "Park")]
    assert lines("who", helpers=FOUR, places=places) == (
        "Home: who can be there: Mum, Dad, Granny",
        "Granny's flat: who can be there: Granny",
        "Kindergarten: who can be there: Kindergarten teacher",
        "Park: who can be there: Mum, Dad, Granny",
    )
    chosen = [places[0] | {"helpers": "h1\nh2\nh3\nh4"}, places[1] | {"helpers": "h1\nh3"}]
    assert lines("who", helpers=FOUR, places=chosen) == (
        "Home: everybody can be there",
        "Granny's flat: who can be there: Mum, Granny",
    )
    with_role = [{"name": "Mum"}, {"name": "Lisa", "role": "Erzieherin, Kita"}, {"name": "Oma"}]
    assert lines(
        "who", helpers=with_role, places=[{"name": "Omas Wohnung"}, {"name": "Kita"}, {"name": "Park"}]
    ) == (
        "Omas Wohnung: who can be there: Oma",
        "Kita: who can be there: Lisa",
        "Park: who can be there: Mum, Oma",
    )
    assert lines("who", helpers=FOUR[:2], places=places[:1]) == ("Home: everybody can be there",)


def test_nobody_is_planned_where_a_name_gives_no_tick() -> None:
    places = [{"name": "Home"}, {"name": "Granny's flat"}, {"name": "Kindergarten"}]
    text = case_text(answered(helpers=FOUR, places=places), "a")
    teacher = text[text.index("name: Kindergarten teacher") :]
    assert "locations: [kindergarten]" in teacher[:200]
    assert "locations: [home]" in text[text.index("name: Mum") :][:120]


def test_two_days_are_joined_by_and() -> None:
    child = {"name": "Lia", "hours": "mon-tue 3-5pm, thu-sat 10-12"}
    assert lines("children", children=[child]) == (
        "Lia: Monday and Tuesday 15:00–17:00; Thursday to Saturday 10:00–12:00",
    )


def test_that_somebody_looked_is_told_beside_what_is_held_not_as_something_that_is() -> None:
    child = {"name": "Ada", "born": "2019-01", "hours": HOURS, "allergies": "nuts, peanut"}
    things = [
        {"name": "Fork"},
        {"name": "Peanut butter toast", "holds": "peanut\n-looked:peanut+tree-nuts"},
        {"name": "Muesli", "holds": "-looked:peanut+tree-nuts"},
        {"name": "Magnets", "cautions": "magnet"},
    ]
    _fork, toast, muesli, _magnets = lines("things", children=[child], things=things)
    assert "; holds peanut, and no more that a child must not have" in toast.replace(": holds", "; holds")
    assert muesli.startswith("Muesli: no tree nuts or peanut in it; goes along with the child")


def test_where_a_thing_stays_is_said_since_by_it_somebody_sends_it_along() -> None:
    assert lines("things", things=[{"name": "Cards"}, {"name": "Drum", "kept_at": "l1"}]) == (
        "Cards: goes along with the child: you send it along to each check",
        "Drum: stays at Home",
    )


def test_a_thing_that_is_kept_from_the_child_is_not_promised_to_each_check() -> None:
    things = [{"name": "Fridge magnets", "cautions": "magnet"}, {"name": "Two cups", "cautions": "none"}]
    magnets, cups = lines("things", things=things)
    assert "is not planned for Wren: " in magnets
    assert "along to each check" not in magnets
    assert "along to each check" in cups
    assert "not planned" not in cups
