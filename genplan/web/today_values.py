"""What the screen of today is drawn from: plain values, all words made already."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from genplan.case import Case, Week
from genplan.coverage.review import Review
from genplan.evidence.log import Log
from genplan.language import _
from genplan.plan import Sitting
from genplan.report.sheets import SittingSheet
from genplan.report.skill_bars import SkillBar
from genplan.report.told_week_lines import IN_PART, NOT_HELD
from genplan.report.week_picture import WeekPicture
from genplan.web.sitting_cards import ProbeView


@dataclass(frozen=True)
class Fallen:
    """A sitting that can no longer be held as people were told, in words, and why where they do not say it.
    `elsewhere`: another adult, place or time may be a help. `in_part`: some of it can."""

    sitting: Sitting
    words: str
    why: str
    elsewhere: bool = True
    in_part: bool = False
    off: bool = False
    """Somebody called it off."""

    @property
    def sign(self) -> str:
        """As the week has it."""
        return IN_PART if self.in_part else NOT_HELD


@dataclass(frozen=True)
class ToTell:
    """How many `people` are still to be told something of a week, and whether it is about what to look out for."""

    week: Week
    people: int
    of_cautions: bool = False


@dataclass(frozen=True)
class Facts:
    """What a day is told from. `sittings` are those of the kept weeks around it of which the case still knows all;
    `kept` are weeks that were kept, `drafted` those that were found and are not kept."""

    case: Case
    log: Log
    now: datetime
    sittings: tuple[Sitting, ...]
    fallen: tuple[Fallen, ...] = ()
    reviews: tuple[Review, ...] = ()
    to_tell: tuple[ToTell, ...] = ()
    """Of kept weeks that are not over, in order of time."""
    first_to_tell: ToTell | None = None
    """Of the very first week that was kept, as long as it has not begun."""
    wished: tuple[tuple[Week, str], ...] = ()
    """Of this week or the next, and not planned yet."""
    kept: frozenset[Week] = frozenset()
    drafted: frozenset[Week] = frozenset()

    @property
    def week(self) -> Week:
        return Week.of(self.now.date())


@dataclass(frozen=True)
class Step:
    """A thing to press, with the reason for it."""

    words: str
    address: str
    why: str


@dataclass(frozen=True)
class NextSitting:
    when: str
    sheet: SittingSheet
    address: str
    mind: str
    fallen: str = ""
    """That it can no longer be held as people were told, and why, with its `sign`; `instead` is the address where
    another place is looked for, empty where none is a help."""
    sign: str = ""
    instead: str = ""


@dataclass(frozen=True)
class Unwritten:
    """A probe or a teaching that has begun and of which no row speaks. `whole` leads to the form that says of its
    sitting that it fell through, with the words for it."""

    when: str
    learner: str
    who: str
    probe: ProbeView
    whole: tuple[str, str]


@dataclass(frozen=True)
class Wanted:
    """Something that waits for somebody; `words` of the button, empty where there is nothing to press. `sign` is that
    of the week, where it is of a sitting that is otherwise than people were told."""

    sentence: str
    address: str = ""
    words: str = ""
    sign: str = ""


@dataclass(frozen=True)
class ChildToday:
    """`number` is the child's place on the page, from 1."""

    number: int
    name: str
    next: NextSitting | None
    unwritten: tuple[Unwritten, ...]
    wanted: tuple[Wanted, ...]
    skills: tuple[SkillBar, ...]

    @property
    def by_sitting(self) -> tuple[tuple[Unwritten, ...], ...]:
        """What is not written down, that of one sitting together."""
        of_one = groupby(self.unwritten, key=lambda u: (u.when, u.who))
        return tuple(tuple(group) for _key, group in of_one)

    @property
    def line(self) -> str:
        """In a few words, for a list of several children."""
        parts = (
            [_("next {when}, {adult}", when=self.next.when, adult=self.next.sheet.adult)] if self.next else []
        )
        parts += [_("{n} to write down", n=len(self.unwritten))] if self.unwritten else []
        parts += [_("{n} to decide", n=len(self.wanted))] if self.wanted else []
        return "; ".join(parts) or _("nothing is waiting")


@dataclass(frozen=True)
class Today:
    """`tell` is that people are still to be told something, `step` the one thing to press beside that. `next` are the
    sittings that are next of all: those that begin at the same time. `away` and `fallen` are of
    everybody. `week` is that of the next sitting, or the running one. `not_kept` is a week whose plan was found, which
    nobody was told of yet."""

    words: str
    tell: Step | None
    step: Step
    next: tuple[NextSitting, ...]
    fallen: tuple[Wanted, ...]
    away: tuple[str, ...]
    children: tuple[ChildToday, ...]
    picture: WeekPicture | None
    week: Week
    about_fallen: str = ""
    """The heading of what is not held as people were told."""
    not_kept: Week | None = None
    off: tuple[Wanted, ...] = ()
    """What fell through lately, as is written down, with the way to take that back."""
    wished: tuple[Wanted, ...] = ()
    """What people wish and no week that they were told of keeps."""

    @property
    def steps(self) -> tuple[Step, ...]:
        """What fell through is planned again before people are told: else they are told twice."""
        steps = (self.step, self.tell) if self.fallen else (self.tell, self.step)
        return tuple(step for step in steps if step)

    @property
    def unwritten(self) -> int:
        return sum(len(c.unwritten) for c in self.children)
