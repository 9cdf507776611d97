"""The folder of results: all or nothing, and nothing of anybody else's."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest
from filelock import FileLock

from genplan import folders as folder
from genplan.errors import FileError
from genplan.folders import write_file, write_folder

OURS = b"BEGIN:VCALENDAR\r\nPRODID:-//genplan//weekly plan//EN\r\n"
FILES = {"plan.csv": b"new plan", "calendars/all.ics": OURS, "calendars/adult-mum.ics": OURS}


def tree(root: Path) -> dict[str, bytes]:
    return {str(p.relative_to(root)): p.read_bytes() for p in sorted(root.rglob("*")) if p.is_file()}


def everything(root: Path) -> set[str]:
    return {str(p.relative_to(root)) for p in root.rglob("*")}


def test_it_makes_the_folder_and_its_parents_and_leaves_no_trace_of_the_work(tmp_path: Path) -> None:
    out = tmp_path / "a" / "b"
    write_folder(out, FILES)
    assert tree(out) == FILES
    assert everything(out) == {*FILES, "calendars"}


def test_it_replaces_its_own_files_and_leaves_the_others(tmp_path: Path) -> None:
    (tmp_path / "plan.csv").write_bytes(b"old")
    (tmp_path / "letter.txt").write_bytes(b"mine")
    write_folder(tmp_path, FILES)
    assert tree(tmp_path) == {**FILES, "letter.txt": b"mine"}


def test_a_page_of_an_adult_who_is_gone_goes_and_others_stay(tmp_path: Path) -> None:
    ours = b'<meta name="generator" content="genplan">'
    (tmp_path / "pages").mkdir()
    for name, data in {"adult-gone.html": ours, "adult-mine.html": b"by hand", "notes.html": ours}.items():
        (tmp_path / "pages" / name).write_bytes(data)
    write_folder(tmp_path, {"plan.csv": b"x"})  # a plan without pages takes none away
    assert (tmp_path / "pages" / "adult-gone.html").exists()
    write_folder(tmp_path, {"pages/adult-mum.html": ours})
    assert {p.name for p in (tmp_path / "pages").iterdir()} == {
        "adult-mum.html",
        "adult-mine.html",
        "notes.html",
    }


def test_only_calendars_of_its_own_naming_and_making_go_when_they_are_stale(tmp_path: Path) -> None:
    calendars = tmp_path / "calendars"
    calendars.mkdir()
    (calendars / "adult-uncle.ics").write_bytes(OURS)
    (calendars / "adult-notes.ics").write_bytes(b"BEGIN:VCALENDAR\r\nPRODID:-//someone//else\r\n")
    (calendars / "holidays.ics").write_bytes(OURS)
    (tmp_path / "adult-uncle.ics").write_bytes(OURS)
    write_folder(tmp_path, FILES)
    assert set(tree(tmp_path)) == {
        *FILES,
        *("adult-uncle.ics", "calendars/adult-notes.ics", "calendars/holidays.ics"),
    }


def test_files_have_the_modes_of_the_umask(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        write_folder(tmp_path / "out", FILES)
    finally:
        os.umask(before)
    assert (tmp_path / "out" / "plan.csv").stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("failing", range(1, 5))
def test_an_error_at_any_move_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    # moves: plan.csv, all.ics and adult-mum.ics into their places (1 to 3), the mark that all is done (4)
    (tmp_path / "calendars").mkdir()
    (tmp_path / "calendars" / "adult-uncle.ics").write_bytes(OURS)
    (tmp_path / "calendars" / "all.ics").write_bytes(OURS + b"old")
    (tmp_path / "plan.csv").write_bytes(b"old")
    before = tree(tmp_path)
    moves, real = [0], os.replace

    def replace(source: Path, target: Path) -> None:
        moves[0] += 1
        if moves[0] == failing:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(source, target)

    monkeypatch.setattr(folder.os, "replace", replace)
    with pytest.raises(FileError, match=r"no room is left on the disk\. Nothing was changed"):
        write_folder(tmp_path, FILES)
    assert tree(tmp_path) == before
    assert everything(tmp_path) == {*before, "calendars"}


def test_an_error_while_writing_removes_what_it_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fsync(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(folder.os, "fsync", fsync)
    with pytest.raises(FileError):
        write_folder(tmp_path / "a" / "b", FILES)
    assert everything(tmp_path) == set()


def test_an_interrupt_undoes_the_moves_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "plan.csv").write_bytes(b"old")
    moves, real = [0], os.replace

    def replace(source: Path, target: Path) -> None:
        moves[0] += 1
        if moves[0] == 3:
            raise KeyboardInterrupt
        real(source, target)

    monkeypatch.setattr(folder.os, "replace", replace)
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path, FILES)
    assert tree(tmp_path) == {"plan.csv": b"old"}


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    for out in (tmp_path / "out", tmp_path / "out" / "deeper"):
        with pytest.raises(
            FileError, match=r"a file stands where a folder has to be|is a file, not a folder"
        ):
            write_folder(out, FILES)
    assert tree(tmp_path) == {"out": b"mine"}


def test_a_folder_in_the_place_of_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "plan.csv").mkdir()
    with pytest.raises(FileError, match="is a folder, and a file of that name"):
        write_folder(tmp_path, FILES)
    assert everything(tmp_path) == {"plan.csv"}


@pytest.mark.parametrize("name", ["case.yaml", "people.yml", "results.csv"])
def test_a_folder_that_holds_a_case_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("format: 1")
    with pytest.raises(FileError, match="holds a case") as raised:
        write_folder(tmp_path, FILES)
    assert str(tmp_path / "out") in str(raised.value)
    assert everything(tmp_path) == {name}
    write_folder(tmp_path / "out", FILES)
    assert tree(tmp_path / "out") == FILES


def test_a_case_below_the_folder_is_no_hindrance(tmp_path: Path) -> None:
    (tmp_path / "case").mkdir()
    (tmp_path / "case" / "case.yaml").write_text("format: 1")
    write_folder(tmp_path, FILES)


@pytest.mark.parametrize("name", ["../plan.csv", "/plan.csv", "a/../../b", "a\\b", ""])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="outside"):
        write_folder(tmp_path / "out", {name: b""})
    assert everything(tmp_path) == set()


def test_a_link_in_the_place_of_a_file_is_replaced_and_what_it_points_to_stays(tmp_path: Path) -> None:
    (tmp_path / "precious").write_bytes(b"precious")
    out = tmp_path / "out"
    out.mkdir()
    (out / "plan.csv").symlink_to(tmp_path / "precious")
    write_folder(out, FILES)
    assert (tmp_path / "precious").read_bytes() == b"precious"
    assert not (out / "plan.csv").is_symlink()


def test_one_file_is_written_or_a_sentence_says_why_not(tmp_path: Path) -> None:
    write_file(tmp_path / "matrix.csv", b"a\n")
    assert (tmp_path / "matrix.csv").read_bytes() == b"a\n"
    with pytest.raises(FileError, match="could not be written: it is not there"):
        write_file(tmp_path / "missing" / "matrix.csv", b"a\n")
    with pytest.raises(FileError, match="could not be written"):
        write_file(tmp_path, b"a\n")
    assert everything(tmp_path) == {"matrix.csv"}


KILLED = """
import os, signal, sys
from pathlib import Path
from genplan import folders as folder

