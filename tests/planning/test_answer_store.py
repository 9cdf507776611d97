"""The folder of answers: whole or not at all, bounded, for one user alone; whatever is wrong with it, only a search."""

from __future__ import annotations

import errno
import hashlib
import os
import stat
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from genplan.planning.answers.store import MARK, MOST_OF_ONE, AnswerStore, Sealed, folder_for

ONE, OTHER = Sealed.by(b"what is best for one"), Sealed.by(b"what is best for another")
POSIX = pytest.mark.skipif(os.name != "posix", reason="owners and modes are POSIX")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "cache" / "genplan" / "answers"


def test_what_was_put_is_got_by_the_same_question_alone(folder: Path) -> None:
    store = AnswerStore(folder)
    assert store.get(ONE) is None
    store.put(ONE, b'["wren", 5]')
    assert AnswerStore(folder).get(Sealed.by(b"what is best for one")) == b'["wren", 5]'
    assert store.get(OTHER) is None
    store.put(ONE, b"[]")
    assert store.get(ONE) == b"[]"


def test_nothing_can_be_read_without_the_question(folder: Path) -> None:
    """The file's name tells no key either."""
    AnswerStore(folder).put(ONE, b'["wren", "mum"]' * 50)
    (file,) = folder.iterdir()
    kept = file.read_bytes()
    assert b"wren" not in kept
    assert ONE.key not in kept
    assert hashlib.blake2b(b"what is best for one", digest_size=32).hexdigest() not in file.name
    assert Sealed(file.name, b"\0" * 64).open(kept) is None


@POSIX
def test_nobody_else_may_enter(folder: Path) -> None:
    before = os.umask(0)
    try:
        AnswerStore(folder).put(ONE, b"[]")
    finally:
        os.umask(before)
    assert [stat.S_IMODE(p.stat().st_mode) for p in (folder, folder.parent)] == [0o700, 0o700]
    assert {stat.S_IMODE(p.stat().st_mode) for p in folder.iterdir()} == {0o600}


@POSIX
def test_a_folder_that_was_opened_to_others_is_closed(folder: Path) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    folder.chmod(0o777)
    assert store.get(ONE) == b"[]"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


Damage = Callable[[Path], object]
DAMAGED: dict[str, Damage] = {
    "cut off": lambda file: file.write_bytes(file.read_bytes()[:-3]),
    "cut off in its head": lambda file: file.write_bytes(MARK[:5]),
    "empty": lambda file: file.write_bytes(b""),
    "one bit otherwise": lambda file: file.write_bytes(
        file.read_bytes()[:-1] + bytes([file.read_bytes()[-1] ^ 1])
    ),
    "longer": lambda file: file.write_bytes(file.read_bytes() + b"]"),
    "something else": lambda file: file.write_bytes(b"cos\nsystem\n(S'echo'\ntR."),
    "another's answer": lambda file: file.write_bytes((file.parent / OTHER.name).read_bytes()),
    "too large": lambda file: file.write_bytes(MARK + b"\0" * (MOST_OF_ONE + 1)),
}


@pytest.mark.parametrize("how", DAMAGED)
def test_what_is_damaged_is_no_answer_and_is_replaced(folder: Path, how: str) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b'["wren", 5]')
    store.put(OTHER, b"[]")
    DAMAGED[how](folder / ONE.name)
    assert store.get(ONE) is None
    store.put(ONE, b'["wren", 5]')
    assert store.get(ONE) == b'["wren", 5]'


@POSIX
@pytest.mark.parametrize("level", [0, 1])
def test_a_link_to_another_folder_is_not_followed(tmp_path: Path, folder: Path, level: int) -> None:
    """Neither in the place of the folder nor of the one above it."""
    trap = tmp_path / "trap"
    AnswerStore(trap / "genplan" / "answers").put(ONE, b"[]")
    place, target = [(folder, trap / "genplan" / "answers"), (folder.parent, trap / "genplan")][level]
    place.parent.mkdir(parents=True)
    place.symlink_to(target)
    store = AnswerStore(folder)
    assert store.get(ONE) is None
    store.put(OTHER, b"[]")
    store.tidy()
    assert [p.name for p in (trap / "genplan" / "answers").iterdir()] == [ONE.name]
    if level == 0:
        assert store.forget() == (0, 0)


@POSIX
def test_a_link_in_the_place_of_an_answer_is_replaced_and_its_end_left_alone(
    tmp_path: Path, folder: Path
) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    precious = tmp_path / "precious"
    (folder / ONE.name).rename(precious)
    (folder / ONE.name).symlink_to(precious)
    before = precious.read_bytes()
    assert store.get(ONE) is None
    store.put(ONE, b"[1]")
    assert store.get(ONE) == b"[1]"
    assert precious.read_bytes() == before
    os.mkfifo(folder / OTHER.name)
    assert store.get(OTHER) is None  # and it does not wait for somebody to write


@POSIX
@pytest.mark.skipif(os.name == "posix" and os.geteuid() != 0, reason="only root can give folders away")
def test_a_folder_or_a_cache_of_another_user_is_not_used(folder: Path) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    for whose in (folder, folder.parent):
        os.chown(whose, 12345, -1)
        assert store.get(ONE) is None
        store.put(OTHER, b"[]")
        os.chown(whose, 0, -1)
        assert store.get(OTHER) is None
    cache = folder.parent.parent
    store.forget()
    os.chown(cache, 12345, -1)
    store.put(ONE, b"[]")
    assert list(cache.iterdir()) == []


