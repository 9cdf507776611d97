"""Limits of learners, adults and targets, and what one sitting may hold. Begun sittings count toward them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from datetime import date

from genplan.audit.context import AuditContext, of
from genplan.audit.owed_teaching import taught_this_week
from genplan.case import Combination
from genplan.language import _, pgettext
from genplan.plan import Probe, Sitting


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
            whose = _("of learner {learner} in the week", learner=learner.id)
            yield of(
                all_week[-1],
                _("{number} sittings {whose} are over the limit.", number=len(all_week), whose=whose),
            )
        for day, own in _by_day(all_week).items():
            if _over(len(own), learner.limits.sittings_per_day, own):
                whose = _("of learner {learner} on {day}", learner=learner.id, day=day)
                yield of(
                    own[-1], _("{number} sittings {whose} are over the limit.", number=len(own), whose=whose)
                )
            for holds, limit in (
                (is_probe, learner.limits.probes_per_day),
                (is_teaching, learner.limits.teachings_per_day),
                (is_retest, learner.limits.retests_per_day),
            ):
                if limit is None:
                    continue
                count, theirs = _count(own, holds), [s for s in own if _count([s], holds)]
                if _over(count, limit, theirs):
                    whose = _("of learner {learner} on {day}", learner=learner.id, day=day)
                    yield of(
                        theirs[-1],
                        _(
                            "{count} {what} {whose} are over the limit.",
                            count=count,
                            what=_what(holds),
                            whose=whose,
                        ),
                    )


def adult_limits(matter: AuditContext) -> Iterator[str]:
    for adult in matter.case.adults.values():
        own = matter.by_adult.get(adult.id, [])
        for day, theirs in _by_day(own).items():
            if _over(len(theirs), adult.limits.sittings_per_day, theirs):
                whose = _("of adult {adult} on {day}", adult=adult.id, day=day)
                yield of(
                    theirs[-1],
                    _("{number} sittings {whose} are over the limit.", number=len(theirs), whose=whose),
                )
        minutes = sum(int(matter.minute(s.end) - matter.minute(s.start)) for s in own)
        if _over(minutes, adult.limits.minutes_per_week, own):
            yield of(
                own[-1],
                _(
                    "{minutes} minutes of adult {adult} in the week are over the limit.",
                    minutes=minutes,
                    adult=adult.id,
                ),
            )
        if _over(len(own), adult.limits.sittings_per_week, own):
            yield of(
                own[-1],
                _(
                    "{number} sittings of adult {adult} in the week are over the limit.",
                    number=len(own),
                    adult=adult.id,
                ),
            )


def is_probe(p: Probe) -> bool:
    return p.kind.is_probe


def is_teaching(p: Probe) -> bool:
    return not p.kind.is_probe


def is_retest(p: Probe) -> bool:
    return p.kind.value == "retest"


def _what(holds: Callable[[Probe], bool]) -> str:
    """What it picks; said only of a limit that is passed, since limits are held against many sittings that are not
    planned."""
    if holds is is_probe:
        return pgettext("too many", "probes")
    return pgettext("too many", "teachings") if holds is is_teaching else pgettext("too many", "retests")


def _count(sittings: Iterable[Sitting], holds: Callable[[Probe], bool]) -> int:
    return sum(holds(p) for s in sittings for p in s.probes)


def target_limits(matter: AuditContext) -> Iterator[str]:
    """What was run or taught without being planned counts too."""
    policy = matter.case.policy
    for target in matter.by_target:
        for holds, a_day, a_week, beside in (
            (
                is_probe,
                policy.probes_per_target_per_day,
                policy.probes_per_target_per_week,
                _probed_beside(matter, target),
            ),
            (
                is_teaching,
                policy.teachings_per_target_per_day,
                policy.teachings_per_target_per_week,
                taught_beside(matter, target),
            ),
        ):
            own = _holding(matter, target, holds)
            for day, sittings in _by_day(own).items():
                count = len(sittings) + beside.count(day)
                if _over(count, a_day, sittings):
                    yield of(
                        sittings[-1],
                        _(
                            "{count} {what} of {target} on {day} are over the limit.",
                            count=count,
                            what=_what(holds),
                            target=target,
                            day=day,
                        ),
                    )
            count = len(own) + len(beside)
            if _over(count, a_week, own):
                yield of(
                    own[-1],
                    _(
                        "{count} {what} of {target} in the week are over the limit.",
                        count=count,
                        what=_what(holds),
                        target=target,
                    ),
                )


def _holding(matter: AuditContext, target: str, holds: Callable[[Probe], bool]) -> list[Sitting]:
    """A sitting is there once for each that it holds of the target."""
    own = dict.fromkeys(matter.by_target.get(target, []))
    return [s for s in own for p in s.probes if p.target == target and holds(p)]


def _probed_beside(matter: AuditContext, target: str) -> list[date]:
    """The days of the week on which a probe was run that no sitting that has begun holds. Of the rows of one moment one
    counts."""
    moments = {
        (r.combination, r.date, r.time)
        for r in matter.rows.get(target, [])
        if r.kind.value in ("probe", "maintenance", "baseline")
        and matter.monday.date() <= r.date <= matter.sunday
    }
    return _beside(matter, target, [(c, day) for c, day, _at in moments], is_probe)


def taught_beside(matter: AuditContext, target: str) -> list[date]:
    """The same of teaching, of which every row counts."""
    rows = [(r.combination, r.date) for r in taught_this_week(matter, target)]
    return _beside(matter, target, rows, is_teaching)


def _beside(
    matter: AuditContext,
    target: str,
    rows: Iterable[tuple[Combination, date]],
    holds: Callable[[Probe], bool],
) -> list[date]:
    """The days of these rows that no sitting that has begun answers for; each answers for one."""
    held = [
        (p.combination, s.start.date())
        for s in dict.fromkeys(matter.by_target.get(target, []))
        if s.begun
        for p in s.probes
        if p.target == target and holds(p)
    ]
    days = []
    for row in rows:
        if row in held:
            held.remove(row)
        else:
            days.append(row[1])
    return days


def nothing_is_probed_after_teaching(matter: AuditContext) -> Iterator[str]:
    """On a day on which a target was taught before, unless the policy allows it."""
    if matter.case.policy.probe_after_teaching:
        return
    for target in matter.by_target:
        taught = _holding(matter, target, is_teaching)
        beside = taught_beside(matter, target)
        for s in _holding(matter, target, is_probe):
            before = any(t.start.date() == s.start.date() and t.start < s.start for t in taught)
            if not s.begun and (before or s.start.date() in beside):
                yield of(s, _("{target} is probed after it was taught on that day.", target=target))


def one_sitting_holds(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        limits = matter.case.learners[s.learner].limits
        if not s.probes:
            yield of(s, _("it holds nothing."))
        probes = _count([s], is_probe)
        if limits.probes_per_sitting is not None and probes > limits.probes_per_sitting:
            yield of(s, _("{probes} probes are over the limit of one sitting.", probes=probes))
        minutes = matter.minute(s.end) - matter.minute(s.start)
        if limits.sitting_minutes is not None and minutes > limits.sitting_minutes:
            yield of(s, _("{minutes:.0f} minutes are over the limit of one sitting.", minutes=minutes))
        targets = [p.target for p in s.probes]
        for target in sorted(set(targets)):
            if targets.count(target) > 1:
                yield of(s, _("it holds {target} {count} times.", target=target, count=targets.count(target)))


LIMITS = (learner_limits, adult_limits, target_limits, one_sitting_holds, nothing_is_probed_after_teaching)
