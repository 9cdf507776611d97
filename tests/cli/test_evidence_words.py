"""The commands about what was run, whole: from words typed to what is printed and written."""

from __future__ import annotations

import builtins
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from genplan.cli import main
from tests.fixtures.places import EXAMPLES

EXAMPLE = EXAMPLES / "family"
NOW = ["--now", "2026-11-29T12:00"]
Capture = pytest.CaptureFixture[str]
PLAN = """\
week,sitting,learner,target,kind,adult,location,material_set,start,end,trials
2026-W48,s1,ines,coat-on,retest,theo,home,borrowed-fleece,2026-11-29T10:00:00-04:00,2026-11-29T10:20:00-04:00,3
2026-W48,s1,ines,greets-back,maintenance,theo,home,empty-hands,2026-11-29T10:00:00-04:00,2026-11-29T10:20:00-04:00,3
"""


@pytest.fixture
def case(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLE, tmp_path / "case")
    return tmp_path / "case"


@pytest.fixture
def answer(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Answers the questions one after the other, then ends."""

    def answers(*given: str) -> None:
        left: Iterator[str] = iter(given)

        def ask(question: str) -> str:
            try:
                return next(left)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr(builtins, "input", ask)

    return answers


def rows(case: Path) -> list[str]:
    return (case / "results.csv").read_text().splitlines()


def kept(case: Path) -> Path:
    """A kept plan of the present week: `weeks/2026-W48` holds 29 November."""
    folder = case / "weeks" / "2026-W48"
    folder.mkdir(parents=True)
    (folder / "plan.csv").write_text(PLAN)
    return folder


def test_a_planned_probe_is_proposed_and_written_down(
    case: Path, answer: Callable[..., None], capsys: Capture
) -> None:
    kept(case)
    answer("2", "yes", "2", "1", "Nan", "2", "calm", "yes", "")
    assert main(["record", str(case), "--ask", *NOW]) == 0
    told = capsys.readouterr().out
    assert "2. 10:00 Greets back: Theo, Home, Nothing in her hands" in told
    assert told.count("Puts on a coat") == 2
    assert rows(case)[-1] == "2026-11-29,10:00,greets-back,maintenance,theo,home,empty-hands,3,2,1,Nan,2,calm"
    assert "1 row added" in told


@pytest.mark.parametrize(
    ("said", "note"),
    [
        (["2"], "refused"),
        (["a fire drill", ""], "a fire drill"),
        (["no", "4"], "no time"),
        (["Wollte nicht"], "Wollte nicht"),
        (["adult away: a cold"], "adult away: a cold"),
        (["she would not", "perhaps", "2"], "refused: she would not"),
        (["a sore throat", "ill"], "ill: a sore throat"),
    ],
)
def test_why_it_was_not_run(case: Path, answer: Callable[..., None], said: list[str], note: str) -> None:
    folder = kept(case)
    answer("1", *said, "yes")
    assert main(["record", str(case), "--ask", "--plan", str(folder), *NOW]) == 0
    assert rows(case)[-1] == f"2026-11-29,10:00,coat-on,not run,theo,home,borrowed-fleece,,,,,,{note}"


def test_another_probe_than_the_planned_ones(
    case: Path, answer: Callable[..., None], capsys: Capture
) -> None:
    answer(
        "other",
        "coat-on",
        "probe",
        "mum",
        "1",
        "rain-jacket",
        "half 9",
        "soon",
        "9.30",
        "yes",
        "5",
        "2 of 4",
        "",
        "",
        "",
        "",
    )
    assert main(["record", str(case), "--ask", *NOW]) == 0
    told = capsys.readouterr().out
    assert "no plan of this week is kept" in told
    assert "It may mean 08:30 or 09:30" in told
    assert "'soon' is not a time" in told
    assert "'5' is not a number from 0 to 3" in told
    assert rows(case)[-1] == "2026-11-29,09:30,coat-on,probe,mum,home,rain-jacket,4,2,,,,"


def test_other_is_asked_for_and_understood_in_german(
    case: Path, answer: Callable[..., None], capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept(case)
    asked: list[str] = []
    given = iter(("andere", "coat-on", "probe", "mum", "1", "rain-jacket", "", "yes", "3", "", "", "", ""))

    def ask(question: str) -> str:
        asked.append(question)
        return next(given, "")

    monkeypatch.setattr(builtins, "input", ask)
    assert main(["record", str(case), "--ask", "--language", "de", *NOW]) == 0
    assert asked[0] == "Welche? Ihre Nummer, „andere“, oder nur die Eingabetaste, um zu enden: "
    assert rows(case)[-1].startswith("2026-11-29,,coat-on,probe,mum,home,rain-jacket,3,3")


@pytest.fixture
def asked_in_german(case: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    def run(*given: str) -> list[str]:
        asked: list[str] = []
        left = iter(given)

        def ask(question: str) -> str:
            asked.append(question)
            if len(asked) > 40:
                raise EOFError
            return next(left, "")

        monkeypatch.setattr(builtins, "input", ask)
        assert main(["record", str(case), "--ask", "--language", "de", *NOW]) == 0
        return asked

    return run


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("9:30", "09:30"),
        ("9.30", "09:30"),
        ("halb 10", "09:30"),
        ("9 Uhr", "09:00"),
        ("half past 9", "09:30"),
        ("9.30am", "09:30"),
        ("16:30", "16:30"),
        ("nichts", ""),
    ],
)
def test_when_it_began_is_read_as_people_write_it(
    case: Path, asked_in_german: Callable[..., list[str]], typed: str, written: str
) -> None:
    asked_in_german("andere", "coat-on", "probe", "mum", "1", "rain-jacket", typed, "ja", "3")
    assert rows(case)[-1].startswith(f"2026-11-29,{written},coat-on,")


def test_a_time_before_six_may_be_in_the_afternoon(
    case: Path, asked_in_german: Callable[..., list[str]], capsys: Capture
) -> None:
    asked_in_german("andere", "coat-on", "probe", "mum", "1", "rain-jacket", "halb 4", "15:30", "ja", "3")
    assert "schreiben Sie 15:30 oder 03:30." in capsys.readouterr().out
    assert rows(case)[-1].startswith("2026-11-29,15:30,coat-on,")


def test_nothing_and_nobody_in_words_are_empty(case: Path, asked_in_german: Callable[..., list[str]]) -> None:
    kept(case)
    asked = asked_in_german("1", "ja", "3", "nichts", "niemand", "nichts", "")
    assert "Nur die Eingabetaste, wenn niemand" in asked[4]
    assert rows(case)[-1] == "2026-11-29,10:00,coat-on,probe,theo,home,borrowed-fleece,3,3,,,,"


def test_a_slip_where_a_row_is_to_be_added_loses_nothing(
    case: Path, asked_in_german: Callable[..., list[str]], capsys: Capture
) -> None:
    kept(case)
    before = rows(case)
    asked = asked_in_german("1", "2", "2", "")
    assert (
        asked[2]
        == asked[3]
        == (
            "Soll das so eingetragen werden? Sonntag, 29. November 2026, 10:00; Puts on a coat: nicht durchgeführt; "
            "erwachsene Person: Theo; Ort: Home; Materialsatz: A cousin's fleece, a size too big; Notiz: abgelehnt. "
            "Nur die Eingabetaste für Ja, oder „nein“: "
        )
    )
    assert "„2“ ist weder Ja noch Nein." in capsys.readouterr().out
    assert len(rows(case)) == len(before) + 1


def test_names_ids_and_beginnings_of_names_are_understood(
    case: Path, asked_in_german: Callable[..., list[str]]
) -> None:
    asked = asked_in_german("andere", "puts on a COAT", "probe", "MUM", "hom", "A cousin's", "", "ja", "3")
    assert "Puts on a coat" in asked[1]
    assert "coat-on" not in asked[1]
    assert rows(case)[-1].startswith("2026-11-29,,coat-on,probe,mum,home,borrowed-fleece,3,3")


def test_back_asks_the_question_before_and_help_says_how(
    case: Path, asked_in_german: Callable[..., list[str]], capsys: Capture
) -> None:
    kept(case)
    asked = asked_in_german(
        "zurück", "1", "ja", "2", "Hilfe", "zurück", "1", "1", "", "zurück", "", "calm", ""
    )
    told = capsys.readouterr().out
    assert "Vor dieser Frage kommt keine andere." in told
    assert "von einem Namen genügt der Anfang" in told
    assert asked[3] == asked[6]
    assert rows(case)[-1] == "2026-11-29,10:00,coat-on,probe,theo,home,borrowed-fleece,3,1,1,,,calm"


ONE = ["--target", "coat-on", "--adult", "mum", "--location", "home", "--material-set", "rain-jacket"]


@pytest.mark.parametrize(
    ("typed", "language", "meant"),
    [
        ("1.11.2026", "de", "2026-11-01"),
        ("1. November 2026", "de", "2026-11-01"),
        ("28.11.", "de", "2026-11-28"),
        ("1 November 2026", "en", "2026-11-01"),
        ("1.11.2026", "en", "2026-11-01"),
        ("1.11.", "en", "2026-11-01"),
        ("28 November", "en", "2026-11-28"),
        ("1 June", "en", "2026-06-01"),
        ("Thursday", "en", "2026-11-26"),
        ("gestern", "de", "2026-11-28"),
    ],
)
def test_the_day_may_be_written_as_people_do(case: Path, typed: str, language: str, meant: str) -> None:
    """Of a day without a year the latest that is not to come."""
    words = ["record", str(case), *ONE, "--correct", "3", "--date", typed, "--language", language, *NOW]
    assert main(words) == 0
    assert rows(case)[-1].startswith(f"{meant},,coat-on,probe,mum,home,rain-jacket,3,3")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("1/11/2026", "'1/11/2026' may be 11 January 2026 or 1 November 2026"),
        ("31 November", "'31 November', which no calendar has"),
        ("30.11.", "'30.11.' is still ahead this year. Type the year, too."),
        ("1 Smarch", "'1 Smarch' is not a date such as 2026-12-01"),
        ("29 February", "'29 February' is not a date such as 2026-12-01"),
        ("1.11", "'1.11' may be a day and a month or a month and a year"),
        ("next week", "'next week' is not a date such as 2026-12-01"),
    ],
)
def test_a_day_that_is_none_or_may_be_two_is_refused(
    case: Path, typed: str, told: str, capsys: Capture
) -> None:
    before = rows(case)
    assert main(["record", str(case), *ONE, "--correct", "3", "--date", typed, *NOW]) == 2
    assert told in capsys.readouterr().err
    assert rows(case) == before


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("didn't want to", "The reason was I.'s own, so it counts as 'refused'."),
        (
            "a fire drill",
            "If it was, put it right: 'refused: a fire drill' or 'ill: a fire drill' is then its reason.",
        ),
        ("refused", ""),
        ("adult away", ""),
        ("no time", ""),
    ],
)
def test_whose_reason_a_note_is_is_told(case: Path, note: str, told: str, capsys: Capture) -> None:
    assert main(["record", str(case), *ONE, "--kind", "not-run", "--note", note, *NOW]) == 0
    said = capsys.readouterr().out
    assert told in said
    assert bool(told) is ("own" in said)


def test_what_is_not_confirmed_or_not_finished_adds_nothing(
    case: Path, answer: Callable[..., None], capsys: Capture
) -> None:
    kept(case)
    before = rows(case)
    answer("1", "yes", "3", "", "", "", "no", "1", "yes")
    assert main(["record", str(case), "--ask", *NOW]) == 0
    assert rows(case) == before
    assert capsys.readouterr().out.count("1. 10:00 Puts on a coat") == 2


def test_a_plan_that_is_not_there(case: Path, capsys: Capture) -> None:
    assert main(["record", str(case), "--ask", "--plan", "nowhere", *NOW]) == 3
    assert "There is no nowhere/plan.csv" in capsys.readouterr().err


CORRECTS = ["--corrects", "33", "--target", "coat-on", "--date", "2026-11-19"]


def test_a_correction_adds_and_history_shows_both(case: Path, capsys: Capture) -> None:
    before = rows(case)
    assert main(["record", str(case), *CORRECTS, "--correct", "2", *NOW]) == 0
    assert rows(case)[:-1] == before
    assert rows(case)[-1] == "2026-11-19,16:20,coat-on,probe,dad,library,winter-coat,3,2,0,,,"
    assert (
        main(["history", str(case), "--target", "coat-on", "--adult", "dad", "--location", "library", *NOW])
        == 0
    )
    told = capsys.readouterr().out
    assert "line 33: 2026-11-19 16:20 probe 3/3, corrected by line 36: does not count" in told
    assert "line 36: 2026-11-19 16:20 probe 2/3 -> not met, corrects line 33" in told
    assert main(["record", str(case), *CORRECTS, "--correct", "2", *NOW]) == 2
    said = capsys.readouterr().err
    assert "Line 33 counts no more: line 36 counts in its place: 19 November 2026, 16:20" in said
    assert "2 of 3 correct. Nothing was added: correct that one, if need be." in said


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("--corrects 999 --correct 2", "no row that starts on line 999"),
        ("--corrects 8 --target washes-hands --date 2026-10-08 --correct 1", "too many beside 1 of 1"),
        ("--corrects 33", "What is right?"),
        ("--corrects 33 --correct 2 --adult mum", "That is not what you say of it"),
        ("--ask --from x.csv", "--ask and --from do not go together"),
        ("--from x.csv --correct 2", "--correct does not go with --from"),
        ("--from x.csv --date 2026-11-29", "--date does not go with --from"),
        ("--plan out", "--plan goes with --ask only"),
    ],
)
def test_words_that_make_no_sense_together(case: Path, capsys: Capture, typed: str, said: str) -> None:
    before = rows(case)
    assert main(["record", str(case), *typed.split(), *NOW]) == 2
    assert said in capsys.readouterr().err
    assert rows(case) == before


def test_a_correction_with_counts_that_cannot_be_is_refused(case: Path, capsys: Capture) -> None:
    before = rows(case)
    assert main(["record", str(case), *CORRECTS, "--correct", "9", *NOW]) == 1
    assert "found 9 of 3 trials" in capsys.readouterr().err
    assert rows(case) == before


def test_a_correction_says_which_counts_stay(case: Path, capsys: Capture) -> None:
    """On line 33 all three are correct without help."""
    assert main(["record", str(case), *CORRECTS, "--correct", "1", "--prompted", "2", *NOW]) == 0
    assert "stays as on" not in capsys.readouterr().out
    again = ["--corrects", "36", *CORRECTS[2:]]
    before = rows(case)
    assert main(["record", str(case), *again, "--correct", "2", *NOW]) == 2
    told = capsys.readouterr().err
    assert "Line 36 has 2 correct with help (prompted), too many beside 2 of 3 correct without." in told
    assert rows(case) == before
    assert main(["record", str(case), *again, "--correct", "0", *NOW]) == 0
    assert (
        "What was not said anew stays as on line 36: 2 correct with help (prompted)."
        in capsys.readouterr().out
    )
    assert rows(case)[-1] == "2026-11-19,16:20,coat-on,probe,dad,library,winter-coat,3,0,2,,,"


def test_a_correction_with_other_trials_asks_for_all_counts(case: Path, capsys: Capture) -> None:
    """On line 33 three of three are correct without help, none with."""
    before = rows(case)
    for typed in (
        ["--trials", "5"],
        ["--trials", "5", "--correct", "4"],
        ["--trials", "2", "--prompted", "0"],
    ):
        assert main(["record", str(case), *CORRECTS, *typed, *NOW]) == 2
        told = capsys.readouterr().err
        assert f"of 3 trials and not of {typed[1]}. Nothing was written: say these counts anew, too." in told
        assert ("3 correct without help" in told) is ("--correct" not in typed)
        assert rows(case) == before
    assert (
        main(["record", str(case), *CORRECTS, "--trials", "5", "--correct", "4", "--prompted", "1", *NOW])
        == 0
    )
    assert rows(case)[-1] == "2026-11-19,16:20,coat-on,probe,dad,library,winter-coat,5,4,1,,,"


def test_the_word_for_an_extra_dimension_is_named(tmp_path: Path, capsys: Capture) -> None:
    case = tmp_path / "case"
    assert main(["new", str(case)]) == 0
    row = ["--target", "waits-for-turn", "--adult", "mum", "--location", "home", "--material-set", "two-cups"]
    assert main(["record", str(case), *row, "--correct", "4", *NOW]) == 1
    assert "fill the cell in, by --with company=VALUE." in capsys.readouterr().err
    assert main(["record", str(case), *row, "--with", "company=alon", "--correct", "4", *NOW]) == 1
    assert capsys.readouterr().err.rstrip().endswith("did you mean 'alone'?")


def test_a_filled_plan_is_taken_whole_and_only_once(case: Path, tmp_path: Path, capsys: Capture) -> None:
    lines = PLAN.splitlines()
    filled = [f"{lines[0]},correct,not_run_because", f"{lines[1]},3,", f"{lines[2]},,ill"]
    (tmp_path / "filled.csv").write_text("\n".join(filled))
    words = ["record", str(case), "--from", str(tmp_path / "filled.csv"), *NOW]
    before = len(rows(case))
    assert (main(words), len(rows(case))) == (0, before + 2)
    assert "2 rows added" in capsys.readouterr().out
    assert (main(words), len(rows(case))) == (0, before + 2)
    assert re.search(r"Line 2 of filled.csv is in results.csv already, line \d+\.", capsys.readouterr().out)
    (tmp_path / "filled.csv").write_text("\n".join([*filled[:2], f"{lines[2]},9,"]).replace(",3,", ",2,"))
    assert (main(words), len(rows(case))) == (1, before + 2)
    assert "filled.csv:3: correct: found 9" in capsys.readouterr().err


def test_history_of_what_is_unknown(case: Path, capsys: Capture) -> None:
    for typed, said in (
        ("--target coat", "did you mean 'coat-on'?"),
        ("--target coat-on --adult dat", "has no adult 'dat'; did you mean 'dad'?"),
        ("--target coat-on --with room=hall", "does not vary 'room'"),
    ):
        assert main(["history", str(case), *typed.split(), *NOW]) == 2
        assert said in capsys.readouterr().err


@pytest.mark.parametrize(
    ("typed", "first", "last"),
    [
        ([], "2026-09-15", "2026-11-29"),
        (["--from", "1.11."], "2026-11-01", "2026-11-29"),
        (["--to", "2026-06-30"], "2026-06-30", "2026-06-30"),
    ],
)
def test_a_review_without_its_days_says_what_to_type(
    case: Path, typed: list[str], first: str, last: str, capsys: Capture
) -> None:
    assert min(rows(case))[:10] == "2026-09-15"
    assert main(["review", str(case), *typed, *NOW]) == 2
    told = capsys.readouterr().err.strip()
    assert told == f"From which day to which? For instance: genplan review {case} --from {first} --to {last}"
    assert main([*told.partition("genplan ")[2].split(), *NOW]) == 0


def test_progress_and_review(case: Path, tmp_path: Path, capsys: Capture) -> None:
    assert main(["progress", str(case), *NOW]) == 0
    assert "What the case asks for is met" in capsys.readouterr().out
    out = tmp_path / "out"
    words = ["review", str(case), "--from", "2026-11-01", "--to", "2026-11-28", "--out", str(out), *NOW]
    assert main(words) == 0
    names = sorted(p.name for p in out.iterdir())
    tables = [f"review-{name}.csv" for name in ("asked", "curve", "phases", "points", "rows", "targets")]
    assert names == sorted([*tables, "review-ines.html"])
    first = {p.name: p.read_bytes() for p in out.iterdir()}
    assert main(words) == 0
    assert {p.name: p.read_bytes() for p in out.iterdir()} == first
    assert main([*words[:-4], "--pdf", *NOW]) == 2
    assert main(["review", str(case), "--from", "2026-11-28", "--to", "2026-11-01", *NOW]) == 2
    assert main([*words[:-4], "--out", str(case), *NOW]) == 3
    assert main(["progress", str(case), "--learner", "inez", *NOW]) == 2
    assert "did you mean 'ines'?" in capsys.readouterr().err


def test_chance(capsys: Capture) -> None:
    assert main(["chance", "9/10", "--trials", "5"]) == 0
    # 9/10 of 5 trials are 4.5, so 5 are needed
    assert "A probe of 5 trials, met with 5 correct." in capsys.readouterr().out
    for typed in (["5/4"], ["0/5"], ["80%"], ["4/5", "--trials", "0"], ["4/5", "--trials", "201"]):
        assert main(["chance", *typed]) == 2


def test_of_a_row_that_is_refused_only_that_answer_is_asked_for_again(
    case: Path, asked_in_german: Callable[..., list[str]], capsys: Capture
) -> None:
    """Three of three were right, so two with help were not: the time, the place and the note are not typed twice."""
    first = ("andere", "coat-on", "probe", "mum", "1", "rain-jacket", "9:30", "ja", "3", "2", "", "leise")
    asked = asked_in_german(*first, "", "0")
    printed = capsys.readouterr().out
    assert "prompted" in printed
    assert rows(case)[-1].startswith("2026-11-29,09:30,coat-on,probe,mum,home,rain-jacket,3,3,0,")
    assert "leise" in rows(case)[-1]
    assert sum(question.startswith("Richtig mit Hilfe?") for question in asked) == 2
    assert sum("Notiz?" in question for question in asked) == 1
