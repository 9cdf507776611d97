"""Appending to results.csv: what is there stays, nothing is half written, two at once lose nothing."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from genplan.errors import CaseError, FileError
from genplan.evidence import append_rows
from genplan.evidence.append_rows import append_results
from genplan.evidence.formula_cells import escape_formula, unescape_formula
from genplan.evidence.results import read_results
from tests.fixtures.evidence_case import CASE, HEADER, append_result, write
from tests.fixtures.places import ROOT

ROW = "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,dad,4,cheerful"
NEW = {
    "date": "2026-11-21",
    "target": "zips",
    "kind": "probe",
    "adult": "dad",
    "location": "park",
    "material_set": "jackets",
    "trials": "5",
    "correct": "5",
}
LINE = "2026-11-21,,zips,probe,dad,park,jackets,5,5,,,,"


def content(folder: Path) -> str:
    return (folder / "results.csv").read_bytes().decode("utf-8")


def test_the_first_row_makes_the_file_with_a_header(tmp_path: Path) -> None:
    result, warnings = append_result(tmp_path, CASE, NEW)
    assert content(tmp_path) == f"{HEADER}\n{LINE}\n"
    assert (result.line, result.combination, warnings) == (2, ("dad", "park", "jackets"), ())


def test_an_extra_dimension_is_a_column_of_a_new_file_only_if_it_is_used(tmp_path: Path) -> None:
    append_result(tmp_path, CASE, {**NEW, "target": "asks", "wording": "Zip it up"})
    assert content(tmp_path) == f"{HEADER},wording\n{LINE.replace('zips', 'asks')},Zip it up\n"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("last_end", [True, False])
def test_the_form_that_is_there_stays(
    tmp_path: Path, end: str, bom: bytes, delimiter: str, last_end: bool
) -> None:
    body = end.join([HEADER, ROW]).replace(",", delimiter).encode()
    old = bom + body + (end.encode() if last_end else b"")
    (tmp_path / "results.csv").write_bytes(old)
    append_result(tmp_path, CASE, NEW)
    new = (LINE + end).replace(",", delimiter).encode()
    assert (tmp_path / "results.csv").read_bytes() == bom + body + end.encode() + new


def test_the_order_of_the_header_stays(tmp_path: Path) -> None:
    header = "correct,trials,material_set,location,adult,kind,target,date"
    write(tmp_path, "4,5,coats,home,mum,probe,zips,2026-11-20", header=header)
    append_result(tmp_path, CASE, NEW)
    assert content(tmp_path).splitlines()[2] == "5,5,jackets,park,dad,probe,zips,2026-11-21"


def test_a_column_that_is_missing_is_added_and_the_other_rows_keep_their_bytes(tmp_path: Path) -> None:
    quoted = ROW.replace("cheerful", '"said ""no"",\nthen left"')
    write(tmp_path, quoted, "", ROW.replace("mum", '"mum"'))
    append_result(tmp_path, CASE, {**NEW, "target": "asks", "wording": "Do up your coat"})
    assert content(tmp_path) == (
        f"{HEADER},wording\n{quoted},\n\n{ROW.replace('mum', chr(34) + 'mum' + chr(34))},\n"
        f"{LINE.replace('zips', 'asks')},Do up your coat\n"
    )
    log, findings = read_results(tmp_path, CASE)
    assert findings == ()
    assert len(log.results) == 3


def test_an_optional_column_is_added_too(tmp_path: Path) -> None:
    header = "date,target,kind,adult,location,material_set,trials,correct"
    write(tmp_path, "2026-11-20,zips,probe,mum,home,coats,5,4", header=header)
    append_result(tmp_path, CASE, {**NEW, "note": "tired"})
    assert content(tmp_path) == (
        f"{header},note\n2026-11-20,zips,probe,mum,home,coats,5,4,\n2026-11-21,zips,probe,dad,park,jackets,5,5,tired\n"
    )


def test_several_rows_are_all_added_or_none(tmp_path: Path) -> None:
    results, _ = append_results(tmp_path, CASE, [{**NEW, "note": "a\nb"}, {**NEW, "adult": "mum"}])
    assert [(r.line, r.combination[0]) for r in results] == [(2, "dad"), (4, "mum")]
    before = content(tmp_path)
    with pytest.raises(CaseError) as caught:
        append_results(tmp_path, CASE, [NEW, {**NEW, "adult": "mun"}])
    assert [(f.file, f.key) for f in caught.value.findings] == [("new row 2", "adult")]
    assert content(tmp_path) == before


def test_a_wrong_row_is_refused_with_all_its_faults(tmp_path: Path) -> None:
    write(tmp_path, ROW)
    with pytest.raises(CaseError) as caught:
        append_result(tmp_path, CASE, {**NEW, "date": "11/12/2026", "correct": "6"})
    assert str(caught.value).splitlines() == [
        "the new row: correct: found 6 of 5 trials; expected at most 5. Nothing was added.",
        "the new row: date: found '11/12/2026', which may be 2026-11-12 or 2026-12-11; expected the one that is meant,"
        " year first. Nothing was added; "
        "a spreadsheet may have changed it: type it year first, with the column set to text.",
    ]
    assert content(tmp_path) == f"{HEADER}\n{ROW}\n"


def test_an_unknown_column_is_refused_with_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="Did you mean 'note'"):
        append_result(tmp_path, CASE, {**NEW, "notes": "tired"})
    assert not (tmp_path / "results.csv").exists()


def test_a_file_with_errors_is_left_as_it_is(tmp_path: Path) -> None:
    write(tmp_path, ROW.replace("2026-11-20", "10/11/2026"))
    before = content(tmp_path)
    with pytest.raises(
        CaseError, match=r"results\.csv:2: date: .* Nothing was added: correct the file first"
    ):
        append_result(tmp_path, CASE, NEW)
    assert content(tmp_path) == before


def test_a_warning_does_not_refuse(tmp_path: Path) -> None:
    append_result(tmp_path, CASE, NEW)
    _, warnings = append_result(tmp_path, CASE, NEW)
    assert [(w.line, w.found) for w in warnings] == [(3, "the same as line 2")]


def test_the_mode_stays(tmp_path: Path) -> None:
    write(tmp_path, ROW)
    os.chmod(tmp_path / "results.csv", 0o640)
    append_result(tmp_path, CASE, NEW)
    assert stat.S_IMODE((tmp_path / "results.csv").stat().st_mode) == 0o640


def test_a_symlink_stays_one(tmp_path: Path) -> None:
    elsewhere = tmp_path / "cloud"
    elsewhere.mkdir()
    (tmp_path / "results.csv").symlink_to(write(elsewhere, ROW) / "results.csv")
    append_result(tmp_path, CASE, NEW)
    assert (tmp_path / "results.csv").is_symlink()
    assert content(elsewhere) == f"{HEADER}\n{ROW}\n{LINE}\n"


@pytest.mark.parametrize("broken", ["replace", "fsync", "chmod"])
def test_an_interrupted_write_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    write(tmp_path, ROW)
    before = content(tmp_path)

    def fails(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(f"genplan.files.os.{broken}", fails)
    with pytest.raises(
        FileError, match=r"could not be written: no room is left on the disk\. It is as it was"
    ):
        append_result(tmp_path, CASE, NEW)
    assert content(tmp_path) == before
    assert sorted(p.name for p in tmp_path.iterdir() if "lock" not in p.name) == ["results.csv"]


def test_an_interrupt_by_the_keyboard_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, ROW)

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("genplan.files.os.fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        append_result(tmp_path, CASE, NEW)
    assert content(tmp_path) == f"{HEADER}\n{ROW}\n"
    assert not list(tmp_path.glob("*.new")) + list(tmp_path.glob(".*.new"))


def test_a_lock_that_somebody_holds_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from filelock import FileLock

    monkeypatch.setattr("genplan.files.LOCK_SECONDS", 0.05)
    with (
        FileLock(tmp_path / ".results.csv.lock"),
        pytest.raises(FileError, match=r"in use by another run of the program\. Nothing was changed"),
    ):
        append_results(tmp_path, CASE, [NEW])


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="There is no folder"):
        append_result(tmp_path / "nowhere", CASE, NEW)


def test_two_processes_at_once_lose_nothing(tmp_path: Path) -> None:
    program = """
