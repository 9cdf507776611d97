"""What filled tables do to a case: shown first, then written; nothing goes that was not taken out by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import files, workflow
from genplan.case import Case, WeeklyHours
from genplan.casefile import load
from genplan.cli import main
from genplan.errors import CaseError, FileError, UsageError
from genplan.tables.naming import Names
from genplan.workflow.tabling import Tabled
from tests.fixtures.casefile_cases import write
from tests.fixtures.given_tables import SHEETS, Sheets, csv_of
from tests.fixtures.random_cases import NOW

CASE = """\
# the case of two children
format: 1
timezone: Europe/Dublin
learners:
  ada: {name: Ada, allergens: [egg], free: {mon: "15:00-17:00"}}  # tells us when she has enough
  ben: {name: Ben, free: {tue: "15:00-17:00"}, limits: {sittings_per_day: 1}}
adults:
  rosa: {name: Rosa, learners: all, free: {daily: "09:00-17:00"}}
locations: {room-1: {name: Room 1}}
travel_minutes: {routes: []}
material_sets: {cups: {name: Cups}}
skills: {pours: {name: Pours, correct_when: No spill}}
targets:
  pours-ada: {learner: ada, like: pours}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "case", case=CASE)


def read(folder: Path, sheets: Sheets, *, write: bool = True, cautions_too: bool = False) -> Tabled:
    file = csv_of(folder.parent / "t", sheets)
    return workflow.read_tables(folder, [file], NOW, write=write, cautions_too=cautions_too)


def case_of(folder: Path) -> Case:
    case = load(folder).case
    assert case is not None
    return case


def text(folder: Path) -> str:
    return (folder / "case.yaml").read_text("utf-8")


def test_nothing_is_written_unless_it_is_asked_for(folder: Path) -> None:
    done = read(folder, {"adults": [["name", "role"], ["Rosa", "aide"]]}, write=False)
    assert [(d.path, d.before) for d in done.differences] == [(("adults", "rosa", "role"), None)]
    assert (done.written, text(folder)) == (False, CASE)


def test_a_cell_that_is_empty_takes_nothing_and_a_hyphen_does(folder: Path) -> None:
    sheets = {"children": [["name", "allergens", "sittings_per_day"], ["Ada", "", "2"], ["Ben", "", "-"]]}
    done = read(folder, sheets)
    case = case_of(folder)
    assert case.learners["ada"].allergens == {"egg"}
    assert case.learners["ada"].limits.sittings_per_day == 2
    assert case.learners["ben"].limits.sittings_per_day is None
    assert "# tells us when she has enough" in text(folder)
    assert done.untouched == 5  # rosa, room-1, cups, pours and pours-ada


def test_hours_take_the_place_of_those_that_were_there(folder: Path) -> None:
    read(folder, {"hours": [["who", "wed", "hours"], ["Ada", "3-5pm", ""], ["Ada", "", "Fri 9-10"]]})
    hours = case_of(folder).learners["ada"].free
    assert [n for n, day in enumerate(hours.days) if day] == [2, 4]
    assert [n for n, day in enumerate(case_of(folder).learners["ben"].free.days) if day] == [1]


@pytest.mark.parametrize("said", ["-", "–", "closed", "off", "zu", "geschlossen", "Mon-Sun closed"])
def test_a_place_without_hours_is_never_open_and_one_with_an_empty_cell_stays(
    folder: Path, said: str
) -> None:
    done = read(folder, {"places": [["name", "opening hours"], ["Room 1", said], ["Garden", said]]})
    places = case_of(folder).locations
    assert [places[i].open == WeeklyHours.never() for i in ("room-1", "garden")] == [True, True]
    assert {f.found for f in done.findings} >= {
        "no opening times for room-1, so nothing can be planned there",
        "no opening times for garden, so nothing can be planned there",
    }
    again = read(folder, {"places": [["name", "opening hours"], ["Room 1", ""]]})
    assert (again.differences, case_of(folder).locations["room-1"].open) == ((), WeeklyHours.never())


