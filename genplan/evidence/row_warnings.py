"""Rows that can be read and look wrong: each is a warning with its line, and counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cached_property
from operator import attrgetter

from genplan.case import Case, Combination, Target
from genplan.case.possible import (
    Obstacle,
    age_that_settles,
    obstacle_to_any,
)
from genplan.evidence.baseline import late_baselines
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.row_identity import is_same_but_for_the_time, said_by
from genplan.evidence.second_person import about_the_second_person
from genplan.findings import Finding, Severity
from genplan.language import _
from genplan.text.obstacles import obstacle_text

Told = tuple[int, str, str, str, str]
"""Line, key, what was found, what was expected, a hint."""
_date = attrgetter("date")
_where = attrgetter("target", "combination")
_where_and_when = attrgetter("time", "target", "combination")
"""Different for two rows of a day that do not say the same, in most of them."""


def rows_ahead(file: str, case: Case, results: Sequence[Result], now: datetime | None) -> list[Finding]:
    """Warnings of rows after now (any zone). That something will not be run may be known before."""
    wall = now.astimezone(case.timezone).replace(tzinfo=None) if now and now.tzinfo else now
    expected, ahead = _("the day on which it was run"), []
    for result in results if wall and max(map(_date, results), default=date.min) >= wall.date() else ():
        known_before = result.kind is ResultKind.NOT_RUN
        if wall and result.date >= wall.date() and _is_ahead(result, wall) and not known_before:
            when = f"{result.date} {result.time:%H:%M}" if result.time else f"{result.date}"
            found = _("{when} is still ahead", when=when)
            ahead.append(Finding(file, result.line, "date", found, expected, "", Severity.WARNING))
    return ahead


def row_warnings(file: str, case: Case, results: list[Result]) -> list[Finding]:
    """Warnings of rows twice, no reason given, impossible combinations, and teaching in what is held out. Each question
    goes through all rows by itself: so what one row of a thousand is asked costs the others nothing."""
    questions = (
        _twice,
        _twice_but_for_the_time,
        _before_birth,
        _without_reason,
        _second_persons,
        _impossible,
        _late,
        _held_out,
    )
    told = (Finding(file, *told, Severity.WARNING) for ask in questions for told in ask(case, results))
    return sorted(told, key=attrgetter("line"))


def _twice(case: Case, results: list[Result]) -> Iterator[Told]:
    for line, first in _written_twice(results).items():
        what, hint = _("the same as line {first}", first=first), _("if it was typed twice, delete one")
        yield line, "", what, _("one row a probe"), hint


def _twice_but_for_the_time(case: Case, results: list[Result]) -> Iterator[Told]:
    for line, first in _written_twice_but_for_the_time(results).items():
        what = _("the same as line {first}, but only one of the two has a time", first=first)
        hint = _(
            "if it was typed twice, delete one; if it was another, give each its time. Both count as it is"
        )
        yield line, "time", what, _("one row a probe"), hint


def _before_birth(case: Case, results: list[Result]) -> Iterator[Told]:
    first = min(map(_date, results), default=date.max)
    months = ((born.year, born.month) for learner in case.learners.values() if (born := learner.born))
    for row in results if (first.year, first.month) < max(months, default=(0, 0)) else ():
        learner = case.learners[case.targets[row.target].learner]
        if learner.born and (row.date.year, row.date.month) < (learner.born.year, learner.born.month):
            found = _("{date}, before {learner} was born", date=row.date, learner=learner.id)
            yield row.line, "date", found, _("the day on which it was run"), _("look once more at the year")


def _without_reason(case: Case, results: list[Result]) -> Iterator[Told]:
    not_run = ResultKind.NOT_RUN
    for row in [r for r in results if r.kind is not_run and not r.note]:
        yield row.line, "note", _("an empty cell"), _("the reason why it was not run"), ""


def _second_persons(case: Case, results: list[Result]) -> Iterator[Told]:
    for row in [r for r in results if r.observer or r.steps_kept or r.observer_marks]:
        if row.steps_kept or row.observer_marks or row.is_watched_by_itself:
            for key, what, expected, *hint in about_the_second_person(case.targets[row.target], row):
                yield row.line, key, what, expected, "".join(hint)


def _impossible(case: Case, results: list[Result]) -> Iterator[Told]:
    """A combination is asked about once for all rows of a learner who was never so young that a rule asks for it."""
    obstacles = _Obstacles(case)
    first = min(map(_date, results), default=date.max)
    young = {id_ for id_, target in case.targets.items() if obstacles.age(target, first) < obstacles.oldest}
    against = {
        (id_, combination)
        for id_, combination in set(map(_where, results))
        if id_ not in young and obstacles.to(id_, combination, first)
    }
    for row in [r for r in results if r.target in young or _where(r) in against] if young or against else ():
        if found := obstacles.to(row.target, row.combination, row.date):
            why = obstacle_text(case, found)
            what = (
                _("this is of a thing that the child is kept from: {why}", why=why)
                if found.rule.is_of_safety
                else _("this combination is not possible: {why}", why=why)
            )
            not_run = row.kind is ResultKind.NOT_RUN
            hint = _("it was not run, and counts for nothing") if not_run else _("it is counted all the same")
            yield row.line, "", what, "", hint


def _late(case: Case, results: list[Result]) -> Iterator[Told]:
    for line, why in _late_baselines(case, results).items():
        expected = _("a probe of what nobody has taught or tested yet")
        yield line, "kind", why, expected, _("it is kept apart all the same")


def _held_out(case: Case, results: list[Result]) -> Iterator[Told]:
    held = {id_: target for id_, target in case.targets.items() if target.hold_out}
    teaching = ResultKind.TEACHING
    for row in [r for r in results if r.target in held and r.kind is teaching] if held else ():
        if held[row.target].is_held_out(row.combination):
            what = _("teaching in a combination that 'hold_out' of the target keeps for probes")
            yield row.line, "kind", what, "", _("it is counted all the same")


def _is_ahead(result: Result, wall: datetime) -> bool:
    return datetime.combine(result.date, result.time or time()) > wall


def _written_twice(results: Iterable[Result]) -> dict[int, int]:
    """Line of a row -> line of the first that says the same. One day after another: so little is held at once."""
    of_day: dict[date, list[Result]] = defaultdict(list)
    for row in results:
        of_day[row.date].append(row)
    found: dict[int, int] = {}
    for rows in of_day.values():
        if len(rows) > len(set(map(_where_and_when, rows))):
            first: dict[object, int] = {}
            said = ((row.line, first.setdefault(said_by(row), row.line)) for row in rows)
            found |= {line: before for line, before in said if before != line}
    return found


def _written_twice_but_for_the_time(results: Sequence[Result]) -> dict[int, int]:
    """Line of a row of what was run -> line of an earlier one that may be it; no line stands for two."""
    if None not in map(attrgetter("time"), results):
        return {}
    of_day: dict[date, list[Result]] = defaultdict(list)
    for row in results:
        if row.kind is not ResultKind.NOT_RUN:
            of_day[row.date].append(row)
    found: dict[int, int] = {}
    for rows in of_day.values():
        timed = sum(row.time is not None for row in rows)
        if not 0 < timed < len(rows) or len(rows) == len(set(map(_where, rows))):
            continue
        before: dict[object, list[Result]] = defaultdict(list)
        for row in sorted(rows, key=attrgetter("line")):
            there = before[_where(row)]
            one = next((r for r in there if is_same_but_for_the_time(r, row)), None)
            if one:
                found[row.line] = one.line
                there.remove(one)
            else:
                there.append(row)
    return found


def _late_baselines(case: Case, results: Sequence[Result]) -> dict[int, str]:
    """Line of a baseline probe -> why it is too late for one."""
    baseline = ResultKind.BASELINE
    of_target: dict[str, list[Result]] = {r.target: [] for r in results if r.kind is baseline}
    for row in results if of_target else ():
        if row.target in of_target:
            of_target[row.target].append(row)
    return {
        line: _too_late(before)
        for target, rows in of_target.items()
        for line, before in late_baselines(case.targets[target], rows).items()
    }


def _too_late(before: Result | None) -> str:
    if before is None:
        return _("a baseline probe of a mastered target, in a combination that 'taught' of the target names")
    return _(
        "a baseline probe after the row '{kind}' on line {line}", kind=before.kind.value, line=before.line
    )


@dataclass
class _Obstacles:
    """The rule against a combination; asked once for each combination, and for each age that a rule asks for."""

    case: Case
    seen: dict[tuple[str, Combination, int], Obstacle | None] = field(default_factory=dict)

    @cached_property
    def oldest(self) -> int:
        return age_that_settles(self.case)

    def age(self, target: Target, on: date) -> int:
        """In months, as far as a rule asks for it."""
        born = self.case.learners[target.learner].born
        return min(born.age_months(on), self.oldest) if born else self.oldest

    def to(self, id_: str, combination: Combination, on: date) -> Obstacle | None:
        target = self.case.targets[id_]
        age = self.age(target, on)
        about = id_, combination, age
        if about not in self.seen:
            self.seen[about] = obstacle_to_any(self.case, target, combination, on)
        return self.seen[about]
