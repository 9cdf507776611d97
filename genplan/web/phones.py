"""Which phones of the home's own network were let in, and how one gets in: by an invitation that lasts a few minutes
and works once. All of it is in memory and ends with the program."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from genplan.language import N_, _
from genplan.web.keys import fits, fresh_key

LASTS = 300.0
"""Seconds of an invitation: long enough to fetch a phone and scan the code (a figure of our own)."""
GROUPS = 3
"""Of letters in an invitation: some 74 bits."""
MOST_WRONG = 5
"""So many wrong tries end an invitation."""
MOST_TRIES = 20
"""In a minute, by all together, right or wrong."""
MOST_PHONES = 12
MOST_NAME = 40


CAN_BE_READ = N_(
    "What phones send is not secret: whoever is in this network and listens could see the "
    "child's alias, allergies, skills, counts and notes, and could use a phone's key. Use it "
    "at home only, never in the network of a café, a school or guests."
)
SECRET = N_("What phones send is encrypted. Anybody in this network can still see that the page is there.")


class NotLetIn(Exception):
    """The sentence says why."""


@dataclass(frozen=True)
class Invitation:
    word: str
    ends: float
    wrong: int = 0


@dataclass
class Phone:
    """`digest` is of its key, which is kept nowhere; moments are of the clock of `Phones`, in seconds."""

    number: int
    name: str
    digest: bytes
    since: float
    seen: float


@dataclass
class Phones:
    """`host` is this machine's address and port, which they find the page at. `is_secret`: what they send cannot be
    read in between. `clock` gives seconds that never go back."""

    host: str
    is_secret: bool = False
    clock: Callable[[], float] = time.monotonic
    wrong_tries: int = 0
    """Since the program was started."""
    _invitation: Invitation | None = None
    _known: list[Phone] = field(default_factory=list)
    _taken_back: set[bytes] = field(default_factory=set)
    """Digests of keys."""
    _tries: deque[float] = field(default_factory=deque)
    _last: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def scheme(self) -> str:
        return "https" if self.is_secret else "http"

    @property
    def address(self) -> str:
        return f"{self.scheme}://{self.host}"

    @property
    def known(self) -> tuple[Phone, ...]:
        return tuple(self._known)

    @property
    def invitation(self) -> Invitation | None:
        """The one that still holds."""
        with self._lock:
            return self._holding()

    def invite(self) -> None:
        """Makes an invitation in the place of any other."""
        with self._lock:
            self._invitation = Invitation(fresh_key(GROUPS), self.clock() + LASTS)

    def let_in(self, typed: str, name: str) -> str:
        """The key of a new phone. Raises NotLetIn; no sentence tells whether there is an invitation."""
        with self._lock:
            self._count_try()
            held = self._holding()
            # compared even where there is none, so that the time it takes does not tell that
            if not fits(typed, held.word if held else fresh_key(GROUPS)) or held is None:
                self._was_wrong(held)
                raise NotLetIn(
                    _("That is not an invitation that holds. Make a new one on the page, under Phones.")
                )
            called = " ".join(name.split())[:MOST_NAME]
            if not called:
                raise NotLetIn(_("What is this phone called? Say it, such as: Gran's phone."))
            if len(self._known) >= MOST_PHONES:
                raise NotLetIn(
                    _(
                        "{n} phones are let in already. Take one back on the page, under Phones.",
                        n=MOST_PHONES,
                    )
                )
            self._invitation = None
            return self._add(called)

    def is_let_in(self, key: str) -> bool:
        digest = _digest(key)
        with self._lock:
            # each is compared, so that the time it takes does not tell which one was close
            found = [p for p in self._known if hmac.compare_digest(p.digest, digest)]
            for phone in found:
                phone.seen = self.clock()
            return bool(found)

    def was_taken_back(self, key: str) -> bool:
        """So that whoever holds the phone is told why it is not let in any more."""
        return _digest(key) in self._taken_back

    def take_back(self, number: int) -> str:
        """The name of the phone, which gets no further answer; nothing if there is none of this number."""
        with self._lock:
            gone = [p for p in self._known if p.number == number]
            self._known = [p for p in self._known if p.number != number]
            self._taken_back.update(p.digest for p in gone)
        return gone[0].name if gone else ""

    def minutes_since(self, moment: float) -> int:
        return int((self.clock() - moment) // 60)

    def _add(self, name: str) -> str:
        key, now = secrets.token_urlsafe(32), self.clock()
        self._last += 1
        self._known = [*self._known, Phone(self._last, name, _digest(key), now, now)]
        return key

    def _holding(self) -> Invitation | None:
        held = self._invitation
        if held is not None and (self.clock() >= held.ends or held.wrong >= MOST_WRONG):
            self._invitation = held = None
        return held

    def _count_try(self) -> None:
        now = self.clock()
        while self._tries and now - self._tries[0] >= 60:
            self._tries.popleft()
        if len(self._tries) >= MOST_TRIES:
            raise NotLetIn(_("There were too many tries. Wait a minute, and try again."))
        self._tries.append(now)

    def _was_wrong(self, held: Invitation | None) -> None:
        self.wrong_tries += 1
        if held is not None:
            self._invitation = Invitation(held.word, held.ends, held.wrong + 1)


def _digest(key: str) -> bytes:
    return hashlib.sha256(key.encode()).digest()
