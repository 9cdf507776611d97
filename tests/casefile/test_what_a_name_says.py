"""Marbles, fridge magnets, a singing card and a balloon count as what they are called until somebody has looked: in the
week, in the auditor's rule, in what is checked, in a copy in other words, in the start and in a sheet."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from genplan import workflow
from genplan.audit.possible import is_possible
from genplan.case import Case
from genplan.case.cautions import CautionKind, cautions_for
from genplan.case.possible import Rule, kept_from, possible_combinations
from genplan.casefile import load
from genplan.casefile.small_words import hazards_named
from genplan.start.case_text import case_text
from genplan.start.first_week import remarks
from genplan.start.problems import problems
from genplan.start.screens import SCREENS
from genplan.text.obstacles import obstacle_text
from tests.fixtures.given_tables import SHEETS
from tests.fixtures.small_case import SUNDAY, TEXT, WEEK, silent
from tests.fixtures.start_answers import HOURS, TODAY, answered
from tests.tables.test_left_to_guess import case_of, read

TWO = "born: 2024-05"
FIVE = "born: 2021-03"
MOUTHS = "born: 2021-03, mouths: yes"
UNKNOWN = "away: []"


@pytest.mark.parametrize(
    ("name", "hazards"),
    [
        ("Fridge magnets", "magnet"),
        ("Magnetic letters", "magnet"),
        ("Magnetbuchstaben", "magnet"),
        ("Kühlschrankmagnete", "magnet"),
        ("Singing card", "button-cell"),
        ("Singing birthday card", "button-cell"),
        ("Singende Geburtstagskarte", "button-cell"),
        ("Zwei LED-Teelichter", "button-cell"),
        ("Fernbedienung", "button-cell"),
        ("TV remote", "button-cell"),
        ("Key finder", "button-cell"),
        ("Balloon", "balloon"),
        ("Rote Luftballons", "balloon"),
        ("Balloons and a fridge magnet", "balloon magnet"),
        ("Fridge magnits", "magnet"),
        ("Kühlschrankmagnete und Magnte", "magnet"),
        ("Toy with buton cells", "button-cell"),
        ("Knopfzelen", "button-cell"),
        ("Laser pointer", "button-cell"),
        ("Sprechende Bücher", "button-cell"),
        ("Singing book", "button-cell"),
        ("Two baloons", "balloon"),
        ("Signing cards", ""),
        ("Taking turns card", ""),
        ("Growing cards", ""),
        ("Ballot box", ""),
        ("Balkon", ""),
        ("Magazine", ""),
        ("Picture cards", ""),
        ("A song and a card", ""),
        ("Musical instruments and cards", ""),
        ("Ball", ""),
        ("Kerze", ""),
        ("Teelicht", ""),
        ("A red car", ""),
        ("Die große Karte", ""),
    ],
)
def test_what_a_name_says_is_in_a_thing(name: str, hazards: str) -> None:
    assert hazards_named(name) == set(hazards.split())


def _folder(path: Path, child: str, thing: str) -> Path:
    text = TEXT.replace("born: 2021-03", child).replace("{name: Three hats}", f"{{{thing}}}")
    path.mkdir(parents=True, exist_ok=True)
    (path / "case.yaml").write_text(text, "utf-8")
    return path


def _case(folder: Path) -> Case:
    case = load(folder).case
    assert case is not None
    return case


KEPT = [
    (TWO, "name: Marbles", Rule.SMALL_PART),
    (MOUTHS, "name: Marbles", Rule.SMALL_PART),
    (FIVE, "name: Marbles", None),
    (UNKNOWN, "name: Marbles", None),
    (TWO, "name: 'Marbles', small_parts: no", None),
    (TWO, "name: Marbles, 'dimensions_mm': [60, 60, 60]", None),
    (TWO, "name: Two cups", None),
    (TWO, "name: Fridge magnets", Rule.HAZARD),
    (FIVE, "name: Fridge magnets", Rule.HAZARD),
    (TWO, "name: 'Fridge magnets', small_parts: no", Rule.HAZARD),
    (TWO, "name: 'Fridge magnets', free_of: [magnet]", None),
    (FIVE, "name: Singing birthday card", Rule.HAZARD),
    (FIVE, "name: 'Singing birthday card', free_of: [magnet]", Rule.HAZARD),
    (FIVE, "name: 'Singing birthday card', free_of: [button-cell]", None),
    (TWO, "name: Balloon", None),
]


@pytest.mark.parametrize(("child", "thing", "rule"), KEPT)
def test_it_is_kept_from_the_child_until_somebody_has_looked(
    tmp_path: Path, child: str, thing: str, rule: Rule | None
) -> None:
    """By the planner and the auditor, and in a copy in other words, whose names say nothing."""
    written = _folder(tmp_path / "case", child, thing)
    workflow.share_copy(written, tmp_path / "copy", SUNDAY, silent, shift_weeks=0)
    today = SUNDAY.date()
    for folder in (written, tmp_path / "copy"):
        case = _case(folder)
        (target,) = case.targets.values()
        there = possible_combinations(case, target, today)
        assert len(there) == (4 if rule else 8)
        assert set(there) == {c for c in target.combinations() if is_possible(case, target, c, today)}
    case = _case(written)
    (target,) = case.targets.values()
    against = kept_from(case, target, "hats", today)
    assert (against.rule if against else None) == rule
    assert against is None or ("by its name 'Marbles'" in obstacle_text(case, against)) is (
        "Marbles" in thing
    )
    told = [f.sentence() for f in workflow.check(written, SUNDAY) if f.key == "material_sets.hats"]
    assert any("is not planned for L." in s or "is planned for nobody" in s for s in told) is bool(rule)


@pytest.mark.parametrize(("child", "planned"), [(TWO, False), (FIVE, True)])
def test_a_week_holds_no_marbles_for_a_child_who_is_too_young(
    tmp_path: Path, child: str, planned: bool
) -> None:
    plan = workflow.plan(_folder(tmp_path, child, "name: Marbles"), WEEK, SUNDAY, None, silent).plan
    used = {value for s in plan.sittings for p in s.probes for value in p.combination}
    assert "boots" in used
    assert ("hats" in used) is planned


def _cautions(folder: Path) -> list[tuple[CautionKind, tuple[str, ...]]]:
    case = _case(folder)
    found = cautions_for(case, case.learners["lark"], ["hats"], "home", date(2026, 11, 30))
    return [(c.kind, c.found) for c in found if c.material_set]


def test_what_an_adult_is_told_of_a_thing_goes_by_its_name_and_by_what_is_known(tmp_path: Path) -> None:
    unknown, balloon = (CautionKind.SIZE_UNKNOWN, ()), (CautionKind.HAZARD, ("balloon",))
    assert _cautions(_folder(tmp_path / "a", TWO, "name: Balloon")) == [unknown, balloon]
    assert _cautions(_folder(tmp_path / "b", TWO, "name: Balloon, hazards: [balloon]")) == [unknown, balloon]
    assert _cautions(_folder(tmp_path / "c", TWO, "name: Balloon, free_of: [balloon]")) == [unknown]
    # what is known to hold a button cell is not said to be unknown
    cell = (CautionKind.HAZARD, ("button-cell",))
    assert _cautions(_folder(tmp_path / "d", TWO, "name: A card, hazards: [button-cell]")) == [cell]
    assert _cautions(_folder(tmp_path / "e", FIVE, "name: Marbles")) == []


def _start(cautions: str, name: str) -> list[str]:
    answers = answered(
        children=[{"name": "Wren", "born": "2020-02", "hours": HOURS}],
        things=[{"name": "Two hats", "cautions": "none"}, {"name": name, "cautions": cautions}],
        skills=[{"name": "Gives", "correct": "Three"}],
    )
    return [p.sentence for s in SCREENS for p in problems(s, answers, TODAY)]


def test_the_start_asks_of_a_magnet_and_of_a_button_cell() -> None:
    (told,) = _start("", "Fridge magnets")
    assert (
        "Wren is kept from: Fridge magnets (by its name it may hold a magnet a child could get hold of"
        in told
    )
    (told,) = _start("", "Singende Karte")
    assert "a button cell a child could get hold of, and nothing was said of that" in told
    told, asked = _start("none", "Fridge magnets")
    assert "By its name this may be in Fridge magnets" in asked
    assert "a magnet a child could get hold of, and nothing was said of that" in told
    assert not _start("none\nno-magnet", "Fridge magnets")
    assert not _start("", "Two cups")


def test_what_the_start_was_told_stands_in_the_case() -> None:
    """What a name says is answered by the answer that names it alone."""
    things = [
        {"name": "Two hats", "cautions": "none"},
        {"name": "Fridge magnets", "cautions": "none"},
        {"name": "Paper magnets", "cautions": "none\nno-magnet"},
    ]
    text = case_text(answered(things=things), "abcdefghjkmn")
    assert [text.count(f"free_of: [{x}]") for x in ("button-cell, magnet", "button-cell")] == [2, 1]


def test_the_start_says_what_a_balloon_can_do() -> None:
    things = [{"name": "Two hats", "cautions": "none"}, {"name": "Balloon", "cautions": "none"}]
    skills = [{"name": "Gives", "correct": "Three"}]
    answers = answered(things=things, skills=skills)
    assert any("there is a balloon in: Balloon." in s for s in remarks(answers))
    assert not any("balloon" in s for s in remarks(answered(things=things[:1])))


@pytest.mark.parametrize(
    ("cell", "looked"),
    [
        ("Magnet", "magnet"),
        ("Fridge magnets", "magnet"),
        ("Knopfzelle, magnet", "button-cell magnet"),
        ("button cell", "button-cell"),
        ("Ei, Luftballon", "egg balloon"),
    ],
)
def test_a_sheet_says_that_somebody_looked(tmp_path: Path, cell: str, looked: str) -> None:
    read(tmp_path, {**SHEETS, "things": [["name", "free_of"], ["Cups", cell]]})
    assert case_of(tmp_path).material_sets["cups"].free_of == set(looked.split())
    assert "other_allergens" not in (tmp_path / "case" / "case.yaml").read_text("utf-8")


def test_a_child_does_not_avoid_a_magnet_by_a_word_for_what_a_thing_may_hold(tmp_path: Path) -> None:
    """`free_of` alone takes these words."""
    folder = _folder(tmp_path, f"{FIVE}, allergens: [magnet]", "name: Two cups")
    assert [f.found for f in workflow.check(folder, SUNDAY) if f.key.startswith("learners.lark.allergens")]
    folder = _folder(tmp_path, FIVE, "name: Two cups, free_of: [cord]")
    assert [f.found for f in workflow.check(folder, SUNDAY) if f.key.startswith("material_sets.hats.free_of")]
