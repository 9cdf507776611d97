"""Children of one alias are told apart wherever the alias is shown, and not by the id, which is often the name."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fixtures.casefile_cases import SMALL, loaded

HOURS = 'free: {mon-fri: "15:30-18:30"}'


@pytest.mark.parametrize(
    ("others", "aliases"),
    [
        ({}, {"wren": "W."}),
        ({"ada": ""}, {"ada": "A.", "wren": "W."}),
        ({"wim": ""}, {"wim": "W. 1", "wren": "W. 2"}),
        ({"wim": "", "wes": ""}, {"wes": "W. 1", "wim": "W. 2", "wren": "W. 3"}),
        # a number that somebody has by name is passed over
        ({"wim": "", "ada": "W. 1"}, {"ada": "W. 1", "wim": "W. 2", "wren": "W. 3"}),
    ],
)
def test_aliases_are_numbered_where_they_are_one(
    tmp_path: Path, others: dict[str, str], aliases: dict[str, str]
) -> None:
    lines = "".join(
        f"  {id_}: {{name: {id_.capitalize()}, {HOURS}{f', alias: {alias}' if alias else ''}}}\n"
        for id_, alias in others.items()
    )
    case = loaded(tmp_path, SMALL.replace("adults:\n", f"{lines}adults:\n", 1)).case
    assert case is not None
    assert {id_: one.alias for id_, one in case.learners.items()} == aliases


@pytest.mark.parametrize(
    ("other", "is_told"),
    [("", True), (", correct_when: With help", False), (", state: paused", False), (", name: Zips", False)],
)
def test_a_second_target_in_the_same_words_is_warned_of(tmp_path: Path, other: str, is_told: bool) -> None:
    name = "" if "name" in other else ", name: Buttons"
    more = f"  buttons: {{learner: wren, name: Buttons}}\n  buttons-2: {{learner: wren{name}{other}}}\n"
    found = loaded(tmp_path, SMALL.replace("targets:\n", f"targets:\n{more}", 1))
    assert found.case is not None
    words = "a second target 'Buttons' of wren, in the same words as buttons"
    assert (words in [f.found for f in found.findings]) == is_told
