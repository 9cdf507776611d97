"""Rows that never happened: they count for nothing, come back whole, and no sheet brings them back."""

from __future__ import annotations

import csv
import io
import random
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.errors import CaseError, UsageError
from genplan.evidence.effective_rows import corrected_by
from genplan.evidence.formula_cells import unescape_formula
from genplan.evidence.log import Log, Result
from genplan.evidence.row_identity import digest_of
from genplan.evidence.taken_back import last_taken_back, note_and_reason, with_reason
from genplan.findings import Severity
from tests.fixtures.local_server import running
from tests.fixtures.small_case import small_case

NOW = datetime(2026, 11, 29, 12)
AT_NOW = ["--now", "2026-11-29T12:00"]
HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
FIRST = "2026-11-20,16:00,puts-on,probe,gran,yard,hats,5,1,,,,\n"
SECOND = "2026-11-21,16:00,puts-on,probe,mum,yard,hats,5,5,,,,ill\n"
NOTES = (
    "",
    "ill",
    "still",
    "a; b",
    "x\ny",
    "before: tired",
    'note "x"',
    "'=1+1",
    "=1",
    "–",
    "taken back: x",
    "a; taken back: b",
    ";",
)


def a_case(folder: Path, *rows: str) -> Path:
    case = small_case(folder)
    (case / "results.csv").write_bytes((HEAD + "".join(rows)).encode())
    return case


def text(case: Path) -> str:
    return (case / "results.csv").read_bytes().decode()


def rows(case: Path) -> list[str]:
    return text(case).splitlines(keepends=True)[1:]


def log(case: Path) -> Log:
    return workflow.open_case(case, NOW).log


def digest(case: Path, line: int) -> str:
    opened = workflow.open_case(case, NOW)
    row = next(r for r in (*opened.log.results, *opened.log.taken_back) if r.line == line)
    return digest_of(opened.case.targets[row.target], row)


def take(case: Path, line: int, why: str) -> None:
    workflow.take_row_back(case, digest(case, line), why, NOW)


def put_back(case: Path, line: int) -> None:
    workflow.put_row_back(case, digest(case, line), NOW)


@pytest.mark.parametrize("note", NOTES)
@pytest.mark.parametrize("why", ["asleep", "no; taken back: by Mum", "taken back: twice", "a;\nb"])
def test_the_reason_comes_off_again_and_the_note_stays_to_the_letter(note: str, why: str) -> None:
    assert note_and_reason(with_reason(note, why))[0] == note


def test_a_note_that_somebody_wrote_beside_the_kind_stays(tmp_path: Path) -> None:
    case = a_case(tmp_path / "case", SECOND.replace("probe", "taken back: probe"))
    put_back(case, 2)
    assert rows(case) == [SECOND]


def test_rows_come_back_together_and_never_beside_another(tmp_path: Path) -> None:
    again = FIRST.replace(",1,", ",2,")
    case = a_case(tmp_path / "case", FIRST, again, SECOND)
    take(case, 3, "asleep")
    assert [r.line for r in log(case).results] == [4]
    for line in (2, 3):
        put_back(case, line)
        assert rows(case) == [FIRST, again, SECOND]
        take(case, 3, "asleep")
    with (case / "results.csv").open("a", encoding="utf-8") as file:
        file.write(FIRST)
    before = text(case)
    away = log(case).taken_back
    assert [r.line for r in last_taken_back(away)] == [3]
    other = workflow.in_the_way_of(log(case).results, away, away[-1])
    assert other is not None
    assert other.line == 5
    with pytest.raises(UsageError, match="would speak of the same probe"):
        put_back(case, 3)
    assert text(case) == before


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("16:00", "about noon", "time"),
        (",puts-on,", ",puts-of,", "target"),
        (",gran,", ",nobody,", "adult"),
        ("back: probe", "back: Probe", "kind"),
        ("back: probe", "back: taken back: probe", "kind"),
        ("2026-11-20", "soon", "date"),
        (",5,1,", ",5,9,", "correct"),
    ],
)
def test_one_that_cannot_be_read_is_in_nobodys_way_and_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, key: str
) -> None:
    case = a_case(tmp_path / "case", FIRST.replace("probe", "taken back: probe").replace(old, new), SECOND)
    opened = workflow.open_case(case, NOW)
    found = [f for f in opened.findings if f.line == 2]
    assert [(f.key, f.severity) for f in found] == [(key, Severity.WARNING)]
    assert "taken back and counts for nothing" in found[0].sentence()
    assert [r.line for r in opened.log.results] == [3]
    assert main(["history", str(case), "--target", "puts-on", *AT_NOW]) == 0
    said = capsys.readouterr().out
    assert ("Taken back" in said, "line 2: " in said) == (key != "target", key != "target")
    with running(case) as local:
        page = local.get("/history/puts-on")
        assert (page.status, "counts for nothing" in page.text) == (200, key != "target")
        assert local.get("/record").status == 200


def test_a_sheet_handed_in_again_brings_no_row_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    case, sheet = a_case(tmp_path / "case"), tmp_path / "sheet.csv"
    sheet.write_text(HEAD + FIRST + SECOND, "utf-8")
    words = ["record", str(case), "--from", str(sheet), *AT_NOW]
    assert main(words) == 0
    take(case, 3, "asleep")
    before = text(case)
    capsys.readouterr()
    assert main(words) == 0
    assert "1 row was taken back before and is not added again." in capsys.readouterr().out
    assert text(case) == before
    assert main(["tables", "read", str(sheet), str(case), "--write", *AT_NOW]) == 0
    assert "1 row was taken back before and is not added again." in capsys.readouterr().out
    assert text(case) == before