moves, real = [0], os.replace

def replace(source, target):
    moves[0] += 1
    if moves[0] == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    real(source, target)

folder.os.replace = replace
folder.write_folder(Path(sys.argv[1]), {"plan.csv": b"never", "other.csv": b"never", "calendars/all.ics": b"never"})
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a signal that cannot be caught")
@pytest.mark.parametrize(
    ("move", "left"),
    [
        (1, {"plan.csv": b"old", "calendars/all.ics": b"old"}),  # before anything was moved
        (2, {"plan.csv": b"never", "calendars/all.ics": b"old"}),  # plan.csv is in its place
        (
            3,
            {"plan.csv": b"never", "other.csv": b"never", "calendars/all.ics": b"old"},
        ),  # and another beside it
    ],
)
def test_the_next_run_clears_away_what_a_killed_one_left(
    tmp_path: Path, move: int, left: dict[str, bytes]
) -> None:
    write_folder(tmp_path, {"plan.csv": b"old", "calendars/all.ics": b"old"})
    done = subprocess.run([sys.executable, "-c", KILLED, str(tmp_path), str(move)], check=False)
    assert done.returncode == -signal.SIGKILL
    assert {n: d for n, d in tree(tmp_path).items() if not n.startswith(".genplan-")} == left
    assert any(n.startswith(".genplan-") for n in everything(tmp_path))
    write_folder(tmp_path, {"matrix.csv": b"new"})
    assert tree(tmp_path) == {"plan.csv": b"old", "calendars/all.ics": b"old", "matrix.csv": b"new"}
    assert everything(tmp_path) == {*tree(tmp_path), "calendars"}


def test_a_run_that_was_killed_when_all_was_in_its_place_is_not_undone(tmp_path: Path) -> None:
    write_folder(tmp_path, {"plan.csv": b"old", "calendars/all.ics": b"old"})
    program = KILLED.replace("int(sys.argv[2])", "99") + "# to the end"
    program = program.replace("folder.os.replace = replace", "folder._clear = lambda *_: os._exit(9)")
    assert subprocess.run([sys.executable, "-c", program, str(tmp_path), "0"], check=False).returncode == 9
    write_folder(tmp_path, {"matrix.csv": b"new"})
    both = {"plan.csv": b"never", "other.csv": b"never", "calendars/all.ics": b"never"}
    assert tree(tmp_path) == {**both, "matrix.csv": b"new"}


