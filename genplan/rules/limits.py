"""What stands in the way of a probe, as values: a kind, whom or what it concerns by id, and figures. No English."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum
from typing import Any, Self

from genplan.case.people import AbsenceKind, Reason


class Kind(StrEnum):
    """The kinds of limits, the strongest reason first: what holds whatever else is planned comes before what comes of
    other sittings, the wider before the narrower.

    `rank` is how strong a reason it is (lower is stronger), `rule` the short name in `plan.json`, with the id of what
    `of` names (a field of `Limit`) where it has a gap."""

    rank: int
    rule: str
    of: str
    place: int

    def __new__(cls, value: str, rank: int, rule: str, of: str = "") -> Self:
        kind = str.__new__(cls, value)
        kind._value_ = value
        kind.rank, kind.rule, kind.of, kind.place = rank, rule, of, len(cls.__members__)
        return kind

    DAYS = "days of the policy", 0, "days"
    HOURS = "no common hours", 0, "hours"
    TEACHING = "teaching", 0, "teaching"
    TEACHING_PLANNED = "teaching planned", 0, "teaching"
    TAUGHT_ELSEWHERE = "taught elsewhere", 0, "teaching"
    NOBODY_TEACHES = "nobody may teach", 0, "teaching"
    HELD_OUT = "held out", 0, "teaching"
    NOTHING_TO_REPEAT = "nothing to repeat", 0, "nothing to repeat"
    NO_LONGER_MET = "no longer met", 0, "nothing to repeat"
    NOTHING_IS_MET = "nothing is met", 0, "nothing to repeat"
    TAUGHT_NOT_POSSIBLE = "what was taught is not possible", 0, "nothing to repeat"
    TOO_SOON = "too soon", 0, "too soon"
    RETEST_TOO_SOON = "retest too soon", 0, "retest too soon"
    RETEST_LATER = "retest later", 0, "retest later"
    LAPSED = "lapsed where it was taught", 0, "lapsed where taught"
    BREAKS = "where it breaks", 0, "where it breaks"
    TAUGHT_FIRST = "taught first", 0, "taught first"
    PAST = "in the past", 0, "past"
    OFF_GRID = "off the grid", 0, "grid"
    DAY_UNUSED = "day that the policy leaves out", 0, "days"
    LEARNER_THEN = "learner not free then", 0, "hours", "learner"
    ADULT_THEN = "adult not free then", 0, "hours", "adult"
    LOCATION_THEN = "location shut then", 0, "hours", "location"
    NOWHERE_THEN = "nowhere free together then", 0, "hours", "adult"
    PAST_MIDNIGHT = "past midnight", 0, "hours"
    IMPOSSIBLE = "not possible", 0, "not possible"
    NOT_OWED = "not owed", 0, "not owed"
    NOT_WISHED = "not wished", 0, "wish", "adult"
    DECIDED = "decided", 0, "wish"
    SET_MISSING = "set missing", 1, "set {}", "material_set"
    TARGET_WEEK = "probes of a target per week", 1, "target and week", "target"
    TARGET_DAY = "probes of a target per day", 2, "target and day", "target"
    TEACHINGS_WEEK = "teachings of a target per week", 1, "teachings of a target and week", "target"
    TEACHINGS_DAY = "teachings of a target per day", 2, "teachings of a target and day", "target"
    ADULT_MINUTES_PER_WEEK = "minutes of an adult per week", 3, "minutes of {}", "adult"
    PROBES_PER_DAY = "probes of a learner per day", 3, "probes of a day", "learner"
    SITTINGS_PER_DAY = "sittings of a learner per day", 3, "sittings of a day", "learner"
    ADULT_SITTINGS_PER_DAY = "sittings of an adult per day", 3, "sittings of {}", "adult"
    SITTINGS_PER_WEEK = "sittings of a learner per week", 3, "sittings of the week", "learner"
    ADULT_SITTINGS_PER_WEEK = "sittings of an adult per week", 3, "sittings of {} in the week", "adult"
    TEACHINGS_PER_DAY = "teachings of a learner per day", 3, "teachings of a day", "learner"
    RETESTS_PER_DAY = "retests of a learner per day", 3, "retests of a day", "learner"
    SITTING_MINUTES = "minutes of a sitting", 4, "minutes of a sitting", "learner"
    PROBES_PER_SITTING = "probes of a sitting", 4, "probes in a sitting", "learner"
    TARGET_SITTING = "probes of a target per sitting", 5, "target and sitting", "target"
    AFTER_TEACHING = "taught before on that day", 5, "taught before on that day", "target"
    END_OF_HOURS = "end of the hours", 6, "end of the hours"
    COMPANION = "companion", 7, "companion of {}", "adult"
    COMPANION_TAKEN = "companion taken", 7, "companion of {}", "adult"
    TEACHER = "teacher beside", 7, "teacher beside {}", "adult"
    TEACHER_TAKEN = "teacher beside taken", 7, "teacher beside {}", "adult"
    COPIES = "copies of a set", 7, "copies of {}", "material_set"
    LEARNER_TIME = "time of a learner", 7, "learner's time", "learner"
    ROOM = "capacity of a location", 7, "room in {}", "location"
    ADULT_TIME = "time of an adult", 7, "time of {}", "adult"
    WISHED_APART = "wished apart", 7, "wish"
    SEVERAL = "several limits", 9, "several limits"
    LESS_URGENT = "less urgent", 10, "less urgent"
    SEARCH_STOPPED = "search stopped", 10, "search stopped"
    SEARCH_ENDED = "search ended", 10, "search ended"
    AS_TOLD = "as told", 10, "as told"
    TOLD_ANEW = "told anew", 10, "told anew"
    SHORTEST_WAY = "fewer in all", 10, "fewer in all"
    NO_TIME = "no time", 11, "no time"
    NO_ROOM = "no room", 12, "no room"
    WORTH_LESS = "worth less", 12, "worth less"
    WORTH_LESS_BESIDE = "worth less beside the others", 12, "worth less"
    WORTH_LESS_AS_FOUND = "worth less, as far as was found", 12, "worth less"
    AS_GOOD = "as good", 12, "as good"
    WISHED_BEFORE = "wished before what is due", 12, "wish", "adult"
    # why people and place of a combination never meet, the parts of `HOURS`
    LEARNER_NOT_FREE = "learner not free", 0, "hours", "learner"
    ADULT_NOT_FREE = "adult not free", 0, "hours", "adult"
    LOCATION_SHUT = "location shut", 0, "hours", "location"
    PEOPLE_APART = "people never free together", 0, "hours", "adult"
    LOCATION_AND_LEARNER = "location shut while the learner is free", 0, "hours", "location"
    LOCATION_AND_ADULT = "location shut while the adult is free", 0, "hours", "location"
    NOBODY_KNOWN = "nobody has worked with the learner", 0, "hours", "learner"
    NO_COMPANION = "no companion at the place", 0, "hours", "adult"
    NEVER_ALL = "people and place never together", 0, "hours", "adult"


OTHERS_IN_THE_WAY = 7
"""The rank from which on a limit comes from other sittings: planned otherwise, it might not be there."""


@dataclass(frozen=True)
class Limit:
    """Something that stands in the way of a probe. Ids are empty where they say nothing; the target is that of the
    probe. `figure` is the amount allowed, or what the kind counts. `goal` names the objective that would lose.
    `parts` are the limits in which several ways end, `more` says that there are others.

    Of where it breaks `value` is the dimension and the value.

    Of what is wished apart `value` holds target, adult and learner of the one, then of the other. Of what is not
    possible it holds the combination. Of what is not wished, and of what is wished before it, `figure` is the day.

    Of what is too soon: `figure` is the first day of the week that counts (0 is Monday).

    Of hours: `figure` are the minutes a sitting takes, `begun`: it speaks of what is left of the week; `some`: there
    are hours, but none so long; `until`: it speaks of the days up to that date alone; `shut` says why a place is
    closed; `days` are days of the week (0 is Monday) that the policy leaves out and on which it could be.

    Of teaching that is waited for: `figure` teachings count since, `uncounted` is the day of the latest one that does
    not, and `counts` says why: correct of trials that it has, and that are asked for.

    `as_high`, of what has its last chance: the learners who take it for what is due or at its last chance, too.

    Of what planning again found, `some`: of several teachings not all could be run. Of several limits, `some`: the
    parts stand in one way together, and no way has but one of them."""

    kind: Kind
    learner: str = ""
    adult: str = ""
    location: str = ""
    material_set: str = ""
    figure: int = 0
    goal: str = ""
    on: date | None = None
    parts: tuple[Limit, ...] = ()
    more: bool = False
    begun: bool = False
    some: bool = False
    shut: tuple[Reason, ...] = ()
    days: tuple[int, ...] = ()
    value: tuple[str, ...] = ()
    uncounted: date | None = None
    counts: tuple[int, ...] = ()
    as_high: tuple[str, ...] = ()
    until: date | None = None

    @property
    def subject(self) -> str:
        """The id of whom or what it concerns; empty where it is the target, or nothing of the case."""
        return str(getattr(self, self.kind.of, "")) if self.kind.of else ""

    @property
    def rule(self) -> str:
        return self.kind.rule.format(self.subject)

    @property
    def order(self) -> tuple[int, int, str]:
        """The strongest reason first."""
        return self.kind.rank, self.kind.place, self.subject

    def document(self) -> dict[str, Any]:
        """As plain values for a file: what says nothing is left out, but for the subject."""
        found: dict[str, Any] = {"kind": self.kind.value, "subject": self.subject}
        for field in fields(self)[1:]:
            value = getattr(self, field.name)
            if value != field.default:
                found[field.name] = _plain(value)
        return found

    @classmethod
    def of_document(cls, document: Mapping[str, Any]) -> Limit:
        """From what `document` gives."""
        given: dict[str, Any] = {
            k: tuple(v) if isinstance(v, list) else v for k, v in document.items() if k != "subject"
        }
        given["kind"] = {k.value: k for k in Kind}[document["kind"]]
        given["parts"] = tuple(map(cls.of_document, document.get("parts", ())))
        given["shut"] = tuple(Reason(AbsenceKind(kind), note) for kind, note in document.get("shut", ()))
        for name in ("on", "uncounted", "until"):
            if name in document:
                given[name] = date.fromisoformat(document[name])
        return cls(**given)


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Limit):
        return value.document()
    return list(map(_plain, value)) if isinstance(value, tuple) else value


LESS_URGENT = Limit(Kind.LESS_URGENT)
