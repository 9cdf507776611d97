"""Tables with many faults of many kinds: one reading tells all, each by its cell; once they are mended all is read."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from genplan import workflow
from genplan.errors import CaseError
from genplan.evidence import workbook as reader
from genplan.evidence.workbook import sheets_for
from genplan.workflow.tabling import Tabled
from tests.fixtures.given_tables import Sheets, book_of, csv_of
from tests.fixtures.random_cases import NOW

Faults = Mapping[tuple[str, str], str]
ENGLISH: Sheets = {
    "Children": [
        ["Name", "Date of birth", "Allergies", "Hours"],
        ["Ada Lind", "2020-04-03", "peanut", "Mon-Fri 9-12"],
        ["Ben Oko", "2019-06-08", "egg", "Mon-Fri 9-12"],
        ["Mia Rahn", "2019-07-08", "", "Mon-Fri 9-12"],
        ["Mia Sand", "2018-07-09", "milk", "Mon-Fri 9-12"],
    ],
    "Staff": [
        ["Name", "Role", "Children", "Mon", "Tue"],
        ["Rosa Diaz", "aide", "all", "9-12", "9-12"],
        ["Tom Ade", "teacher", "Ada Lind, Ben Oko", "9-12", "9-12"],
    ],
    "Rooms": [["Name", "Max children"], ["Hall", "4"], ["Garden", "8"]],
    "Things": [["Name", "How many", "Small parts"], ["Cups", "2", "no"], ["Jug", "1", "no"]],
    "Goals": [
        ["Skill", "Child", "Correct if", "Mastered", "Taught by", "Taught in", "Taught using", "Pass mark"],
        ["Pours", "Ada Lind", "No spill", "2026-03-01", "Rosa Diaz", "Hall", "Jug", "4/5"],
        ["Waves", "Ben Oko", "Waves back", "2026-03-01", "Tom Ade", "Hall", "Cups", "4/5"],
        ["Sorts", "Mia Rahn", "All sorted", "2026-03-01", "Rosa Diaz", "Garden", "Cups", "3/4"],
        ["Greets", "Mia Sand", "Says hello", "2026-03-01", "Rosa Diaz", "Garden", "Jug", "3/4"],
    ],
    "Ways": [["From", "To", "Minutes"], ["Hall", "Garden", "5"]],
    "Changes": [["away", "from", "to"], ["Rosa Diaz", "2026-12-01", "2026-12-02"]],
    "Results": [
        ["Date", "Child", "Skill", "Kind", "Who", "Where", "With", "Trials", "Correct", "Time", "Remark"],
        ["2026-11-02", "Ada Lind", "Pours", "probe", "Rosa Diaz", "Garden", "Jug", "5", "4", "10:00", "was tired"],
        ["2026-11-03", "Ben Oko", "Waves", "probe", "Tom Ade", "Garden", "Jug", "5", "5", "10:00", ""],
        ["2026-11-04", "Mia Rahn", "Sorts", "probe", "Rosa Diaz", "Hall", "Jug", "4", "3", "10:00", ""],
        ["5.11.2026", "Mia Sand", "Greets", "", "Rosa Diaz", "Hall", "Jug", "4", "4", "10:00", ""],
        ["Total", "", "", "", "", "", "", "18", "16", "", ""],
    ],
}  # fmt: skip
IN_ENGLISH: Faults = {
    ("Children", "B2"): "the 3rd",
    ("Children", "C3"): "Hasel nuss, tre-nuts",
    ("Staff", "C3"): "Ada Lind, Benn",
    ("Staff", "D2"): "mornings",
    ("Rooms", "B3"): "many",
    ("Things", "B2"): "two or so",
    ("Goals", "D4"): "spring",
    ("Goals", "E2"): "Grace",
    ("Goals", "E3"): "Tim",
    ("Goals", "F3"): "Halle",
    ("Goals", "H3"): "80 %",
    ("Ways", "C2"): "far",
    ("Changes", "A2"): "Roza",
    ("Changes", "B2"): "1st",
    ("Results", "A2"): "01/02/2026",
    ("Results", "A4"): "4 of November",
    ("Results", "B5"): "Mia",
    ("Results", "D4"): "probing",
    ("Results", "E3"): "Tim",
    ("Results", "I1"): "Corect",
    ("Results", "I3"): "80 %",
    ("Results", "I4"): "5",
    ("Results", "J5"): "tenish",
}
GERMAN: Sheets = {
    "Kinder": [
        ["Vorname", "Nachname", "Geburtsdatum", "Allergien", "Zeiten"],
        ["Ada", "Lind", "03.04.2020", "Erdnuss", "Mo-Fr 9-12"],
        ["Ben", "Oko", "08.06.2019", "Ei", "Mo-Fr 9-12"],
    ],
    "Personal": [
        ["Name", "Rolle", "Kinder", "Mo", "Di"],
        ["Rosa Diaz", "Therapeutin", "alle", "9-12", "9-12"],
        ["Tom Ade", "Lehrer", "Ada Lind, Ben Oko", "9-12", "9-12"],
    ],
    "Räume": [["Raum", "Höchstens Kinder"], ["Saal", "4"], ["Garten", "8"]],
    "Dinge": [["Name", "Anzahl"], ["Becher", "2"], ["Krug", "1"]],
    "Fertigkeiten": [
        ["Fertigkeit", "Kind", "Richtig, wenn", "Gelernt am", "Gelernt mit", "Gelernt wo", "Gelernt womit"],
        ["Gießt ein", "Ada Lind", "Nichts daneben", "2026-03-01", "Rosa Diaz", "Saal", "Krug"],
        ["Winkt", "Ben Oko", "Winkt zurück", "2026-03-01", "Tom Ade", "Saal", "Becher"],
    ],
    "Ergebnisse": [
        ["Datum", "Kind", "Fertigkeit", "Art", "Wer", "Wo", "Womit", "Versuche", "Richtig", "Bemerkung"],
        ["2.11.2026", "Ada Lind", "Gießt ein", "Probe", "Rosa Diaz", "Garten", "Krug", "5", "4", "war müde"],
        ["3.11.", "Ben Oko", "Winkt", "", "Tom Ade", "Garten", "Krug", "5", "5", ""],
        ["Summe", "", "", "", "", "", "", "10", "9", ""],
    ],
}  # fmt: skip
IN_GERMAN: Faults = {
    ("Kinder", "C2"): "im Frühling",
    ("Kinder", "D3"): "Hasel nuss",
    ("Personal", "C3"): "Ada Lind, Benn",
    ("Personal", "D2"): "morgens",
    ("Räume", "B2"): "viele",
    ("Dinge", "B2"): "zwei oder drei",
    ("Fertigkeiten", "D2"): "neulich",
    ("Fertigkeiten", "E3"): "Tim",
    ("Fertigkeiten", "F3"): "Halle",
    ("Ergebnisse", "A2"): "02/11/2026",
    ("Ergebnisse", "B3"): "Dora",
    ("Ergebnisse", "D2"): "Versuch",
    ("Ergebnisse", "I3"): "80 %",
}


def _place(cell: str) -> tuple[int, int]:
    return int(cell[1:]) - 1, ord(cell[0]) - ord("A")


def _with(faults: Faults, sheets: Sheets) -> Sheets:
    wrong = {name: [list(row) for row in rows] for name, rows in sheets.items()}
    for (name, cell), text in faults.items():
        row, column = _place(cell)
        wrong[name][row][column] = text
    return wrong


def _read(tmp_path: Path, tables: Path) -> Tabled:
    return workflow.read_tables(tmp_path / "case", [tables], NOW, write=True, timezone="Europe/Dublin")


def _book(folder: Path, sheets: Sheets) -> Path:
    return book_of(folder.with_suffix(".xlsx"), sheets)


@pytest.mark.parametrize("made", [csv_of, _book], ids=["csv", "xlsx"])
@pytest.mark.parametrize(
    ("sheets", "faults"), [(ENGLISH, IN_ENGLISH), (GERMAN, IN_GERMAN)], ids=["English", "German"]
)
def test_two_readings_are_enough(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    made: Callable[[Path, Sheets], Path],
    sheets: Sheets,
    faults: Faults,
) -> None:
    if made is _book:
        pytest.importorskip("python_calamine")
        monkeypatch.setattr(reader, "_ask", lambda path, data: sheets_for(data))
    with pytest.raises(CaseError) as error:
        _read(tmp_path, made(tmp_path / "t", _with(faults, sheets)))
    assert not (tmp_path / "case").exists()
    told = {
        (f.file.removesuffix(".csv"), f"{f.key[-1]}{f.line}") if f.line else tuple(f.key.split("!"))
        for f in error.value.findings
    }
    assert told == set(faults)
    done = _read(tmp_path, made(tmp_path / "t", sheets))
    said = [f.sentence() for f in done.findings]
    assert any(re.search("a row of sums, which is not read", sentence) for sentence in said)
    assert any("read as a probe" in sentence for sentence in said)
    assert any("read as 2026-11-0" in sentence for sentence in said)
    results = (tmp_path / "case" / "results.csv").read_text("utf-8")
    assert done.rows == len(results.splitlines()) - 1 == (4 if sheets is ENGLISH else 2)
    assert ("was tired" if sheets is ENGLISH else "war müde") in results


def test_counts_with_nothing_beside_them_are_told_as_what_they_most_likely_are(tmp_path: Path) -> None:
    rows = [*ENGLISH["Results"][:-1], ["", "", "", "", "", "", "", "18", "16", "", ""]]
    with pytest.raises(CaseError) as error:
        _read(tmp_path, csv_of(tmp_path / "t", {**ENGLISH, "Results": rows}))
    (finding,) = error.value.findings
    assert finding.sentence() == (
        "Results.csv:6: column H: '18' and nothing that it is of; expected a row of results, or none. If it is a sum,"
        " take it out, or put # into the first cell of the row."
    )


def test_a_row_with_a_day_of_its_own_is_no_sum_whatever_it_is_called(tmp_path: Path) -> None:
    goals = [ENGLISH["Goals"][0], ["Sum", *ENGLISH["Goals"][1][1:]], *ENGLISH["Goals"][2:]]
    results = [
        ["Notes", "Skill", "Date", "Child", "Kind", "Who", "Where", "With", "Trials", "Correct"],
        ["", "Sum", "2026-11-02", "Ada Lind", "probe", "Rosa Diaz", "Garden", "Jug", "5", "4"],
        ["total", "Waves", "2026-11-03", "Ben Oko", "probe", "Tom Ade", "Garden", "Jug", "5", "5"],
        ["Total", "", "", "", "", "", "", "", "10", "9"],
        ["", "Sum", "", "", "", "", "", "", "5", "4"],
    ]
    done = _read(tmp_path, csv_of(tmp_path / "t", {**ENGLISH, "Goals": goals, "Results": results}))
    assert done.rows == 2
    assert [(f.line, f.key) for f in done.findings if "a row of sums" in f.sentence()] == [
        (4, "column A"),
        (5, "column B"),
    ]
    assert all("write its date" in f.sentence() for f in done.findings if "a row of sums" in f.sentence())


def test_what_was_written_down_as_maintenance_is_there_when_it_is_read_again(tmp_path: Path) -> None:
    folder = csv_of(tmp_path / "t", ENGLISH)
    _read(tmp_path, folder)
    file = tmp_path / "case" / "results.csv"
    before = file.read_text("utf-8")
    file.write_text(before.replace(",probe,", ",maintenance,", 2), "utf-8")
    for _ in range(2):
        again = workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
        assert (again.rows, again.known) == (0, 4)
    assert file.read_text("utf-8").count("\n") == before.count("\n")
