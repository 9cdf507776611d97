"""The plan of a term once more: its dates, its probes and what they take, counted in plain loops."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from genplan.audit.context import DAY, AuditContext
from genplan.audit.coverage_values import asks_for
from genplan.audit.history import Shown, as_shown, shown_by
from genplan.audit.hours import free_minutes, leave_the_way, minutes_of_adult
from genplan.audit.possible import is_possible
from genplan.audit.shown_tuples import shown_before
from genplan.audit.term_checks import all_that_is_due_is_told, checks_are_due
from genplan.case import Absence, Case, Target
from genplan.case.dated_facts import in_week
from genplan.evidence.log import Log
from genplan.plan import Plan, Sitting, StageStatus
from genplan.plan.term import Promise, Term, TermDate, TermLoad, TermProbe, Whose

Minutes = bytearray


@dataclass(frozen=True)
class TermMatter:
    """What lies before the auditor: `kept` are the sittings that people were told of in the first week."""

    case: Case
    log: Log
    term: Term
    now: datetime
    busy: Mapping[str, tuple[Absence, ...]]
    kept: tuple[Sitting, ...]

    @cached_property
    def weeks(self) -> tuple[AuditContext, ...]:
        return tuple(
            AuditContext(in_week(self.case, w), self.log, Plan.of_sittings(w, self.now, ()), self.busy, ())
            for w in self.term.weeks
        )

    @cached_property
    def everything(self) -> tuple[TermProbe, ...]:
        """The probes of dates and those that are due."""
        return (*self.term.probes, *(c.probe for c in self.term.checks if c.probe))

    @cached_property
    def found(self) -> dict[tuple[int, str, str, str], Minutes]:
        return {}

    def open_of(self, target: Target) -> frozenset[Shown]:
        """What nobody has shown, sittings that have begun counted as run."""
        past = self.weeks[0].past[target.id]
        begun = [
            p for s in self.kept if s.begun or s.start < self.now for p in s.probes if p.target == target.id
        ]
        run = (shown_by(target, p.combination) for p in begun if p.kind.value not in ("teaching", "baseline"))
        return past.possible - shown_before(past) - frozenset().union(*run)

    def together(self, probe: TermProbe) -> Minutes:
        """The minutes of the probe's week in which its child, adult and place are free."""
        adult, place = probe.combination[:2]
        key = (probe.week, probe.learner, adult, place)
        if key not in self.found:
            week, case = self.weeks[probe.week], self.weeks[probe.week].case
            hers = minutes_of_adult(week, case.adults[adult])
            leave_the_way(week, hers, self.busy.get(adult, ()), place)
            theirs = free_minutes(week, case.learners[probe.learner].free, case.learners[probe.learner].away)
            there = free_minutes(week, case.locations[place].open, case.locations[place].closed)
            self.found[key] = bytearray(a & b & c for a, b, c in zip(hers, theirs, there, strict=True))
        return self.found[key]


def audit_term(
    case: Case,
    log: Log,
    term: Term,
    now: datetime,
    busy: Mapping[str, tuple[Absence, ...]],
    kept: tuple[Sitting, ...] = (),
) -> tuple[str, ...]:
    """What is wrong with a term, a sentence each; none for a sound one. The case is that of all weeks, the log as it is
    before the first of them."""
    matter = TermMatter(case, log, term, now, busy, kept)
    return tuple(complaint for check in CHECKS for complaint in check(matter))


def _named(date_: TermDate) -> str:
    return f"Date {date_.place + 1} of target {date_.target}"


