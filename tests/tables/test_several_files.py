"""A case that stands in several files: staff, rooms and children, each as somebody keeps them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from genplan import workflow
from genplan.case import Case
from genplan.case.week import DAY_NAMES
from genplan.casefile import load
from genplan.cli import main
from genplan.errors import CaseError, UsageError
from genplan.evidence import workbook as reader
from genplan.evidence.workbook import sheets_for
from genplan.language import LANGUAGES
from genplan.tables.headings import day_headed, headings_of, sheet_names
from genplan.tables.sheets import SHEETS as KINDS
from genplan.workflow.tabling import Tabled
from tests.fixtures.given_tables import SHEETS, Sheets, book_of, csv_of
from tests.fixtures.random_cases import NOW

STAFF: Sheets = {
    "Staff": [["First name", "Surname", "Job"], ["Orla", "Finn", "Therapist"], ["Marek", "Dudek", "Aide"]],
    "Our week": [
        ["Autumn"],
        ["Name", "Monday", "Tue"],
        ["Orla Finn", "9:00-12:30", "off"],
        ["Marek Dudek", "", "9-5"],
    ],
}
ROOMS: Sheets = {
    "Rooms": [["Room", "Opening hours", "Children at a time"], ["Hall", "Mon-Fri 9-12", "2"]],
    "Kitchen and yard": [["Room", "Capacity"], ["Kitchen", "1"]],
    "Walking": [["From", "To", "Minutes"], ["Hall", "Kitchen", "4"]],
}
CHILDREN: Sheets = {
    "Children": [["First name", "Date of birth", "At school"], ["Ada", "2020-05", "Mon-Fri 9:00-15:00"]],
    "Skills": [["Child", "Skill", "Correct when", "Taught by", "Taught in"],
               ["Ada", "Pours", "No spill", "Orla Finn", "Hall, Kitchen"]],
}  # fmt: skip


def read(tmp_path: Path, *books: Sheets, write: bool = True) -> Tabled:
    folders = [csv_of(tmp_path / f"t{i}", sheets) for i, sheets in enumerate(books)]
    return workflow.read_tables(tmp_path / "case", folders, NOW, write=write, timezone="Europe/Dublin")


def case_of(tmp_path: Path) -> Case:
    case = load(tmp_path / "case").case
    assert case is not None
    return case


def told(tmp_path: Path, *books: Sheets) -> list[str]:
    with pytest.raises(CaseError) as error:
        read(tmp_path, *books)
    return [f.sentence() for f in error.value.findings]


@pytest.mark.parametrize(
    ("more", "chosen", "policy", "said"),
    [
        ({}, "", "family", "is family; --policy says another, such as caseload or school-transfer."),
        (
            {"Class": [["Child", "DOB"], ["Ben", "2020-01"]]},
            "",
            "caseload",
            "is caseload; --policy says another",
        ),
        ({}, "school-transfer", "school-transfer", ""),
        ({"case": [["key", "value"], ["policy.rest_minutes", "5"]]}, "", "own", ""),
    ],
)
def test_a_new_case_says_by_which_policy_it_is_planned(
    tmp_path: Path, more: Sheets, chosen: str, policy: str, said: str
) -> None:
    tables = [csv_of(tmp_path / f"t{i}", s) for i, s in enumerate((STAFF, ROOMS, {**CHILDREN, **more}))]
    done = workflow.read_tables(
        tmp_path / "case", tables, NOW, write=True, timezone="Europe/Dublin", policy=chosen
    )
    assert (case_of(tmp_path).policy.name, case_of(tmp_path).policy.plan_teaching) == (
        policy,
        policy != "own",
    )
    told = [line for line in done.assumed if "policy" in line]
    assert len(told) == bool(said)
    assert all(said in line for line in told)


def test_a_new_case_is_in_the_time_zone_of_a_computer_that_is_set_to_utc(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("genplan.start.time_zone.LOCALTIME", tmp_path / "none")
    (tmp_path / "zone").write_text("Etc/UTC\n")
    monkeypatch.setattr("genplan.start.time_zone.TIMEZONE", tmp_path / "zone")
    monkeypatch.delenv("TZ", raising=False)
    tables = [csv_of(tmp_path / f"t{i}", s) for i, s in enumerate((STAFF, ROOMS, CHILDREN))]
    done = workflow.read_tables(tmp_path / "case", tables, NOW, write=True)
    assert case_of(tmp_path).timezone.key == "Etc/UTC"
    assert done.assumed[0].startswith("The time zone is that of this computer, Etc/UTC;")


def test_a_policy_that_does_not_come_with_the_program_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="'familly' is no policy"):
        workflow.read_tables(
            tmp_path / "case", [csv_of(tmp_path / "t", STAFF)], NOW, write=True, policy="familly"
        )


def test_three_files_make_a_case(tmp_path: Path) -> None:
    done = read(tmp_path, STAFF, ROOMS, CHILDREN)
    case = case_of(tmp_path)
    assert [len(day) for day in case.adults["orla-finn"].free.days[:2]] == [1, 0]
    assert [len(day) for day in case.adults["marek-dudek"].free.days[:2]] == [0, 1]
    assert {i: p.capacity for i, p in case.locations.items()} == {"hall": 2, "kitchen": 1}
    assert case.travel.minutes("kitchen", "hall") == 4
    assert len(case.targets["pours"].taught) == 2  # Orla in the hall and Orla in the kitchen, without objects
    assert set(case.material_sets) == {"nothing"}
    assert case.material_sets["nothing"].is_nothing
    assert [f.found.split(",")[0] for f in done.findings if "by the policy's" not in f.found] == [
        "the sheet 'Our week'",
        "the sheet 'Kitchen and yard'",
    ]
    assert len(done.assumed) == 2  # a policy, and no things; the time zone was said


@pytest.mark.parametrize("first", [0, 1, 2])
def test_one_of_them_is_too_little_for_a_new_case_and_says_how_to_go_on(tmp_path: Path, first: int) -> None:
    book = (STAFF, ROOMS, CHILDREN)[first]
    lines = told(tmp_path, book)
    assert not (tmp_path / "case").exists()
    assert "genplan tables read t0 OTHER.xlsx" in lines[-1]
    assert sum("no row speaks of" in line or "the unknown" in line for line in lines) <= 2, lines


def test_into_a_case_that_is_there_they_go_one_after_the_other(tmp_path: Path) -> None:
    read(tmp_path, STAFF, ROOMS, CHILDREN)
    before = case_of(tmp_path)
    for book in (CHILDREN, ROOMS, STAFF):
        assert read(tmp_path, book).differences == ()
    read(tmp_path, {"rooms": [["Room", "Capacity"], ["Yard", "3"]]})
    read(tmp_path, {"staff": [["Name", "Mon"], ["Orla Finn", "9-11"]]})
    case = case_of(tmp_path)
    assert set(case.locations) == {*before.locations, "yard"}
    assert case.adults["orla-finn"].free != before.adults["orla-finn"].free
    assert case.adults["marek-dudek"] == before.adults["marek-dudek"]


def test_everything_that_is_wrong_in_any_file_is_told_at_once(tmp_path: Path) -> None:
    rooms: Sheets = {"Rooms": [["Room", "Capacity"], ["Hall", "many"]]}
    children: Sheets = {**CHILDREN, "Children": [["First name", "Date of birth"], ["Ada", "soon"]]}
    lines = told(tmp_path, {**STAFF, "Rota": [["Name", "Mon"], ["Orlo Finn", "9-5"]]}, rooms, children)
    starts = (
        "Rota.csv:2: column A: 'Orlo Finn', whom",
        "Rooms.csv:2: column B:",
        "Children.csv:2: column B:",
    )
    assert all(any(line.startswith(start) for line in lines) for start in starts), lines


def test_files_of_one_name_are_told_apart(tmp_path: Path) -> None:
    lines = told(tmp_path, STAFF, ROOMS, CHILDREN, {"Rooms": [["Room", "Capacity"], ["Hall", "1"]]})
    assert lines == [
        f"{tmp_path}/t3/Rooms.csv:2: column B: another value than in {tmp_path}/t1/Rooms.csv: line 2; expected one"
        " value. Make them the same, or empty one of the two cells."
    ]


def test_the_same_sheet_in_two_files_is_one(tmp_path: Path) -> None:
    more: Sheets = {"staff": [["Name", "Email"], ["orla finn", ""], ["Sunita Rao", "s@example.org"]], **ROOMS}
    again = {
        **more,
        "staff": [["Name", "Email", "Mon"], ["Sunita Rao", "s@example.org", "9-12"]],
        "rota": STAFF["Our week"],
    }
    read(tmp_path, STAFF, again, CHILDREN)
    assert set(case_of(tmp_path).adults) == {"orla-finn", "marek-dudek", "sunita-rao"}


def test_two_sheets_of_hours_that_differ_are_not_added_up(tmp_path: Path) -> None:
    spring = {"Rota": [["Name", "Monday"], ["Orla Finn", "13-15"]]}
    lines = told(tmp_path, STAFF, ROOMS, CHILDREN, spring)
    assert [line.split(":")[0] for line in lines] == ["Rota.csv"]
    assert "another value than in Our week.csv: line 3" in lines[0]


def test_two_sheets_of_results_are_refused(tmp_path: Path) -> None:
    results: Sheets = {"results": [["date", "target"], ["2026-11-01", "Pours"]]}
    lines = told(tmp_path, {**STAFF, **results}, ROOMS, {**CHILDREN, **results})
    assert any("a second sheet of results, beside" in line for line in lines)


def test_several_adults_in_several_places_are_not_made_into_all_ways(tmp_path: Path) -> None:
    head, row = CHILDREN["Skills"]
    both = {**CHILDREN, "Skills": [head, [*row[:3], "Orla Finn, Marek Dudek", "Hall, Kitchen"]]}
    assert "several in one of these columns at most" in told(tmp_path, STAFF, ROOMS, both)[0]


def test_of_several_things_the_one_that_was_taught_with_has_to_be_said(tmp_path: Path) -> None:
    things: Sheets = {"Materials": [["Set", "Copies"], ["Cups", "1"], ["Mugs", "1"]]}
    assert "nothing under 'taught using'" in told(tmp_path, STAFF, ROOMS, {**CHILDREN, **things})[0]
    head, row = CHILDREN["Skills"]
    named = {"Skills": [[*head, "Taught using"], [*row, "Mugs"]]}
    read(tmp_path, STAFF, ROOMS, {**CHILDREN, **things, **named})
    assert len(case_of(tmp_path).targets["pours"].taught) == 2


def test_the_same_fault_down_a_column_is_told_once(tmp_path: Path) -> None:
    rows = [["Room", "Capacity"], *([f"Room {i}", "many"] for i in range(8))]
    lines = told(tmp_path, STAFF, {"Rooms": rows}, CHILDREN)
    assert [line for line in lines if line.startswith("Rooms.csv")] == [
        "Rooms.csv:2: column B: 'many' (and in 7 more cells of the column); expected a whole number from 1 to 100."
    ] or sum(line.startswith("Rooms.csv") for line in lines) == 1, lines


GERMAN: tuple[Sheets, ...] = (
    {"Dienstplan": [["Vorname", "Nachname", "Mo", "Dienstag", "Mi."],
                    ["Orla", "Finn", "9-12", "dienstfrei", "9:00-12:00"]],
     "Personal": [["Name", "Beruf"], ["Orla Finn", "Therapeutin"]]},
    {"Räume": [["Raum", "Öffnungszeiten", "Plätze"], ["Halle", "Mo-Fr 9-12", "2"]]},
    {"Kinder": [["Kind", "Geburtsdatum", "Zeiten"], ["Ada", "2020-05", "Mo-Fr 9:00-12:00"]],
     "Lernziele": [["Kind", "Ziel", "richtig wenn", "erreicht am"], ["Ada", "Gießt ein", "Nichts läuft über", ""]]},
)  # fmt: skip


def test_sheets_and_headings_in_german(tmp_path: Path) -> None:
    read(tmp_path, *GERMAN)
    case = case_of(tmp_path)
    assert [len(day) for day in case.adults["orla-finn"].free.days[:3]] == [1, 0, 1]
    assert case.locations["halle"].capacity == 2
    assert [t.correct_when for t in case.targets.values()] == ["Nichts läuft über"]


@pytest.mark.parametrize(
    ("name", "heads", "kind"),
    [
        ("Sheet1", ["Name", "Monday", "Friday"], "hours"),
        ("Autumn", ["Child", "Mo", "Fr"], "hours"),
        ("Staff hours", ["Employee", "Hours"], "hours"),
        ("Tabelle1", ["Vorname", "Montag", "Freitag"], "hours"),
        ("Sheet1", ["Room", "Capacity"], "places"),
        ("Sheet1", ["Child", "Date of birth"], "children"),
        ("Sheet1", ["Child", "Skill", "Correct when"], "skills"),
        ("Sheet1", ["From", "To", "Minutes"], "ways"),
        ("Sheet1", ["Name", "Role", "Mon"], "adults"),
        ("Pupils 2026", ["Name", "Hours"], "children"),
        ("Sheet1", ["Name", "Hours"], ""),
        ("Sheet1", ["Monday", "Friday"], ""),
        ("Sheet1", ["Total"], ""),
    ],
)
def test_what_a_sheet_is_of_is_seen_by_its_headings_where_these_are_clear(
    tmp_path: Path, name: str, heads: list[str], kind: str
) -> None:
    from genplan.tables.grids import read_grids
    from genplan.tables.understood import tables_of

    grids, _ = read_grids([csv_of(tmp_path / "t", {name: [heads, ["x"] * len(heads)]})])
    tables, findings = tables_of(grids)
    assert [table.kind.name for table in tables] == ([kind] if kind else [])
    if kind == "":
        assert "the unknown sheet" in findings[0].found


def test_an_unclear_sheet_is_told_what_it_may_be(tmp_path: Path) -> None:
    lines = told(tmp_path, STAFF, ROOMS, CHILDREN, {"Sheet1": [["Name", "Hours"], ["Ada", "Mon 9-12"]]})
    assert "Its headings may be those of children, adults, hours or places: name it so" in lines[0]


def test_a_column_of_remarks_is_passed_over_and_said(tmp_path: Path) -> None:
    rooms = {**ROOMS, "Rooms": [["Room", "Notes"], ["Hall", "quiet"]]}
    done = read(tmp_path, STAFF, rooms, CHILDREN)
    assert [f.found for f in done.findings if "Notes" in f.found] == ["the column 'Notes', which is not read"]


@pytest.mark.parametrize(
    ("heading", "day"),
    [
        ("Mon", 0),
        ("Montag", 0),
        ("Mi.", 2),
        ("Weds", 2),
        ("Weds.", 2),
        ("Wednes.", 2),
        ("Tue.", 1),
        ("Thur", 3),
        ("Thursdays", 3),
        ("So", 6),
    ],
)
def test_days_above_columns(heading: str, day: int) -> None:
    assert day_headed(heading) == DAY_NAMES[day]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_language_has_words_of_its_own_for_each_sheet(kind: Any) -> None:
    """Were a heading of one kind read as two columns, the first would win and the other never be filled in."""
    assert len(sheet_names(kind.name)) >= len(LANGUAGES)
    for column in kind.columns:
        for word in headings_of(kind.name, column.heading):
            found = kind.column(word)
            assert found is not None
            assert found is column or word in kind.names_of(found)


def test_no_word_is_that_of_two_sheets() -> None:
    words = [word for kind in KINDS for word in sheet_names(kind.name)]
    assert len(words) == len(set(words))


def test_a_file_in_place_of_the_case_is_refused(tmp_path: Path) -> None:
    book = tmp_path / "b.csv"
    book.write_text("a\n", "utf-8")
    with pytest.raises(UsageError, match="is no folder of a case"):
        workflow.read_tables(book, [book], NOW, write=True)


def test_the_command_takes_several_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(csv_of(tmp_path / f"t{i}", book)) for i, book in enumerate((STAFF, ROOMS, CHILDREN))]
    words = ["tables", "read", *files, str(tmp_path / "case"), "--timezone", "Europe/Berlin"]
    assert main(words) == 0
    assert "would be made. Add --write" in capsys.readouterr().out
    assert main([*words, "--write"]) == 0
    assert str(case_of(tmp_path).timezone) == "Europe/Berlin"


def sloppy(whom: str, taught_by: str = "Orla", allergies: str = "none") -> tuple[Sheets, Sheets, Sheets]:
    """First names where one person alone has them, an `&` before the last of several, a column of totals."""
    staff: Sheets = {
        "Staff": [["First name", "Surname", "Children"], ["Orla", "Finn", whom], ["Marek", "Dudek", "all"]],
        "Rota": [
            ["Name", "Mon", "Tue", "Total"],
            ["Orla", "9-12 & 1-3", "off", "5"],
            ["Marek", "9-5", "", "8"],
        ],
    }
    rooms: Sheets = {"Rooms": [["Room", "No. of children"], ["Hall", "2"]]}
    children: Sheets = {
        "Children": [["Child", "Hours", "Allergies"], ["Ada", "Mon 9-12", allergies], ["Ben", "Mon 9-12", ""],
                     ["Cleo", "Mon 9-12", "egg"]],
        "Skills": [["Child", "Skill", "Correct when", "Taught by", "Staff"],
                   [whom, "Pours", "No spill", taught_by, "Orla & Marek"]],
    }  # fmt: skip
    return staff, rooms, children


@pytest.mark.parametrize(
    "whom",
    ["Ada, Ben", "Ada & Ben", "Ada and Ben", "Ada und Ben", "Ada + Ben", "ada; ben", "Ada, Ben & Cleo"],
)
def test_names_as_people_put_them_together(tmp_path: Path, whom: str) -> None:
    done = read(tmp_path, *sloppy(whom))
    case = case_of(tmp_path)
    children = {"ada", "ben", "cleo"} if "Cleo" in whom else {"ada", "ben"}
    assert case.adults["orla-finn"].learners == children
    assert {t.learner for t in case.targets.values()} == children
    pours = next(iter(case.targets.values()))
    assert pours.dimensions[0].values == ("orla-finn", "marek-dudek")
    assert pours.taught[0]["adult"] == "orla-finn"
    assert case.locations["hall"].capacity == 2
    assert [bool(case.learners[i].allergens) for i in ("ada", "ben", "cleo")] == [False, False, True]
    assert (
        "Called by the first name, which nobody else has: Marek (Marek Dudek) and Orla (Orla Finn)."
        in done.assumed
    )


def test_a_first_name_that_two_have_is_asked_about(tmp_path: Path) -> None:
    staff, rooms, children = sloppy("Ada")
    staff["Staff"].append(["Orla", "Brady", "all"])
    found = told(tmp_path, staff, rooms, children)
    both = "'Orla', which may be Orla Finn or Orla Brady"
    assert any(f"Rota.csv:2: column A: {both}" in sentence for sentence in found), found
    assert any(f"Skills.csv:2: column D: {both}" in sentence for sentence in found), found


def test_a_new_row_with_a_first_name_alone_is_somebody_else(tmp_path: Path) -> None:
    staff, rooms, children = sloppy("Ada", taught_by="Orla Finn")
    staff["Staff"].append(["Orla", "", "all"])
    read(tmp_path, staff, rooms, children)
    assert {"orla", "orla-finn"} <= set(case_of(tmp_path).adults)


def test_part_of_a_name_is_no_first_name(tmp_path: Path) -> None:
    for wrong in ("Or", "Finn", "Ada & Bob"):
        found = told(tmp_path, *sloppy("Ada", taught_by=wrong))
        assert any(sentence.startswith("Skills.csv:2: column D: the unknown adult") for sentence in found), (
            found
        )


def test_names_with_a_sign_in_them_stay_one_name(tmp_path: Path) -> None:
    staff, rooms, children = sloppy("Ada")
    rooms["Rooms"] += [["Hall & Yard", "1"], ["Yard", "1"]]
    children["Skills"] = [[*children["Skills"][0], "Rooms"], [*children["Skills"][1], "Hall & Yard"]]
    read(tmp_path, staff, rooms, children)
    assert next(iter(case_of(tmp_path).targets.values())).dimensions[1].values == ("hall-and-yard",)


def test_a_first_name_of_somebody_who_is_there_makes_no_second_person(tmp_path: Path) -> None:
    read(tmp_path, *sloppy("Ada", taught_by="Orla Finn"))
    before = (tmp_path / "case" / "case.yaml").read_bytes()
    for more in ({"Staff": [["Name", "sittings_per_day"], ["Orla", "2"]]}, {"Staff": [["Name"], ["ORLA"]]}):
        (sentence,) = told(tmp_path, more)
        assert "the first name of Orla Finn; expected the whole name" in sentence
        assert sentence.endswith("Is it Orla Finn? Write the whole name; a new person needs another name.")
    assert (tmp_path / "case" / "case.yaml").read_bytes() == before
    read(tmp_path, {"Staff": [["Name", "sittings_per_day"], ["Orla Finn", "2"], ["Orlagh", ""]]})
    assert {"orla-finn", "orlagh"} <= set(case_of(tmp_path).adults)
    assert "orla" not in case_of(tmp_path).adults


def test_a_name_that_two_rows_have_says_which_they_are_where_it_is_used(tmp_path: Path) -> None:
    children: Sheets = {
        "Pupils": [["First name", "Surname"], ["Fenn", "Archer"], ["Della", "Roos"], ["Fenn", "Archer"]],
        "Skills": [["Skill", "Child"], ["Asks", "Fenn, Della"], ["Waits", "Fenn Archer"], ["Sits", "Fen"]],
    }
    staff, rooms, _ = sloppy("Ada")
    found = told(tmp_path, staff, rooms, children)
    two = "which may be Fenn Archer (row 2 of 'Pupils') and Fenn Archer (row 4 of 'Pupils')"
    assert any(s.startswith(f"Skills.csv:2: column B: 'Fenn', {two}") for s in found), found
    assert any(s.startswith(f"Skills.csv:3: column B: 'Fenn Archer', {two}") for s in found), found
    assert any(s.startswith("Skills.csv:4: column B: the unknown learner 'Fen'") for s in found), found


@pytest.mark.parametrize(("apart", "encoding"), [(";", "cp1252"), ("\t", "utf-8-sig"), (",", "cp1252")])
def test_csv_files_are_read_as_spreadsheet_programs_write_them(
    tmp_path: Path, apart: str, encoding: str
) -> None:
    book: Sheets = {
        "Personal": [["Unser Team", ""], ["Name", "Montag"], ["Änne Groß", '"8.30-12, 13-15"']],
        "Räume": [["Name", "Öffnungszeiten"], ["Küche", '"Mo-Fr 9-12"']],
        "Kinder": [["Name", "Geburtsdatum"], ["Jörg", "2020-05"]],
        "Ziele": [["Name", "Kind", "Zählt als richtig wenn"], ["Gießt ein", "Jörg", "Nichts daneben"]],
    }
    for name, rows in book.items():
        text = "\r\n".join(apart.join(row) for row in rows) + "\r\n"
        (tmp_path / f"{name}.csv").write_bytes(text.encode(encoding))
    done = workflow.read_tables(tmp_path / "case", [tmp_path], NOW, write=True, timezone="Europe/Berlin")
    case = case_of(tmp_path)
    assert [a.name for a in case.adults.values()] == ["Änne Groß"]
    assert len(next(iter(case.adults.values())).free.days[0]) == 2
    told = [f for f in done.findings if "Windows-1252" in f.found]
    assert [(f.file, f.line) for f in told] == (
        [("Kinder.csv", 2), ("Personal.csv", 3), ("Räume.csv", 1), ("Ziele.csv", 1)]
        if encoding == "cp1252"
        else []
    )


def test_a_hidden_sheet_and_a_second_one_of_hours_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("python_calamine")
    monkeypatch.setattr(reader, "_ask", lambda path, data: sheets_for(data))

    def hide(book: Any) -> None:
        book["Old rota"].sheet_state = "hidden"

    sheets = {**SHEETS, "Old rota": [["who", "mon", "tue"], ["Rosa", "9-5", "9-5"]]}
    done = workflow.read_tables(
        tmp_path / "case",
        [book_of(tmp_path / "t.xlsx", sheets, hide)],
        NOW,
        write=True,
        timezone="Europe/Dublin",
    )
    told = [f.sentence() for f in done.findings]
    assert any("the hidden sheet 'Old rota', which is read as well" in s for s in told), told
    assert any("the sheet 'Old rota', read as hours beside 'hours'" in s for s in told), told


@pytest.mark.parametrize(("monday", "agrees"), [("9-5", True), ("", True), ("13-15", False)])
def test_hours_beside_a_name_and_in_a_sheet_of_hours_say_the_same_of_a_day(
    tmp_path: Path, monday: str, agrees: bool
) -> None:
    adults = [["name", "role", "learners", "mon", "fri"], ["Rosa", "aide", "Ada, Ben", monday, "9-12"]]
    folder = csv_of(tmp_path / "t", {**SHEETS, "adults": adults})
    if agrees:
        workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
        return
    with pytest.raises(CaseError) as error:
        workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
    (finding,) = error.value.findings
    assert "another value than in adults.csv: line 2" in finding.sentence()
