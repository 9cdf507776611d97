"""What is said at the moment a row is written down: fewer trials than planned, and what the child must not have."""

from __future__ import annotations

import html
import shutil
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from genplan import workflow
from genplan.casefile import load
from genplan.cli import main
from genplan.errors import CaseError
from genplan.evidence.results import read_results
from genplan.evidence.standing import Status, standings
from genplan.workflow import NotAdded, RecordRequest
from tests.fixtures.places import EXAMPLES

NOW = datetime(2026, 11, 29, 12, tzinfo=ZoneInfo("America/Halifax"))
PLACE = {"target": "asks-for-a-thing", "adult": "mum", "location": "home"}
FEWER = "5 trials of 'Asks for a thing she can see but not reach' were planned, and 1 was counted."


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    case = Path(shutil.copytree(EXAMPLES / "family", tmp_path / "case"))
    text = (case / "case.yaml").read_text("utf-8")
    more = "  egg-noodles: {name: Egg noodles, allergens: [egg]}\n  pancakes: {name: Pancakes}\n  bar-soap:"
    assert text.count("\n  bar-soap:") == 1
    (case / "case.yaml").write_text(text.replace("\n  bar-soap:", f"\n{more}"), "utf-8")
    return case


def entry(thing: str, trials: int, correct: int, **more: str) -> RecordRequest:
    return RecordRequest(**PLACE, material_set=thing, trials=trials, correct=correct, **more)  # type: ignore[arg-type]


def test_fewer_trials_than_planned_are_asked_about_and_may_be_added(folder: Path) -> None:
    before = (folder / "results.csv").read_bytes()
    asked: list[str] = []

    def no(doubts: workflow.Doubts) -> bool:
        asked.extend(doubts.sentences)
        return False

    with pytest.raises(NotAdded):
        workflow.record(folder, entry("snack-tin", 1, 1), NOW, no)
    assert (folder / "results.csv").read_bytes() == before
    (sentence,) = [s for s in asked if "were planned" in s]
    assert sentence.startswith(FEWER)
    assert sentence.endswith("held against 4/5: met.")
    workflow.record(folder, entry("snack-tin", 1, 1), NOW, lambda doubts: True)
    case = load(folder).case
    assert case is not None
    log, _findings = read_results(folder, case)
    known = standings(case.targets["asks-for-a-thing"], log)
    assert known["mum", "home", "snack-tin"].status is Status.MET, "what counts is as the sentence says"


@pytest.mark.parametrize(
    ("day", "is_asked"), [("2025-12-01", True), ("2026-05-29", True), ("2026-05-30", False)]
)
def test_a_day_of_another_year_is_asked_about(folder: Path, day: str, is_asked: bool) -> None:
    asked: list[str] = []

    def no(doubts: workflow.Doubts) -> bool:
        asked.extend(doubts.long_ago)
        return not doubts.long_ago

    def add() -> None:
        workflow.record(folder, entry("snack-tin", 5, 4, date=date.fromisoformat(day)), NOW, no)  # type: ignore[arg-type]

    before = (folder / "results.csv").read_bytes()
    if is_asked:
        with pytest.raises(NotAdded):
            add()
        assert "is more than half a year ago" in asked[0]
        assert day[:4] in asked[0]
    else:
        add()
    assert ((folder / "results.csv").read_bytes() == before) == is_asked


def test_many_rows_of_long_ago_are_asked_about_once(folder: Path, tmp_path: Path) -> None:
    """A whole sheet with the year typed wrongly."""
    days = [f"2025-11-{n:02}" for n in range(3, 8)]
    rows = "".join(f"{day},{PLACE['target']},probe,mum,home,snack-tin,5,4\n" for day in days)
    sheet = tmp_path / "week.csv"
    sheet.write_text(f"date,target,kind,adult,location,material_set,trials,correct\n{rows}", "utf-8")
    asked: list[str] = []

    def no(doubts: workflow.Doubts) -> bool:
        asked.extend(doubts.long_ago)
        return False

    with pytest.raises(NotAdded):
        workflow.record_sheet(folder, sheet, NOW, no)
    (said,) = asked
    assert said.startswith(
        "5 rows are of more than half a year ago, from 3 November 2025 to 7 November 2025."
    )