def _dates_are_there(matter: TermMatter) -> Iterator[str]:
    """Each date in the weeks of which something is open, once, with what it asks for. What is to be taught may be shown
    by that and need not be asked for."""
    told = {(d.target, d.place): d for d in matter.term.dates}
    first, last = max(matter.now.date(), matter.term.weeks[0].monday), matter.term.weeks[-1].sunday
    if len(told) < len(matter.term.dates):
        yield "A date stands twice in the term."
    for target in matter.case.mastered:
        still_open = matter.open_of(target)
        for n, wish in enumerate(target.first):
            asked = frozenset(t for t in still_open if asks_for(target, wish, t))
            in_term = wish.by is not None and first <= wish.by <= last and bool(asked)
            found = told.pop((target.id, n), None)
            if found is None:
                if in_term and not matter.case.policy.plan_teaching:
                    yield f"Date {n + 1} of target {target.id} lies in the weeks, and is not told."
            elif not in_term or found.by != wish.by:
                yield f"{_named(found)} is told, and nothing is open of it in these weeks."
            elif not _same(target, found, asked, exactly=not matter.case.policy.plan_teaching):
                yield f"{_named(found)} is told with other tuples than are open."
    for id_, n in sorted(told):
        yield f"Target {id_} has no date {n + 1}."


def _same(target: Target, found: TermDate, asked: frozenset[Shown], *, exactly: bool) -> bool:
    told = {as_shown(target, t) for t in found.tuples}
    return told == asked if exactly else bool(told) and told <= asked


def _dates_are_counted(matter: TermMatter) -> Iterator[str]:
    for found in matter.term.dates:
        target = matter.case.targets[found.target]
        shown: set[Shown] = set()
        for probe in matter.term.probes:
            if probe.target == found.target and matter.term.last_day(probe) <= found.by:
                shown |= shown_by(target, probe.combination)
        in_time = {t for t in found.tuples if as_shown(target, t) in shown}
        if in_time != found.shown:
            yield f"{_named(found)}: {len(in_time)} tuples are shown in time, and {len(found.shown)} are told."
        if (in_time == found.tuples) is not (found.promise is Promise.KEPT):
            yield f"{_named(found)} is told as {found.promise.value}, and shows {len(in_time)} of {len(found.tuples)}."
        if not set(found.no_way) <= found.tuples - in_time:
            yield f"{_named(found)}: what has no way is not among what is missing."


def _bound_is_one(matter: TermMatter) -> Iterator[str]:
    kept = sum(d.promise is Promise.KEPT for d in matter.term.dates)
    possible = sum(d.promise is not Promise.CANNOT for d in matter.term.dates)
    if not kept <= matter.term.bound_beside_due <= matter.term.bound <= len(matter.term.dates):
        bounds = f"the bound is {matter.term.bound}, and {matter.term.bound_beside_due} beside what is due"
        yield f"{kept} dates are kept of {len(matter.term.dates)}, and {bounds}."
    if matter.term.status is StageStatus.OPTIMAL and matter.term.bound != kept:
        yield f"The term is told as proven best, with {kept} dates and a bound of {matter.term.bound}."
    if possible < kept:
        yield "A date is kept that cannot be."


def _probes_can_be_run(matter: TermMatter) -> Iterator[str]:
    """Of dates each once, of what is possible and was not tested; and all in a stretch with hours for it."""
    times = Counter((p.target, p.combination) for p in matter.term.probes)
    for probe in matter.term.probes:
        if times[probe.target, probe.combination] > 1:
            yield f"{_probe_named(matter, probe)}: it is planned twice."
        if matter.weeks[0].past[probe.target].of(probe.combination).tested:
            yield f"{_probe_named(matter, probe)}: it was tested before."
    for probe in matter.everything:
        target, sunday = matter.case.targets[probe.target], matter.term.weeks[probe.week].sunday
        if probe.learner != target.learner or not is_possible(matter.case, target, probe.combination, sunday):
            yield f"{_probe_named(matter, probe)}: it is not possible."
        elif not any(_fits(matter, probe, day) for day in range(probe.first, probe.last + 1)):
            yield f"{_probe_named(matter, probe)}: nobody has the minutes for it on these days."


