"""No caution goes without a word: not by a form, another name, an earlier state or a sheet. What somebody looked for
belongs to the name that the thing had then."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import edit, load
from genplan.casefile.tree import Leaf, Node
from genplan.cli import main
from tests.fixtures.given_tables import csv_of
from tests.fixtures.small_case import SUNDAY, TEXT

SWALLOWED = "whether a piece could be swallowed"


def _folder(tmp_path: Path, thing: str, child: str = "", more: str = "") -> Path:
    folder = tmp_path / "case"
    folder.mkdir()
    text = TEXT.replace("{name: Three hats}", f"{{{thing}}}").replace("born:", f"{child}born:")
    (folder / "case.yaml").write_text(text + more, "utf-8")
    assert load(folder).case is not None
    return folder


def _put(folder: Path, path: tuple[str, str], may_go: bool = False, **keys: str | list[str] | None) -> None:
    thing = edit.thing(folder, path)
    assert isinstance(thing.node, dict)
    record: dict[str, Node] = dict(thing.node)
    for key, value in keys.items():
        record.pop(key, None)
        if value is not None:
            plain = key not in ("name",)
            record[key] = Leaf(value, plain) if isinstance(value, str) else [Leaf(v, True) for v in value]
    workflow.put_thing(folder, path, record, thing.digest, SUNDAY, lambda lost: may_go)


HATS, LARK = ("material_sets", "hats"), ("learners", "lark")


@pytest.mark.parametrize(
    ("thing", "path", "keys", "told"),
    [
        ("name: Hats, small_parts: yes", HATS, {"small_parts": "no"}, SWALLOWED),
        ("name: Hats, small_parts: yes", HATS, {"small_parts": None}, SWALLOWED),
        ("name: Marbles", HATS, {"name": "Blocks"}, SWALLOWED),
        ("name: Marbles", HATS, {"name": "Blocks", "small_parts": "no"}, SWALLOWED),
        ("name: Hats, allergens: [egg, milk]", HATS, {"allergens": ["egg"]}, "holds milk"),
        ("name: Hats, allergens: [nuts]", HATS, {"allergens": ["peanut"]}, "holds nuts"),
        ("name: Hats, hazards: [cord]", HATS, {"hazards": []}, "cord"),
        ("name: Fridge magnets", HATS, {"name": "Pictures"}, "a magnet"),
        ("name: Hats, min_age_months: 48", HATS, {"min_age_months": None}, "not for children under 48"),
        ("name: Hats", LARK, {"allergens": []}, "must keep away from peanut"),
        ("name: Hats", LARK, {"born": "2019-01"}, "when the child was born"),
        ("name: Hats", LARK, {"born": None}, "when the child was born"),
        ("name: Hats", LARK, {"mouths": "no"}, "everything still goes into the mouth"),
        # an answer to what its name says, a stricter word, and what is no caution
        ("name: Marbles", HATS, {"small_parts": "no"}, ""),
        ("name: Fridge magnets", HATS, {"free_of": ["magnet"]}, ""),
        ("name: Hats", HATS, {"small_parts": "no"}, ""),
        ("name: Hats, free_of: [egg]", HATS, {"free_of": []}, ""),
        ("name: Pancakes", HATS, {"allergens": []}, ""),
        ("name: Wafers", HATS, {"name": "Pancakes", "allergens": []}, ""),
        ("name: Hats, allergens: [nuts]", HATS, {"allergens": ["peanut", "tree-nuts"]}, ""),
        ("name: Hats, small_parts: no", HATS, {"name": "Caps"}, "Somebody looked at Hats"),
        ("name: Hats", LARK, {"born": "2025-01"}, ""),
        ("name: Hats", LARK, {"alias": "L"}, ""),
    ],
)
def test_a_form_takes_no_caution_away_without_a_word(
    tmp_path: Path,
    thing: str,
    path: tuple[str, str],
    keys: dict[str, str | list[str] | None],
    told: str,
) -> None:
    folder = _folder(tmp_path, thing, "mouths: yes, allergens: [peanut], ")
    before = (folder / "case.yaml").read_bytes()
    if told:
        with pytest.raises(workflow.CautionsWouldGo) as refused:
            _put(folder, path, **keys)
        assert len(refused.value.cautions) == 1
        assert told in refused.value.cautions[0]
        assert (folder / "case.yaml").read_bytes() == before
    _put(folder, path, may_go=bool(told), **keys)
    assert (folder / "case.yaml").read_bytes() != before


def test_that_it_holds_none_was_said_of_the_name_in_the_form(tmp_path: Path) -> None:
    """It stands in the form as it was, beside a name that asks."""
    folder = _folder(tmp_path, "name: Wafers, allergens: []")
    with pytest.raises(workflow.CautionsWouldGo, match="may hold egg, milk or wheat"):
        _put(folder, HATS, name="Pancakes")
    _put(folder, HATS, name="Pancakes", allergens=None)


def test_an_earlier_state_said_that_it_holds_none(tmp_path: Path) -> None:
    """It was found since that it may not be so."""
    folder = _folder(tmp_path, "name: Pancakes, allergens: []")
    _put(folder, HATS, allergens=None)
    with pytest.raises(workflow.CautionsWouldGo, match="Pancakes: whether it holds egg, milk or wheat"):
        workflow.go_back(folder, 1, SUNDAY)


@pytest.mark.parametrize(
    ("thing", "more", "name", "told"),
    [
        ("name: Marbles", "", "Blocks", SWALLOWED),
        ("name: Fridge magnets", "", "Pictures", "Fridge magnets: a magnet"),
        ("name: Cards, free_of: [magnet]", "", "Fridge magnets", "somebody looked"),
        ("name: Cards, free_of: [button-cell]", "", "Singing card", "somebody looked"),
        ("name: Cards, free_of: [egg]", "", "Egg sandwich", "somebody looked"),
        ("name: Wafers, allergens: []", "", "Pancakes", "may hold egg, milk or wheat. That somebody"),
        ("name: Wafers", "defaults: {material_sets: {allergens: []}}\n", "Pancakes", "may hold egg, milk or"),
        ("name: Blocks, small_parts: no", "", "Marbles", "was said, or measured, of Blocks"),
        ("name: 'Blocks', dimensions_mm: [60, 60, 60]", "", "Marbles", "was said, or measured, of Blocks"),
        ("name: Blocks", "defaults: {material_sets: {small_parts: no}}\n", "Marbles", "measured, of Blocks"),
        ("name: Cards, free_of: [magnet]", "", "Pictures", ""),
        ("name: Cards, free_of: [magnet]", "", "Singing cards", ""),
        ("name: Wafers, allergens: []", "", "Cups", ""),
        ("name: Wafers", "", "Pancakes", ""),
        ("name: Wafers, allergens: [soy]", "", "Pancakes", ""),
        ("name: Pancakes, allergens: []", "", "PANCAKES", ""),
        ("name: Blocks", "", "Marbles", ""),
        ("name: Marbles, small_parts: no", "", "MARBLES", ""),
    ],
)
def test_an_answer_belongs_to_a_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], thing: str, more: str, name: str, told: str
) -> None:
    folder = _folder(tmp_path, thing, more=more)
    before = (folder / "case.yaml").read_bytes()
    words = ["rename", str(folder), "hats", name, "--now", "2026-11-29T12:00"]
    if told:
        assert main(words) == 2
        said = capsys.readouterr().err
        assert told in said
        assert "add --cautions-too." in said
        assert (folder / "case.yaml").read_bytes() == before
        words.append("--cautions-too")
    assert main(words) == 0
    assert (folder / "case.yaml").read_bytes() != before


@pytest.mark.parametrize(
    ("thing", "child", "name", "asked"),
    [
        ("name: Picture book, small_parts: no", "mouths: yes, ", "Rod game", True),
        ("name: Picture book, free_of: [magnet]", "mouths: yes, ", "Rod game", True),
        ("name: Picture book, small_parts: no", "mouths: yes, ", "PICTURE  book", False),
        ("name: Picture book", "mouths: yes, ", "Rod game", False),
        ("name: Picture book, small_parts: yes", "mouths: yes, ", "Rod game", False),
        ("name: Picture book, small_parts: no", "", "Rod game", False),
    ],
)
def test_where_a_child_is_at_risk_a_thing_of_another_name_is_looked_at_anew(
    tmp_path: Path, thing: str, child: str, name: str, asked: bool
) -> None:
    """Whatever the new name is, in the form and by renaming; said once more, it may stay."""
    folder = _folder(tmp_path, thing, child)
    before = (folder / "case.yaml").read_bytes()
    if asked:
        with pytest.raises(
            workflow.CautionsWouldGo, match="Somebody looked at Picture book; look at this one"
        ):
            _put(folder, HATS, name=name)
        with pytest.raises(
            workflow.CautionsWouldGo, match="Somebody looked at Picture book; look at this one"
        ):
            workflow.rename(folder, "material_sets", "hats", name, SUNDAY)
        assert (folder / "case.yaml").read_bytes() == before
    _put(folder, HATS, may_go=asked, name=name)
    assert (folder / "case.yaml").read_bytes() != before


def test_what_is_never_tried_is_not_swapped_for_something_else(tmp_path: Path) -> None:
    """A wider pattern holds what a narrower one did; as many of others do not."""
    folder = _folder(tmp_path, "name: Hats")
    file = folder / "case.yaml"
    target = next(iter(load(folder).case.targets))  # type: ignore[union-attr]

    def write(never: str) -> None:
        thing = edit.thing(folder, ("targets", target))
        assert isinstance(thing.node, dict)
        pattern: Node = [{k: Leaf(v, True) for k, v in (p.split("=") for p in never.split())}]
        workflow.put_thing(
            folder, ("targets", target), {**thing.node, "never": pattern}, thing.digest, SUNDAY
        )

    write("adult=gran material_set=hats")
    write("material_set=hats")
    there = file.read_bytes()
    with pytest.raises(workflow.CautionsWouldGo, match="what is never to be tried"):
        write("material_set=boots")
    assert file.read_bytes() == there


def test_an_earlier_state_and_a_sheet_are_asked_about_too(tmp_path: Path) -> None:
    """Before the allergy was written; a sheet that was made before the nuts were found."""
    folder = _folder(tmp_path, "name: Hats")
    _put(folder, LARK, allergens=["peanut"])
    _put(folder, HATS, allergens=["peanut"], small_parts="yes")
    with pytest.raises(workflow.CautionsWouldGo) as refused:
        workflow.go_back(folder, 1, SUNDAY)
    assert len(refused.value.cautions) == 3
    sheets = {"things": [["name", "contains", "small parts"], ["Hats", "none", "no"]]}
    file = csv_of(tmp_path / "t", sheets)
    with pytest.raises(workflow.CautionsWouldGo) as refused:
        workflow.read_tables(folder, [file], SUNDAY, write=True)
    assert len(refused.value.cautions) == 2


def test_a_case_that_cannot_be_read_is_told_of_and_can_still_be_mended(tmp_path: Path) -> None:
    """Of what says nothing of cautions nobody is asked."""
    folder = _folder(tmp_path, "name: Hats")
    file = folder / "case.yaml"
    file.write_text(file.read_text("utf-8").replace("cover: all", "cover: some", 1), "utf-8")
    assert load(folder).case is None
    with pytest.raises(workflow.CautionsWouldGo, match="cannot be read as it is"):
        _put(folder, LARK, alias="L")
    _put(folder, LARK, may_go=True, alias="L")
    _put(folder, ("locations", "home"), name="Our home")
