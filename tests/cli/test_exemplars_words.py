"""`genplan exemplars`, whole: from words typed to what is printed and written."""

from __future__ import annotations

import csv
import io
import re
import shutil
from pathlib import Path

import pytest

from genplan.cli import main
from genplan.workflow import open_case
from tests.fixtures.places import EXAMPLES

NOW = ["--now", "2026-11-29T12:00"]
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def case(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLES / "family", tmp_path / "case")
    return tmp_path / "case"


def told(capsys: Capture, *words: str, code: int = 0) -> str:
    assert main(["exemplars", *words]) == code
    printed = capsys.readouterr()
    return printed.out if code == 0 else printed.err


def test_a_block_for_each_target_that_is_asked_for(case: Path, capsys: Capture) -> None:
    text = told(capsys, str(case), "coat-on", "greets-back", "coat-on", *NOW)
    assert re.findall(r"^[a-z-]+(?=: I\.)", text, re.MULTILINE) == ["coat-on", "greets-back"]
    assert text.startswith("What to teach, and what to leave to probes, as of Sunday 29 November 2026\n")
    assert "Ines" not in text
    everything = told(capsys, str(case), *NOW)
    assert {"coat-on", "greets-back"} < set(re.findall(r"^[a-z-]+(?=: I\.)", everything, re.MULTILINE))


def test_what_is_said_of_a_target(case: Path, capsys: Capture) -> None:
    text = told(capsys, str(case), "coat-on", *NOW)
    assert "  Taught already: 2 combinations.\n    1. Mum, Home, " in text
    assert (
        "  Teach these 3 combinations as well, which with those above hold each value. No fewer do: proven.\n"
        in text
    )
    assert (
        "  Leave these 5 untaught, and probe them: they show each value once more. No fewer do: proven.\n"
        in text
    )
    assert "this says what to teach in, not how" in text.lower()


def test_the_lines_to_paste_say_what_was_told(case: Path, capsys: Capture) -> None:
    """Put into the case, they are read as they were meant: nothing more is to be taught, and the probes are by hand."""
    text = told(capsys, str(case), "coat-on", *NOW)
    assert text.index("    hold_out:\n") < text.index("  Once each of these has been taught, and no sooner")
    pasted = re.findall(r"^    (?:taught|hold_out):$|^      - \{.*$", text, re.MULTILINE)
    lines = "\n".join((*pasted, ""))
    chosen = re.findall(r"- (\{.*\})", lines)
    whole = (case / "case.yaml").read_text("utf-8")
    begin = whole.index("  coat-on:\n")
    until = re.search(r"^  [a-z-]+:\n", whole[begin + 3 :], re.MULTILINE)
    assert until
    end = begin + 3 + until.start()
    block = re.sub(r"^    taught:(?: .*\n|\n(?:      .*\n)+)", "", whole[begin:end], flags=re.MULTILINE)
    (case / "case.yaml").write_text(whole[:begin] + block.rstrip() + "\n" + lines + whole[end:], "utf-8")
    target = open_case(case, None).case.targets["coat-on"]
    assert len(target.taught) + len(target.hold_out) == len(chosen)
    again = told(capsys, str(case), "coat-on", *NOW)
    assert "Teach nothing more: what is taught already holds all that can be." in again
    assert "Never teach what the case holds out: 5 combinations to probe untaught." in again
    assert "    taught:" not in again


def test_a_table_has_a_row_for_each_combination(case: Path, tmp_path: Path, capsys: Capture) -> None:
    file = tmp_path / "few.csv"
    assert told(capsys, str(case), "coat-on", "--csv", str(file), *NOW) == f"Wrote {file}.\n"
    rows = list(csv.DictReader(io.StringIO(file.read_text("utf-8"))))
    assert [r["what"] for r in rows] == ["taught"] * 2 + ["teach"] * 3 + ["probe"] * 5
    assert {r["learner"] for r in rows} == {"ines"}
    printed = told(capsys, str(case), "coat-on", "--csv", *NOW)
    assert printed == file.read_text("utf-8")


def test_what_cannot_be_had_is_told_with_what_stands_against_it(case: Path, capsys: Capture) -> None:
    text = told(capsys, str(case), "greets-back", "--span", "pairs", *NOW)
    assert "each pair of values that can be taught" in text
    assert (
        "  Cannot be taught:\n    - Dad with Nan and Pop's house: Dad does not go to Nan and Pop's house.\n"
        in text
    )
    rows = list(
        csv.DictReader(io.StringIO(told(capsys, str(case), "greets-back", "--span", "pairs", "--csv", *NOW)))
    )
    (row,) = [r for r in rows if r["what"] == "cannot teach" and r["adult"] == "dad"]
    assert (row["location"], row["material_set"]) == ("nans-house", "")
    assert row["why"] == "Dad does not go to Nan and Pop's house"
    assert {r["why"] for r in rows if r["what"] == "cannot probe"} == {"only in combinations that are taught"}


def test_who_may_teach_beside_is_named(case: Path, capsys: Capture) -> None:
    text = (case / "case.yaml").read_text("utf-8")
    found = re.search(r"^  pop:\n", text, re.MULTILINE)
    assert found
    (case / "case.yaml").write_text(text[: found.end()] + "    teaches: []\n" + text[found.end() :], "utf-8")
    assert "sits beside and teaches, Pop may not" in told(capsys, str(case), "coat-on", *NOW)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["coat-onn"], "The case has no target 'coat-onn'; did you mean 'coat-on'?\n"),
        (["--span", "pair"], "'pair' is not one of each-value, pairs, triples, all; did you mean 'pairs'?"),
        (["--target", "coat-on"], "'--target' is not known here"),
    ],
)
def test_what_is_not_known_gets_a_sentence(case: Path, words: list[str], said: str, capsys: Capture) -> None:
    assert main(["exemplars", str(case), *words, *NOW]) == 2
    assert said in capsys.readouterr().err


def test_a_case_of_paused_targets_has_nothing_to_tell(case: Path, capsys: Capture) -> None:
    text = re.sub(r"^    state: .*\n", "", (case / "case.yaml").read_text("utf-8"), flags=re.MULTILINE)
    paused = re.sub(r"^(    learner: ines\n)", r"\1    state: paused\n", text, flags=re.MULTILINE)
    (case / "case.yaml").write_text(paused, "utf-8")
    assert told(capsys, str(case), *NOW, code=2) == (
        "The case has no target that is not paused; name one to ask about it all the same.\n"
    )
    assert told(capsys, str(case), "coat-on", *NOW)
