"""From words typed to one call, one exit code and what is printed."""

from __future__ import annotations

import argparse
import csv
import io
from contextlib import suppress
from datetime import date, datetime, time
from pathlib import Path

import pytest

from genplan.case import Week
from genplan.cli import main, output
from genplan.cli.help_tables import commands
from genplan.cli.parser import read_words
from genplan.errors import AuditError, CaseError, FileError, SolverError, UsageError
from tests.fixtures.fake_workflow import ERROR, WARNING, FakeWorkflow

WHAT = [
    "record",
    "case",
    "--target",
    "zips",
    "--adult",
    "grandad",
    "--location",
    "park",
    "--material-set",
    "jackets",
]
Capture = pytest.CaptureFixture[str]


def test_plan_passes_on_what_was_typed(
    workflow: FakeWorkflow, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(output.Progress, "seconds", 16.4)  # of the whole program, and not of the search alone
    typed = "plan case --week 2026-W49 --out out --now 2026-11-29T12:00"
    assert main(typed.split()) == 0
    assert workflow.asked == (Path("case"), Week(2026, 49), datetime(2026, 11, 29, 12), Path("out"))
    printed = capsys.readouterr()
    assert printed.out.startswith("Week 2026-W49: Monday 30 November to Sunday 6 December 2026\n")
    assert "Written to out." in printed.out
    assert printed.err == "Took 16.4 s.\n"


def test_plan_leaves_to_the_workflow_what_was_not_typed(workflow: FakeWorkflow, capsys: Capture) -> None:
    assert main(["plan", "case"]) == 0
    assert workflow.asked == (Path("case"), None, None, None)
    assert "Written to" not in capsys.readouterr().out


def test_warnings_go_to_the_other_stream_and_change_no_exit_code(
    workflow: FakeWorkflow, capsys: Capture
) -> None:
    workflow.findings = (WARNING,)
    assert main(["plan", "case"]) == 0
    printed = capsys.readouterr()
    assert "Warning: case.yaml:3: adults.mum: no free hours; expected some." in printed.err.splitlines()
    assert "no free hours" not in printed.out


@pytest.mark.parametrize(
    ("findings", "code", "last"),
    [
        ((), 0, "case: no errors, no warnings."),
        ((WARNING,), 0, "case: no errors, 1 warning."),
        ((ERROR, WARNING, ERROR), 1, "case: 2 errors, 1 warning."),
    ],
)
def test_check_prints_every_finding_and_counts(
    workflow: FakeWorkflow, capsys: Capture, findings: tuple[object, ...], code: int, last: str
) -> None:
    workflow.findings = findings  # type: ignore[assignment]
    assert main(["check", "case"]) == code
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(findings) + 1
    assert lines[-1] == last
    if code:
        assert lines[0] == (
            "Error: case.yaml:7: adults.dad.free: '25:00'; expected a time up to 24:00. Write 24:00."
        )


def test_new_names_the_files_and_the_next_step(workflow: FakeWorkflow, capsys: Capture) -> None:
    assert main(["new", "my-case"]) == 0
    assert workflow.asked == (Path("my-case"),)
    out = capsys.readouterr().out
    assert f"Made {Path('my-case/results.csv')}" in out
    assert "genplan check my-case" in out


def test_record_makes_one_request(workflow: FakeWorkflow, capsys: Capture) -> None:
    more = ["--with", "wording=Zip it up = now", "--with", "room=hall", "--correct", "4", "--trials", "5"]
    rest = (
        "--prompted 1 --kind maintenance --date 2026-12-01 --time 16:30 --observer mum --observer-correct 3"
    )
    assert (
        main(
            [
                *WHAT,
                *more,
                *rest.split(),
                "--note",
                "fine",
                "--marks",
                "p++++",
                "--observer-marks=-p+++",
                "--steps-kept",
                "7/8",
            ]
        )
        == 0
    )
    folder, entry, now = workflow.asked
    assert (folder, now) == (Path("case"), None)
    assert vars(entry) == {
        "target": "zips",
        "adult": "grandad",
        "location": "park",
        "material_set": "jackets",
        "extra": {"wording": "Zip it up = now", "room": "hall"},
        "kind": "maintenance",
        "date": date(2026, 12, 1),
        "time": time(16, 30),
        "trials": 5,
        "correct": 4,
        "prompted": 1,
        "observer": "mum",
        "observer_correct": 3,
        "note": "fine",
        "marks": "p++++",
        "observer_marks": "-p+++",
        "steps_kept": "7/8",
    }
    assert capsys.readouterr().out == "One row was added to results.csv.\n"


@pytest.mark.parametrize("kind", ["not-run", "not run", "not_run", "Not Run", "nicht durchgeführt"])
def test_record_of_what_was_not_run_needs_no_numbers(workflow: FakeWorkflow, kind: str) -> None:
    language = ["--language", "de"] if kind.startswith("nicht") else []
    assert main([*WHAT, *language, "--kind", kind, "--note", "she said no"]) == 0
    entry = workflow.asked[1]
    assert (entry.kind, entry.correct, entry.trials) == ("not run", None, None)


def test_two_values_of_one_dimension_are_refused(workflow: FakeWorkflow, capsys: Capture) -> None:
    assert main([*WHAT, "--correct", "4", "--with", "room=hall", "--with", "room=yard"]) == 2
    assert "two values for 'room'" in capsys.readouterr().err
    assert workflow.asked == ()


def test_matrix_shows_all_rows_or_those_of_one_target(workflow: FakeWorkflow, capsys: Capture) -> None:
    assert main(["matrix", "case", "--now", "2026-11-29T12:00"]) == 0
    assert workflow.asked == (Path("case"), datetime(2026, 11, 29, 12))
    everything = capsys.readouterr().out
    assert "Zips up a jacket (W.)" in everything
    assert "Greets, on being greeted (W.)" in everything
    assert main(["matrix", "case", "--target", "greets", "--learner", "wren-q"]) == 0
    one = capsys.readouterr().out
    assert "Zips" not in one
    assert "Greets, on being greeted (W.)" in one


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("--target zip", "The case has no target 'zip'; did you mean 'zips'?"),
        ("--learner nobody", "The case has no learner 'nobody'; it has wren-q."),
    ],
)
def test_matrix_refuses_an_id_that_the_case_does_not_have(
    workflow: FakeWorkflow, capsys: Capture, typed: str, said: str
) -> None:
    assert main(["matrix", "case", *typed.split()]) == 2
    assert capsys.readouterr().err.strip() == said