def test_one_closed_day_alone_is_not_taken_for_all_seven(folder: Path) -> None:
    with pytest.raises(CaseError, match="never open"):
        read(folder, {"places": [["name", "opening hours"], ["Room 1", "Mon closed"]]})


def test_hours_that_mean_the_same_are_left_as_they_are_written(folder: Path) -> None:
    done = read(folder, {"hours": [["who", "hours"], ["Rosa", "every day 9-5"], ["Ben", "Tuesdays 3-5pm"]]})
    assert (done.differences, text(folder)) == ((), CASE)


def test_a_skill_of_several_children_is_said_once(folder: Path) -> None:
    sheets = {"skills": [["skill", "children", "met with"], ["Pours", "all", "3/4"], ["Stacks", "Ben", ""]]}
    done = read(folder, sheets)
    assert done.made == (("targets", "pours-ben"), ("targets", "stacks"))
    case = case_of(folder)
    assert [case.targets[i].pass_mark.correct for i in ("pours-ada", "pours-ben")] == [3, 3]
    assert case.targets["pours-ben"].correct_when == "No spill"
    assert case.targets["stacks"].learner == "ben"
    assert read(folder, sheets).differences == ()


def test_a_child_who_joins_a_skill_of_one_child_leaves_its_target_alone(folder: Path) -> None:
    heads = ["id", "name", "learner", "correct_when"]
    read(folder, {"skills": [heads, ["", "Stacks", "Ben", "Five stand"]]})
    for id_ in ("", "stacks"):
        sheets = {"skills": [heads, [id_, "Stacks", "Ben, Ada", "Five stand"]]}
        done = read(folder, sheets, write=id_ != "")
        assert [(d.path, d.before) for d in done.differences] == [(("targets", "stacks-ada"), None)]
    case = case_of(folder)
    assert {i: t.learner for i, t in case.targets.items() if t.name == "Stacks"} == {
        "stacks": "ben",
        "stacks-ada": "ada",
    }
    sheets["skills"][1][3] = "Six stand"
    read(folder, sheets)
    assert {case_of(folder).targets[i].correct_when for i in ("stacks", "stacks-ada")} == {"Six stand"}


def test_a_target_that_is_not_like_the_skill_of_its_name_stays_the_only_one_of_its_child(
    folder: Path,
) -> None:
    heads = ["name", "learner", "correct_when"]
    read(folder, {"skills": [heads, ["Pours", "Ben", "Not a drop"]]})
    read(folder, {"skills": [heads, ["Pours", "all", "No drop"]]})
    assert {(t.learner, t.correct_when) for t in case_of(folder).targets.values()} == {
        ("ada", "No drop"),
        ("ben", "No drop"),
    }
    assert len(case_of(folder).targets) == 2


def test_ways_and_changes_are_added_once(folder: Path) -> None:
    sheets: Sheets = {
        "places": [["name"], ["Yard"], ["Hall"]],
        "ways": [
            ["from", "to", "minutes"],
            ["otherwise", "", "5"],
            ["Room 1", "Yard", "3"],
            ["hall", "yard", "2"],
        ],
        "changes": [["away", "from", "note"], ["rosa", "2026-12-01", "ill"]],
    }
    read(folder, sheets)
    case = case_of(folder)
    assert [
        case.travel.minutes(*ends) for ends in (("yard", "room-1"), ("room-1", "hall"), ("hall", "yard"))
    ] == [3, 5, 2]
    sheets["ways"][2][2] = "4"
    assert [d.path for d in read(folder, sheets).differences] == [("travel_minutes", "routes")]
    assert case_of(folder).travel.minutes("yard", "room-1") == 4
    assert text(folder).count("2026-12-01") == 1


