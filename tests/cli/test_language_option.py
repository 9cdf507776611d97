"""`--language`, before the command's name or behind it, and what the case says without it."""

from __future__ import annotations

import contextlib
import re
from argparse import Namespace
from pathlib import Path

import pytest
from starlette.datastructures import Headers

from genplan.cli import main
from genplan.cli.parser import read_words
from genplan.cli.spoken import as_the_case_says, asked_for
from genplan.language import Speech, Words, speaking
from genplan.web.spoken import speech_of_request
from genplan.web.templating import drawn


@pytest.mark.parametrize(
    "typed",
    ["--language de check my-case", "check --language de my-case", "check my-case --language=de"],
)
def test_it_may_stand_anywhere(typed: str) -> None:
    assert read_words(typed.split()).language == "de"
    assert asked_for(typed.split()) == Speech("de", Words.PLAIN)


def test_without_it_the_case_says(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("language: de\npolicy: family\n")
    assert as_the_case_says(read_words(["check", str(tmp_path)])) == Speech("de", Words.PLAIN)
    assert as_the_case_says(read_words(["--language", "en", "check", str(tmp_path)])) == Speech(
        "en", Words.PLAIN
    )
    assert as_the_case_says(Namespace(language=None)) == Speech(words=Words.PLAIN)


def test_before_there_is_a_case_it_is_said_plainly_and_then_as_the_case_says(tmp_path: Path) -> None:
    typed = ["new", str(tmp_path / "ours"), "--language", "de"]
    assert asked_for(typed) == as_the_case_says(read_words(typed)) == Speech("de", Words.PLAIN)
    (tmp_path / "case.yaml").write_text("language: de\npolicy: caseload\n")
    assert asked_for(["check", str(tmp_path)]) == Speech("de", Words.TRADE)
    assert as_the_case_says(read_words(["check", str(tmp_path)])) == Speech("de", Words.TRADE)


def test_a_family_that_begins_is_said_du(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No word of what is shown before there is a case says Sie, on a terminal or at the gate of the page."""
    monkeypatch.setattr("genplan.cli.exit_codes.as_the_case_says", as_the_case_says)  # the real one
    for typed in (
        ["--help"],
        ["new", "--help"],
        ["open", "--help"],
        ["check", str(tmp_path / "no")],
        ["nwe"],
    ):
        with contextlib.suppress(SystemExit):
            main(["--language", "de", *typed])
        said = capsys.readouterr()
        assert not re.search(r"\b(Sie|Ihnen|Ihr|Ihre[mnrs]?)\b", said.out + said.err), typed
    with speaking(speech_of_request("de", Headers())):
        assert "Sie" not in drawn("gate.html", problem="", way="")


def test_a_language_that_there_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked_for(["--language=xx"]) == Speech(words=Words.PLAIN)
    with pytest.raises(SystemExit):
        read_words(["check", "my-case", "--language", "xx"])
    assert "'xx' is not one of en, de" in capsys.readouterr().err


def test_what_is_wrong_with_the_words_is_said_in_the_language_of_the_case(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The case is known by its folder before the words are read; `--language` goes before it."""
    (tmp_path / "case.yaml").write_text("language: de\npolicy: family\n")
    case = str(tmp_path)
    for typed, said in (
        (["change", case], "Eines dieser Argumente fehlt"),
        (["change", case, "--away"], "ein Wert dahinter wird erwartet"),
        (["change", case, "--away", "mum", "--from", "neulich"], "ist kein Datum wie"),
        (["record", case, "--kind", "x"], "gehört nicht zu"),
        (["plan", case, "--no-such"], "ist hier nicht bekannt"),
        (["--language", "en", "plan", case, "--no-such"], "is not known here"),
        (["plan", case + "x", "--no-such"], "is not known here"),
    ):
        assert main(typed) == 2
        assert said in capsys.readouterr().err, typed
