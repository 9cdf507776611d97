"""What the reference says of a word, and what is printed of it."""

from __future__ import annotations

import pytest

from genplan import cli
from genplan.help.lookup import look_up, plain
from genplan.help.plain_text import answer_lines, bare


def said(*words: str) -> str:
    return "\n".join(answer_lines(look_up(words), None))


@pytest.mark.parametrize(
    "asked", ["rest_minutes", "rest minutes", "REST-MINUTES", "`rest_minutes`", "rest_minute"]
)
def test_a_name_is_found_in_whatever_dress(asked: str) -> None:
    (row,) = look_up([asked]).rows
    assert row.cells[0] == "`rest_minutes`"
    assert row.page == "policy"


def test_a_row_is_told_with_its_columns_and_where_else_it_is_spoken_of() -> None:
    text = said("rest_minutes")
    assert "The policy › A policy, key:\n  rest_minutes\n    what you may write: a whole number" in text
    assert (
        "Spoken of in:\n  Rules › The rules no plan breaks:\n    3. Nobody is in two sittings at once."
        in text
    )


def test_words_before_a_name_say_where() -> None:
    assert {r.headings[-1] for r in look_up(["adult", "limits"]).rows} == {"An adult"}
    assert {r.headings[-1] for r in look_up(["record", "--from"]).rows} == {"`genplan record`"}
    assert len(look_up(["--from"]).rows) > len(look_up(["keep", "--from"]).rows)


def test_a_command_is_told_whole() -> None:
    (section,) = look_up(["chance"]).sections
    assert [p.cells[0] for p in section if p.cells] == ["`MARK`", "`--trials N`"]
    assert said("genplan chance").startswith("The commands › 'genplan chance'\n---")


def test_an_option_is_told_from_a_key_of_its_name() -> None:
    assert all(r.page == "commands" for r in look_up(["--learner"]).rows)
    assert any(r.page == "words" for r in look_up(["learner"]).rows)


def test_what_is_named_nowhere_is_told_where_it_is_spoken_of() -> None:
    answer = look_up(["wilson"])
    assert not answer.is_named
    assert "score (Wilson) intervals" in said("wilson")


def test_a_slip_gets_the_nearest_names() -> None:
    assert "maintenance_days" in look_up(["maintenence_days"]).near
    assert look_up(["zzzzzz"]).near == ()


def test_a_page_is_named_beside_a_word_of_its_name() -> None:
    assert "A whole page is about it: genplan help page teaching" in said("teaching")


def test_what_an_output_shows_is_told_in_two_lines() -> None:
    told = said("calendars/location-ID.ics")
    assert "yes: nothing\n" in told
    assert "no: alias, name, id, birth" in told


def test_a_name_without_its_dress() -> None:
    assert plain("*Material_set*") == plain("a material-set") == "material set"
    assert plain("--material-set") == "--material set"
    assert bare("[a](b.md) and `c` **d** *e f*, `2*3*4`") == "a and 'c' d e f, '2*3*4'"


def test_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["help"]) == 0
    assert "genplan help page rules" in capsys.readouterr().out
    assert cli.main(["help", "record", "--corrects"]) == 0
    assert "--corrects LINE" in capsys.readouterr().out
    assert cli.main(["help", "page", "cautions.md"]) == 0
    assert capsys.readouterr().out.startswith("Cautions\n========\n")


def test_what_is_not_known_is_said_with_what_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["help", "page", "rule"]) == 2
    assert "There is no page 'rule': did you mean 'rules'?" in capsys.readouterr().err
    assert cli.main(["help", "hols"]) == 2
    told = capsys.readouterr().err
    assert "The reference says nothing of 'hols'. Near it are: hold, " in told
    assert "'genplan help' lists its pages." in told
