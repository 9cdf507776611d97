"""What a child is allergic to, as it is typed: a known name, or one of the case's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.case.safety import ALLERGENS
from genplan.casefile import load
from genplan.casefile.allergen_words import WORDS
from genplan.casefile.diagnostics import InvalidValue
from genplan.language import speaking
from genplan.language.catalogues import LANGUAGES, Speech
from genplan.start.allergies import read_allergies
from genplan.start.asked_about_places import THINGS
from genplan.start.case_text import case_text
from genplan.start.problems import problems
from genplan.start.reading import worded
from genplan.start.screens import SCREENS
from genplan.start.summary import allergies_words
from genplan.text.obstacles import allergens_text
from tests.fixtures.start_answers import HOURS, TODAY, answered


@pytest.mark.parametrize(
    "typed", ["strawberry", "Strawberries, egg", 'kiwi and "12"', "null", "è", 'yes; "other"']
)
def test_an_allergy_that_is_not_known_is_one_of_the_cases_own(tmp_path: Path, typed: str) -> None:
    answers = answered(children=[{"name": "Wren", "hours": HOURS, "allergies": typed}])
    assert [p for s in SCREENS for p in problems(s, answers, TODAY)] == []
    text = case_text(answers, "abcdefghjkmn")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    loaded = load(tmp_path)
    assert loaded.case is not None, [f.sentence() for f in loaded.findings]
    names = loaded.case.learners["wren"].allergens
    assert names == set(read_allergies(typed))
    assert names - ALLERGENS
    assert f"other_allergens: [{', '.join(n for n in read_allergies(typed) if n not in ALLERGENS)}]" in text


@pytest.mark.parametrize(
    ("typed", "known"), [("almond", "tree-nuts"), ("Walnuts", "tree-nuts"), ("prawn", "crustaceans")]
)
def test_one_or_many_of_a_known_kind_are_that_kind(typed: str, known: str) -> None:
    assert read_allergies(typed) == (known,)


@pytest.mark.parametrize(
    ("typed", "known"),
    [
        ("Erdnüsse, Ei", ("peanut", "egg")),
        ("Milch und Schalenfrüchte", ("milk", "tree-nuts")),
        ("keine", ()),
        ("Weizen", ("wheat",)),
    ],
)
def test_a_known_allergy_is_known_in_every_language(typed: str, known: tuple[str, ...]) -> None:
    """An egg is an egg whatever it is called: a thing that holds one is never planned for a child that must not."""
    assert read_allergies(typed) == known


def test_a_known_allergy_at_the_end_of_a_long_line_is_not_cut_off() -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies("a really very severe allergy against all peanuts")
    assert "Is it 'peanut'?" in asked.value.hint
    (own,) = read_allergies('"the blue cleaning fluid that stands in the cupboard"')
    assert own == "the-blue-cleaning-fluid-that"


def test_the_words_for_allergies_are_of_those_that_are_known() -> None:
    assert WORDS.keys() == ALLERGENS


@pytest.mark.parametrize(
    "typed", ["nuts", "egg and nuts", "severe nut allergy", "Ei und Nüsse", "Nussallergie"]
)
def test_whether_nuts_are_peanuts_too_is_asked(typed: str) -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies(typed)
    assert "Peanuts, too?" in asked.value.hint
    assert read_allergies("nuts, peanut") == ("tree-nuts", "peanut")
    assert read_allergies("tree nuts") == ("tree-nuts",)


def test_a_word_of_two_allergies_is_asked_about() -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies("Schalentiere")
    assert "crustaceans" in asked.value.hint
    assert "molluscs" in asked.value.hint


@pytest.mark.parametrize(
    ("typed", "known"),
    [
        ("egg allergy", ("egg",)),
        ("Allergic to egg", ("egg",)),
        ("egg and kiwi", ("egg", "kiwi")),
        ("eggs/milk", ("egg", "milk")),
        ("Eiallergie", ("egg",)),
        ("Ei-Allergie", ("egg",)),
        ("Hühnerei", ("egg",)),
        ("Haselnussallergie", ("tree-nuts",)),
        ("Muschelallergie", ("molluscs",)),
        ("no eggs", ("egg",)),
        ("kiwi allergy", ("kiwi",)),
        ("no allergies", ()),
        ("keine Allergien", ()),
        ('"coconut"', ("coconut",)),
        ('"egg"', ("egg",)),
    ],
)
def test_a_known_word_among_others_is_the_known_one(typed: str, known: tuple[str, ...]) -> None:
    """`egg-allergy` as a name of its own would keep no egg away from the child."""
    assert read_allergies(typed) == known


@pytest.mark.parametrize(
    ("typed", "asked_about"),
    [
        ("egg kiwi", "egg"),
        ("coconut", "nuts"),
        ("Wachtelei", "egg"),
        ("peanut butter", "peanut"),
        ("no egg allergy", "egg"),
        ("all nuts except almonds", "nuts"),
        ("Eipulver", "egg"),
        ("egg powder", "egg"),
        ("Volleipulver", "egg"),
        ("Milchpulver", "milk"),
        ("powdered milk", "milk"),
        ("Vollmilchschokolade", "milk"),
        ("cheese", "milk"),
        ("whey", "milk"),
        ("Lachs", "fish"),
        ("Sesamöl", "sesame"),
        ("wallnuts", "nuts"),
    ],
)
def test_what_may_hold_a_known_one_is_asked_about(typed: str, asked_about: str) -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies(typed)
    assert asked_about in asked.value.hint


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("none (but no strawberries)", "strawberries"),
        ("none except strawberries", "strawberries"),
        ("none strawberries", "strawberries"),
        ("only kiwi", "kiwi"),
        ("none apart from kiwi", "kiwi"),
        ("kiwi since 2025", "kiwi"),
        ("maybe kiwi", "kiwi"),
        ("außer Kiwi", "kiwi"),
        ("nur Kiwi", "kiwi"),
        ("bis auf Kiwi", "kiwi"),
        ("keine, aber Erdbeeren", "erdbeeren"),
        ("kein Kiwi, aber Mango", "mango"),
        ("Kiwi seit 2024", "kiwi"),
    ],
)
def test_an_exception_is_no_name_and_is_asked_about(typed: str, name: str) -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies(typed)
    assert f"Is it '{name}' that is not to be met?" in asked.value.hint


@pytest.mark.parametrize(
    "typed",
    ["egg, none since 2025", "severe: peanut, EpiPen", "carries an Epi-Pen", "E120", "Ei, Notfallset"],
)
def test_a_remark_is_no_name(typed: str) -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies(typed)
    assert "in quotation marks" in asked.value.hint


@pytest.mark.parametrize("typed", ["none; kiwi", "egg, nil", "Ei, keine"])
def test_none_beside_a_name_is_asked_about(typed: str) -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies(typed)
    assert "write none and nothing else" in asked.value.hint


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("severe kiwi allergy", ("kiwi",)),
        ("schwer: Kiwi", ("kiwi",)),
        ('"E120"', ("e120",)),
        ("no kiwi", ("kiwi",)),
    ],
)
def test_what_changes_nothing_about_a_name_is_left_out(typed: str, names: tuple[str, ...]) -> None:
    assert read_allergies(typed) == names


@pytest.mark.parametrize(
    ("other", "typed", "asked"),
    [
        ("kiwi", "kiwi juice", True),
        ("strawberry", "strawberries", True),
        ("Erdbeere", "Erdbeeren", True),
        ("kiwi", '"kiwi juice"', False),
        ("kiwi", "mango", False),
        ("kiwi", "kiwi", False),
    ],
)
def test_a_name_in_which_the_one_of_another_child_stands_is_asked_about(
    other: str, typed: str, asked: bool
) -> None:
    children = [
        {"name": "Ada", "hours": HOURS, "allergies": other},
        {"name": "Ben", "hours": HOURS, "allergies": typed},
    ]
    answers = answered(children=children)
    told = [p.sentence for s in SCREENS for p in problems(s, answers, TODAY) if p.question == "allergies"]
    assert any(f"Is it '{other.lower()}'?" in sentence for sentence in told) is asked


def test_of_two_names_around_a_remark_none_is_offered() -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies("fruit except strawberries")
    assert asked.value.hint.startswith("Write only what is not to be met")
    assert "fruit strawberries" not in asked.value.hint


def test_what_was_understood_is_said() -> None:
    assert allergies_words(("egg", "kiwi")).startswith("egg; and kiwi, which this program does not know")
    assert allergies_words(("egg", "milk")) == "egg, milk"
    assert allergies_words(()) == "no allergies"


def test_what_is_asked_back_is_understood_in_the_language_it_is_asked_in() -> None:
    for language in LANGUAGES:
        with speaking(Speech(language)):
            for name in ALLERGENS:
                names = ("tree-nuts", "peanut") if name == "nuts" else (name,)
                assert read_allergies(allergens_text((name,))) == names
            with pytest.raises(InvalidValue) as asked:
                read_allergies("Eipulver")
            assert f"'{allergens_text(('egg',))}'" in asked.value.hint


def test_a_thing_is_asked_about_in_a_question_that_can_be_read_aloud() -> None:
    answers = answered(
        children=[{"name": "Wren", "hours": HOURS, "allergies": "egg"}], things=[{"name": "Pancakes"}]
    )
    question, entry = THINGS.question("holds"), answers.entries("things")[0]
    assert worded(question.words, entry) == "Is any of this in Pancakes, or on it?"
    with speaking(Speech("de")):
        assert question.choices(answers)[0] == ("egg", "Ei")


@pytest.mark.parametrize(
    ("own", "childs", "warned"),
    [
        ("egg-allergy", "egg-allergy", True),
        ("egg-allergy", "egg-allergy, egg", False),
        ("egg-powder", "egg-powder", True),
        ("eipulver", "eipulver", True),
        ("milchpulver", "milchpulver", True),
        ("milchpulver", "milchpulver, milk", False),
        ("coconut", "coconut", False),
        ("kiwi", "kiwi", False),
    ],
)
def test_a_name_of_the_case_that_holds_a_known_word_is_warned_of(
    tmp_path: Path, own: str, childs: str, warned: bool
) -> None:
    answers = answered(
        children=[{"name": "Wren", "hours": HOURS, "allergies": "kiwi"}],
        things=[{"name": "Two cups", "cautions": "none", "holds": ""}],
    )
    top, _key, rest = case_text(answers, "abcdefghjkmn").partition("learners:")
    text = top.replace("[kiwi]", f"[{own}]") + "learners:" + rest.replace("[kiwi]", f"[{childs}]")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    loaded = load(tmp_path)
    assert loaded.case is not None, [f.sentence() for f in loaded.findings]
    told = [f.sentence() for f in loaded.findings if f"'{own}', which is another" in f.sentence()]
    assert bool(told) is warned
    assert all("case.yaml:" in sentence and "write that instead" in sentence for sentence in told)


@pytest.mark.parametrize(
    ("own", "meant"), [("egg-powder", "'egg'"), ("eipulver", "'egg'"), ("cheese", "'milk'")]
)
def test_an_unknown_name_that_holds_a_known_word_is_told_with_the_known_one(
    tmp_path: Path, own: str, meant: str
) -> None:
    """Who follows the other advice, to name it as an allergen of the case's own, is warned."""
    answers = answered(children=[{"name": "Wren", "hours": HOURS, "allergies": "egg"}])
    text = case_text(answers, "abcdefghjkmn").replace("allergens: [egg]", f"allergens: [{own}]")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    (told,) = [f.sentence() for f in load(tmp_path).findings if "unknown allergen" in f.sentence()]
    assert f"Did you mean {meant}?" in told
