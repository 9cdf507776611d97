"""The id of a sitting: the week and the day, the adult, and a mark that stands for the learner, whose own id is not in
it, since ids stand on pages that others see."""

from __future__ import annotations

import re
from dataclasses import dataclass
from hashlib import sha256

from genplan.case.week import DAY_NAMES, Week

LETTERS = "bcdefghijklmnopqrstuvwxyz"
"""What the second, third, … sitting of one day, adult and learner ends with."""
_ID = re.compile(
    rf"(?P<week>[0-9]{{4}}-W[0-9]{{2}})-(?P<day>{'|'.join(DAY_NAMES)})-(?P<adult>[a-z0-9][a-z0-9-]*)"
    rf"-(?P<mark>[0-9a-f]{{3}})(?:-(?P<letter>[{LETTERS}]))?"
)


def mark_of(learner: str) -> str:
    """What stands for a learner in the ids of sittings; two learners may have one."""
    return sha256(learner.encode()).hexdigest()[:3]


def stem_of(week: Week, day: str, adult: str, learner: str) -> str:
    """What the ids of the sittings of a day, an adult and a learner begin with."""
    return f"{week}-{day}-{adult}-{mark_of(learner)}"


@dataclass(frozen=True)
class SittingId:
    """The parts of an id. `day` is a name such as 'tue', `letter` is empty for the first of a day."""

    week: Week
    day: str
    adult: str
    mark: str
    letter: str = ""

    @classmethod
    def parse(cls, text: str) -> SittingId:
        """Raises ValueError for what is no id of a sitting."""
        if not (found := _ID.fullmatch(text)):
            raise ValueError(f"'{text}' is not the id of a sitting")
        parts = found.groupdict(default="")
        return cls(Week.parse(parts.pop("week")), **parts)

    @property
    def weekday(self) -> int:
        """0 is Monday."""
        return DAY_NAMES.index(self.day)

    @property
    def stem(self) -> str:
        return f"{self.week}-{self.day}-{self.adult}-{self.mark}"

    @property
    def text(self) -> str:
        return f"{self.stem}-{self.letter}" if self.letter else self.stem
