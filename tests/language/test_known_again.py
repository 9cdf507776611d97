"""What is recognised by a sentence is recognised in every language; a sentence takes its pieces by name."""

from __future__ import annotations

import gettext
from dataclasses import dataclass

import pytest

from genplan import folders
from genplan.folders import LAST_OF_CHANGES, LAST_OF_MESSAGES, write_folder
from genplan.language import N_, Speech, Words, every_language, saying, speaking
from genplan.language.pieces import said_of

GERMAN = {
    LAST_OF_MESSAGES: "Passt eine Zeit doch nicht, sagen Sie es.",
    LAST_OF_CHANGES: "Alles andere bleibt.",
    "{child} is not free {when}": "{when} ist {child} nicht frei",
}


class Fake(gettext.NullTranslations):
    def __init__(self, found: dict[str, str]) -> None:
        super().__init__()
        self.found = found

    def gettext(self, message: str) -> str:
        return self.found.get(message, message)


@pytest.fixture
def in_german(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if the catalogue said nothing but these."""
    for module in (every_language, saying):
        monkeypatch.setattr(module, "translations", lambda s: Fake(GERMAN if s.language == "de" else {}))


@pytest.mark.usefixtures("in_german")
@pytest.mark.parametrize(
    ("name", "last"),
    [("messages/adult-nan.txt", LAST_OF_MESSAGES), ("changes/adult-nan.txt", LAST_OF_CHANGES)],
)
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_file_of_ours_goes_with_its_plan_in_whatever_language_it_was_written(
    tmp_path, name: str, last: str, language: str
) -> None:
    said = {"en": last, "de": GERMAN[last]}[language]
    write_folder(tmp_path, {"plan.json": b"{}", name: f"Hallo Nan,\n\n{said}\n".encode()})
    next_to_it = tmp_path / name.replace("nan", "bea")
    next_to_it.write_text("A letter of the family's own.", "utf-8")
    write_folder(tmp_path, {"plan.json": b"{}", name.replace("nan", "pop"): f"{last}\n".encode()})
    assert not (tmp_path / name).exists()
    assert next_to_it.exists()


@pytest.mark.usefixtures("in_german")
def test_all_that_a_mark_may_be_said_as() -> None:
    assert every_language.in_every_language(LAST_OF_CHANGES) == {LAST_OF_CHANGES, GERMAN[LAST_OF_CHANGES]}
    assert every_language.in_every_language(folders._OWN["pages"][1]) == {folders._OWN["pages"][1]}


@dataclass(frozen=True)
class Pieces:
    child: str
    when: str

    @property
    def never_asked_for(self) -> str:
        raise AssertionError


@pytest.mark.usefixtures("in_german")
def test_a_sentence_takes_the_pieces_it_names_in_the_order_of_its_language() -> None:
    sentence, pieces = N_("{child} is not free {when}"), Pieces("W.", "on Tuesday")
    assert said_of(pieces, sentence) == "W. is not free on Tuesday"
    with speaking(Speech("de", Words.TRADE)):
        assert said_of(pieces, sentence) == "on Tuesday ist W. nicht frei"
