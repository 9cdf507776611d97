"""A thing whose name says what a child must not have, and that is not said to hold it, is asked about."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case.possible import kept_away, obstacle
from genplan.casefile import load
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.at_any_age import possible_at_any_age
from genplan.casefile.small_words import usually_small
from genplan.start.answers import Answers, Entry
from genplan.start.case_text import case_text
from genplan.start.problems import problem_of
from genplan.start.screens import group_of
from tests.fixtures.places import EXAMPLES
from tests.fixtures.small_case import SUNDAY, TEXT, WEEK, silent
from tests.fixtures.start_answers import answered


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("Egg sandwich, cut up", {"egg"}),
        ("Pancakes with eggs", {"egg"}),
        ("Milchreis", {"milk"}),
        ("Rühreier", {"egg"}),
        ("Peanut puffs", {"peanut"}),
        ("A tin for the long way to the park with peanut puffs", {"peanut"}),
        ("cheese and crackers", {"milk"}),
        ("Leggings", set()),
        ("Veggie sticks", set()),
        ("Dough of rice flour", set()),
        ("Coconut milk", set()),
        ("Red coat with zip", set()),
        ("Five-minute timer", set()),
    ],
)
def test_a_name_says_what_it_says(name: str, says: set[str]) -> None:
    assert set(named_in(name)) == says


@pytest.mark.parametrize(
    ("name", "may_hold"),
    [
        ("Rührei", {"egg"}),
        ("Spiegelei", {"egg"}),
        ("Osterei", {"egg"}),
        ("Pfannkuchen", {"egg", "milk", "wheat"}),
        ("Apple pancakes", {"egg", "milk", "wheat"}),
        ("Custard", {"egg", "milk"}),
        ("Ice cream", {"egg", "milk"}),
        ("Formula", {"milk"}),
        ("Mashed potato", {"milk"}),
        ("Crackers", {"milk", "wheat"}),
        ("Tomato soup", {"milk"}),
        ("Cheese sandwich", {"milk", "wheat"}),
        ("Sweets", {"milk"}),
        ("Ice lolly", {"milk"}),
        ("penut puffs", {"nuts", "peanut"}),
        ("Erdnus", {"peanut"}),
        ("hazlenut spread", {"nuts", "tree-nuts"}),
        ("Haselnus", {"tree-nuts"}),
        ("Barely used ball", set()),
        ("Der dunkle Mantel und ein Hammer", set()),
        ("Frische Blumen", set()),
        ("Kreise und Linien", set()),
        ("Kartoffelbrei", {"milk"}),  # no egg: its `ei` is no word
        ("Haferbrei", {"gluten", "milk"}),
        ("Müsli", {"gluten", "milk", "tree-nuts"}),
        ("Eierbrei", {"milk"}),  # and says egg outright
        ("Hühnerei", {"egg"}),
        ("Drei Bälle", set()),
        ("Buch aus der Bücherei", set()),
        ("Zuckerfreies Allerlei", set()),
        ("Kartoffelpüree", {"milk"}),
        ("Gemüsesuppe", {"milk"}),
        ("Haferkekse", {"egg", "milk", "tree-nuts", "wheat"}),
        ("Säuglingsnahrung", {"milk"}),
        ("Soup spoon", set()),
        ("Suppenlöffel", set()),
        ("Sweets box", set()),
        ("Keksdose", set()),
        ("Christmas cracker", set()),
        ("Formula 1 car", set()),
        ("Butterbrot", {"milk", "wheat"}),
        ("Bäckerei aus Holz", set()),
        ("Malerei", set()),
        ("Bleistift", set()),
        ("Papagei", set()),
        ("Reis", set()),
        ("Two red coats", set()),
        ("Paper boats", set()),
        ("Butterfly net", set()),
        ("Coding blocks", set()),
        ("Rühreier", set()),
    ],
)
def test_what_usually_holds_an_allergen_is_asked_about(name: str, may_hold: set[str]) -> None:
    assert set(may_be_in(name)) == may_hold - set(named_in(name))


@pytest.mark.parametrize(
    "name",
    [
        "Nutshell puzzle",
        "Brother's jacket",
        "Toy toaster",
        "Wooden clamp",
        "Gregg's hat",
        "Nutrition cards",
        "Battery box",
        "Geier-Puppe",
        "Schleier",
        "Maltafel",
        "Malte und die Eisenbahn",
        "Bahnsteig",
        "Breites Band",
        "Fischerboot",
        "Frau Meiers Tasche",
        "Gemaltes Bild",
        "Geburtstagsfeier-Karten",
        "Bilderrahmen",
        "Formular",
        "Nussbaum-Brett",
        "Magnificent book",
        "Perlhuhn-Puzzle",
    ],
)
def test_of_what_is_called_so_nobody_would_ask(name: str) -> None:
    assert named_in(name) == may_be_in(name) == ()
    assert not usually_small(name)


@pytest.mark.parametrize(
    ("name", "allergen"),
    [
        ("Fisherman's pie", "fish"),
        ("Fischersuppe", "fish"),
        ("Mandelaufstrich", "tree-nuts"),
        ("Honigeier", "egg"),
        ("Hofeier", "egg"),
        ("Toaster waffles", "milk"),
        ("Malteserkugeln", "gluten"),
    ],
)
def test_a_word_of_something_else_hides_none(name: str, allergen: str) -> None:
    assert allergen in {*named_in(name), *may_be_in(name)}


@pytest.mark.parametrize(
    ("name", "holds", "asked"),
    [
        ("Rührei", "", True),
        ("Rührei", "egg", False),
        ("Osterei", "-looked:egg+milk", False),
        ("Pancakes", "milk", True),
        ("Pancakes", "milk\n-looked:egg+milk", False),
        ("Egg sandwich", "-looked:egg+milk", True),
        ("Pancakes", "milk\n-looked:milk", True),
        ("Lunch box", "-looked:milk", True),
        ("Lunch box", "egg\n-looked:milk", False),
        ("Lunch box", "-looked", True),
        ("Lunch box", "-looked:egg+milk", False),
    ],
)
def test_nothing_that_may_hold_an_egg_goes_by_unasked(name: str, holds: str, asked: bool) -> None:
    thing = Entry("m1", {"name": name, "holds": holds})
    child = Entry("c1", {"name": "Ada", "allergies": "Ei, Milch"})
    answers = Answers().with_entries("children", [child]).with_entries("things", [thing])
    question = group_of("things").question("holds")
    assert bool(problem_of(question, thing, answers, date(2026, 11, 28), "things")) is asked


@pytest.mark.parametrize(
    ("holds", "written"), [("-looked:egg", "free_of: [egg]"), ("egg\n-looked:egg", "allergens: [egg]")]
)
def test_that_somebody_looked_stands_in_the_case(holds: str, written: str) -> None:
    answers = answered(
        children=[{"name": "Ada", "born": "2019-01", "hours": "mon-fri 3-6pm", "allergies": "egg"}],
        things=[{"name": "Osterei", "holds": holds}, {"name": "Cups"}],
    )
    assert written in case_text(answers, "abcdefghjkmn").partition("material_sets:")[2]


@pytest.mark.parametrize("looked", [False, True])
def test_check_asks_about_a_dish_until_somebody_looked(tmp_path: Path, looked: bool) -> None:
    case = Path(shutil.copytree(EXAMPLES / "family", tmp_path / "case"))
    known = load(case).case
    assert known is not None
    name = known.material_sets["bar-soap"].name
    text = (case / "case.yaml").read_text("utf-8")
    [line] = (x for x in text.splitlines() if x.startswith("  bar-soap:"))
    dish = line.replace(name, "Pfannkuchen")
    (case / "case.yaml").write_text(
        text.replace(line, dish if looked else dish.replace(", allergens: []", "")), "utf-8"
    )
    told = [f for f in load(case).findings if f.key == "material_sets.bar-soap"]
    assert len(told) == (0 if looked else 1)
    assert all("may hold 'egg'" in f.found and "'free_of'" in f.hint for f in told)


def _told(tmp_path: Path, children: str, thing: str) -> list[str]:
    """Of a case with these lines of children and this thing."""
    targets = (
        f"eats-{c}: {{learner: {c}, correct_when: Eats}}" for c in ("ada", "ben") if f"{c}: " in children
    )
    text = f"""format: 1
