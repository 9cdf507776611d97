"""Two accounts of one computer and one case: a folder that a group shares. The second account is made of numbers that
stand in no list of users, so only root can try it; what needs no second account is tried by everybody."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from genplan.errors import FileError
from genplan.files import held, make_folders, replace_file, write_new
from tests.fixtures.places import ROOT
from tests.fixtures.warm import Done, RunProgram

if os.name != "posix":
    pytest.skip("rights of this kind are POSIX's", allow_module_level=True)

ANNA, BEN, FAMILY = 61001, 61002, 61000
as_root = pytest.mark.skipif(os.geteuid() != 0, reason="only root can be two accounts")


@pytest.fixture(autouse=True)
def _private_umask() -> Iterator[None]:
    before = os.umask(0o077)
    yield
    os.umask(before)


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.parametrize(("folder", "file"), [(0o770, 0o660), (0o775, 0o660), (0o755, 0o600), (0o700, 0o600)])
def test_a_new_file_is_the_groups_where_the_folder_is(tmp_path: Path, folder: int, file: int) -> None:
    os.chmod(tmp_path, folder)
    write_new(tmp_path / "new", b"")
    make_folders(tmp_path / "in" / "it")
    assert (rights(tmp_path / "new"), rights(tmp_path / "in" / "it")) == (
        file,
        file | (file & 0o660) >> 2 & 0o110,
    )


@pytest.mark.parametrize(("folder", "file"), [(0o770, 0o664), (0o755, 0o604)])
def test_a_rewritten_file_keeps_its_mode_and_becomes_the_groups(
    tmp_path: Path, folder: int, file: int
) -> None:
    (tmp_path / "old").write_text("")
    os.chmod(tmp_path / "old", 0o604)
    os.chmod(tmp_path, folder)
    assert replace_file(tmp_path / "old", b"new") == ""
    assert rights(tmp_path / "old") == file


@pytest.mark.parametrize(("folder", "lock"), [(0o700, 0o600), (0o770, 0o660), (0o777, 0o666), (0o755, 0o600)])
def test_a_lock_is_anybodys_who_may_write_there(tmp_path: Path, folder: int, lock: int) -> None:
    os.chmod(tmp_path, folder)
    with held(tmp_path / "lock", "it"):
        assert rights(tmp_path / "lock") == lock


def test_a_rewritten_file_keeps_its_access_list(tmp_path: Path) -> None:
    # version 2; owner rw, user 61001 rw, group r, mask rw, others none: as the kernel keeps it
    entries = [(1, 6, 0xFFFFFFFF), (2, 6, ANNA), (4, 4, 0xFFFFFFFF), (16, 6, 0xFFFFFFFF), (32, 0, 0xFFFFFFFF)]
    list_ = (2).to_bytes(4, "little") + b"".join(
        t.to_bytes(2, "little") + p.to_bytes(2, "little") + i.to_bytes(4, "little") for t, p, i in entries
    )
    path = tmp_path / "results.csv"
    path.write_text("old")
    name = "system.posix_acl_access"
    try:
        os.setxattr(path, name, list_)
    except (OSError, AttributeError):
        pytest.skip("this file system has no access lists")
    replace_file(path, b"new")
    assert os.getxattr(path, name) == list_


COMMAND = "from genplan.cli import main; sys.exit(main(sys.argv[4:]))"
AsAccount = Callable[..., Done]


@pytest.fixture
def as_account(run_program: RunProgram) -> AsAccount:
    """A program, and words for it, run by an account of the family."""

    def run(who: int, program: str, *words: str) -> Done:
        return run_program(
            ["tests.fixtures.as_account", str(who), str(FAMILY), program, *words], ROOT, os.environ
        )

    return run


@pytest.fixture
def shared() -> Iterator[Path]:
    """A folder of mode 770 that belongs to Anna and the family's group. Pytest's own lets nobody in."""
    with tempfile.TemporaryDirectory() as folder:
        os.chmod(folder, 0o711)
        case = Path(folder) / "case"
        case.mkdir()
        os.chown(case, ANNA, FAMILY)
        os.chmod(case, 0o770)
        yield case


@as_root
@pytest.mark.skipif(
    not all(p.stat().st_mode & stat.S_IXOTH for p in (ROOT, *ROOT.parents)),
    reason="the program lies where another account cannot read it",
)
def test_two_accounts_work_on_one_case(as_account: AsAccount, shared: Path) -> None:
    case = str(shared / "wren")
    now = ("--now", "2026-11-29T12:00")

    def say(day: str) -> tuple[str, ...]:
        row = [
            "--target",
            "asks-for-help",
            "--adult",
            "dad",
            "--location",
            "home",
            "--material-set",
            "two-cups",
        ]
        return ("record", case, *row, "--correct", "4", "--trials", "5", "--date", f"2026-11-2{day}", *now)

    assert as_account(ANNA, COMMAND, "new", case).returncode == 0
    for who, day in ((ANNA, "5"), (BEN, "6")):
        done = as_account(who, COMMAND, *say(day))
        assert done.returncode == 0, done.stderr
        away = as_account(who, COMMAND, "change", case, "--away", "mum", "--from", f"2026-12-0{day}", *now)
        assert away.returncode == 0, away.stderr
    assert len((shared / "wren" / "results.csv").read_text().splitlines()) >= 3


@as_root
def test_a_file_that_cannot_stay_somebodys_is_told_of(as_account: AsAccount, shared: Path) -> None:
    path = shared / "results.csv"
    path.write_text("old")
    os.chmod(shared, 0o777)
    os.chown(shared, ANNA, ANNA)
    os.chown(path, ANNA, ANNA)
    os.chmod(path, 0o644)
    program = "from pathlib import Path; from genplan import files; print(files.replace_file(Path(sys.argv[4]), b'x'))"
    done = as_account(BEN, program, str(path))
    assert done.stdout.strip() == "its owner and its group", done.stderr
    assert (path.stat().st_gid, rights(path)) == (BEN, 0o644)


@as_root
@pytest.mark.parametrize("is_held", [False, True])
def test_a_lock_that_another_account_left_is_no_bar(
    as_account: AsAccount, shared: Path, is_held: bool
) -> None:
    """As earlier versions left them: only their owner could write. One that nobody holds gives way."""
    import fcntl

    lock = shared / ".results.csv.lock"
    lock.write_text("")
    os.chown(lock, ANNA, ANNA)
    os.chmod(lock, 0o644)
    program = f"""
