"""What is written down is of the kind that was planned, names the row that it corrects, and says which row counts."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import added_rows, main
from genplan.errors import UsageError
from genplan.evidence.log import ResultKind
from genplan.evidence.results import COLUMNS
from genplan.evidence.row_identity import digest_of
from genplan.plan import ProbeKind
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case
from tests.fixtures.typed_words import otherwise

LATE = datetime(2026, 12, 6, 20)
NOW = ["--now", "2026-12-06T20:00"]
HOME = ["--target", "puts-on", "--adult", "mum", "--location", "home", "--material-set", "boots"]
Capture = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def kept_case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kept week with a maintenance probe: mastered 56 days before 26 November, and not checked since."""
    folder = small_case(tmp_path_factory.mktemp("kept") / "case")
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace("cover: all}", "cover: all, maintenance_days: [56]}"))
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


def rows(case: Path) -> list[str]:
    return (case / "results.csv").read_text("utf-8").splitlines()[1:]


def check_day(case: Path) -> str:
    """The day of the maintenance probe, which is of what was taught."""
    lines = (case / "weeks" / str(WEEK) / "plan.csv").read_text("utf-8").splitlines()
    (line,) = [x for x in lines if ",maintenance," in x]
    assert ",mum,home,boots," in line
    return line.split(",")[8][:10]


def is_due(case: Path) -> bool:
    plan = workflow.plan(case, WEEK.next(), LATE, None, silent).plan
    owed = [p.kind for s in plan.sittings for p in s.probes] + [x.kind for x in plan.left_out]
    return ProbeKind.MAINTENANCE in owed


def test_a_check_planned_as_maintenance_is_written_down_as_one(case: Path, capsys: Capture) -> None:
    """And next week does not owe it again."""
    day = check_day(case)
    assert is_due(case)
    assert main(["record", str(case), *HOME, "--date", day, "--correct", "4", *NOW]) == 0
    assert f"The plan of {WEEK} has it as a maintenance probe" in capsys.readouterr().out
    assert rows(case) == [f"{day},,puts-on,maintenance,mum,home,boots,5,4,,,,"]
    assert not is_due(case)


def test_so_it_is_on_another_day_of_the_week_until_it_was_run(case: Path) -> None:
    day = check_day(case)
    other = "2026-12-05"  # a Saturday, on which nothing is planned
    assert main(["record", str(case), *HOME, "--date", other, "--correct", "4", *NOW]) == 0
    assert main(["record", str(case), *HOME, "--date", day, "--correct", "4", *NOW]) == 0
    # now a row speaks of the planned one, and this is one probe more
    assert main(["record", str(case), *HOME, "--date", "2026-12-06", "--correct", "4", *NOW]) == 0
    kinds = [row.split(",")[3] for row in rows(case)]
    assert kinds == ["maintenance", "maintenance", "probe"]


@pytest.mark.parametrize(
    "typed",
    [
        ["--adult", "gran"],
        ["--kind", "teaching", "--trials", "5"],
        ["--date", "2026-11-27"],
        ["--date", "2026-12-07"],
    ],
)
def test_another_row_keeps_its_kind(case: Path, typed: list[str]) -> None:
    words = otherwise(HOME, "--date", check_day(case), "--correct", "4", *typed, "--now", "2026-12-07T20:00")
    assert main(["record", str(case), *words]) == 0
    assert ",maintenance," not in rows(case)[0]


def test_a_filled_sheet_says_probe_and_the_plan_says_more(
    case: Path, tmp_path: Path, capsys: Capture
) -> None:
    day = check_day(case)
    sheet = tmp_path / "filled.csv"
    sheet.write_text(
        "date,target,kind,adult,location,material_set,trials,correct\n"
        f"{day},puts-on,probe,mum,home,boots,5,5\n{day},puts-on,probe,gran,home,boots,5,5\n"
    )
    assert main(["record", str(case), "--from", str(sheet), *NOW]) == 0
    assert capsys.readouterr().out.count("maintenance") == 1
    assert [row.split(",")[3] for row in rows(case)] == ["maintenance", "probe"]


def test_a_kept_plan_that_cannot_be_read_keeps_nobody_from_writing(case: Path, capsys: Capture) -> None:
    plan = case / "weeks" / str(WEEK) / "plan.csv"
    day = check_day(case)
    plan.write_text(plan.read_text("utf-8").replace("maintenance", "mainten"), encoding="utf-8")
    assert main(["record", str(case), *HOME, "--date", day, "--correct", "4", *NOW]) == 0
    assert "could not be looked up" in capsys.readouterr().err
    assert rows(case) == [f"{day},,puts-on,probe,mum,home,boots,5,4,,,,"]


ROWS = (
    "2026-11-20,,puts-on,probe,gran,home,hats,5,3,,,,",
    "2026-11-21,,puts-on,probe,gran,yard,hats,5,5,,,,",
    "2026-11-21,,puts-on,probe,gran,yard,boots,5,2,,,,",
)


