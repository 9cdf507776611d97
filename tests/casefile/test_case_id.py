"""The id that tells a case from every other: made once, kept, in the names of new events and in no old one."""

from __future__ import annotations

import re
import shutil
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import identity, load
from genplan.casefile.identity import write_case_id
from genplan.errors import FileError
from genplan.keeping.store import read_kept
from genplan.keeping.told import KeptWeek
from genplan.workflow import ChangeRequest
from tests.fixtures.small_case import SUNDAY, TEXT, WEDNESDAY, WEEK, silent, small_case

FROZEN = Path(__file__).parent.parent / "keeping" / "frozen" / "2026-11"
ID = "k7m2pq9rtw4x"


def uids(folder: Path) -> set[bytes]:
    """The UIDs of the kept week's files."""
    files = (folder / "weeks" / str(WEEK) / "calendars").glob("*.ics")
    return {uid for file in files for uid in re.findall(rb"UID:(\S+)", file.read_bytes())}


def kept(folder: Path, now: datetime = SUNDAY) -> KeptWeek:
    found = read_kept(folder, WEEK, workflow.open_case(folder, now).case)
    assert found is not None
    return found


def id_of(folder: Path) -> str:
    case = load(folder).case
    assert case is not None
    return case.case_id


def test_two_new_cases_have_two_ids_and_are_sound(tmp_path: Path) -> None:
    for name in ("one", "two"):
        workflow.new(tmp_path / name)
    ids = {id_of(tmp_path / name) for name in ("one", "two")}
    assert len(ids) == 2
    assert all(re.fullmatch("[a-z][a-z0-9]{11}", found) for found in ids)
    assert [f.found for f in workflow.check(tmp_path / "one", SUNDAY)] == []


def test_keep_writes_the_id_once_and_two_cases_alike_share_no_event(tmp_path: Path) -> None:
    """Two families with a child of one id, whose weeks are the same."""
    for name in ("one", "two"):
        workflow.keep(small_case(tmp_path / name), WEEK, None, SUNDAY, silent)
    one, two = tmp_path / "one", tmp_path / "two"
    assert [s.id for s in kept(one).sittings] == [s.id for s in kept(two).sittings]
    assert uids(one)
    assert uids(one).isdisjoint(uids(two))
    text = (one / "case.yaml").read_text()
    assert text.replace(f"{identity.line_of(id_of(one))}\n", "") == TEXT
    before = uids(one)
    workflow.keep(one, WEEK, None, SUNDAY, silent)
    assert (one / "case.yaml").read_text() == text
    assert uids(one) == before