def test_a_row_of_a_day_before_the_child_was_born_is_a_warning(folder: Path) -> None:
    workflow.record(folder, entry("snack-tin", 5, 4, date=date(2012, 12, 1)), NOW, lambda doubts: True)  # type: ignore[arg-type]
    case = load(folder).case
    assert case is not None
    (found,) = [f for f in read_results(folder, case)[1] if "was born" in f.found]
    assert (found.key, found.hint) == ("date", "look once more at the year")


@pytest.mark.parametrize(("trials", "kind"), [(5, "probe"), (1, "teaching")])
def test_as_many_trials_as_planned_and_teaching_are_not_asked_about(
    folder: Path, trials: int, kind: str
) -> None:
    asked: list[str] = []

    def yes(doubts: workflow.Doubts) -> bool:
        asked.extend(doubts.sentences)
        return True

    workflow.record(folder, entry("snack-tin", trials, 1, kind=kind), NOW, yes)
    assert not [s for s in asked if "planned" in s]


def test_where_nobody_can_be_asked_it_is_said(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", None)
    words = [
        "--target",
        PLACE["target"],
        "--adult",
        "mum",
        "--location",
        "home",
        "--material-set",
        "snack-tin",
    ]
    words += ["--trials", "1", "--correct", "1", "--now", "2026-11-29T12:00"]
    assert main(["record", str(folder), *words]) == 0
    assert "and 1 was counted" in "".join(capsys.readouterr())


@pytest.mark.parametrize("kind", ["probe", "teaching"])
def test_an_allergen_is_said_at_once_though_the_skill_does_not_vary_the_thing(
    folder: Path, kind: str
) -> None:
    outcome = workflow.record(folder, entry("egg-noodles", 5, 5, kind=kind), NOW, lambda doubts: True)
    told = " ".join(f.sentence() for f in outcome.findings)
    assert "'Egg noodles' holds egg, which I. must not meet" in told
    assert "egg-noodles" in (folder / "results.csv").read_text("utf-8"), "it was done, so the row stays"


def test_an_allergen_that_only_the_name_says_is_said_at_once(folder: Path) -> None:
    outcome = workflow.record(folder, entry("pancakes", 5, 5), NOW, lambda doubts: True)
    for sentence in (outcome.sentence, outcome.named):
        assert "'Pancakes' may by its name hold egg, which I. must not meet" in html.unescape(sentence)
    outcome = workflow.record(folder, entry("train-box", 5, 5), NOW, lambda doubts: True)
    assert "Careful" not in outcome.named


def test_an_unknown_skill_is_told_with_those_that_there_are(folder: Path) -> None:
    strange = RecordRequest(target="quite-another", adult="mum", location="home", material_set="x", correct=5)
    with pytest.raises(CaseError) as refused:
        workflow.record(folder, strange, NOW)
    case = load(folder).case
    assert case is not None
    for target in case.targets:
        assert target in str(refused.value)


@pytest.mark.parametrize("kind", ["probe", "teaching", "not run"])
def test_what_a_caution_holds_back_is_asked_about_unless_it_was_not_run(folder: Path, kind: str) -> None:
    """Added all the same it counts, and what was not run is not said to count."""
    text = (folder / "case.yaml").read_text("utf-8")
    tin = 'snack-tin: {name: "Snack tin: crackers, apple slices, cheese", '
    assert tin in text
    (folder / "case.yaml").write_text(text.replace(tin, f"{tin}hazards: [magnet], "), "utf-8")
    asked: list[str] = []

    def yes(doubts: workflow.Doubts) -> bool:
        asked.extend(doubts.held_back)
        return True

    counts = {"trials": 5, "correct": 4} if kind == "probe" else {}
    row = RecordRequest(**PLACE, material_set="snack-tin", kind=kind, note="Ill.", **counts)  # type: ignore[arg-type]
    told = workflow.record(folder, row, NOW, yes)
    assert len(asked) == (kind != "not run")
    assert all(
        "cheese' holds a magnet that a child can get at. Was it really this thing?" in s for s in asked
    )
    (warned,) = [
        f for f in told.findings if f.found.startswith("this is of a thing that the child is kept from")
    ]
    counted = "it was not run, and counts for nothing" if kind == "not run" else "it is counted all the same"
    assert warned.hint == counted
