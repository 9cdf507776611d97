"""Cells of which one half was told and the other passed over in silence: now each is said."""

from __future__ import annotations

from pathlib import Path
from zipfile import ZipFile

import pytest

from genplan import workflow
from genplan.case import Case, TargetState
from genplan.casefile import load
from genplan.cli import main
from genplan.errors import CaseError
from genplan.evidence.results import read_results
from genplan.language import Speech, speaking
from genplan.workflow.tabling import Tabled
from tests.fixtures.given_tables import SHEETS, Sheets, csv_of
from tests.fixtures.random_cases import NOW

SKILLS = [["name", "learner", "correct_when", "pass_mark"], ["Pours", "Ada", "No spill", "4/5"]]


def read(tmp_path: Path, sheets: Sheets) -> Tabled:
    return workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets)], NOW, write=True)


def case_of(tmp_path: Path) -> Case:
    case = load(tmp_path / "case").case
    assert case is not None
    return case


def said_in(done: Tabled, words: str) -> list[str]:
    return [f.sentence() for f in done.findings if words in f.sentence()]


@pytest.mark.parametrize(
    ("cell", "language"), [("not yet", "en"), ("Noch nicht", "de"), ("still learning", "en")]
)
def test_what_is_not_mastered_yet_is_a_skill_that_is_taught(tmp_path: Path, cell: str, language: str) -> None:
    skills = [[*SKILLS[0], "mastered on"], [*SKILLS[1], cell], ["Waves", "Ben", "Waves", "4/5", "2026-10-01"]]
    with speaking(Speech(language)):
        done = read(tmp_path, {**SHEETS, "skills": skills})
    targets = case_of(tmp_path).targets
    assert [targets[i].state for i in ("pours", "waves")] == [TargetState.TEACHING, TargetState.MASTERED]
    words = "noch gelehrt wird" if language == "de" else "read as a skill that is still taught"
    assert len(said_in(done, f"'{cell}'")) == len(said_in(done, words)) == 1


def test_that_a_skill_counts_as_mastered_though_its_cell_is_empty_is_said(tmp_path: Path) -> None:
    skills = [
        [*SKILLS[0], "mastered on", "state"],
        [*SKILLS[1], "", ""],
        ["Waves", "Ben", "Waves", "4/5", "", ""],
        ["Zips", "Ben", "Zips", "4/5", "2026-10-01", ""],
        ["Hops", "Ben", "Hops", "4/5", "", "paused"],
    ]
    (told,) = said_in(read(tmp_path, {**SHEETS, "skills": skills}), "count as mastered")
    assert "in rows 2 and 3, and the skills count as mastered all the same" in told
    assert "or 'not yet' where it is still taught" in told


def test_a_state_beside_not_yet_has_to_agree(tmp_path: Path) -> None:
    skills = [[*SKILLS[0], "mastered on", "state"], [*SKILLS[1], "not yet", "paused"]]
    with pytest.raises(CaseError, match="another value than in"):
        read(tmp_path, {**SHEETS, "skills": skills})


@pytest.mark.parametrize("total", [["", "Total", "3"], ["", "3", "Summe"], ["Total", "", "3"]])
def test_a_row_of_sums_is_known_wherever_it_says_so(tmp_path: Path, total: list[str]) -> None:
    """In the column of ids, in that of names, in one that nobody reads."""
    children = [["id", "name", "notes"], ["", "Ada", "1"], ["", "Ben", "2"], total]
    done = read(tmp_path, {**SHEETS, "children": children})
    assert set(case_of(tmp_path).learners) == {"ada", "ben"}
    assert len(said_in(done, "a row of sums, which is not read")) == 1


def test_a_sum_in_a_column_without_a_heading(tmp_path: Path) -> None:
    hours = [["", *row] for row in SHEETS["hours"]]
    done = read(tmp_path, {**SHEETS, "hours": [*hours, ["Total", "", "3", ""]]})
    assert len(said_in(done, "a row of sums, which is not read")) == 1


ROTA = [["Name", "Role", "Mon", "Tue"], ["Rosa", "aide", "9-5", ""], ["Ben", "child", "", "15:00-17:00"]]


def test_roles_stand_beside_hours(tmp_path: Path) -> None:
    """Of adults; what is written beside a child is no role of anybody."""
    sheets = {k: v for k, v in SHEETS.items() if k not in ("hours", "adults")}
    sheets["adults"] = [["name", "learners"], ["Rosa", "Ada, Ben"]]
    sheets["Rota"] = [*ROTA, ["Rosa", "aide", "", "9-5"], ["Ada", "", "3-5pm", ""]]
    read(tmp_path, sheets)
    rosa = case_of(tmp_path).adults["rosa"]
    assert rosa.role == "aide"
    assert [bool(day) for day in rosa.free.days[:3]] == [True, True, False]


