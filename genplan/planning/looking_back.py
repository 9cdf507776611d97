"""What adults and learners had in the weeks before, which fairness over several weeks begins with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime, timedelta

from genplan.case import Case, Target, Week
from genplan.coverage.tuples import tuples_named_as_taught, tuples_of_all
from genplan.evidence.log import Log
from genplan.keeping.lately import PastSitting, sittings_lately
from genplan.plan import ToldLately, WeeksBefore


def weeks_looked_at(week: Week, count: int) -> tuple[Week, ...]:
    """So many weeks that end with this one, in order of time."""
    return tuple(Week.of(week.monday - timedelta(weeks=count - 1)).run(count))


def weeks_before(
    case: Case, log: Log, week: Week, lately: Iterable[ToldLately], now: datetime
) -> WeeksBefore:
    """What the policy asks to be looked at before the week; `lately` is what people were told of those weeks."""
    count = case.policy.fair_over_weeks - 1
    if not count:
        return WeeksBefore()
    weeks = weeks_looked_at(week, count + 1)[:-1]
    past = sittings_lately(case, log, lately, weeks, now)
    tuples: Counter[str] = Counter()
    for target in case.targets.values():
        tuples[target.learner] += _first_shown(target, log, weeks[0], week)
    return WeeksBefore(count, _positive(minutes_by_adult(past)), _positive(tuples))


def minutes_by_adult(past: Iterable[PastSitting]) -> Counter[str]:
    """Minutes of each adult in what was held, or told and is not written down."""
    minutes: Counter[str] = Counter()
    for one in past:
        if not one.became.fell_through:
            for adult in one.adults:
                minutes[adult] += one.minutes
    return minutes


def _first_shown(target: Target, log: Log, first: Week, until: Week) -> int:
    """How many tuples of a target were tested for the first time from Monday of `first` until that of `until`."""
    tests = [r for r in log.of_target(target.id) if r.kind.is_test and r.date < until.monday]
    old = tuples_of_all(target, (r.combination for r in tests if r.date < first.monday))
    new = tuples_of_all(target, (r.combination for r in tests if r.date >= first.monday))
    return len(new - old - tuples_named_as_taught(target))


def _positive(counts: Counter[str]) -> dict[str, int]:
    return {key: counts[key] for key in sorted(counts) if counts[key] > 0}
