"""A folder of answers, each in a file of its own, in the user's cache.

Not beside the case, since case folders are handed on, synchronised and shared. Nobody can read an answer without
asking the very same question: a file is named and sealed by the digest of the question, which holds everything that
decides the answer, and the question itself is not kept. So what lies here tells nothing of a child once the case is
gone, and nobody can put an answer here who does not know the question. Whatever is wrong with the folder or with a
file in it, the worst that comes of it is a search.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import stat
import sys
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from hmac import compare_digest
from pathlib import Path

from genplan.files import read_file

MOST_BYTES = 100_000_000
"""Of all answers together: those that were not used for longest go first."""
MOST_OF_ONE = 5_000_000
MARK = b"genplan answer 1\n"
SEAL_BYTES = 32
A_BLOCK = 4096
"""What a file takes on a disk at the least, in bytes."""

_OURS = re.compile(r"[0-9a-f]{64}|\.[0-9a-f]{16}\.new")
"""An answer, and one that is not written yet."""
_LEFT_AFTER_SECONDS = 3600.0

Environment = Mapping[str, str]


def folder_for(environment: Environment, platform: str = sys.platform) -> Path | None:
    """Where the answers of this user lie: in the folder for what can be found anew. None where the system names none.
    A relative path says nothing (XDG Base Directory Specification, 'Environment variables')."""
    home = Path(environment.get("HOME", ""))
    if platform == "win32":
        base = Path(environment.get("LOCALAPPDATA", ""))
    elif platform == "darwin":
        base = home / "Library" / "Caches"
    else:
        base = Path(environment.get("XDG_CACHE_HOME", ""))
        base = base if base.is_absolute() else home / ".cache"
    return base / "genplan" / "answers" if base.is_absolute() else None


@dataclass(frozen=True)
class Sealed:
    """What a question gives: the name of its answer, and the key that seals it."""

    name: str
    key: bytes

    @classmethod
    def by(cls, question: bytes) -> Sealed:
        key = hashlib.blake2b(question, person=b"genplan key").digest()
        return cls(hashlib.blake2b(key, digest_size=32, person=b"genplan name").hexdigest(), key)

    def close(self, answer: bytes) -> bytes:
        """The answer as it is kept: with a seal that nobody makes without the question, and unreadable without it. The
        key is a fresh one for each question, and a question has one answer, so nothing is hidden twice by the same."""
        return MARK + self._seal(answer) + self._hidden(answer)

    def open(self, kept: bytes) -> bytes | None:
        """The answer; None for anything that `close` did not make with this key."""
        begin = len(MARK) + SEAL_BYTES
        answer = self._hidden(kept[begin:])
        sound = kept.startswith(MARK) and compare_digest(kept[len(MARK) : begin], self._seal(answer))
        return answer if sound else None

    def _seal(self, answer: bytes) -> bytes:
        return hashlib.blake2b(answer, digest_size=SEAL_BYTES, key=self.key, person=b"genplan seal").digest()

    def _hidden(self, data: bytes) -> bytes:
        """The data and as much of the key's stream, bit by bit one or the other: the same again gives the data."""
        stream = hashlib.shake_256(b"genplan stream" + self.key).digest(len(data))
        mixed = int.from_bytes(data, "big") ^ int.from_bytes(stream, "big")
        return mixed.to_bytes(len(data), "big")


class AnswerStore:
    """The answers in one folder, which this user alone may enter. `most` bytes are kept."""

    def __init__(self, folder: Path, most: int = MOST_BYTES) -> None:
        self._folder, self._most = folder, most

    def get(self, question: Sealed) -> bytes | None:
        """The answer to a question, if it is there and whole; it counts as used now."""
        path = self._folder / question.name
        try:
            if not self._is_private():
                return None
            kept = read_file(path, MOST_OF_ONE)
            answer = None if path.is_symlink() else question.open(kept)
            if answer is not None:
                os.utime(path)
        except OSError:
            return None
        return answer

    def put(self, question: Sealed, answer: bytes) -> None:
        """Keeps an answer, whole or not at all. Where it cannot be kept nothing happens: it can be found again."""
        kept = question.close(answer)
        if len(kept) > MOST_OF_ONE:
            return
        fresh = self._folder / f".{secrets.token_hex(8)}.new"
        try:
            self._make()
            if not self._is_private():
                return
            handle = os.open(fresh, os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o600)
            with open(handle, "wb") as file:
                file.write(kept)
            os.replace(fresh, self._folder / question.name)
        except OSError:
            with suppress(OSError):
                fresh.unlink()

    def tidy(self) -> None:
        """Takes away what is more than the most, used longest ago first, and what killed runs left."""
        with suppress(OSError):
            found = sorted(self._files()) if self._is_private() else []
            held = sum(size for _, size, _ in found)
            now = max((used for used, _, _ in found), default=0.0)
            for used, size, path in found:
                left_behind = path.suffix == ".new" and now - used > _LEFT_AFTER_SECONDS
                if held > self._most or left_behind:
                    with suppress(FileNotFoundError):
                        path.unlink()
                    held -= size

    def forget(self) -> tuple[int, int]:
        """Deletes every answer; returns how many there were, and their bytes. Raises OSError where one stays."""
        count = held = 0
        if self._folder.is_symlink() or not self._folder.is_dir():
            return 0, 0
        for _, size, path in self._files():
            path.unlink(missing_ok=True)
            count, held = count + 1, held + size
        with suppress(OSError):  # something that is not ours lies in it
            self._folder.rmdir()
            self._folder.parent.rmdir()
        return count, held

    def _files(self) -> Iterator[tuple[float, int, Path]]:
        """When each file of ours was used last, the bytes that it takes, and where it is."""
        with os.scandir(self._folder) as entries:
            for entry in entries:
                if _OURS.fullmatch(entry.name):
                    with suppress(FileNotFoundError):
                        about = entry.stat(follow_symlinks=False)
                        size = -(-about.st_size // A_BLOCK) * A_BLOCK
                        yield about.st_mtime, size, Path(entry.path)

    def _make(self) -> None:
        """The folder and ours above it, for this user alone, in a cache that is this user's: a home that is missing is
        not made, and in another user's nothing is."""
        cache = self._folder.parent.parent
        for folder in (cache, self._folder.parent, self._folder):
            with suppress(FileExistsError):
                folder.mkdir(mode=0o700)
            if folder is cache and os.name == "posix" and cache.stat().st_uid != os.geteuid():
                raise PermissionError(f"{cache} belongs to somebody else")

    def _is_private(self) -> bool:
        """Whether nobody else can have put anything here, or read it: both folders are this user's own, and no link
        leads elsewhere. One that was opened to others is closed. Raises OSError where there is none."""
        for folder in (self._folder.parent, self._folder):
            about = folder.lstat()
            if not stat.S_ISDIR(about.st_mode):
                return False
            if os.name == "posix":
                if about.st_uid != os.geteuid():
                    return False
                if stat.S_IMODE(about.st_mode) & 0o077:
                    os.chmod(folder, 0o700)
        return True
