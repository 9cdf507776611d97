"""Rows that can be read and look wrong: each is a warning with its line, and counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cached_property
from operator import attrgetter

from genplan.case import Case, Combination
from genplan.case.possible import Obstacle, Possible, age_that_settles, obstacle_to_any
from genplan.evidence.baseline import late_baselines
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.row_identity import said_by
from genplan.evidence.second_person import about_the_second_person
from genplan.findings import Finding, Severity
from genplan.language import _
from genplan.text.obstacles import obstacle_text

SETTLED = -1
"""In place of an age for which no rule asks any more."""
_where_and_when = attrgetter("time", "target", "combination")
"""Different for two rows of a day that do not say the same, in most of them."""


def rows_ahead(file: str, case: Case, results: Iterable[Result], now: datetime | None) -> list[Finding]:
    """Warnings of rows after now (any zone)."""
    wall = now.astimezone(case.timezone).replace(tzinfo=None) if now and now.tzinfo else now
    expected, ahead = _("the day on which it was run"), []
    for result in results if wall else ():
        if wall and result.date >= wall.date() and _is_ahead(result, wall):
            when = f"{result.date} {result.time:%H:%M}" if result.time else f"{result.date}"
            found = _("{when} is still ahead", when=when)
            ahead.append(Finding(file, result.line, "date", found, expected, "", Severity.WARNING))
    return ahead


def row_warnings(file: str, case: Case, results: list[Result]) -> list[Finding]:
    """Warnings of rows twice, no reason given, impossible combinations, and teaching in what is held out."""
    twice = _written_twice(results)
    against, against_baseline = _Obstacles(case), _late_baselines(case, results)
    found = []

    def warn(result: Result, key: str, what: str, expected: str, hint: str = "") -> None:
        found.append(Finding(file, result.line, key, what, expected, hint, Severity.WARNING))

    for result in results:
        if first := twice.get(result.line):
            warn(
                result,
                "",
                _("the same as line {first}", first=first),
                _("one row a probe"),
                _("if it was typed twice, delete one"),
            )
        if result.kind is ResultKind.NOT_RUN and not result.note:
            warn(result, "note", _("an empty cell"), _("the reason why it was not run"))
        target = case.targets[result.target]
        if result.observer or result.steps_kept or result.observer_marks:
            for told in about_the_second_person(target, result):
                warn(result, *told)
        if found_against := against.to(result):
            what = _("this combination is not possible: {why}", why=obstacle_text(case, found_against))
            warn(result, "", what, "", _("it is counted all the same"))
        if result.kind is ResultKind.BASELINE and (why := against_baseline.get(result.line)):
            warn(
                result,
                "kind",
                why,
                _("a probe of what nobody has taught or tested yet"),
                _("it is kept apart all the same"),
            )
        if result.kind is ResultKind.TEACHING and target.is_held_out(result.combination):
            what = _("teaching in a combination that 'hold_out' of the target keeps for probes")
            warn(result, "kind", what, "", _("it is counted all the same"))
    return found


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


def _late_baselines(case: Case, results: Sequence[Result]) -> dict[int, str]:
    """Line of a baseline probe -> why it is too late for one."""
    of_target: dict[str, list[Result]] = {r.target: [] for r in results if r.kind is ResultKind.BASELINE}
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
    """The rule against a row's combination; asked once for each combination, and for each age that a rule asks for."""

    case: Case
    seen: dict[tuple[str, Combination, int], Obstacle | None] = field(default_factory=dict)
    possible: dict[tuple[str, int], Possible] = field(default_factory=dict)
    of_age: dict[str, date] = field(default_factory=dict)
    """Of a target the first day seen on which its learner was so old that no rule asks for the age any more."""

    @cached_property
    def oldest(self) -> int:
        return age_that_settles(self.case)

    def to(self, result: Result) -> Obstacle | None:
        age = self._age(result)
        about = result.target, result.combination, age
        if about not in self.seen:
            self.seen[about] = self._looked_for(result, age)
        return self.seen[about]

    def _age(self, result: Result) -> int:
        """In months, where a rule asks for it."""
        since = self.of_age.get(result.target)
        if since and result.date >= since:
            return SETTLED
        born = self.case.learners[self.case.targets[result.target].learner].born
        age = born.age_months(result.date) if born else self.oldest
        if age < self.oldest:
            return age
        self.of_age[result.target] = result.date
        return SETTLED

    def _looked_for(self, result: Result, age: int) -> Obstacle | None:
        target, combination = self.case.targets[result.target], result.combination
        possible = self.possible.get((target.id, age))
        if possible is None:
            possible = self.possible[target.id, age] = Possible(self.case, target, result.date)
        if target.varies(combination) and possible(combination):
            return None
        return obstacle_to_any(self.case, target, combination, result.date)