import sys
from pathlib import Path
from tests.fixtures.evidence_case import CASE
from tests.fixtures.evidence_case import append_result
for i in range(15):
    append_result(Path(sys.argv[1]), CASE, {
        "date": "2026-11-21", "target": "zips", "kind": "probe", "adult": "dad", "location": "park",
        "material_set": "jackets", "trials": "5", "correct": "5", "note": f"{sys.argv[2]} {i}",
    })
"""
    paths = os.pathsep.join([str(ROOT), *sys.path])
    children = [
        subprocess.Popen(
            [sys.executable, "-c", program, str(tmp_path), who], env={**os.environ, "PYTHONPATH": paths}
        )
        for who in ("one", "two")
    ]
    assert [child.wait(60) for child in children] == [0, 0]
    log, findings = read_results(tmp_path, CASE)
    assert findings == ()
    assert sorted(r.note for r in log.results) == sorted(
        f"{who} {i}" for who in ("one", "two") for i in range(15)
    )


@pytest.mark.parametrize(
    "note", ["=1+1", "+353 1", "-", "@home", "'=x", "''=x", "'tis", "a=b", '"', ";", "a;b\nc"]
)
def test_what_a_spreadsheet_would_run_is_defused_and_read_back(tmp_path: Path, note: str) -> None:
    result, _ = append_result(tmp_path, CASE, {**NEW, "note": note})
    assert result.note == note
    assert content(tmp_path).splitlines()[1].split(",", 12)[12].lstrip('"')[:1] not in tuple("=+-@")


@given(st.text())
def test_defusing_can_be_undone(text: str) -> None:
    assert not escape_formula(text).startswith(("=", "+", "-", "@", "\t", "\r"))
    if escape_formula(text) != text:
        assert unescape_formula(escape_formula(text)) == text


TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]) | st.sampled_from(",;\"\t\n'=")).map(
    str.strip
)


@given(
    st.lists(TEXTS, min_size=1, max_size=4),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n"]),
)
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_note_is_read_back(tmp_path: Path, notes: list[str], delimiter: str, end: str) -> None:
    (tmp_path / "results.csv").write_bytes((HEADER.replace(",", delimiter) + end).encode())
    results, _ = append_results(tmp_path, CASE, [{**NEW, "note": note} for note in notes])
    assert [r.note for r in results] == notes
    assert [r.note for r in read_results(tmp_path, CASE)[0].results] == notes


def test_a_row_is_found_beside_many_what_it_is_found_beside_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the rows that can matter are read again; the same is said of the new one, errors too."""
    other = ROW.replace("zips", "asks").replace("dad,4,cheerful", 'Óla,4,"two\nlines"')
    lines = [f"{HEADER},wording", f"{other},Zip it up", f"{ROW},", f"{other},Zip it up", ""]
    (tmp_path / "results.csv").write_bytes("\r".join(lines).encode())
    new = dict(zip(HEADER.split(","), ROW.split(","), strict=True))
    rows = [{**new, "observer": "ola"}, {**new, "date": "20.11.2026", "time": "late"}, new]
    before = content(tmp_path)

    def added() -> list[object]:
        told: list[object] = []
        for row in rows:
            (tmp_path / "results.csv").write_bytes(before.encode())
            try:
                told.append(append_results(tmp_path, CASE, [row]))
            except CaseError as error:
                told.append(error.findings)
        return told

    by_few = added()
    monkeypatch.setattr(append_rows, "_without_what_is_apart", lambda text, *_: text)
    assert by_few == added()
    assert "the same as line" in str(by_few[2])
