"""The log of what was run, as values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, make_dataclass
from datetime import date, datetime, time
from enum import StrEnum
from functools import cached_property
from itertools import chain
from operator import attrgetter
from typing import Any, TypeVar

from genplan.case import Combination, PassMark, Target
from genplan.casefile.invisible_characters import alike
from genplan.evidence.delimited_text import Row
from genplan.language import N_


class ResultKind(StrEnum):
    PROBE = N_("probe")
    MAINTENANCE = N_("maintenance")
    TEACHING = N_("teaching")
    NOT_RUN = N_("not run")
    BASELINE = N_("baseline")

    is_test: bool
    """Whether a row of this kind tests a combination. A baseline probe does not: it is kept apart."""
    is_probe: bool
    """Whether trials were run without teaching."""
    tells_of_lessons: bool

    def __init__(self, word: str) -> None:
        self.is_test = word in ("probe", "maintenance")
        self.is_probe = self.is_test or word == "baseline"
        self.tells_of_lessons = not self.is_probe


T = TypeVar("T")
Moment = tuple[date, time, int]


@dataclass(frozen=True, kw_only=True, slots=True)
class Result:
    """One row of results.csv.

    line              1-based, in the file
    time              None: not told
    target            id
    trials            None: not counted (teaching without trials, not run)
    correct           without help
    prompted          correct with help
    observer          the second person, or ''
    observer_correct  that person's count
    note              of a row not run: the reason
    planned           no row at all: it stands for what is planned, as if it went well, and says nothing of how often
                      probes are met or where
    marks             one sign a trial, or '': see `marks.py`
    observer_marks    that person's
    steps_kept        steps of the procedure that were kept, of how many that were marked
    """

    line: int
    date: date
    time: time | None
    target: str
    kind: ResultKind
    combination: Combination
    trials: int | None = None
    correct: int | None = None
    prompted: int | None = None
    observer: str = ""
    observer_correct: int | None = None
    note: str = ""
    planned: bool = False
    marks: str = ""
    observer_marks: str = ""
    steps_kept: tuple[int, int] | None = None

    @property
    def moment(self) -> Moment:
        """What orders two rows: date, time (a row without one counts as the day's first), line."""
        return self.date, self.time or time(), self.line

    def meets(self, mark: PassMark) -> bool:
        """Whether its trials reach the mark; without a trial nothing does."""
        return bool(self.trials) and mark.is_met_by(self.correct or 0, self.trials or 1)

    @property
    def is_watched_by_itself(self) -> bool:
        """The adult who ran it stands as the observer, too: nobody watched."""
        adult = self.combination[0]
        return bool(self.observer) and (self.observer == adult or alike(self.observer) == alike(adult))

    @property
    def is_observed(self) -> bool:
        """A second person counted."""
        return self.observer_correct is not None and not self.is_watched_by_itself


_Draft = make_dataclass("_Draft", [(f.name, f.type) for f in fields(Result)], slots=True, eq=False)
"""A result that is not frozen yet."""


def made(*columns: Iterable[Any]) -> list[Result]:
    """Results of all their fields in their order, each field of all rows. It takes a tenth of the time of their own
    constructor, which sets one frozen field after the other."""
    drafts = list(map(_Draft, *columns))
    for draft in drafts:
        draft.__class__ = Result
    return drafts


_one_lesson = attrgetter("target", "combination", "date", "time")


def lessons_replaced(results: Iterable[Result]) -> dict[int, int]:
    """Line of a lesson -> line of the row that counts in its place: the last one, taught or not run, in the same
    combination at the same time. Without a time two lessons of a day cannot be told from one written down twice."""
    lessons = [r for r in results if r.time is not None and r.kind.tells_of_lessons]
    if len(set(map(_one_lesson, lessons))) == len(lessons):  # as nearly always
        return {}
    said: dict[object, list[Result]] = defaultdict(list)
    for r in lessons:
        said[_one_lesson(r)].append(r)
    several = [(rows, max(r.line for r in rows)) for rows in said.values() if len(rows) > 1]
    return {
        r.line: last
        for rows, last in several
        for r in rows
        if r.kind is ResultKind.TEACHING and r.line != last
    }


def not_run_of(rows: Iterable[Result], at: datetime, starts: Iterable[datetime] = ()) -> list[Result]:
    """Which of the rows of one day and combination say that what was planned for the moment `at` was not run, where it
    was planned for `starts` too: with a time the last that had begun by then, or the first; without one the first of
    which no other row tells."""
    rows = sorted(rows, key=lambda r: (r.time is None, r.line))
    ordered = sorted({s.time() for s in (at, *starts) if s.date() == at.date()})
    told = {r.time for r in rows if r.kind is not ResultKind.NOT_RUN}
    found = []
    for row in (r for r in rows if r.kind is ResultKind.NOT_RUN):
        if row.time is None:
            own = next((s for s in ordered if s not in told), ordered[-1])
        else:
            own = max((s for s in ordered if s <= row.time), default=ordered[0])
        told.add(own)
        if own == at.time():
            found.append(row)
    return found


def _in_order(results: Iterable[Result]) -> tuple[Result, ...]:
    """Sorted by their moments, which are put together column by column."""
    rows = tuple(results)
    midnight = time()
    times = [at or midnight for at in map(attrgetter("time"), rows)]
    moments = list(zip(map(attrgetter("date"), rows), times, map(attrgetter("line"), rows), strict=True))
    return tuple(rows[n] for n in sorted(range(len(rows)), key=moments.__getitem__))


@dataclass(frozen=True)
class Log:
    """All rows in order of time. Those that were `taken_back` say what they said before, and count for nothing; of
    those that are `unread`, since a cell of theirs cannot be, a warning says why."""

    results: tuple[Result, ...] = ()
    taken_back: tuple[Result, ...] = ()
    unread: tuple[Row, ...] = ()

    @classmethod
    def of(
        cls, results: Iterable[Result], taken_back: Iterable[Result] = (), unread: Iterable[Row] = ()
    ) -> Log:
        return cls(_in_order(results), _in_order(taken_back), tuple(unread))

    def of_target(self, target: str) -> tuple[Result, ...]:
        """Its rows, without lessons in whose place a later row counts."""
        return self._by_target.get(target, ())

    def on(self, target: str, combination: Combination, day: date) -> list[Result]:
        """Those of one combination on one day."""
        return [r for r in self.of_target(target) if r.date == day and r.combination == combination]

    def all_of_target(self, target: str) -> tuple[Result, ...]:
        return self._all_by_target.get(target, ())

    def of_targets(self, targets: Iterable[str]) -> Log:
        """The rows of these alone. What is asked once of a target is asked of its rows, and known to both."""
        part = Log.of(chain.from_iterable(map(self.all_of_target, targets)))
        vars(part)["_answers"] = self._answers
        return part

    def once(self, asked: Callable[[Target, Log], T], target: Target) -> T:
        """What these rows say of a target to a question that several ask: looked for once."""
        key = asked, target.id
        known = self._answers.get(key)
        if known is None or known[0] != target:
            known = self._answers[key] = target, asked(target, self)
        answer: T = known[1]
        return answer

    def speaks_of(
        self,
        target: str,
        combination: Combination,
        day: date,
        *,
        teaching: bool = False,
        starts: Iterable[datetime] = (),
        at: datetime | None = None,
    ) -> bool:
        """Whether a row tells what became of a probe, or of a `teaching`, that was planned for the day: run, or not
        run. A lesson tells nothing of a probe, and a probe nothing of a lesson. With the moment `at` for which it was
        planned no row counts that says of an earlier one that it was not run; `starts` are all of that day."""
        if (target, combination, day) not in (self._told_of_teachings if teaching else self._told_of_probes):
            return False
        if at is None:
            return True
        rows = self.on(target, combination, day)
        if any(
            r.kind is not ResultKind.NOT_RUN and teaching == (r.kind is ResultKind.TEACHING) for r in rows
        ):
            return True
        return bool(not_run_of(rows, at, starts))

    def tells_of_lessons(
        self, target: str, combination: Combination, starts: Iterable[datetime]
    ) -> dict[datetime, Result]:
        """The row that tells what became of each of the teachings planned for these moments of one day: the one with
        its time, else the next of the day that tells of no other. One lesson does not pay for two."""
        planned = sorted(starts)
        rows = [
            r
            for r in self.of_target(target)
            if r.combination == combination
            and r.kind.tells_of_lessons
            and r.date in {s.date() for s in planned}
        ]
        told = {s: r for s in planned for r in rows if r.time == s.time()}
        left = [r for r in rows if r not in told.values()]
        return told | dict(zip((s for s in planned if s not in told), left, strict=False))

    @cached_property
    def _answers(self) -> dict[tuple[object, str], tuple[Target, Any]]:
        return {}

    @cached_property
    def _told_of_probes(self) -> frozenset[tuple[str, Combination, date]]:
        return frozenset(
            (r.target, r.combination, r.date) for r in self.results if r.kind is not ResultKind.TEACHING
        )

    @cached_property
    def _told_of_teachings(self) -> frozenset[tuple[str, Combination, date]]:
        return frozenset((r.target, r.combination, r.date) for r in self.results if r.kind.tells_of_lessons)

    @cached_property
    def _all_by_target(self) -> Mapping[str, tuple[Result, ...]]:
        return _by_target_of(self.results)

    @cached_property
    def lessons_replaced(self) -> Mapping[int, int]:
        """Those of all targets, among all rows."""
        return lessons_replaced(self.results)

    @cached_property
    def _by_target(self) -> Mapping[str, tuple[Result, ...]]:
        if not (gone := self.lessons_replaced):
            return self._all_by_target
        return _by_target_of(r for r in self.results if r.line not in gone)


def _by_target_of(results: Iterable[Result]) -> Mapping[str, tuple[Result, ...]]:
    found: dict[str, list[Result]] = defaultdict(list)
    for result in results:
        found[result.target].append(result)
    return {target: tuple(rows) for target, rows in found.items()}