def test_what_cannot_be_put_back_waits_for_the_next_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_folder(tmp_path, FILES)
    moves, real = [0], os.replace

    def replace(source: Path, target: Path) -> None:
        moves[0] += 1
        if moves[0] >= 2:  # the disk is gone in the middle, and stays away
            raise OSError(errno.EIO, "Input/output error")
        real(source, target)

    with monkeypatch.context() as patched:
        patched.setattr(folder.os, "replace", replace)
        with pytest.raises(FileError, match="could not all be put back"):
            write_folder(tmp_path, dict.fromkeys(FILES, b"later"))
    folder.settle_folder(tmp_path)
    assert tree(tmp_path) == FILES


def test_the_hidden_folder_of_a_living_run_and_folders_of_other_names_stay(tmp_path: Path) -> None:
    living, others = f".genplan-{'a' * 16}", (".genplan-notes", ".genplan-0123", f"genplan-{'a' * 16}")
    for name in (living, *others):
        (tmp_path / name / "old").mkdir(parents=True)
        (tmp_path / name / "old" / "mine").write_bytes(b"mine")
    with FileLock(tmp_path / f"{living}.lock"):
        write_folder(tmp_path, {"plan.csv": b"new"})
        assert {p.name for p in tmp_path.iterdir()} == {living, f"{living}.lock", *others, "plan.csv"}
    write_folder(tmp_path, {"plan.csv": b"new"})
    assert {p.name for p in tmp_path.iterdir()} == {*others, "plan.csv", "mine"}


def test_files_of_several_weeks_are_written_as_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    both = {f"{week}/{name}": data for week in ("2026-W49", "2026-W50") for name, data in FILES.items()}
    write_folder(tmp_path, {**both, "2026-W49/calendars/adult-uncle.ics": OURS})
    write_folder(tmp_path, both)
    assert tree(tmp_path) == both
    moves, real = [0], os.replace

    def replace(source: Path, target: Path) -> None:
        moves[0] += 1
        if moves[0] == 5:  # one a file, three a week: among those of the second
            raise OSError(errno.ENOSPC, "No space left on device")
        real(source, target)

    monkeypatch.setattr(folder.os, "replace", replace)
    with pytest.raises(FileError, match="Nothing was changed"):
        write_folder(tmp_path, dict.fromkeys(both, b"later"))
    assert tree(tmp_path) == both


def test_a_case_in_one_of_the_weeks_folders_is_not_written_into(tmp_path: Path) -> None:
    (tmp_path / "2026-W50").mkdir()
    (tmp_path / "2026-W50" / "case.yaml").write_text("format: 1")
    with pytest.raises(FileError, match="holds a case"):
        write_folder(tmp_path, {"2026-W49/plan.csv": b"", "2026-W50/plan.csv": b""})
    assert everything(tmp_path) == {"2026-W50", "2026-W50/case.yaml"}


CASE = {"case.yaml": b"old", "results.csv": b"old rows"}
CHANGE = {"case.yaml": b"new", "results.csv": b"new rows", "more.yaml": b"more"}


def killed_in_the_middle(of: Path) -> None:
    """A change of a case whose run is gone before it has said that it is whole."""
    child = os.fork()
    if child == 0:
        with folder.replaced(of, CHANGE):
            os._exit(9)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_files_of_a_case_are_changed_together_or_taken_back_when_it_is_next_opened(tmp_path: Path) -> None:
    folder.add_files(tmp_path, CASE)
    killed_in_the_middle(tmp_path)
    folder.settle_folder(tmp_path)
    assert tree(tmp_path) == CASE
    with folder.replaced(tmp_path, CHANGE):
        folder.settle_folder(tmp_path)  # whoever opens it meanwhile takes nothing back
    assert tree(tmp_path) == CHANGE
    with suppress(ZeroDivisionError), folder.replaced(tmp_path, {"more.yaml": None, "case.yaml": b"again"}):
        assert not (tmp_path / "more.yaml").exists()
        _ = 1 // 0
    assert tree(tmp_path) == CHANGE


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_what_was_written_by_hand_after_a_kill_is_not_taken_back(tmp_path: Path) -> None:
    folder.add_files(tmp_path, CASE)
    killed_in_the_middle(tmp_path)
    (tmp_path / "results.csv").write_bytes(b"new rows and one by hand")
    (tmp_path / "more.yaml").write_bytes(b"more by hand")
    folder.settle_folder(tmp_path)
    by_hand = {"results.csv": b"new rows and one by hand", "more.yaml": b"more by hand"}
    assert tree(tmp_path) == {"case.yaml": b"old", **by_hand}


@pytest.mark.skipif(os.name != "posix", reason="symlinks")
def test_a_file_that_lies_elsewhere_stays_there(tmp_path: Path) -> None:
    case, other = tmp_path / "case", tmp_path / "other"
    case.mkdir()
    other.mkdir()
    (other / "mine.yaml").write_bytes(b"old")
    (case / "case.yaml").symlink_to(other / "mine.yaml")
    with suppress(ZeroDivisionError), folder.replaced(case, {"case.yaml": b"new"}):
        assert (other / "mine.yaml").read_bytes() == b"new"
        _ = 1 // 0
    assert (other / "mine.yaml").read_bytes() == b"old"
    assert (case / "case.yaml").is_symlink()