def test_a_rota_with_roles_says_who_the_adults_are_where_no_other_sheet_does(tmp_path: Path) -> None:
    sheets = {k: v for k, v in SHEETS.items() if k not in ("hours", "adults")}
    sheets["children"] = [["name", "mon", "tue"], ["Ada", "3-5pm", ""], ["Ben", "", "15:00-17:00"]]
    sheets["Rota"] = ROTA[:2]
    done = read(tmp_path, sheets)
    assert case_of(tmp_path).adults["rosa"].role == "aide"
    assert len(said_in(done, "the sheet 'Rota', read as one of adults by its headings")) == 1


@pytest.mark.parametrize(
    "headings",
    [
        ["Date", "Ability", "Grown-up", "Place", "Learned with", "Right", "Of"],
        ["Date", "Skill", "Learned with", "Where", "With", "Right", "Of"],
        ["Date", "Skill", "Learned with", "Where", "Taught with", "Right", "Of"],
        ["Datum", "Fähigkeit", "Erwachsener", "Ort", "womit gelernt", "richtig", "von"],
        ["Datum", "Fähigkeit", "gelernt mit", "Ort", "womit gelernt", "richtig", "von"],
    ],
)
def test_headings_of_results(tmp_path: Path, headings: list[str]) -> None:
    row = ["2026-11-20", "Pours", "Rosa", "Room 1", "Cups", "4", "5"]
    done = read(tmp_path, {**SHEETS, "skills": SKILLS, "results": [headings, row]})
    assert done.rows == 1
    (result,) = read_results(tmp_path / "case", case_of(tmp_path))[0].results
    assert result.combination == ("rosa", "room-1", "cups")


def test_each_day_that_points_made_one_is_told(tmp_path: Path) -> None:
    children = [["name", "born"], ["Ada", "2.11.2019"], ["Ben", "3.4.2020"], ["Cy", "13.4.2020"]]
    (told,) = said_in(read(tmp_path, {**SHEETS, "children": children}), "with points the day stands first")
    assert "'2.11.2019', read as 2019-11-02" in told
    assert "likewise '3.4.2020' in row 3 as 2020-04-03." in told


@pytest.mark.parametrize("cell", ["Adda, Ben, Cyy", "Adda; Cyy", "Ada & Adda, Cyy"])
def test_all_unknown_names_of_a_cell_are_told(tmp_path: Path, cell: str) -> None:
    adults = [["name", "role", "learners"], ["Rosa", "aide", cell]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "adults": adults})
    (found,) = (f.found for f in error.value.findings if f.file == "adults.csv")
    assert found == "the unknown learner 'Adda' and the unknown learner 'Cyy'"


@pytest.mark.parametrize(
    ("cell", "avoided"),
    [("none so far", set()), ("nil", set()), ("keine bekannt", set()), ("noch keine", set())],
)  # fmt: skip
def test_that_there_is_none_is_no_allergen(tmp_path: Path, cell: str, avoided: set[str]) -> None:
    children = [["name", "allergies"], ["Ada", cell], ["Ben", ""]]
    done = read(tmp_path, {**SHEETS, "children": children})
    assert case_of(tmp_path).learners["ada"].allergens == avoided
    assert not said_in(done, "one of the case's own")


@pytest.mark.parametrize(
    "cell",
    ["egg, nil", "Ei; bisher keine bekannt", "milk, none so far", "none, egg", "none (but no strawberries)",
     "only kiwi", "egg, none since 2025", "severe: peanut, EpiPen", "keine, aber Kiwi", "bis auf Kiwi"],
)  # fmt: skip
def test_an_exception_or_a_remark_among_allergies_is_refused_by_its_cell(tmp_path: Path, cell: str) -> None:
    children = [["name", "allergies"], ["Ada", cell], ["Ben", ""]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "children": children})
    (told,) = error.value.findings
    assert (told.file, told.line, told.key) == ("children.csv", 2, "column B")
    assert "rite" in told.hint
    assert not (tmp_path / "case").exists()