def test_a_home_that_is_missing_is_not_made(tmp_path: Path) -> None:
    folder = folder_for({"HOME": str(tmp_path / "nobody")}, "linux")
    assert folder is not None
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    store.tidy()
    assert store.get(ONE) is None
    assert store.forget() == (0, 0)
    assert not (tmp_path / "nobody").exists()


def test_a_file_in_the_place_of_the_folder_is_left_alone(folder: Path) -> None:
    folder.parent.mkdir(parents=True)
    folder.write_text("mine")
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    store.tidy()
    assert store.get(ONE) is None
    assert folder.read_text() == "mine"


@pytest.mark.parametrize("fails", ["open", "replace", "mkdir"])
def test_a_disk_that_fails_leaves_no_half_answer(
    folder: Path, fails: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    store = AnswerStore(folder)
    if fails == "mkdir":
        monkeypatch.setattr(Path, "mkdir", full)
    else:
        store.put(OTHER, b"[]")
        monkeypatch.setattr(os, fails, full)
    store.put(ONE, b"[]")
    monkeypatch.undo()
    assert store.get(ONE) is None
    assert [p.name for p in folder.iterdir()] == [OTHER.name] if fails != "mkdir" else not folder.exists()


def test_a_disk_that_is_full_in_the_middle_leaves_no_half_answer(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Full:
        def __init__(self, handle: int, _: str) -> None:
            self.handle = handle

        def __enter__(self) -> Full:
            return self

        def __exit__(self, *_: object) -> None:
            os.close(self.handle)

        def write(self, data: bytes) -> None:
            os.write(self.handle, data[:5])
            raise OSError(errno.ENOSPC, "No space left on device")

    store = AnswerStore(folder)
    monkeypatch.setattr("genplan.planning.answers.store.open", Full, raising=False)
    store.put(ONE, b"[]")
    assert list(folder.iterdir()) == []


def test_it_is_bounded_and_what_was_used_last_stays(folder: Path) -> None:
    """Each takes a block of 4096 bytes on the disk; three of them are too many for three blocks less one byte."""
    store = AnswerStore(folder, most=3 * 4096 - 1)
    questions = [Sealed.by(bytes([n])) for n in range(3)]
    for when, question in enumerate(questions):
        store.put(question, b"[]")
        os.utime(folder / question.name, (1000 + when, 1000 + when))
    assert store.get(questions[0]) == b"[]"  # used now, so later than the others
    store.tidy()
    assert [store.get(q) for q in questions] == [b"[]", None, b"[]"]


def test_what_killed_runs_left_goes_and_what_is_being_written_stays(folder: Path) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    old, fresh = (folder / f".{letter * 16}.new" for letter in "ab")
    for path in (old, fresh):
        path.write_bytes(b"half")
    used = (folder / ONE.name).stat().st_mtime
    os.utime(old, (used - 4000, used - 4000))
    store.tidy()
    assert fresh.exists()
    assert not old.exists()
    assert store.get(ONE) == b"[]"


def test_an_answer_that_is_too_large_is_not_kept(folder: Path) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b"x" * MOST_OF_ONE)
    assert store.get(ONE) is None
    assert not folder.exists()


def test_many_writers_and_readers_at_once_see_whole_answers(folder: Path) -> None:
    answer = b"[%s]" % (b"1," * 20_000)

    def write_and_read(_: int) -> bytes | None:
        store = AnswerStore(folder)
        store.put(ONE, answer)
        store.tidy()
        return store.get(ONE)

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(write_and_read, range(40))) == {answer}
    assert [p.name for p in folder.iterdir()] == [ONE.name]


def test_forgetting_deletes_the_answers_and_nothing_else(folder: Path) -> None:
    store = AnswerStore(folder)
    store.put(ONE, b"[]")
    store.put(OTHER, b"[]")
    mine = folder / "my notes.txt"
    mine.write_text("mine")
    assert store.forget() == (2, 2 * 4096)
    assert list(folder.iterdir()) == [mine]
    mine.unlink()
    assert store.forget() == (0, 0)
    assert not folder.parent.exists()
    assert folder.parent.parent.is_dir()


@pytest.mark.parametrize(
    ("environment", "platform", "place"),
    [
        ({"HOME": "/home/ana"}, "linux", "/home/ana/.cache/genplan/answers"),
        ({"HOME": "/home/ana", "XDG_CACHE_HOME": "/big/cache"}, "linux", "/big/cache/genplan/answers"),
        ({"HOME": "/home/ana", "XDG_CACHE_HOME": "cache"}, "linux", "/home/ana/.cache/genplan/answers"),
        ({"HOME": "/Users/ana"}, "darwin", "/Users/ana/Library/Caches/genplan/answers"),
        ({}, "linux", None),
        ({"HOME": ""}, "darwin", None),
        ({"HOME": "."}, "linux", None),
        ({}, "win32", None),
    ],
)
def test_where_it_lies(environment: dict[str, str], platform: str, place: str | None) -> None:
    assert folder_for(environment, platform) == (Path(place) if place else None)
