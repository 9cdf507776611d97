"""Limits of learners, adults and targets, and what one sitting may hold. Begun sittings count toward them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date

from genplan.audit.context import AuditContext, name
from genplan.plan import Sitting


def _by_day(sittings: Iterable[Sitting]) -> dict[date, list[Sitting]]:
    days: dict[date, list[Sitting]] = defaultdict(list)
    for s in sittings:
        days[s.start.date()].append(s)
    return days


def _over(count: int, limit: int | None, sittings: Iterable[Sitting]) -> bool:
    """Whether a limit is passed, and not by begun sittings alone."""
    return limit is not None and count > limit and any(not s.begun for s in sittings)


def learner_limits(matter: AuditContext) -> Iterator[str]:
    for learner in matter.case.learners.values():
        all_week = matter.by_learner.get(learner.id, [])
        if _over(len(all_week), learner.limits.sittings_per_week, all_week):
            whose = f"of learner {learner.id} in the week"
            yield f"{name(all_week[-1])}: {len(all_week)} sittings {whose} are over the limit."
        for day, own in _by_day(all_week).items():
            probes, whose = sum(len(s.probes) for s in own), f"of learner {learner.id} on {day}"
            if _over(len(own), learner.limits.sittings_per_day, own):
                yield f"{name(own[-1])}: {len(own)} sittings {whose} are over the limit."
            if _over(probes, learner.limits.probes_per_day, own):
                yield f"{name(own[-1])}: {probes} probes {whose} are over the limit."


def adult_limits(matter: AuditContext) -> Iterator[str]:
    for adult in matter.case.adults.values():
        own = matter.by_adult.get(adult.id, [])
        for day, theirs in _by_day(own).items():
            if _over(len(theirs), adult.limits.sittings_per_day, theirs):
                whose = f"of adult {adult.id} on {day}"
                yield f"{name(theirs[-1])}: {len(theirs)} sittings {whose} are over the limit."
        minutes = sum(int(matter.minute(s.end) - matter.minute(s.start)) for s in own)
        if _over(minutes, adult.limits.minutes_per_week, own):
            yield f"{name(own[-1])}: {minutes} minutes of adult {adult.id} in the week are over the limit."
        if _over(len(own), adult.limits.sittings_per_week, own):
            yield f"{name(own[-1])}: {len(own)} sittings of adult {adult.id} in the week are over the limit."


def target_limits(matter: AuditContext) -> Iterator[str]:
    """What was run without being planned counts too."""
    policy = matter.case.policy
    for target, own in matter.by_target.items():
        beside = _run_beside(matter, target)
        for day, sittings in _by_day(own).items():
            count = len(sittings) + beside.count(day)
            if _over(count, policy.probes_per_target_per_day, sittings):
                yield f"{name(sittings[-1])}: {count} probes of {target} on {day} are over the limit."
        count = len(own) + len(beside)
        if _over(count, policy.probes_per_target_per_week, own):
            yield f"{name(own[-1])}: {count} probes of {target} in the week are over the limit."


def _run_beside(matter: AuditContext, target: str) -> list[date]:
    """The days of the week on which a probe was run that no sitting that has begun holds. Of the rows of one moment one
    counts."""
    held = [
        (p.combination, s.start.date())
        for s in matter.by_time
        if s.begun
        for p in s.probes
        if p.target == target
    ]
    moments = {
        (r.combination, r.date, r.time)
        for r in matter.rows.get(target, [])
        if r.kind.value in ("probe", "maintenance") and matter.monday.date() <= r.date <= matter.sunday
    }
    days = []
    for combination, day, _ in moments:
        if (combination, day) in held:
            held.remove((combination, day))
        else:
            days.append(day)
    return days


def one_sitting_holds(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        limits = matter.case.learners[s.learner].limits
        if not s.probes:
            yield f"{name(s)}: it holds no probe."
        if limits.probes_per_sitting is not None and len(s.probes) > limits.probes_per_sitting:
            yield f"{name(s)}: {len(s.probes)} probes are over the limit of one sitting."
        minutes = matter.minute(s.end) - matter.minute(s.start)
        if limits.sitting_minutes is not None and minutes > limits.sitting_minutes:
            yield f"{name(s)}: {minutes:.0f} minutes are over the limit of one sitting."
        targets = [p.target for p in s.probes]
        for target in sorted(set(targets)):
            if targets.count(target) > 1:
                yield f"{name(s)}: it holds {targets.count(target)} probes of {target}."


LIMITS = (learner_limits, adult_limits, target_limits, one_sitting_holds)