from pathlib import Path
from genplan import files
files.LOCK_SECONDS = 0.1
with files.held(Path({str(lock)!r}), "The case"):
    print("held")
"""
    with lock.open() as file:
        if is_held:
            fcntl.flock(file, fcntl.LOCK_EX)
        done = as_account(BEN, program)
    assert (done.stdout.strip() == "held") == (not is_held)
    assert ("The case is in use by another run of the program." in done.stderr) == is_held


@as_root
def test_a_lock_that_cannot_be_looked_into_says_what_to_do(as_account: AsAccount, shared: Path) -> None:
    lock = shared / ".results.csv.lock"
    lock.write_text("")
    os.chown(lock, ANNA, ANNA)
    program = (
        "from pathlib import Path; from genplan.files import held; held(Path(sys.argv[4]), 'It').__enter__()"
    )
    done = as_account(BEN, program, str(lock))
    expected = (
        "the file .results.csv.lock belongs to another account; delete it when no other run is open. Nothing"
    )
    assert expected in done.stderr


READ_ONLY = "The case cannot be changed in {folder}: nothing can be written there. Nothing was changed."


@pytest.mark.parametrize("is_there", [False, True])
def test_a_disk_that_nobody_may_write_to_is_told_as_such_whether_a_lock_lies_there_or_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_there: bool
) -> None:
    """Such a disk refuses each opening of a file to write it, whosever the file is."""
    opened = os.open
    if is_there:
        (tmp_path / "lock").touch()

    def refusing(path: str | Path, flags: int, *more: int, **named: int) -> int:
        if Path(path).parent == tmp_path and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return opened(path, flags, *more, **named)

    def staying(path: str | Path) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))

    monkeypatch.setattr(os, "open", refusing)
    monkeypatch.setattr(os, "unlink", staying)
    monkeypatch.setattr(os, "access", lambda *asked, **named: False)  # as it answers there
    with pytest.raises(FileError) as told:
        held(tmp_path / "lock", "The case").__enter__()
    assert str(told.value) == READ_ONLY.format(folder=tmp_path)


@as_root
def test_the_same_on_a_disk_that_was_mounted_so(tmp_path: Path) -> None:
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(tmp_path)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("nothing can be mounted here")
    try:
        (tmp_path / "lock").touch(0o600)
        subprocess.run(["mount", "-o", "remount,ro", str(tmp_path)], check=True)
        with pytest.raises(FileError) as told:
            held(tmp_path / "lock", "The case").__enter__()
        assert str(told.value) == READ_ONLY.format(folder=tmp_path)
    finally:
        subprocess.run(["umount", str(tmp_path)], check=True)


def test_a_folder_without_rights_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"^The case cannot be changed in .*: it is not there\. Nothing"):
        held(tmp_path / "nowhere" / "lock", "The case").__enter__()