timezone: Europe/Dublin
policy: caseload
learners: {{{children}}}
adults: {{mum: {{name: Mum, learners: all, free: {{daily: "09:00-17:00"}}}}}}
locations: {{home: {{name: Home}}, park: {{name: Park}}}}
material_sets:
  food: {{{thing}}}
targets: {{{", ".join(targets)}}}
"""
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    loaded = load(tmp_path)
    assert loaded.case is not None, [f.sentence() for f in loaded.findings]
    return [f.sentence() for f in loaded.findings if not f.key.startswith("targets")]


ADA, BEN = (
    f'{id_}: {{name: {id_.capitalize()}, allergens: [%s], free: {{mon: "09:00-12:00"}}}}'
    for id_ in ("ada", "ben")
)


@pytest.mark.parametrize(
    ("avoided", "in_doubt"),
    [
        ("nuts", True),
        ("nuts, tree-nuts", True),
        ("nuts, peanut", False),
        ("tree-nuts", False),
        ("peanut", False),
    ],
)
def test_a_case_is_asked_once_which_nuts_a_child_must_not_have(
    tmp_path: Path, avoided: str, in_doubt: bool
) -> None:
    """It keeps both kinds away until then."""
    told = _told(tmp_path, ADA % avoided, "name: Cups")
    assert [("case.yaml:4" in s, "[nuts, peanut]" in s) for s in told] == [(True, True)] * in_doubt


@pytest.mark.parametrize(
    ("avoided", "in_doubt"),
    [("peanut", True), ("nuts, peanut", False), ("peanut, tree-nuts", False), ("egg", False)],
)
def test_which_nuts_a_thing_holds_is_asked_where_a_child_must_not_have_some(
    tmp_path: Path, avoided: str, in_doubt: bool
) -> None:
    told = _told(tmp_path, ADA % avoided, "name: Trail bag, allergens: [nuts]")
    assert ["case.yaml:8" in s and "kept from A." in s for s in told] == [True] * in_doubt


@pytest.mark.parametrize(
    ("thing", "told"),
    [
        ("name: Pancakes, allergens: [egg]", ["'milk'"]),
        ("name: Pancakes, allergens: [egg], free_of: [milk]", []),
        ("name: Pancakes, allergens: []", []),
        ("name: Pancakes", ["'egg'", "'milk'"]),
        ("name: Milk carton, allergens: []", ["'milk'"]),
        ("name: Milk carton, free_of: [milk]", []),
    ],
)
def test_what_was_said_for_one_child_says_nothing_for_another(
    tmp_path: Path, thing: str, told: list[str]
) -> None:
    """Who wrote `egg` for Ada did not look for the milk that Ben must not have."""
    sentences = _told(tmp_path, f"{ADA % 'egg'}, {BEN % 'milk'}", thing)
    assert len(sentences) == len(told)
    assert all(any(allergen in s for s in sentences) for allergen in told)


@pytest.mark.parametrize("avoided", ["peanut", "nuts"])
def test_a_thing_that_is_called_a_peanut_is_told_whatever_its_list_says(tmp_path: Path, avoided: str) -> None:
    told = _told(tmp_path, f"{ADA % avoided}, {BEN % avoided}", "name: Peanut butter sandwich, allergens: []")
    about_it = [s for s in told if "Peanut butter sandwich" in s]
    assert len(about_it) == 1
    assert "by its name holds 'peanut': it is kept from A." in about_it[0]


@pytest.mark.parametrize(
    ("says", "is_kept"), [("", True), ("allergens: []", True), ("free_of: [peanut]", False)]
)
def test_what_holds_it_by_its_name_is_kept_from_the_child_until_somebody_has_looked(
    tmp_path: Path, says: str, is_kept: bool
) -> None:
    """In the week, in the reason and in a copy in other words, whose names say nothing."""
    thing = f"{{name: Peanut butter toast, {says}}}"
    text = TEXT.replace("{name: Three hats}", thing).replace("born:", "allergens: [peanut], born:")
    written, copy = tmp_path / "case", tmp_path / "copy"
    written.mkdir()
    (written / "case.yaml").write_text(text, "utf-8")
    workflow.share_copy(written, copy, SUNDAY, silent)
    for folder in (written, copy):
        case = load(folder).case
        assert case is not None
        (target,) = case.targets.values()
        kept = [c for c in target.combinations() if obstacle(case, target, c, SUNDAY.date())]
        assert kept == [c for c in target.combinations() if not possible_at_any_age(case, target, c)]
        named = [m.id for m in case.material_sets.values() if m.holds]
        assert kept == [c for c in target.combinations() if is_kept and c[2] in named]
        assert len(kept) == (4 if is_kept else 0)
    plan = workflow.plan(written, WEEK, SUNDAY, None, silent).plan
    assert any("hats" in p.combination for s in plan.sittings for p in s.probes) is not is_kept


@pytest.mark.parametrize(("holds", "refused"), [("", True), ("egg", False)])
def test_a_thing_that_is_called_an_egg_is_not_said_to_hold_none(holds: str, refused: bool) -> None:
    thing = Entry("m1", {"name": "Egg sandwich", "holds": holds})
    child = Entry("c1", {"name": "Ada", "allergies": "eggs"})
    answers = Answers().with_entries("children", [child]).with_entries("things", [thing])
    question = group_of("things").question("holds")
    sentence = problem_of(question, thing, answers, date(2026, 11, 28), "things")
    assert ("The name says egg" in sentence) is refused


def test_check_warns_of_it_in_a_written_case(tmp_path: Path) -> None:
    """The child of the example must have no egg; its soap is called an egg now."""
    case = Path(shutil.copytree(EXAMPLES / "family", tmp_path / "case"))
    known = load(case).case
    assert known is not None
    assert known.learners["ines"].allergens == {"egg"}
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(
        text.replace(known.material_sets["bar-soap"].name, "Soap like a boiled egg"), "utf-8"
    )
    warning, *follow = load(case).findings
    # and that hands washed with it no longer count as reached
    wanted = "targets.washes-hands.generalised_when"
    assert [f.key for f in follow] == [f"{wanted}.locations", f"{wanted}.material_sets"]
    assert warning.key == "material_sets.bar-soap"
    assert "'Soap like a boiled egg'" in warning.found


@pytest.mark.parametrize(
    ("boots", "hats", "unsaid"),
    [
        ("free_of: [milk]", "", "Three hats"),
        ("", "", "Two boots and Three hats"),
        ("free_of: [milk]", ", free_of: [milk]", ""),
        ("free_of: [milk]", ", allergens: []", ""),
        ("free_of: [milk]", ", allergens: [milk]", ""),
        ("free_of: [egg]", "", "Two boots and Three hats"),
    ],
)
def test_check_says_of_which_thing_nobody_said_whether_it_holds_the_allergen(
    tmp_path: Path, boots: str, hats: str, unsaid: str
) -> None:
    """Whether or not it was said of another thing of the child."""
    text = TEXT.replace("{name: Three hats}", f"{{name: Three hats{hats}}}").replace(
        "born:", "allergens: [milk], born:"
    )
    text = text.replace("boots: {", f"boots: {{{boots}, " if boots else "boots: {")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    found = [f.found for f in workflow.check(tmp_path, SUNDAY) if f.found.startswith("nobody said whether")]
    expected = f"nobody said whether there is any milk in: {unsaid}; it may be planned for L. all the same"
    assert found == [expected] * bool(unsaid)


@pytest.mark.parametrize(
    ("says", "both"),
    [
        ("allergens: [milk, egg], free_of: [milk]", "'milk'"),
        ("hazards: [magnet], free_of: [magnet]", "'magnet'"),
        ("allergens: [egg], free_of: [milk]", ""),
        ("allergens: [milk]", ""),
    ],
)
def test_what_a_thing_holds_and_is_free_of_is_told_and_counts_as_held(
    tmp_path: Path, says: str, both: str
) -> None:
    """Also where nobody is allergic to it yet."""
    for avoided in ("", "allergens: [milk], "):
        text = TEXT.replace("{name: Three hats}", f"{{name: Three hats, {says}}}").replace(
            "born:", f"{avoided}born:"
        )
        (tmp_path / "case.yaml").write_text(text, "utf-8")
        found = [f for f in workflow.check(tmp_path, SUNDAY) if "free of it" in f.found]
        assert [f.found for f in found] == [
            f"'Three hats', which is said to hold {both} and to be free of it: it counts as holding it"
        ] * bool(both)
        case = load(tmp_path).case
        assert case is not None
        (learner,) = case.learners.values()
        kept = {
            kept_away(learner, t, SUNDAY.date()) is not None
            for t in case.material_sets.values()
            if "hats" in t.name
        }
        assert kept == {bool(both == "'magnet'" or (avoided and "[milk" in says.partition("free_of")[0]))}