def test_matrix_as_a_table_to_the_terminal_or_a_file(
    workflow: FakeWorkflow, capsysbinary: pytest.CaptureFixture[bytes], tmp_path: Path
) -> None:
    assert main(["matrix", "case", "--csv"]) == 0
    data = capsysbinary.readouterr().out
    head, *rows = csv.reader(io.StringIO(data.decode()))
    assert head[:3] == ["learner", "target", "adult"]
    assert len(rows) == 3
    file = tmp_path / "matrix.csv"
    assert main(["matrix", "case", "--csv", str(file)]) == 0
    assert file.read_bytes() == data
    assert capsysbinary.readouterr().out.decode() == f"Wrote 3 rows to {file}.\n"
    assert main(["matrix", "case", "--csv", str(tmp_path)]) == 3


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (CaseError([ERROR]), 1, "case.yaml:7: adults.dad.free"),
        (UsageError("That week is over."), 2, "That week is over."),
        (FileError("OUT cannot be written."), 3, "OUT cannot be written."),
        (OSError(28, "No space left on device", "plan.csv"), 3, "no room is left on the disk: 'plan.csv'"),
        (SolverError("The solver was killed."), 4, "The solver was killed."),
        (AuditError(["rule 3: two sittings at once"]), 5, "rule 3: two sittings at once"),
        (KeyboardInterrupt(), 130, "Stopped before it was finished."),
        (RuntimeError("boom"), 70, "a fault of the program, not of your files (RuntimeError: boom)"),
        (RecursionError("deep"), 70, "GENPLAN_DEBUG=1"),
        (UsageError("red \x1b[31m text\nsecond \a line"), 2, "red [31m text\nsecond line\n"),
    ],
)
def test_every_error_is_a_sentence_and_an_exit_code(
    workflow: FakeWorkflow,
    capsys: Capture,
    monkeypatch: pytest.MonkeyPatch,
    error: BaseException,
    code: int,
    said: str,
) -> None:
    monkeypatch.delenv("GENPLAN_DEBUG", raising=False)
    workflow.raises = error
    assert main(["plan", "case"]) == code
    printed = capsys.readouterr()
    assert printed.out == ""
    assert said in printed.err
    assert "Traceback" not in printed.err