def test_names_stand_in_changes_and_in_groups_as_they_do_elsewhere(folder: Path) -> None:
    sheets: Sheets = {
        "skills": [["name", "learner"], ["Pours", "all"]],
        "adults": [["name", "briefed_on", "locations"], ["Rosa", "Pours", "indoors"]],
        "changes": [
            ["away", "closed", "extra", "apart", "from", "to"],
            ["Ada", "", "", "", "2026-12-01", ""],
            ["", "room 1", "", "", "2026-12-02", ""],
            ["", "", "Rosa", "", "2026-12-03 09:00", "2026-12-03 10:00"],
        ],
        "case": [
            ["key", "value"],
            ["groups.indoors", "Room 1"],
            ["groups.both", "Ada, ben, Pours"],
            ["defaults.adults.locations", "Room 1"],
        ],
    }
    read(folder, sheets)
    case, written = case_of(folder), text(folder)
    assert case.adults["rosa"].briefed_on == {"pours-ada", "pours-ben"}
    assert [a.start.day for a in case.learners["ada"].away] == [1]
    assert [a.start.day for a in case.locations["room-1"].closed] == [2]
    assert [a.start.day for a in case.adults["rosa"].extra] == [3]
    assert "both: [ada, ben, pours-ada, pours-ben]" in written
    assert read(folder, sheets).differences == ()


@pytest.mark.parametrize(
    ("sheet", "names", "asked"),
    [
        ("children", ["Ada Lind", "Ben"], ["'Ada Lind', which is new, and no row speaks of 'Ada'"]),
        ("children", ["Ada Lind", "Ada", "Ben"], []),
        ("children", ["Cleo"], []),
        ("places", ["Room 2"], []),
        ("places", ["Rooom 1"], ["'Rooom 1', which is new, and no row speaks of 'Room 1'"]),
    ],
)
def test_a_new_name_that_is_like_one_without_a_row_is_asked_about(
    folder: Path, sheet: str, names: list[str], asked: list[str]
) -> None:
    done = read(folder, {sheet: [["name"], *([name] for name in names)]}, write=False)
    assert [f.found for f in done.findings if "is new" in f.found] == asked


def test_what_is_the_same_for_everybody(folder: Path) -> None:
    rows = [
        ["key", "value"],
        ["policy", "family"],
        ["groups.staff", "rosa"],
        ["defaults.learners.limits.probes_per_day", "4"],
    ]
    read(folder, {"case": rows})
    assert case_of(folder).learners["ben"].limits.probes_per_day == 4
    assert case_of(folder).learners["ben"].limits.sittings_per_day == 1
    assert "\ngroups:\n  staff: [rosa]\n" in text(folder)


RESULTS: Sheets = {
    "results": [
        ["date", "target", "kind", "adult", "location", "material_set", "trials", "correct"],
        ["2026-11-20", "pours-ada", "probe", "Rosa", "Room 1", "Cups", "5", "4"],
    ]
}


def test_results_are_added_once_and_names_are_ids(folder: Path) -> None:
    done = read(folder, RESULTS)
    assert (done.rows, done.known) == (1, 0)
    again = read(folder, RESULTS)
    assert (again.rows, again.known) == (0, 1)
    assert "2026-11-20,,pours-ada,probe,rosa,room-1,cups,5,4" in (folder / "results.csv").read_text("utf-8")


def test_a_result_that_cannot_be_told_by_its_cell(folder: Path) -> None:
    rows = [list(row) for row in RESULTS["results"]]
    rows[1][7] = "6"
    with pytest.raises(CaseError) as error:
        read(folder, {"results": rows, "adults": [["name", "role"], ["Rosa", "aide"]]})
    assert [f.sentence().split(";")[0] for f in error.value.findings] == [
        "results.csv:2: column H: found 6 of 5 trials"
    ]
    assert text(folder) == CASE