@pytest.mark.parametrize("ending", ["tables", "tables.xlsx"])
def test_rows_taken_back_go_through_tables_and_sheets_as_they_are(tmp_path: Path, ending: str) -> None:
    odd = FIRST.replace("probe", "taken back: Probe").replace("gran", "nobody").replace("16:00", "about noon")
    case = a_case(tmp_path / "case", FIRST, SECOND, odd)
    take(case, 3, "asleep")
    before, out = text(case), tmp_path / ending
    assert main(["record", str(case), "--from", str(case / "results.csv"), *AT_NOW]) == 0
    assert main(["tables", "write", str(case), str(out)]) == 0
    assert main(["tables", "read", str(out), str(case), "--write", *AT_NOW]) == 0
    assert text(case) == before
    assert main(["tables", "read", str(out), str(tmp_path / "new"), "--write", *AT_NOW]) == 0
    assert text(tmp_path / "new") == before
    other = a_case(tmp_path / "other")
    added = workflow.record_sheet(other, case / "results.csv", NOW)
    assert text(other) == before
    assert [r.line for r in added.results] == [2]
    assert "2 rows that were taken back are added as they are" in " ".join(added.said)


def noted(case: Path) -> list[str]:
    """The notes of all rows, in the order of the file."""
    rows = csv.DictReader(io.StringIO(text(case), newline=""))
    return [unescape_formula(row["note"]) for row in rows]


def _told(row: Result) -> tuple[object, ...]:
    return row.date.isoformat(), f"{row.time:%H:%M}", row.combination[0], row.correct


class Model:
    """What the rows say, which of them are away and why: kept beside the file, and not read from it."""

    def __init__(self) -> None:
        self.rows: list[dict[str, str]] = []
        self.away: dict[int, str] = {}

    def put_right(
        self, n: int, rows: list[int], typed: dict[str, str], place: dict[str, str], noted: list[str]
    ) -> None:
        """The note of each says all that was changed, and its own note of before whole."""
        for m in rows:
            new, old = (typed if m == n else place), dict(self.rows[m])
            trail = noted[m].removeprefix(new.get("note", old["note"])).removeprefix("; ")
            for name in (name for name in new if new[name] != old[name]):
                cell = f'note "{old["note"]}"' if name == "note" else f"{name} {old[name]}"
                assert cell in trail or not old[name]
            self.rows[m] |= new | {"note": noted[m]}

    def place(self, n: int) -> tuple[str, ...]:
        return tuple(self.rows[n][name] for name in ("date", "time", "adult"))

    def together(self, n: int) -> list[int]:
        """Those of one probe that count, or were taken back for one reason."""
        why = self.away.get(n)
        return [
            m for m in range(len(self.rows)) if self.place(m) == self.place(n) and self.away.get(m) == why
        ]

    def counting(self) -> list[tuple[object, ...]]:
        last = {self.place(n): n for n in range(len(self.rows)) if n not in self.away}
        return sorted((*self.place(n), int(self.rows[n]["correct"])) for n in last.values())


@pytest.mark.parametrize("seed", range(12))
def test_what_counts_is_what_was_done_and_nothing_that_was_said_is_lost(tmp_path: Path, seed: int) -> None:
    draw, model = random.Random(seed), Model()
    case = a_case(tmp_path / "case")
    for step in range(14):
        opened = workflow.open_case(case, NOW)
        lines = sorted(r.line for r in (*opened.log.results, *opened.log.taken_back))
        assert len(lines) == len(model.rows)
        n = draw.randrange(len(lines)) if lines else 0
        own = model.together(n) if lines else []
        place = {
            "date": draw.choice(["2026-11-20", "2026-11-21"]),
            "time": draw.choice(["09:00", "10:00"]),
            "adult": draw.choice(["mum", "gran"]),
        }
        typed = {"correct": str(draw.randrange(6)), "note": draw.choice(NOTES)}
        before, what = text(case), draw.choice(["record", "correct", "right", "right", "take", "back"])
        try:
            if what == "record" or not lines:
                rest = {"target": "puts-on", "kind": "probe", "location": "yard", "material_set": "hats"}
                workflow.recording.add_rows(opened, [rest | place | typed | {"trials": "5"}])
                model.rows.append(place | typed)
            elif what == "correct" and n not in model.away:
                workflow.correct(case, lines[n], typed, NOW, digest=digest(case, lines[n]))
                model.rows.append({**model.rows[n], **typed})
            elif what == "right" and n not in model.away:
                workflow.put_right(case, digest(case, lines[n]), place | typed, NOW)
                model.put_right(n, own, place | typed, place, noted(case))
            elif what == "take" and n not in model.away:
                why = draw.choice(["asleep", "no", f"at step {step}"])
                take(case, lines[n], why)
                model.away |= dict.fromkeys(own, why)
            elif what == "back" and n in model.away:
                put_back(case, lines[n])
                for m in own:
                    del model.away[m]
        except (UsageError, CaseError):
            assert text(case) == before
            counting = [
                m for m in range(len(lines)) if m not in model.away and model.place(m) == model.place(n)
            ]
            assert what not in ("take", "back") or [m for m in counting if m > n or what == "back"]
            continue
        after = log(case)
        gone = corrected_by(after.results)
        assert sorted(_told(r) for r in after.results if r.line not in gone) == model.counting(), step
        kept = list(csv.DictReader(io.StringIO(text(case), newline="")))
        assert [row["kind"] for row in kept] == [
            "taken back: probe" if m in model.away else "probe" for m in range(len(model.rows))
        ]
        for m, (row, note) in enumerate(zip(model.rows, noted(case), strict=True)):
            assert note == (with_reason(row["note"], model.away[m]) if m in model.away else row["note"])