def written(case: Path, *lines: str) -> None:
    (case / "results.csv").write_text("\n".join([",".join(COLUMNS), *lines]) + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("says", "told"),
    [
        ([], "if that is the row you mean, say so with its target and its date too"),
        (["--target", "puts-on"], "say so with its target and its date too"),
        (["--target", "puts-on", "--date", "2026-11-21"], "What you say is on line"),
        (["--target", "puts-on", "--date", "2026-11-19"], "That is not what you say of it"),
    ],
)
def test_a_line_that_is_not_named_by_what_it_says_is_refused(
    case: Path, says: list[str], told: str, capsys: Capture
) -> None:
    written(case, *ROWS[:2])
    assert main(["record", str(case), "--corrects", "2", *says, "--correct", "0", *NOW]) == 2
    said = capsys.readouterr().err
    assert "Line 2 says: 2026-11-20, puts-on, gran, home, hats: 3 of 5 correct." in said
    assert told in said
    assert rows(case) == list(ROWS[:2])


def test_what_two_rows_say_names_neither(case: Path, capsys: Capture) -> None:
    written(case, *ROWS)
    words = ["record", str(case), "--corrects", "3", "--target", "puts-on", "--date", "2026-11-21"]
    assert main([*words, "--correct", "0", *NOW]) == 2
    assert "Line 4 fits what you say of it too" in capsys.readouterr().err
    assert rows(case) == list(ROWS)
    assert main([*words, "--material-set", "hats", "--correct", "4", *NOW]) == 0
    assert "in place of line 3: 21 November 2026, " in capsys.readouterr().out
    assert rows(case)[-1] == "2026-11-21,,puts-on,probe,gran,yard,hats,5,4,,,,"


def test_a_digest_finds_its_row_in_a_file_that_was_sorted(case: Path) -> None:
    written(case, *ROWS)
    opened = workflow.open_case(case, LATE)
    first = next(r for r in opened.log.results if r.line == 2)
    digest = digest_of(opened.case.targets["puts-on"], first)
    written(case, *reversed(ROWS))
    done = workflow.correct(case, 2, {"correct": "0"}, LATE, digest=digest)
    assert done.corrected is not None
    assert done.corrected.line == 4
    assert rows(case)[-1] == "2026-11-20,,puts-on,probe,gran,home,hats,5,0,,,,"
    written(case, *ROWS[1:])
    with pytest.raises(UsageError, match=r"is not in results\.csv any more"):
        workflow.correct(case, 2, {"correct": "0"}, LATE, digest=digest)
    assert rows(case) == list(ROWS[1:])


AGAIN = ["--target", "puts-on", "--adult", "gran", "--location", "home", "--material-set", "hats"]


def test_two_probes_without_a_time_are_both_kept_and_which_counts_is_said(
    case: Path, capsys: Capture
) -> None:
    written(case, ROWS[0])
    assert main(["record", str(case), *AGAIN, "--date", "2026-11-20", "--correct", "5", *NOW]) == 0
    told = capsys.readouterr().err
    assert (
        "counts in the place of line 2 (20 November 2026, Puts it on, Gran, Home, Three hats: 3 of 5 correct)"
        in told
    )
    assert "give each its time" in told
    assert rows(case) == [ROWS[0], "2026-11-20,,puts-on,probe,gran,home,hats,5,5,,,,"]


def test_of_two_with_a_time_nothing_is_said(case: Path, capsys: Capture) -> None:
    written(case, ROWS[0])
    words = ["record", str(case), *AGAIN, "--date", "2026-11-20", "--correct", "5", "--time", "16:30", *NOW]
    assert main(words) == 0
    assert "in the place of" not in capsys.readouterr().err


@pytest.mark.parametrize(("answer", "code", "number"), [("yes", 0, 2), ("", 2, 1), ("no", 2, 1)])
def test_at_a_terminal_it_is_asked(
    case: Path, answer: str, code: int, number: int, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(case, ROWS[0])
    asked: list[str] = []
    monkeypatch.setattr(added_rows.sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda question: asked.append(question) or answer)
    words = ["record", str(case), *AGAIN, "--date", "2026-11-20", "--correct", "5", *NOW]
    assert main(words) == code
    assert len(asked) == 1
    assert "Line 2 speaks of the same probe: 20 November 2026, Puts it on" in capsys.readouterr().out
    assert len(rows(case)) == number


def test_two_rows_of_one_sheet_are_asked_about_too(case: Path) -> None:
    opened = workflow.open_case(case, LATE)
    head = dict.fromkeys(COLUMNS, "") | dict(zip(COLUMNS, ROWS[0].split(","), strict=True))
    sentences = workflow.to_ask(opened, [head, {**head, "correct": "4"}]).replaced
    assert sentences[0].startswith("Another new row speaks of the same probe")
    added = workflow.record_rows(opened, [head, {**head, "correct": "4"}])
    assert [f.line for f in added.findings] == [3]
    assert [r.kind for r in added.results] == [ResultKind.PROBE] * 2


def test_what_is_asked_about_a_row_of_a_sheet_names_its_file_and_line(case: Path, tmp_path: Path) -> None:
    """A mistyped year is looked for where it was typed."""
    sheet = tmp_path / "week.csv"
    first, second = ROWS[0].split(",", 1)[1], ROWS[0].split(",", 1)[1].replace("mum", "gran")
    sheet.write_text(f"{','.join(COLUMNS)}\n2025-11-20,{first}\n\n2027-11-20,{second}\n", "utf-8")
    asked: list[str] = []

    def no(doubts: workflow.Doubts) -> bool:
        asked.extend(doubts.sentences)
        return False

    with pytest.raises(UsageError):
        workflow.record_sheet(case, sheet, LATE, no)
    assert [s.partition(" 20")[0] for s in asked] == [
        "This is still ahead: week.csv:4:",
        "week.csv:2:",
    ]