def test_what_is_still_ahead_was_not_run(folder: Path) -> None:
    rows = [list(row) for row in RESULTS["results"]]
    rows[1][0] = "2026-12-20"
    with pytest.raises(UsageError, match=r"This is still ahead: .* Nothing was written\."):
        read(folder, {"results": rows, "adults": [["name", "role"], ["Rosa", "aide"]]})
    assert text(folder) == CASE


def test_a_case_is_as_it_was_if_its_results_cannot_be_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object, **__: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "replace_file", refused)
    with pytest.raises(FileError, match=r"results\.csv could not be written"):
        read(folder, {**RESULTS, "adults": [["name", "role"], ["Rosa", "aide"]]})
    assert text(folder) == CASE
    assert not (folder / "results.csv").exists()


def test_what_tables_changed_can_be_undone(folder: Path) -> None:
    before = text(folder)
    read(folder, {"children": [["name", "born"], ["Ada", "2020-05"]]})
    assert text(folder) != before
    (state,) = workflow.earlier_states(folder)
    assert state.words == "tables read from t"
    workflow.go_back(folder, state.number, NOW, cautions_too=True)
    assert text(folder) == before


def test_a_fault_of_the_case_that_tables_would_bring_is_told_by_cell(folder: Path) -> None:
    with pytest.raises(CaseError) as error:
        read(
            folder,
            {
                "adults": [["name", "learners"], ["Rosa", "ada, ada"]],
                "things": [["name", "kept_at"], ["Cups", "[attic]"]],
            },
        )
    assert [f.sentence() for f in error.value.findings] == [
        "things.csv:2: column B: the unknown location 'attic'; expected a name or an id that has a row. Add a row"
        " for it to"
        " the sheet of places, or mend the name.",
        "adults.csv:2: column B: 'ada' a second time; expected each value once.",
    ]
    assert text(folder) == CASE


