"""What was owed and is not in a plan, and remarks on its week as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from genplan.case import Combination, Week
from genplan.case.people import Reason
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.plan.sittings import ProbeKind
from genplan.rules.limits import Limit


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """Something that was owed and is not in the plan.

    - `learner`, `target`: whose, by id
    - `kind`: new, retest, maintenance, teaching or baseline
    - `values`: the tuple or combination, as pairs of dimension and id
    - `limit`: one true reason
    - `tuples`: how many open tuples it stands for
    - `due`: the date of a maintenance probe
    - `teachings`: how many of them, or of the baseline probes, are missing
    - `instead_of`: of what was to be taught though it was never probed the failures for which it was"""

    learner: str
    target: str
    kind: ProbeKind
    values: tuple[tuple[str, str], ...]
    limit: Limit
    tuples: int = 0
    due: date | None = None
    teachings: int = 0
    instead_of: tuple[Combination, ...] = ()

    @property
    def rule(self) -> str:
        """The short name of the reason."""
        return self.limit.rule


@dataclass(frozen=True, kw_only=True)
class MissedDate:
    """Something that is wanted by a date of the week, and that the plan does not show in time.

    - `item`: what it is, with a true reason
    - `by`: the date
    - `shown`: the day of the week on which it is shown too late; None: it is not shown
    - `told`: the sitting in which people were told of it in time, by id; empty: of none"""

    item: LeftOut
    by: date
    shown: date | None = None
    told: str = ""


class NoteKind(StrEnum):
    """What a remark on the week as a whole says, in the order in which they are told."""

    LAPSED_WHERE_TAUGHT = "lapsed where taught"
    INTERRUPTED = "interrupted"
    WEEK_BEGUN = "week begun"
    ILL = "kept free while ill"
    NO_FREE_HOURS = "no free hours"
    MAINTENANCE_GAVE_WAY = "maintenance gave way"
    NOT_PROBED = "not probed"
    UNPLANNED = "criterion without probes"
    TEACHING_NOT_PLANNED = "waits for teaching that is not planned"
    CRITERION_MET = "criterion met"
    TAUGHT_IN_PLACE = "taught in place of another"
    FELL_THROUGH = "fell through"
    FELL_AND_WAITS = "fell through and waits"
    CATCH_UP = "catch up"
    TERM = "term"
    CLOSED = "closed"
    HOME_OF_WHO_IS_AWAY = "home of who is away"
    TOLD_AS_MET = "told counted as met"
    TOLD_NOT_HELD = "told can no longer be held"
    TOLD_HELD_IN_PART = "told can be held in part"
    PLANNED_AS_MET = "planned counted as met"
    UNWRITTEN_AS_MET = "unwritten counted as met"
    UNWRITTEN_AS_NOT_RUN = "unwritten counted as not run"
    HALF_WRITTEN = "half written, the rest counted as not run"

    @property
    def is_of_told_not_counted(self) -> bool:
        return self in (NoteKind.TOLD_NOT_HELD, NoteKind.TOLD_HELD_IN_PART)


@dataclass(frozen=True, kw_only=True)
class Unwritten:
    """A sitting that is over: nothing is written down of it, or of these `targets` of it."""

    learner: str
    adult: str
    on: date
    targets: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Note:
    """A remark that no single left-out thing tells.

    - `kind`: what it says
    - `learner`, `target`, `location`, `adult`: whom or what it is about, by id
    - `days`: those on which the location is closed (0 is Monday), or the learner ill, or at which a sitting is there
      while the adult is away; or the date that gave way and the one after it, or those on which it comes again
    - `why`: the reason of that
    - `weeks`: those whose probes are counted as met, or of whose sittings `of` are over and not written down, or can no
      longer be held
    - `unwritten`: these sittings, in order of time
    - `seen`: the lapse, or since when the criterion of mastery is met
    - `combination`, `instead_of`: what is to be taught though it was never probed, and the failures for which it is; or
      what was planned on the day `on` and not run; or what the criterion lacks and no plan will probe
    - `limit`: why that is not in the week, where it is known
    - `kept`, `most`: so many of the `of` dates of a term have room, and no plan of its weeks keeps more than `most`
    - `of`: how many retests wait for teaching, in a case that plans none
    - `early`, `of`: so many of the wished tuples with their last chance come while another day is left for them"""

    kind: NoteKind
    learner: str = ""
    target: str = ""
    location: str = ""
    adult: str = ""
    days: tuple[int, ...] = ()
    why: Reason | None = None
    weeks: tuple[Week, ...] = ()
    seen: CriterionMet | Lapse | None = None
    on: date | None = None
    kept: int = 0
    most: int = 0
    early: int = 0
    of: int = 0
    combination: Combination = ()
    instead_of: tuple[Combination, ...] = ()
    unwritten: tuple[Unwritten, ...] = ()
    limit: Limit | None = None
