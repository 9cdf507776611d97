"""What only failed: the values of a combination that no met combination holds, and whether they were taught since.

Used where a target teaches the fewest (`teach: fewest`), and of what is held out, which is never taught itself: what
only failed in it is taught elsewhere, and the combination is then probed again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import combinations

from genplan.case import Combination, Target
from genplan.evidence.log import Moment, Result, ResultKind
from genplan.evidence.standing import Standing, counts_as_teaching, uncounted

Suspect = tuple[tuple[str, str], ...]
"""Pairs of dimension and value, in the order of the target's dimensions."""


@dataclass(frozen=True)
class _Course:
    """What became of a combination since its latest test that was not met, or since ever.

    - `taught`: the rows of teaching that count, in order
    - `met`: when a probe of it was first met since, if one was"""

    taught: tuple[Result, ...] = ()
    met: Moment | None = None

    def taught_after(self, moment: Moment) -> tuple[Result, ...]:
        return tuple(row for row in self.taught if row.moment > moment)


def taught_elsewhere(
    target: Target, history: Mapping[Combination, Sequence[Result]], known: Mapping[Combination, Standing]
) -> dict[Combination, Standing]:
    """The standing of each failure that waits and need not be taught itself. Either all that only failed in it was
    taught in others after it failed, each as often as the target asks for: then its retest is due; or `suspects` holds
    what was not.

    A combination that was first met after such teaching counts as taught, not as met: else its success would take the
    retest away again from those for which it was taught."""
    waiting = [
        c for c, standing in known.items() if standing.waits_for_teaching and target.is_taught_elsewhere(c)
    ]
    courses = {c: _course(target, rows) for c, rows in history.items()} if waiting else {}
    found = {c: _standing(target, c, known[c], history[c], courses) for c in waiting}
    if target.taught_when is None:
        return found
    return {c: _beside_what_does_not_count(target, s, history[c], history) for c, s in found.items()}


def suspects(target: Target, failed: Combination, met: Iterable[Combination]) -> tuple[Suspect, ...]:
    """The values of a failed combination that no met one holds; if there is none, the pairs of values of which that is
    true, and so on. There always is one, the whole combination at the last."""
    of_failed = tuple(zip(target.dimension_names, failed, strict=True))
    held = [frozenset(zip(target.dimension_names, c, strict=True)) for c in met]
    for size in range(1, len(of_failed)):
        found = tuple(s for s in combinations(of_failed, size) if not any(h.issuperset(s) for h in held))
        if found:
            return found
    return (of_failed,)


def holds(target: Target, combination: Combination, suspect: Suspect) -> bool:
    return target.matches(combination, dict(suspect))


def lessons_since(
    target: Target, rows: Iterable[Result], combination: Combination, failed: Collection[Combination]
) -> int:
    """How many teachings that count a combination has had since the last of these failed."""
    everything = tuple(rows)
    since = max(r.moment for r in everything if r.combination in failed and r.kind.is_test and r.trials)
    return sum(
        r.combination == combination
        and r.kind is ResultKind.TEACHING
        and r.moment > since
        and counts_as_teaching(target, r)
        for r in everything
    )


def _course(target: Target, rows: Iterable[Result]) -> _Course:
    course = _Course()
    for row in rows:
        if row.kind is ResultKind.TEACHING and counts_as_teaching(target, row):
            course = replace(course, taught=(*course.taught, row))
        elif row.kind.is_test and row.trials:
            met = row.meets(target.pass_mark)
            course = replace(course, met=course.met or row.moment) if met else _Course()
    return course


def _standing(
    target: Target,
    failed: Combination,
    before: Standing,
    rows: Sequence[Result],
    courses: Mapping[Combination, _Course],
) -> Standing:
    since = _latest_test(rows)
    taught = {c: after for c, course in courses.items() if (after := course.taught_after(since))}
    taught = {c: after for c, after in taught.items() if len(after) >= target.teachings_before_retest}
    met = [
        c
        for c, course in courses.items()
        if course.met and not (c in taught and course.met > taught[c][0].moment)
    ]
    found = suspects(target, failed, met)
    left = tuple(s for s in found if not any(holds(target, c, s) for c in taught))
    days = [after[-1].date for c, after in taught.items() if any(holds(target, c, s) for s in found)]
    since_taught = max(days) + timedelta(days=target.retest_after_days) if days else None
    if left:
        return replace(before, suspects=left, partly_from=since_taught)
    return replace(before, retest_due=True, retest_from=since_taught)


def _beside_what_does_not_count(
    target: Target,
    standing: Standing,
    rows: Sequence[Result],
    history: Mapping[Combination, Sequence[Result]],
) -> Standing:
    """The standing of a failure with the latest teaching since that would do for what is left of it, and does not
    count."""
    since = _latest_test(rows)
    short = [
        row
        for c, others in history.items()
        if any(holds(target, c, s) for s in standing.suspects)
        for row in others
        if row.kind is ResultKind.TEACHING and row.moment > since and not counts_as_teaching(target, row)
    ]
    return replace(standing, uncounted=uncounted(max(short, key=lambda r: r.moment))) if short else standing


def _latest_test(rows: Iterable[Result]) -> Moment:
    return max(row.moment for row in rows if row.kind.is_test and row.trials)
