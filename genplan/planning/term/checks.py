"""What is due in the weeks of a term by dates that are known today: it comes before all dates in a week.

Maintenance from each of its dates on, retests from the day on which they may be run, baseline probes that are owed now.
A check has no tuples of any date to show: what it repeats was met, taught or tested.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from genplan.case import Combination
from genplan.case.possible import possible_combinations
from genplan.evidence.maintenance import CheckState, maintenance_checks, to_repeat
from genplan.plan import ProbeKind
from genplan.planning.needs import LAST_DAY, Choice, TargetNeed
from genplan.planning.term.wanted import TermFacts


@dataclass(frozen=True, kw_only=True)
class Check:
    """One probe that is due.

    - `learner`, `target`, `kind`: of whom and what
    - `due`: the day from which it is owed
    - `weeks`: those in which it may be run, the first being the one in which it is owed
    - `first_day`: the first day of the first of these weeks on which it answers what is owed
    - `options`: what it may repeat, each with the first week of the term in which it may"""

    learner: str
    target: str
    kind: ProbeKind
    due: date
    weeks: range
    first_day: int
    options: tuple[tuple[Combination, int], ...]

    def days_of(self, soonest: int, week: int) -> range:
        """The days of a week on which it may repeat what it may from the week `soonest` on."""
        if week not in self.weeks or week < soonest:
            return range(0)
        return range(self.first_day if week == self.weeks[0] else 0, 7)

    def weeks_of_options(self) -> Iterator[tuple[Combination, range]]:
        for combination, soonest in self.options:
            yield combination, range(max(soonest, self.weeks[0]), self.weeks[-1] + 1)


def checks_of(facts: TermFacts, last: int) -> tuple[Check, ...]:
    """Those that are owed up to the week `last`, and that have something to repeat."""
    found: list[Check] = []
    for need in facts.ground.needs:
        found += _maintenance(facts, need, last)
        found += _retests(facts, need, last)
        found += _baseline(facts, need, last)
    some = (c for c in found if c.options)
    return tuple(sorted(some, key=lambda c: (c.due, c.learner, c.target, c.kind, c.options)))


def widened(facts: TermFacts, checks: Iterable[Check]) -> tuple[Check, ...]:
    """The same checks with all that any weeks could answer them with: after the first week maintenance may repeat what
    is not met today, since new probes until then may be; for bounds."""
    needs = {n.id: n for n in facts.ground.needs}
    return tuple(_widened(facts, needs[c.target], c) for c in checks)


def _widened(facts: TermFacts, need: TargetNeed, check: Check) -> Check:
    if check.kind is ProbeKind.BASELINE:
        return replace(check, options=_alike((c.combination, 0) for c in need.of_kind(check.kind)))
    if check.kind is ProbeKind.RETEST or not check.weeks[-1]:
        return check
    week = max(1, check.weeks[0])
    every = possible_combinations(facts.case, need.target, facts.weeks[check.weeks[-1]].sunday)
    return replace(check, options=_alike((*check.options, *((c, week) for c in every))))


def _alike(options: Iterable[tuple[Combination, int]]) -> tuple[tuple[Combination, int], ...]:
    """One of those with the same adult, place and set, the soonest."""
    first: dict[Combination, tuple[Combination, int]] = {}
    for combination, week in sorted(options, key=lambda o: (o[1], o[0])):
        first.setdefault(combination[:3], (combination, week))
    return tuple(sorted(first.values()))


def _maintenance(facts: TermFacts, need: TargetNeed, last: int) -> Iterator[Check]:
    """One for each week in which a date is due; of two in a week the earlier gives way, and one that has no room waits
    until the next falls due."""
    days = dict(_owed_on(facts, need))
    weeks = sorted(w for w in days if w <= last)
    for week, until in zip(weeks, [*weeks[1:], last + 1], strict=False):
        due, opens = days[week]
        now = need.of_kind(ProbeKind.MAINTENANCE) if week == 0 else ()
        later = _to_repeat(facts, need, max(1, week)) if until > 1 else ()
        yield Check(
            learner=need.target.learner,
            target=need.id,
            kind=ProbeKind.MAINTENANCE,
            due=due,
            weeks=range(week, until),
            first_day=min(LAST_DAY, max(0, (opens - facts.weeks[week].monday).days)),
            options=_alike((*((c.combination, 0) for c in now), *later)),
        )


def _owed_on(facts: TermFacts, need: TargetNeed) -> Iterator[tuple[int, tuple[date, date]]]:
    """Week -> the day from which maintenance is owed in it, and the first day that answers that."""
    if not need.is_probed:
        return
    first, ground = facts.weeks[0], facts.ground
    if need.maintenance is not None:
        yield 0, (need.maintenance.due, need.maintenance.opens)
    for one in maintenance_checks(need.target, ground.log, ground.now.date(), facts.case.policy):
        if one.state is CheckState.AHEAD and first.sunday < one.due <= facts.weeks[-1].sunday:
            yield (one.due - first.monday).days // 7, (one.due, one.opens)


def _to_repeat(facts: TermFacts, need: TargetNeed, week: int) -> Iterator[tuple[Combination, int]]:
    """What is met by now or, while nothing is, wholly taught: from that week on."""
    monday, tally = facts.weeks[week].monday, need.tally
    for combination in sorted(to_repeat(need.target, tally.standings, tally.possible_combinations, monday)):
        yield combination, week


def _retests(facts: TermFacts, need: TargetNeed, last: int) -> Iterator[Check]:
    """Of what was taught again: each is owed from its own day on."""
    waiting = (c for c, _ in need.held_back if c.kind is ProbeKind.RETEST)
    for choice in (*need.of_kind(ProbeKind.RETEST), *waiting):
        due = need.tally.standing(choice.combination).retest_from or facts.weeks[0].monday
        week, day = divmod(choice.first_day, 7)
        if week <= last:
            yield _one_of(need, (choice,), due, range(week, last + 1), day)


def _baseline(facts: TermFacts, need: TargetNeed, last: int) -> Iterator[Check]:
    """Each of other combinations, so that none is run twice."""
    choices, times = need.of_kind(ProbeKind.BASELINE), need.baseline.times
    for n in range(times if choices else 0):
        yield _one_of(need, choices[n::times], facts.weeks[0].monday, range(last + 1), 0)


def _one_of(need: TargetNeed, choices: Sequence[Choice], due: date, weeks: range, day: int) -> Check:
    return Check(
        learner=need.target.learner,
        target=need.id,
        kind=choices[0].kind,
        due=due,
        weeks=weeks,
        first_day=day,
        options=_alike((c.combination, weeks[0]) for c in choices),
    )
