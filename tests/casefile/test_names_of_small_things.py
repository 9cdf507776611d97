"""A thing that is called as what is usually small is asked about where a child may be too young for small parts."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile.small_words import to_be_looked_at, usually_small
from genplan.start.case_text import case_text
from genplan.start.problems import left_out_of_all, problems
from genplan.start.screens import SCREENS, group_of
from tests.fixtures.small_case import SUNDAY, TEXT
from tests.fixtures.start_answers import HOURS, TODAY, answered


@pytest.mark.parametrize(
    ("name", "small"),
    [
        ("small beads", True),
        ("Shirt with buttons", True),
        ("A peg board and a string for threading many wooden beads", True),
        ("Pom-poms", True),
        ("Peas", True),
        ("Holzperlen", True),
        ("Glasmurmel", True),
        ("Kieselsteine", True),
        ("Zwei Würfel", True),
        ("Knöpfe", True),
        ("Erdnüsse", True),
        ("marbels", True),
        ("Marbel run", True),
        ("Wooden beeds", True),
        ("Two butons", True),
        ("Peblles", True),
        ("Paper clips", True),
        ("Googly eyes", True),
        ("Murmlen", True),
        ("Holzperlen und Knopfe", True),
        ("Büroklammern", True),
        ("Rosinnen", True),
        ("Geldstücke", True),
        ("Legosteine", True),
        ("Muggelsteine", True),
        ("Steckspiel", True),
        ("A peg", True),
        ("Clothes pegs", False),
        ("Peacock", False),
        ("Candles", False),
        ("Two pears", False),
        ("Graphs and tables", False),
        ("Teddy bears", False),
        ("Screwdriver", False),
        ("Linen bag", False),
        ("Raising hands", False),
        ("Zwei Mützen", False),
        ("Köpfe zum Zuordnen", False),
        ("Blatt mit Linien", False),
        ("Der rote Mantel", False),
        ("Kirche aus Bausteinen", False),
        ("Tauben im Buch", False),
        ("Schraubenzieher", False),
        ("Das Murmeltier", False),
        ("Kasten", False),
        ("Beanbag", False),
        ("Beanie", False),
        ("Doughnuts", False),
        ("Die große Tasse", False),
        ("Oliver's hat", False),
        ("Two cups", False),
    ],
)
def test_a_name_says_that_it_is_usually_small(name: str, small: bool) -> None:
    assert usually_small(name) is small


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("small beads", True),
        ("Magnetic letters", True),
        ("A singing toy phone", True),
        ("Torch", True),
        ("Magnettafel", True),
        ("ein singendes Spieltelefon", True),
        ("Taschenlampe", True),
        ("Board game", False),
        ("Puppet", False),
        ("Big foam blocks", False),
        ("Brettspiel", False),
        ("Holzeisenbahn", True),
        ("Wooden train", True),
        ("Angelspiel", True),
        ("Zaubertafel", True),
        ("Drawing board", True),
        ("Letter board", True),
        ("Küchenwaage", True),
        ("Kitchen scales", True),
        ("Training shoes", False),
    ],
)
def test_a_name_says_that_it_is_to_be_looked_at_by_itself(name: str, asked: bool) -> None:
    assert to_be_looked_at(name) is asked


def _asked(born: str, cautions: str, things: str = "Two hats") -> list[str]:
    answers = answered(
        children=[{"name": "Wren", "born": born, "hours": HOURS}],
        things=[{"name": "Two hats", "cautions": "none"}, {"name": "small beads", "cautions": cautions}],
        skills=[{"name": "Threads", "correct": "Three", "things": things}],
    )
    return [p.sentence for s in SCREENS for p in problems(s, answers, TODAY)]


@pytest.mark.parametrize(
    ("born", "cautions", "asked"),
    [
        ("2024-02", "none", True),
        ("", "none", True),
        ("2020-02", "none", False),
        ("2024-02", "", False),
        ("2024-02", "small", False),
        ("2024-02", "too-big", False),
        ("2024-02", "none\ntoo-big", False),
    ],
)
def test_that_nothing_is_small_about_beads_is_asked_once_more(born: str, cautions: str, asked: bool) -> None:
    told = [s for s in _asked(born, cautions) if s.startswith("By its name small beads may have pieces")]
    assert len(told) == asked


def test_beads_that_nobody_looked_at_are_not_planned_for_a_child_under_three() -> None:
    sentence, asked = _asked("2024-02", "", things="Two hats, small beads")
    assert asked.startswith("Look at small beads, and say here what you saw: Wren is under 36 months")
    assert "Wren is kept from: small beads (by its name it may have small pieces" in sentence
    assert not _asked("2024-02", "too-big", things="Two hats, small beads")
    assert not _asked("2020-02", "", things="Two hats, small beads")


@pytest.mark.parametrize(
    ("child", "cautions", "told"),
    [
        ({"born": "2024-02"}, "", 1),
        ({"born": "2020-02", "mouths": "mouths"}, "", 1),
        ({"born": "2024-02"}, "none", 0),
        ({"born": "2024-02"}, "small", 0),
        ({"born": "2024-02"}, "magnet", 0),
        ({"born": "2020-02"}, "", 0),
        ({"born": ""}, "", 0),
    ],
)
def test_each_thing_needs_an_answer_where_a_child_is_at_risk(
    child: dict[str, str], cautions: str, told: int
) -> None:
    """And none is stamped with what was said of another, though its name says nothing."""
    answers = answered(
        children=[{"name": "Wren", "hours": HOURS, **child}],
        things=[{"name": "Two hats", "cautions": "none"}, {"name": "Cup", "cautions": cautions}],
        skills=[{"name": "Threads", "correct": "Three", "things": "Two hats"}],
    )
    found = [p for s in SCREENS for p in problems(s, answers, TODAY)]
    assert [(p.entry, p.question) for p in found] == [("m2", "cautions")] * told
    why = "Wren puts everything into the mouth." if "mouths" in child else "Wren is under 36 months."
    assert all(p.sentence.startswith(f"Look at Cup, and say here what you saw: {why}") for p in found)
    assert len(left_out_of_all(group_of("things"), "cautions", answers)) == told


@pytest.mark.parametrize(
    ("child", "thing", "told"),
    [
        ("born: 2024-02, ", "name: Three hats", "Two boots and Three hats; L. is under 36 months"),
        (
            "born: 2021-03, mouths: yes, ",
            "name: Three hats",
            "Two boots and Three hats; L. puts everything into the mouth",
        ),
        ("born: 2024-02, ", "name: 'Three hats', small_parts: no", "Two boots; L. is under 36 months"),
        ("born: 2024-02, ", "name: Fridge magnets", "Two boots; L. is under 36 months"),
        ("born: 2024-02, ", "name: Marbles", "Two boots; L. is under 36 months"),  # told by itself
        ("born: 2021-03, ", "name: Three hats", ""),
        ("", "name: Three hats", ""),
    ],
)
def test_check_asks_once_about_all_things_that_nobody_answered(
    tmp_path: Path, child: str, thing: str, told: str
) -> None:
    """Of a thing that is in no skill, too, and once for however many skills."""
    text = TEXT.replace("born: 2021-03, ", child).replace("name: Three hats", thing)
    more = text.partition("targets:")[2].replace("puts-on", "takes-off").replace("Puts it on", "Takes it off")
    text = text.replace("cover: all", "cover: all, material_sets: [boots]")
    (tmp_path / "case.yaml").write_text(text + more.lstrip("\n"), "utf-8")
    found = [f.found for f in workflow.check(tmp_path, SUNDAY) if f.found.startswith("nobody said whether")]
    assert len(found) == bool(told)
    assert all(f"swallowed of: {told}" in f for f in found)


def test_what_is_too_big_is_no_small_part_in_the_case() -> None:
    things = [{"name": "Large beads", "cautions": "too-big"}]
    assert "small_parts: no" in case_text(answered(things=things), "abcdefghjkmn")
    (problem,) = [s for s in _asked("2024-02", "small\ntoo-big") if "contradict" in s]
    assert problem.startswith(
        "Two ticks contradict each other, 'a piece small enough to be swallowed' and 'no small"
    )
    assert problem.endswith("Take one of them away.")


def test_that_one_thing_is_too_big_is_not_said_of_all() -> None:
    things = [{"name": "Large beads", "cautions": "none\ntoo-big"}, {"name": "Marbles"}]
    found = answered(things=things).with_said_of_all("things", "m1", "cautions", ("too-big",))
    assert [e.get("cautions") for e in found.entries("things")] == ["none\ntoo-big", "none"]
    assert [key for key, _words in group_of("things").question("cautions").choices(found)][-1] == "too-big"


@pytest.mark.parametrize(
    ("born", "thing", "told"),
    [
        ("born: 2024-02, ", "name: Small beads", True),
        ("", "name: Small beads", True),
        ("born: 2023-10, ", "name: Small beads", False),
        ("born: 2024-02, ", "name: Small beads, small_parts: no", False),
        ("born: 2024-02, ", "name: Small beads, small_parts: yes", False),
        ("born: 2024-02, ", "name: Small beads, dimensions_mm: [60, 60, 60]", False),
    ],
)
def test_check_warns_once_of_what_is_usually_small(tmp_path: Path, born: str, thing: str, told: bool) -> None:
    text = TEXT.replace("born: 2021-03, ", born).replace("name: Three hats", thing)
    more = text.partition("targets:")[2].replace("puts-on", "takes-off").replace("Puts it on", "Takes it off")
    (tmp_path / "case.yaml").write_text(text + more.lstrip("\n"), "utf-8")
    found = [
        f for f in workflow.check(tmp_path, SUNDAY) if "which by its name may have pieces" in f.sentence()
    ]
    assert [f.key for f in found] == ["material_sets.hats"] * told
    assert all("'Small beads'" in f.found and "L." in f.found for f in found)


def test_the_age_of_the_day_of_asking_decides(tmp_path: Path) -> None:
    text = TEXT.replace("born: 2021-03, ", "born: 2024-02, ").replace("Three hats", "Small beads")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    later = SUNDAY.replace(year=2027, month=3, day=1)
    assert not [
        f for f in workflow.check(tmp_path, later) if "which by its name may have pieces" in f.sentence()
    ]


@pytest.mark.parametrize(
    ("child", "thing", "told"),
    [
        ("mouths: yes, ", "name: Three hats, small_parts: yes", True),
        ("mouths: yes, ", "name: Three hats, small_parts: no", False),
        ("", "name: Three hats, small_parts: yes", False),
        ("", "name: Three hats, hazards: [magnet]", True),
    ],
)
def test_what_can_no_longer_be_reached_names_the_thing_and_what_to_do(
    tmp_path: Path, child: str, thing: str, told: bool
) -> None:
    text = TEXT.replace("born: 2021-03, ", f"born: 2021-03, {child}").replace("name: Three hats", thing)
    text = text.replace("cover: all", "cover: all, generalised_when: {material_sets: 2}")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    found = [f for f in workflow.check(tmp_path, SUNDAY) if "can be reached" in f.found]
    assert len(found) == told
    for one in found:
        assert "no more than 1 can be reached: 'Three hats' may not be used with L." in one.found
        assert one.hint.startswith("name another thing for the skill in its place, or ask for fewer")
        assert one.hint.endswith("What was run with it stays written down")
