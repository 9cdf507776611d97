"""Allergens and hazards stand on the forms in the language of whoever reads them, whatever words the case speaks."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from genplan.case.safety import ALLERGENS, HAZARDS
from genplan.text.obstacles import chosen_word
from tests.fixtures.local_server import form_fields, running

CASE = """format: 1
case_id: abcdefghjkmn
timezone: Europe/Dublin
language: de
words: {words}
other_hazards: [loud-noise]
learners:
  lark: {{free: {{mon: "15:00-18:00"}}, allergens: [tree-nuts]}}
adults:
  mum: {{free: {{mon: "15:00-18:00"}}}}
locations:
  home: {{}}
material_sets:
  cards: {{name: Karten, hazards: [button-cell], free_of: [balloon]}}
targets:
  names: {{learner: lark, name: Benennt, correct_when: benennt}}
"""


def labels(page: str, field: str) -> dict[str, str]:
    found = re.findall(rf'name="{field}" value="([^"]*)"[^>]*> ([^<]*)</label>', page)
    return {value: html.unescape(words) for value, words in found}


@pytest.mark.parametrize("words", ["plain", "trade"])
def test_what_can_be_chosen_is_said_in_german(tmp_path: Path, words: str) -> None:
    (tmp_path / "case.yaml").write_text(CASE.format(words=words), "utf-8")
    with running(tmp_path) as local:
        thing, child = (local.get(f"/case/{at}").text for at in ("material_sets/cards", "learners/lark"))
        for page, field in ((thing, "allergens"), (child, "allergens")):
            assert labels(page, field).keys() == ALLERGENS
            assert {labels(page, field)[a] for a in ("celery", "tree-nuts")} == {"Sellerie", "Schalenfrüchte"}
        watched = labels(thing, "hazards")
        assert watched == {
            "balloon": "Luftballon",
            "button-cell": "Knopfzelle",
            "cord": "Schnur",
            "heat": "etwas Heißes",
            "magnet": "Magnet",
            "sharp": "etwas Scharfes",
            "small-ball": "kleiner Ball",
            "water": "Wasser",
            "loud-noise": "Loud noise",  # the case's own, as a noun
        }
        assert labels(thing, "free_of")["balloon"] == "Luftballon"
        assert form_fields(thing, 0)["hazards"] == ["button-cell"]


def test_every_known_name_has_a_word() -> None:
    assert {chosen_word(name) for name in ("button-cell", "heat")} == {"button cell", "something hot"}
    assert not [name for name in {*ALLERGENS, *HAZARDS} if "-" in chosen_word(name)]


def test_plain_pages_say_what_is_on_the_form_and_the_same_of_several_skills_once(tmp_path: Path) -> None:
    text = CASE.format(words="plain").replace("Karten, hazards: [button-cell]", "Kühlschrankmagnete")
    again = "  points: {learner: lark, name: Zeigt, correct_when: zeigt}\n"
    (tmp_path / "case.yaml").write_text(text + again, "utf-8")
    with running(tmp_path) as local:
        page = html.unescape(local.get("/check").text)
        found = re.findall("<li>(.*?) <a", page)
    assert "case.yaml" not in "".join(found)
    nothing = [sentence for sentence in found if sentence.startswith("Benennt und Zeigt: ")]
    assert [s for s in nothing if "unter diesem Namen hat niemand gesagt" in s and "'Stand: ruht" in s]
    (magnet,) = [sentence for sentence in found if sentence.startswith("Kühlschrankmagnete: ")]
    assert "Schreib 'Magnet' zu 'Zu beachten'" in magnet
    assert "'Ich habe nachgesehen: enthält nichts von'" in magnet
    assert not {w for w in ("'hazards'", "'free_of'", "'magnet'", "state: paused") if w in page}


def test_in_the_words_of_the_trade_the_place_in_the_file_is_said(tmp_path: Path) -> None:
    text = CASE.format(words="trade").replace("Karten, hazards: [button-cell]", "Kühlschrankmagnete")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    with running(tmp_path) as local:
        page = html.unescape(local.get("/check").text)
    assert re.search("case.yaml:[0-9]+: material_sets.cards: ", page)
    assert "'free_of'" in page