def test_a_plan_writes_no_id(tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    workflow.plan(case, WEEK, SUNDAY, tmp_path / "out", silent)
    assert (case / "case.yaml").read_text() == TEXT


def test_what_was_kept_before_keeps_its_names_and_what_follows_from_it_too(tmp_path: Path) -> None:
    """A week of the first format: the yard is shut, the week is planned again and kept, and the case gets an id."""
    case = tmp_path / "case"
    shutil.copytree(FROZEN, case)
    before = {t.event: t for t in kept(case, WEDNESDAY).told}
    workflow.change(case, ChangeRequest("closed", "yard", end=datetime(2026, 12, 6)), WEDNESDAY)
    workflow.replan(case, None, WEDNESDAY, None, True, silent)
    after = {t.event: t for t in kept(case, WEDNESDAY).told}
    assert id_of(case)
    assert before.keys() <= after.keys()
    assert any(after[e].sequence > before[e].sequence for e in before)
    assert all(e.startswith(f"{id_of(case)}/") for e in after.keys() - before.keys())


def test_a_case_that_cannot_be_written_is_not_kept_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = small_case(tmp_path / "case")

    def full(path: Path, data: bytes, *, alone: bool = False) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(identity, "replace_file", full)
    with pytest.raises(
        FileError, match=r"case\.yaml could not be written \(no room is left on the disk\).*Nothing"
    ):
        workflow.keep(case, WEEK, None, SUNDAY, silent)
    assert (case / "case.yaml").read_text() == TEXT
    assert not (case / "weeks").exists()


def test_a_case_in_which_a_line_more_means_something_else_is_kept_and_told(tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    (case / "case.yaml").write_text(TEXT.replace("format: 1\n", ""), encoding="utf-8")
    (case / "format.yaml").write_text("{format: 1}\n", encoding="utf-8")
    (told,) = (f for f in workflow.keep(case, WEEK, None, SUNDAY, silent).findings if f.key == "case_id")
    assert re.search("Add the line 'case_id: [a-z0-9]{12}'", told.hint)
    assert (case / "format.yaml").read_text() == "{format: 1}\n"
    assert kept(case).told
    assert all("/" not in t.event for t in kept(case).told)


@pytest.mark.parametrize(
    "text",
    [
        TEXT.replace("\n", "\r\n"),
        "\ufeff" + TEXT,
        TEXT.replace("format: 1\n", "") + "format: 1",
        TEXT.replace("format: 1", "'format': 1   # the first"),
    ],
    ids=["other line ends", "a mark at the start", "at the end without a line end", "with a remark"],
)
def test_the_line_stands_below_that_of_the_format_and_nothing_else_changes(tmp_path: Path, text: str) -> None:
    case = tmp_path / "case.yaml"
    case.write_bytes(text.encode())
    assert write_case_id(tmp_path, ID) == ID
    assert id_of(tmp_path) == ID
    lines = case.read_bytes().decode().splitlines()
    (at,) = (i for i, line in enumerate(lines) if line.startswith("case_id"))
    assert "format" in lines[at - 1]
    assert [*lines[:at], *lines[at + 1 :]] == text.splitlines()


def test_an_id_that_another_run_wrote_meanwhile_stays(tmp_path: Path) -> None:
    small_case(tmp_path)
    assert write_case_id(tmp_path, ID) == ID
    assert write_case_id(tmp_path, "abcdefghjk23") == ID


def test_a_copy_beside_the_case_is_told_of(tmp_path: Path) -> None:
    one = small_case(tmp_path / "one", f"case_id: {ID}\n")
    assert workflow.check(one, SUNDAY) == ()
    small_case(tmp_path / "other", "case_id: abcdefghjk23\n")
    assert workflow.check(one, SUNDAY) == ()
    shutil.copytree(one, tmp_path / "copy")
    (told,) = workflow.check(one, SUNDAY)
    assert told.key == "case_id"
    assert str(tmp_path / "copy") in told.found
    assert told.line == len(TEXT.splitlines()) + 1


def test_of_many_copies_there_is_one_warning(tmp_path: Path) -> None:
    """A folder of backups is one thing to be told of; the first three are named."""
    one = small_case(tmp_path / "one", f"case_id: {ID}\n")
    for n in range(5):
        small_case(tmp_path / f"two-{n}", f"case_id: {ID}\n")
    (told,) = workflow.check(one, SUNDAY)
    assert [f"two-{n}" in told.found for n in range(5)] == [True] * 3 + [False] * 2
    assert "and in 2 more too" in told.found


@pytest.mark.parametrize("value", ["K7M2PQ9RTW4X", "short", "k7m2pq9rtw4xy", "''"])
def test_an_id_that_the_program_did_not_make_is_refused(tmp_path: Path, value: str) -> None:
    found = load(small_case(tmp_path, f"case_id: {value}\n"))
    assert [f.key for f in found.findings] == ["case_id"]
    assert found.case is None


def test_a_copy_without_names_has_no_id(tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    workflow.share_copy(case, tmp_path / "copy", SUNDAY, silent)
    texts = [p.read_text() for p in (tmp_path / "copy").rglob("*") if p.is_file()]
    assert texts
    assert not any("case_id" in t or id_of(case) in t for t in texts)
