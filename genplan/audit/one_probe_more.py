"""A proof held against the plan itself: where the most is told as reached, no probe more fits beside what is planned.

It is no search for a better week, and finds no plan that would have to be another one; but what it finds needs no
solver to be seen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import islice

from genplan.audit.baseline import baseline_ahead, baseline_left
from genplan.audit.choices import CHOICES, maintenance_opens
from genplan.audit.choices_left import Left, owed_targets
from genplan.audit.clashes import CLASHES
from genplan.audit.context import DAY, AuditContext
from genplan.audit.hours import HOURS
from genplan.audit.limits import LIMITS, nothing_is_probed_after_teaching
from genplan.audit.minutes import WEEK, Free, both, only, stretches
from genplan.audit.owed_teaching import is_short_of
from genplan.audit.second_adults import BESIDE_RULES
from genplan.audit.shown_tuples import fresh_in_plan
from genplan.audit.teaching import TEACHING
from genplan.audit.who_may_teach import may_teach
from genplan.audit.wishes import what_is_apart_is_apart, what_is_kept_is_kept
from genplan.case import Combination, Target
from genplan.plan import Beside, Probe, ProbeKind, Sitting

TRIED_AT_MOST = 20
"""Sittings for one target that are held against all rules; most that fit nowhere are not tried at all."""

STAGES = {"new": "new tuples", "again": "due", "teach": "teaching"}

Rule = Callable[[AuditContext], Iterator[str]]

COUNTED = tuple(limit for limit in LIMITS if limit is not nothing_is_probed_after_teaching)

RULES = (
    *HOURS,
    *CLASHES,
    *LIMITS,
    *CHOICES,
    *TEACHING,
    *BESIDE_RULES,
    what_is_kept_is_kept,
    what_is_apart_is_apart,
)


def nothing_more_fits(matter: AuditContext) -> Iterator[str]:
    """Where new tuples, what is due or what is taught is told as proven, all before it too, nothing further that counts
    for it has a place beside the plan."""
    most = {kind for kind, name in STAGES.items() if is_proven(matter, name)}
    if not most:
        return
    # an observer's time is nobody's loss: for a probe more it would be given up
    matter = matter.with_sittings(map(_unobserved, matter.plan.sittings))
    broken, free = frozenset(_broken(matter)), Free(matter, matter.by_time)
    for left in owed_targets(matter):
        within = WithinLimits(matter)
        tried = (s for s in _ways(matter, free, left, most) if within.limits_of(s))
        for s in islice(tried, TRIED_AT_MOST):
            if not _broken_by(matter, s) - broken:
                probe = s.probes[-1]
                what = f"{', '.join(probe.combination)} at {s.start:%Y-%m-%d %H:%M}"
                yield f"Target {left.target.id}: {what} fits beside the plan, which is told as proven best."
                break


def is_proven(matter: AuditContext, name: str) -> bool:
    """Whether an objective and all before it are told as proven, and what people were told does not come before it: a
    probe more in a sitting that they were told of would cost something there."""
    for o in matter.plan.objectives:
        if o.status.value != "optimal" or o.name in ("people told", "otherwise", "told"):
            return False
        if o.name == name:
            return True
    return False


def less_urgent_is_true(matter: AuditContext) -> Iterator[str]:
    """That other probes were worth more in the same hours is told only where there are others, and no proof that says
    otherwise: what could be run beside the plan would make it better."""
    ahead = {s.learner for s in matter.new}
    told: set[tuple[str, str]] = set()
    for item in matter.plan.left_out:
        if item.limit.kind.value != "less urgent" or (item.target, item.kind.value) in told:
            continue
        told.add((item.target, item.kind.value))
        what = " + ".join(value for _, value in item.values) or f"maintenance due on {item.due}"
        stage = {"new": "new tuples", "teaching": "teaching"}.get(item.kind.value, "due")
        if is_proven(matter, stage):
            yield f"Target {item.target}: '{what}' is told as less urgent beside a proven best of {stage}."
        elif item.learner not in ahead:
            yield f"Target {item.target}: '{what}' is told as less urgent where nothing is planned."


class WithinLimits:
    """Whether a sitting, in the place of one of its id, passes none of the limits that stand in the way most often,
    beside those of its own people: to hold it against all rules takes longer. For sittings of one target."""

    def __init__(self, matter: AuditContext) -> None:
        self._matter = matter
        self._found: dict[object, bool] = {}

    def limits_of(self, s: Sitting) -> bool:
        """Limits count what a day and a week hold, so at another start on the same day nothing else comes of them; what
        was taught before on that day is asked of each start."""
        probe = s.probes[-1]
        alike = (s.id, s.adults, s.beside_as, s.start.date(), s.end - s.start, probe.kind, probe.combination)
        if alike not in self._found:
            self._found[alike] = self._none_of(COUNTED, s)
        return self._found[alike] and self._none_of((nothing_is_probed_after_teaching,), s)

    def _none_of(self, limits: Iterable[Rule], s: Sitting) -> bool:
        people = {s.learner, *s.adults}
        near = (o for o in self._matter.plan.sittings if o.id != s.id and people & {o.learner, *o.adults})
        few = self._matter.with_sittings((*near, s))
        return not any(True for limit in limits for _ in limit(few))


def _unobserved(s: Sitting) -> Sitting:
    if s.begun or s.beside_as is not Beside.OBSERVER:
        return s
    return replace(s, beside="", beside_as=Beside.NOBODY)


def _broken(matter: AuditContext) -> Iterator[str]:
    for rule in RULES:
        yield from rule(matter)


def _broken_by(matter: AuditContext, sitting: Sitting) -> frozenset[str]:
    """What is wrong with the plan with this sitting too, in the place of one of its id."""
    others = (s for s in matter.plan.sittings if s.id != sitting.id)
    return frozenset(_broken(matter.with_sittings((*others, sitting))))


def _ways(matter: AuditContext, free: Free, left: Left, most: set[str]) -> Iterator[Sitting]:
    """Sittings that grow by a probe of the target, or by teaching it, and sittings of its own at each start in free
    minutes."""
    shown = fresh_in_plan(matter, left.target)
    planned = {p.combination for s in matter.new for p in s.probes if p.target == left.target.id}
    wanted: list[tuple[Combination, ProbeKind]] = []
    if "new" in most:
        wanted += [(c, ProbeKind.NEW) for c, shows in left.new.items() if shows - shown]
    if "again" in most:
        past = matter.past[left.target.id]
        kinds = (
            (c, ProbeKind.RETEST if past.of(c).retest_due else ProbeKind.MAINTENANCE) for c in left.again
        )
        wanted += [(c, kind) for c, kind in kinds if c not in planned]
        if baseline_left(matter, left.target) > baseline_ahead(matter, left.target):
            wanted += [(c, ProbeKind.BASELINE) for c in left.baseline if c not in planned]
    if "teach" in most:
        wanted += [(c, ProbeKind.TEACHING) for c in left.teach if is_short_of(matter, left.target, c)]
    for combination, kind in wanted:
        probe = Probe(
            target=left.target.id, combination=combination, kind=kind, trials=left.target.trials, new_tuples=0
        )
        opens = maintenance_opens(matter, left.target, matter.sunday)
        for s in (*_grown(matter, left, probe), *_of_its_own(matter, free, left, probe)):
            if kind is not ProbeKind.MAINTENANCE or opens is None or s.start.date() >= opens:
                yield s


def _grown(matter: AuditContext, left: Left, probe: Probe) -> Iterator[Sitting]:
    for s in matter.by_learner.get(left.target.learner, []):
        if (s.adult, s.location) == probe.combination[:2] and not s.begun:
            longer = replace(
                s,
                end=s.end + timedelta(minutes=_minutes(left.target, probe)),
                probes=(*s.probes, probe),
            )
            yield longer
            yield from _with_a_teacher(matter, left.target, longer)


def _minutes(target: Target, probe: Probe) -> int:
    return target.minutes if probe.kind.is_probe else target.teaching_minutes


def _with_a_teacher(matter: AuditContext, target: Target, s: Sitting) -> Iterator[Sitting]:
    """The sitting with each who may teach beside an adult who may not; whether they can be there the rules
    say."""
    if s.probes[-1].kind.is_probe or s.beside or may_teach(matter.case.adults[s.adult], target):
        return
    for adult in matter.case.adults.values():
        if adult.id != s.adult and may_teach(adult, target):
            yield replace(s, beside=adult.id, beside_as=Beside.TEACHER)


def _of_its_own(matter: AuditContext, free: Free, left: Left, probe: Probe) -> Iterator[Sitting]:
    learner, (adult, location) = left.target.learner, probe.combination[:2]
    minutes = matter.case.policy.settle_minutes + _minutes(left.target, probe)
    together, company = free.together(learner, adult, location), {"": only(0, WEEK)}
    if free.needs_company(adult, learner):
        company = free.company(learner, location)
    for beside, theirs in company.items():
        part = Beside.COMPANION if beside else Beside.NOBODY
        for first, last in stretches(both(together, theirs)):
            for at in range(first, last - minutes + 1):
                if at % DAY % matter.case.policy.start_every_minutes == 0:
                    start, end = (_moment(matter, minute) for minute in (at, at + minutes))
                    one = Sitting(
                        id="more",
                        learner=learner,
                        adult=adult,
                        location=location,
                        start=start,
                        end=end,
                        probes=(probe,),
                        begun=False,
                        beside=beside,
                        beside_as=part,
                    )
                    yield one
                    yield from _with_a_teacher(matter, left.target, one)


def _moment(matter: AuditContext, minute: int) -> datetime:
    return (matter.monday + timedelta(minutes=minute)).replace(tzinfo=matter.case.timezone)