def test_a_fault_is_raised_for_those_who_ask(workflow: FakeWorkflow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GENPLAN_DEBUG", "1")
    workflow.raises = RuntimeError("boom")
    with pytest.raises(RuntimeError, match="boom"):
        main(["plan", "case"])


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "The following arguments are required: COMMAND."),
        ("plann case", "; did you mean 'plan'? See 'genplan --help'."),
        ("zzz", "'zzz' is not one of new, check, plan, record, matrix, "),
        ("plan", "The following arguments are required: CASE."),
        ("plan case --wek 3", "'--wek' is not known here; did you mean '--week'?"),
        ("plan case --wee=2026-W49", "'--wee=2026-W49' is not known here; did you mean '--week'?"),
        ("plan case other", "'other' is not known here."),
        ("plan case --week 49", "'49' is not an ISO week such as 2026-W49."),
        ("plan case --week 2027-W53", "the year 2027 has no week 53."),
        ("plan case --now yesterday", "'yesterday' is not a date and time such as 2026-11-29T12:00"),
        ("plan case --now 2026-11-29T12:00+01:00", "in the case's own time zone."),
        ("plan case --now 2026-02-30T12:00", "'2026-02-30T12:00' is not a date and time"),
        ("record case --target a", "required: --adult, --location, --material-set."),
        ("record case --correct four", "'four' is not a whole number, 0 or more."),
        ("record case --correct -1", "'-1' is not a whole number, 0 or more."),
        ("record case --date 1/12/2026", "'1/12/2026' may be 12 January 2026 or 1 December 2026: "),
        ("record case --time 4pn", "'4pn' is not a time such as 16:30."),
        ("record case --time 4:30", "'4:30' may be before noon or after it: write 16:30 or 04:30."),
        ("record case --time 24:30", "'24:30', which no clock shows. Write 3pm or 15:00."),
        ("record case --with wording", "'wording' is not of the form DIMENSION=VALUE"),
        (
            "record case --kind prob",
            "'prob' is not one of probe, maintenance, teaching, baseline, not-run; did you",
        ),
    ],
)
def test_words_that_make_no_sense_get_a_sentence_and_code_2(
    workflow: FakeWorkflow, capsys: Capture, typed: str, said: str
) -> None:
    assert main(typed.split()) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.strip().endswith("--help'.")
    assert len(printed.err.splitlines()) == 1
    assert workflow.asked == ()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("plan case --week 9999-W52", "the week 9999-W52 does not lie in the years from 1900 to 2100"),
        ("plan case --week 0001-W01", "the week 0001-W01 does not lie in the years from 1900 to 2100"),
        ("why case --week 2101-W01", "the week 2101-W01 does not lie in the years from 1900 to 2100"),
        ("plan case --now 9999-12-31T23:59", "the year 9999 is not one from 1900 to 2100"),
        ("check case --now 0001-01-01T00:00", "the year 0001 is not one from 1900 to 2100"),
        ("change case --away mum --to 9999-12-31", "the year 9999 is not one from 1900 to 2100"),
        ("review case --from 0001-01-01 --to 2026-12-01", "the year 0001 is not one from 1900 to 2100"),
        ("record case --ask --date 1899-12-31", "the year 1899 is not one from 1900 to 2100"),
    ],
)
def test_a_year_far_out_is_a_sentence(workflow: FakeWorkflow, capsys: Capture, words: str, said: str) -> None:
    assert main(words.split()) == 2
    assert said in capsys.readouterr().err
    assert workflow.asked == ()