def _probe_named(matter: TermMatter, probe: TermProbe) -> str:
    return f"Probe of {probe.target} in {matter.term.weeks[probe.week]} ({', '.join(probe.combination)})"


def _what_is_due(matter: TermMatter) -> Iterator[str]:
    yield from checks_are_due(matter.weeks[0], matter.term)
    yield from all_that_is_due_is_told(matter.weeks[0], matter.term)


def _fits(matter: TermMatter, probe: TermProbe, day: int) -> bool:
    """Whether a sitting with the probe alone can begin on the grid of the day, now or later."""
    week, policy = matter.weeks[probe.week], matter.case.policy
    minutes = policy.settle_minutes + matter.case.targets[probe.target].minutes
    free, now = matter.together(probe), week.minute(matter.now)
    starts = range(day * DAY, (day + 1) * DAY - minutes + 1, policy.start_every_minutes)
    return day in policy.days and any(at >= now and 0 not in free[at : at + minutes] for at in starts)


def _limits_hold(matter: TermMatter) -> Iterator[str]:
    """Of each week what its probes take at the least: those of a target, of a child, the minutes of an adult."""
    policy, targets = matter.case.policy, matter.case.targets
    for n, week in enumerate(matter.term.weeks):
        own = [p for p in matter.everything if p.week == n]
        for id_, count in sorted(Counter(p.target for p in own).items()):
            if count > min(policy.probes_per_target_per_week, 7 * policy.probes_per_target_per_day):
                yield f"Week {week}: {count} probes of target {id_}."
        for id_, count in sorted(Counter(p.learner for p in own).items()):
            a_day = matter.case.learners[id_].limits.probes_per_day
            if a_day is not None and count > 7 * a_day:
                yield f"Week {week}: {count} probes of learner {id_}."
        for id_ in sorted({p.combination[0] for p in own}):
            minutes = sum(targets[p.target].minutes for p in own if p.combination[0] == id_)
            most, free = matter.case.adults[id_].limits.minutes_per_week, _free(matter, n, id_)
            if minutes > min(free, free if most is None else most):
                yield f"Week {week}: {minutes} minutes of adult {id_}, who has {free}."


def _free(matter: TermMatter, week: int, adult: str) -> int:
    found = matter.weeks[week]
    return sum(minutes_of_adult(found, found.case.adults[adult]))


def _loads_are_counted(matter: TermMatter) -> Iterator[str]:
    """What is told as used holds the probes, and is no more than there is; what is free of an adult, or may be held, is
    no more than the limits of the week."""
    for load in matter.term.loads:
        place = 0 if load.whose is Whose.ADULT else 1
        for n, (used, free) in enumerate(zip(load.used, load.free, strict=True)):
            own = [p for p in matter.everything if p.week == n and p.combination[place] == load.name]
            if not sum(matter.case.targets[p.target].minutes for p in own) <= used <= free:
                yield f"Week {matter.term.weeks[n]}: {used} of {free} minutes are told of {load.name}."
        yield from _within_limits(matter, load)


def _within_limits(matter: TermMatter, load: TermLoad) -> Iterator[str]:
    if load.whose is not Whose.ADULT:
        return
    for n, free in enumerate(load.free):
        limits = matter.weeks[n].case.adults[load.name].limits
        if limits.minutes_per_week is not None and free > limits.minutes_per_week:
            yield f"Week {matter.term.weeks[n]}: {free} free minutes are told of {load.name}, against the limit."
        if limits.sittings_per_week is None:
            continue
        held, most = load.sittings[n : n + 1], load.most_sittings[n : n + 1]
        if not held or not most or not held[0] <= most[0] <= limits.sittings_per_week:
            yield f"Week {matter.term.weeks[n]}: {held} of {most} sittings are told of {load.name}."


CHECKS = (
    _dates_are_there,
    _dates_are_counted,
    _bound_is_one,
    _probes_can_be_run,
    _what_is_due,
    _limits_hold,
    _loads_are_counted,
)