@pytest.mark.parametrize(
    ("held", "asked"),
    [("strawberries", True), ("strawberry jam", True), ('""strawberry jam""', False), ("mango", False)],
)
def test_an_own_allergen_that_holds_the_name_of_another_is_asked_about(
    tmp_path: Path, held: str, asked: bool
) -> None:
    """What the child must not meet would else be planned for it, in the thing that holds it by another name."""
    sheets: Sheets = {
        **SHEETS,
        "children": [["name", "allergies"], ["Ada", "strawberry"], ["Ben", ""]],
        "things": [["name", "contains"], ["Cups", held]],
    }
    if not asked:
        read(tmp_path, sheets)
        return
    with pytest.raises(CaseError) as error:
        read(tmp_path, sheets)
    told = [f for f in error.value.findings if f.file == "things.csv"]
    assert [f.key for f in told] == ["column B"]
    assert "Is it 'strawberry'?" in told[0].hint


def test_a_workbook_says_the_moment_that_counts_as_now(tmp_path: Path) -> None:
    pytest.importorskip("openpyxl")
    read(tmp_path, SHEETS)
    written = []
    for name in ("a.xlsx", "b.xlsx"):
        words = ["tables", "write", str(tmp_path / "case"), str(tmp_path / name), "--now", "2026-11-29T12:00"]
        assert main(words) == 0
        written.append((tmp_path / name).read_bytes())
    assert written[0] == written[1]
    with ZipFile(tmp_path / "a.xlsx") as book:
        assert book.read("docProps/core.xml").count(b">2026-11-29T12:00:00Z<") == 2


def record(tmp_path: Path, *lines: str) -> workflow.Added:
    file = tmp_path / "filled.csv"
    file.write_text("\n".join(lines) + "\n", "utf-8")
    return workflow.record_sheet(tmp_path / "case", file, NOW)


def test_a_filled_sheet_names_people_places_and_things_as_tables_do(tmp_path: Path) -> None:
    """Ada and Ben have a skill of one name: whose is meant says the column of the child."""
    read(tmp_path, SHEETS)
    header = "Date,Child,Skill,Kind,Who,Where,With,Right,Of"
    added = record(tmp_path, header, "2026-11-20,Ben,Pours,probe,Rosa,Room 1,Cups,4,5")
    assert [(r.target, r.combination) for r in added.results] == [("pours-ben", ("rosa", "room-1", "cups"))]
    with pytest.raises(CaseError) as error:
        record(tmp_path, header, "2026-11-21,Ben,Pours,probe,Rosie,Room 1,Cups,4,5")
    assert [(f.line, f.key, f.found) for f in error.value.findings] == [(2, "adult", "found 'Rosie'")]


ROW = "2026-11-20,pours,probe,rosa,room-1,cups,4,5"


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_row_that_was_put_right_does_not_come_back_with_its_old_sheet(
    tmp_path: Path, language: str
) -> None:
    from genplan.evidence.row_identity import digest_of

    read(tmp_path, {**SHEETS, "skills": SKILLS})
    header = "date,target,kind,adult,location,material_set,correct,trials"
    record(tmp_path, header, ROW)
    folder = tmp_path / "case"
    for change in ({"correct": "3"}, {"date": "2026-11-21", "note": "looked it up"}):
        opened = workflow.open_case(folder, NOW)
        (row,) = opened.log.results
        with speaking(Speech(language)):
            workflow.put_right(
                folder, digest_of(opened.case.targets["pours"], row), change, NOW, lambda _: True
            )
    between = ROW.replace(",4,5", ",3,5")
    again = record(tmp_path, header, ROW, between, ROW.replace("2026-11-20", "2026-11-19"))
    assert [r.date.day for r in again.results] == [19]
    (told,) = again.skipped
    assert told.startswith("2 rows were put right since and are not added again as they were.")
    done = read(tmp_path, {"results": [header.split(","), ROW.split(",")]})
    assert done.rows == 0
    assert done.said[0].startswith("1 row was put right since")


def test_a_slip_of_the_year_of_mastery_is_told_by_its_cell(tmp_path: Path) -> None:
    days = ["2062-10-01", "1926-10-01", "2026-10-01"]
    skills = [
        [*SKILLS[0], "mastered on"],
        *([name, "Ada", name, "4/5", day] for name, day in zip(("Waves", "Zips", "Hops"), days, strict=True)),
    ]
    children = [["name", "born"], ["Ada", "2020-05-01"], ["Ben", "2020-05-01"]]
    done = read(tmp_path, {**SHEETS, "children": children, "skills": skills})
    told = [f.sentence() for f in done.findings if "mastery on" in f.sentence()]
    assert [("2062-10-01, which is after today" in x, "before A. was born" in x) for x in told] == [
        (True, False),
        (False, True),
    ]
    assert all("skills.csv" in x for x in told)