@pytest.mark.parametrize("words", ["plan case --week 2100-W52", "change case --away mum --to 2100-12-31"])
def test_the_last_year_that_may_be_typed(words: str) -> None:
    read_words(words.split())


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "forecast case --learner finn --learner esme",
            "--learner is given twice: finn, esme; give it once. See 'genplan forecast --help'.",
        ),
        (
            "progress case --learner=kim --learner=kim",
            "--learner is given twice: kim, kim; give it once. See 'genplan progress --help'.",
        ),
        (
            "change case --apart a b --apart c d",
            "--apart is given twice: a b, c d; give it once. See 'genplan change --help'.",
        ),
        (
            "forecast case --csv --csv a.csv",
            "--csv is given twice; give it once. See 'genplan forecast --help'.",
        ),
        (
            "--language en forecast case --language de",
            "--language is given twice: en, de; give it once. See 'genplan forecast --help'.",
        ),
    ],
)
def test_an_option_that_is_given_twice_is_refused(typed: str, said: str, capsys: Capture) -> None:
    with pytest.raises(SystemExit) as ended:
        read_words(typed.split())
    assert ended.value.code == 2
    assert capsys.readouterr().err == f"{said}\n"


SAMPLES = ("1", "8080", "4/5", "2026-W49", "2026-12-01", "2026-12-01T12:00", "16:30", "a=b", "a")


def _accepted(action: argparse.Action) -> list[str]:
    """Words that the option takes."""
    if action.choices is not None:
        return [str(next(iter(action.choices)))]
    for sample in SAMPLES:
        with suppress(argparse.ArgumentTypeError, UsageError, ValueError):
            if callable(action.type):
                action.type(sample)
            return [sample] * (action.nargs if isinstance(action.nargs, int) else 1)
    raise AssertionError(f"no sample for {action.option_strings}")


def test_no_option_of_any_command_drops_what_was_given_first(capsys: Capture) -> None:
    """But those that are meant to be given several times."""
    refused, several = 0, set()
    for name, parser in commands().items():
        for action in parser._actions:
            if not action.option_strings or action.nargs == 0:
                continue
            if isinstance(action, argparse._AppendAction):
                several.add(action.option_strings[-1])
                continue
            once = [action.option_strings[-1], *_accepted(action)]
            with pytest.raises(SystemExit) as ended:
                read_words([*name.split(), *once, *once])
            assert ended.value.code == 2
            assert f"{once[0]} is given twice" in capsys.readouterr().err, f"{name} {once[0]}"
            refused += 1
    assert several == {"--with"}
    assert refused > 100


@pytest.mark.parametrize(
    "typed",
    [
        "a.xlsx b.xlsx CASE --write",
        "a.xlsx b.xlsx --write CASE",
        "a.xlsx --write b.xlsx CASE",
        "--write a.xlsx b.xlsx CASE",
        "--timezone Europe/Dublin a.xlsx --write b.xlsx --now 2026-11-29T12:00 CASE",
    ],
)
def test_options_may_stand_between_the_files_of_a_list(typed: str) -> None:
    words = read_words(["tables", "read", *typed.split()])
    assert (words.files, words.folder, words.write) == ([Path("a.xlsx"), Path("b.xlsx")], Path("CASE"), True)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("a.xlsx", "The following arguments are required: CASE."),
        ("a.xlsx --wite CASE", "'--wite' is not known here; did you mean '--write'?"),
        ("a.xlsx --now 2026-11-29T12:00 b.xlsx --now 2026-11-30T12:00 CASE", "--now is given twice:"),
    ],
)
def test_what_is_wrong_between_files_is_said_too(typed: str, said: str, capsys: Capture) -> None:
    with pytest.raises(SystemExit) as ended:
        read_words(["tables", "read", *typed.split()])
    assert ended.value.code == 2
    printed = capsys.readouterr().err
    assert said in printed
    assert "See 'genplan tables read --help'." in printed