def test_the_command_shows_and_writes(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tables = csv_of(folder.parent / "t", {"adults": [["name", "role"], ["Rosa", "aide"], ["Bo", "aide"]]})
    words = ["tables", "read", str(tables), str(folder), "--now", "2026-11-29T12:00"]
    assert main(words) == 0
    shown = capsys.readouterr().out
    assert shown.startswith(
        "  new      adults.bo: {name: Bo, role: aide}\n  new      adults.rosa.role: aide\n"
    )
    assert shown.endswith("was not changed. Add --write to write this.\n")
    assert main([*words, "--write"]) == 0
    assert f"Written to {folder}." in capsys.readouterr().out
    assert main(words) == 0
    assert "says all this already; nothing to write" in capsys.readouterr().out
    assert main(["tables"]) == 2


def test_tables_are_written_anew_and_never_into_a_case(folder: Path) -> None:
    tables = folder.parent / "tables"
    assert workflow.write_tables(folder, tables) == workflow.write_tables(folder, tables)
    with pytest.raises(FileError, match="holds a case"):
        workflow.write_tables(folder, folder)
    with pytest.raises(FileError, match=r"is a case\. Name the workbook"):
        workflow.read_tables(tables, [folder], NOW, write=True)


def test_a_folder_with_other_files_becomes_no_case(tmp_path: Path) -> None:
    (tmp_path / "case").mkdir()
    (tmp_path / "case" / "results.csv").write_text("mine", "utf-8")
    with pytest.raises(FileError, match="holds files already; none was touched"):
        workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", SHEETS)], NOW, write=True)
    assert [p.name for p in (tmp_path / "case").iterdir()] == ["results.csv"]


def test_the_name_of_a_group_is_no_free_id() -> None:
    names = Names(groups=frozenset({"staff", "staff-2"}))
    assert names.fresh_id("adults", "Staff") == "staff-3"


@pytest.mark.parametrize("cell", ["pours-ada, stacks", "Pours; Stacks", "[pours-ada, stacks]"])
def test_two_that_are_apart_need_no_brackets(folder: Path, cell: str) -> None:
    sheets: Sheets = {
        "skills": [["name", "learner"], ["Stacks", "Ben"]],
        "changes": [["apart", "from"], [cell, "2026-12-03"]],
    }
    read(folder, sheets)
    (one,) = case_of(folder).wishes
    assert set(one.two) == {"pours-ada", "stacks"}
    assert read(folder, sheets).differences == ()


@pytest.mark.parametrize(
    ("heading", "cells", "minutes"),
    [
        ("Max hrs a week", ("5", "2.5"), (300, 150)),
        ("weekly hours", ("37,5 hrs", "2:30"), (2250, 150)),
        ("Max hrs", ("30", "4"), (1800, 240)),  # no day has thirty
        ("Max. Std. pro Woche", ("5", "6"), (300, 360)),
    ],
)
def test_hours_at_most_are_the_limit_of_a_week_where_that_is_sure(
    folder: Path, heading: str, cells: tuple[str, str], minutes: tuple[int, int]
) -> None:
    read(folder, {"adults": [["name", heading], ["Rosa", cells[0]], ["Milan", cells[1]]]})
    adults = case_of(folder).adults
    assert (adults["rosa"].limits.minutes_per_week, adults["milan"].limits.minutes_per_week) == minutes


def test_hours_at_most_that_may_be_of_a_day_are_asked_about_once(folder: Path) -> None:
    with pytest.raises(CaseError) as told:
        read(folder, {"adults": [["name", "Max hrs"], ["Rosa", "5"], ["Milan", "6"]]})
    assert [(f.line, f.found) for f in told.value.findings] == [(2, "hours at most, of a day or of a week")]
    assert "'max hours a week'" in told.value.findings[0].hint
    with pytest.raises(CaseError) as told:
        read(folder, {"adults": [["name", "Max hrs a week"], ["Rosa", "many"]]})
    assert "a number of hours" in told.value.findings[0].expected


@pytest.mark.parametrize(
    ("cell", "names"),
    [
        ("Ei", {"egg"}),
        ("Eier und Milch", {"egg", "milk"}),
        ("Hazelnut allergy; fish", {"tree-nuts", "fish"}),
        ("tree nuts", {"tree-nuts"}),
        ("nuts, peanut", {"nuts", "peanut"}),
        ("Nüsse", {"nuts"}),
        ("none", set()),
        ("Kiwi, egg", {"kiwi", "egg"}),
    ],
)
def test_allergies_are_read_as_people_write_them(folder: Path, cell: str, names: set[str]) -> None:
    done = read(folder, {"children": [["name", "Allergies"], ["Ada", cell]]}, cautions_too=True)
    assert case_of(folder).learners["ada"].allergens == names
    assert sum("case's own: kiwi." in line for line in done.assumed) == ("kiwi" in names)
    asked = [f for f in done.findings if "which may mean peanuts" in f.found]
    assert [("!B2" in f.key or f.line == 2, "tree-nuts" in f.hint) for f in asked] == [(True, True)] * (
        names == {"nuts"}
    )


def test_what_may_be_a_known_allergen_is_asked_by_its_cell(folder: Path) -> None:
    with pytest.raises(CaseError) as error:
        read(folder, {"children": [["name", "Allergies"], ["Ada", "penut"], ["Ben", "egg powder"]]})
    told = [f.sentence() for f in error.value.findings]
    assert len(told) == 2
    assert "Is it 'peanut'?" in told[0]
    assert "Is it 'egg'?" in told[1]


@pytest.mark.parametrize(("cell", "asked"), [("none", False), ("", True), ("milk", True)])
def test_who_writes_that_a_thing_holds_none_has_looked(folder: Path, cell: str, asked: bool) -> None:
    done = read(folder, {"things": [["id", "name", "Contains"], ["cups", "Pancakes", cell]]})
    assert bool([f for f in done.findings if "may hold 'egg'" in f.found]) is asked
