"""What one run of the local page holds: the case folder, its secrets, the search, plans that are not kept yet."""

from __future__ import annotations

import hashlib
import secrets
import shutil
import tempfile
import threading
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from copy import copy
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from genplan.case import Week
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.web.keys import fresh_key
from genplan.web.long_jobs import Job, ReadyProcess, Search
from genplan.web.phones import Phones
from genplan.web.scratch import Scratch

MOST_NOTES = 200
MOST_HANDED = 20
MOST_ANSWERS = 20


@dataclass(frozen=True)
class PreparedDownload:
    """Something made to be handed on: one ZIP file in a folder of its own, what it is called and what is said
    of it."""

    file: Path
    name: str
    title: str
    sentence: str
    warnings: tuple[str, ...]


@dataclass
class AppState:
    """`now` is None for the clock, `language` where every browser is answered in its own. The scratch folder goes with
    `close`.

    Secrets of this run: `key` lets a browser in, once it is typed; such a browser has the `ticket` in its cookie, and
    all its addresses begin with the `way`; each form that it sends has the `token`. `phones` are there only where they
    were switched on; `reachable` names the addresses that a screen may lead to, None for all."""

    folder: Path
    now: datetime | None = None
    language: str | None = None
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    key: str = field(default_factory=fresh_key)
    ticket: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    way: str = field(default_factory=lambda: secrets.token_urlsafe(18))
    room: Scratch = field(default_factory=Scratch)
    phones: Phones | None = None
    reachable: frozenset[str] | None = None
    search: Search | None = None
    drafts: dict[Week, Search] = field(default_factory=dict)
    results: dict[str, Search] = field(default_factory=dict)
    handed: OrderedDict[str, PreparedDownload] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)
    warned: tuple[object, list[Finding]] | None = None
    """The warnings of the case that were looked for last, with what they were found in."""
    ahead: threading.Thread | None = None
    """Reads what the first screen is made of, from the start on."""
    had_case: bool = False
    """Whether the folder was seen with a case in it, from the beginning on."""
    _notes: OrderedDict[str, tuple[str, ...]] = field(default_factory=OrderedDict)
    _kept: OrderedDict[str, str] = field(default_factory=OrderedDict)
    _answers: OrderedDict[str, tuple[int, bytes]] = field(default_factory=OrderedDict)
    _settled: Search | None = None
    _ready: ReadyProcess | None = None
    _gets_ready: bool = False
    _used: OrderedDict[str, None] = field(default_factory=OrderedDict)

    def __post_init__(self) -> None:
        self.sees_case()

    def sees_case(self) -> bool:
        """Whether there is anything in the folder now; a case with errors is a case."""
        at = self.folder
        found = at.exists() and (not at.is_dir() or any(p.name[:1] != "." for p in at.iterdir()))
        self.had_case |= found
        return found

    @property
    def scratch(self) -> Path:
        return self.room.folder

    def for_phones(self, reachable: frozenset[str]) -> AppState:
        """The same run as the phones see it: with secrets of its own, and with these addresses alone. What was noted
        and which forms were taken is shared."""
        other = copy(self)
        other.token, other.way, other.ticket = (secrets.token_urlsafe(24) for _ in range(3))
        other.reachable = reachable
        return other

    def leads_to(self, address: str) -> bool:
        return self.reachable is None or address.partition("?")[0] in self.reachable

    def note(self, sentences: Sequence[str]) -> str:
        """Keeps what the next page shall say once more on every reload; returns the word to ask for it by."""
        word = secrets.token_urlsafe(9)
        with self.lock:
            self._notes[word] = tuple(sentences)
            while len(self._notes) > MOST_NOTES:
                self._notes.popitem(last=False)
        return word

    def note_too(self, word: str, sentences: Sequence[str]) -> None:
        """More of the same, each sentence once."""
        with self.lock:
            self._notes[word] = tuple(dict.fromkeys((*self._notes.get(word, ()), *sentences)))

    def noted(self, word: str) -> tuple[str, ...]:
        return self._notes.get(word, ())

    def put_by(self, status: int, page: bytes) -> str:
        """Keeps a page that answers a form, the oldest no longer; returns the word to ask for it by."""
        word = secrets.token_urlsafe(18)
        with self.lock:
            self._answers[word] = status, page
            while len(self._answers) > MOST_ANSWERS:
                self._answers.popitem(last=False)
        return word

    def put_by_as(self, word: str) -> tuple[int, bytes]:
        """Its status and the page, empty if there is none."""
        return self._answers.get(word, (404, b""))

    def kept_by(self, form: str, digest: str) -> None:
        """A form that keeps what is typed into it has kept this; called with the lock."""
        self._kept[form] = digest
        while len(self._kept) > MOST_NOTES:
            self._kept.popitem(last=False)

    def last_kept_by(self, form: str) -> str:
        return self._kept.get(form, "")

    @contextmanager
    def once(self, word: str) -> Iterator[bool]:
        """Whether a form with this word was not taken before: a second tap on a button adds nothing. One that
        failed may be sent again."""
        with self.lock:
            fresh = word not in self._used
            self._used[word] = None
            while len(self._used) > MOST_NOTES:
                self._used.popitem(last=False)
        try:
            yield fresh
        except BaseException:
            if fresh:
                with self.lock:
                    self._used.pop(word, None)
            raise

    def hand(self, made: PreparedDownload) -> str:
        """Keeps what was made to be handed on, the oldest no longer; returns the word to ask for it by."""
        word = secrets.token_urlsafe(9)
        with self.lock:
            self.handed[word] = made
            gone = [self.handed.popitem(last=False)[1] for _ in range(len(self.handed) - MOST_HANDED)]
        for one in gone:
            shutil.rmtree(one.file.parent, ignore_errors=True)
        return word

    def room_for(self, name: str) -> Path:
        """A fresh folder of this run."""
        return Path(tempfile.mkdtemp(prefix=f"{name}-", dir=self.scratch))

    def get_ready(self) -> None:
        """From now on a process waits for the next search, whenever none runs."""
        with self.lock:
            self._gets_ready = True
            self._wait_for_the_next()

    def _wait_for_the_next(self) -> None:
        if self._gets_ready and self._ready is None:
            self._ready = ReadyProcess(self.scratch)

    def begin(self, task: Job) -> None:
        """Starts a long job. Raises UsageError while another one runs."""
        with self.lock:
            if self.search is not None and self.search.state == "running":
                raise UsageError(
                    _(
                        "The program is busy with {task} at the moment. Wait for it, or stop it first.",
                        task=self.search.task.name,
                    )
                )
            self._settle()  # what the last one found is kept, though nobody has looked at it yet
            ready, self._ready = self._ready, None
            self.search = Search(task, case_digest(self.folder), ready)

    def at(self, place: str) -> Search | None:
        """The latest job, if it is shown at this address."""
        found = self.search
        return found if found is not None and found.task.place == place else None

    def busy_elsewhere(self, place: str) -> Job | None:
        found = self.search
        running = found is not None and found.task.place != place and found.state == "running"
        return found.task if found is not None and running else None

    def finished(self, place: str) -> Search | None:
        """The latest job of an address that came to its end."""
        with self.lock:
            self._settle()
            return self.results.get(place)

    def draft(self, week: Week) -> Search | None:
        """The latest plan of a week that was found here and is not kept yet."""
        with self.lock:
            self._settle()
            return self.drafts.get(week)

    def is_outdated(self, search: Search) -> bool:
        """Something that a plan is made from has changed since the job began."""
        return search.case_digest != case_digest(self.folder)

    @contextmanager
    def plans_stay(self) -> Iterator[None]:
        """What is written in the meantime is nothing that a plan is made from: what was found before is as good."""
        with self.lock:
            self._settle()
            found = (*self.drafts.values(), *self.results.values())
        current = [search for search in found if not self.is_outdated(search)]
        yield
        digest = case_digest(self.folder)
        for search in current:
            search.case_digest = digest

    def _settle(self) -> None:
        """Puts what the latest job found where it is looked for, once."""
        found = self.search
        if found is not None and found is not self._settled and found.state == "done":
            self._settled = found
            self.results[found.task.place] = found
            self.drafts |= dict.fromkeys(found.task.weeks, found)
            self._wait_for_the_next()

    def drop(self, week: Week) -> None:
        with self.lock:
            self.drafts.pop(week, None)

    def stop(self) -> None:
        if self.search is not None:
            self.search.stop()
        with self.lock:
            self._wait_for_the_next()

    def close(self) -> None:
        with self.lock:
            self._gets_ready = False
            if self._ready is not None:
                self._ready.end()
        self.stop()
        self.room.close()


def case_digest(folder: Path) -> str:
    """Changes with any byte of what a plan is made from, calendars and what was kept among it."""
    digest = hashlib.sha256()
    files = [
        *folder.glob("*.yaml"),
        folder / "results.csv",
        *folder.glob("busy/*"),
        *folder.glob("weeks/*/told.json"),
    ]
    for file in sorted(files):
        if file.is_file():
            digest.update(str(file.relative_to(folder)).encode() + b"\0" + file.read_bytes() + b"\0")
    return digest.hexdigest()
