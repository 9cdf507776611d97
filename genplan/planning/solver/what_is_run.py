"""Rules of what sittings hold: probes and teachings, how often, in which order, and that new ones show something."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from genplan.case.week import MINUTES_PER_DAY
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind
from genplan.planning.solver.amounts import things_in
from genplan.planning.solver.slots import Bool, Linear, Slot, total
from genplan.planning.solver.variables import Variables, grouped, learners_day, teachings_of


def probes_only_in_held_sittings(v: Variables) -> None:
    """A sitting holds at least one probe or teaching, at most one of a target, and no more probes than the learner's
    limit allows."""
    for slot in v.slots:
        limit = v.problem.case.learners[slot.learner].limits.probes_per_sitting
        by_target = defaultdict(list)
        for choice, var in slot.probes.items():
            by_target[choice.target].append(var)
        for probes in by_target.values():
            v.model.add(total(probes) <= slot.present)
        things = total(slot.probes.values())
        v.model.add(things >= slot.present)
        # the linear form with the cap on the sitting proves the fewest sittings; an implication a probe does not
        only_probes = all(c.kind.is_probe for c in slot.probes)
        most = len(by_target) if limit is None or not only_probes else min(limit, len(by_target))
        v.model.add(things <= most * slot.present)
        if limit is not None and not only_probes:
            v.model.add(things_in(slot, lambda c: c.kind.is_probe) <= limit * slot.present)


def sitting_minutes_hold(v: Variables) -> None:
    """A sitting's length is the settling time and its probes, at most what the learner can sit."""
    for slot in v.slots:
        limit = v.problem.case.learners[slot.learner].limits.sitting_minutes
        if limit is not None:
            v.model.add(slot.run <= (limit - v.problem.case.policy.settle_minutes) * slot.present)


def copies_in_order(v: Variables) -> None:
    """Sittings of the same opening are interchangeable: they are used in order of time."""
    rest = v.problem.case.policy.rest_minutes
    for slots in grouped(v.slots, lambda s: s.opening).values():
        for earlier, later in pairwise(slots):
            v.model.add_implication(later.present, earlier.present)
            v.model.add(later.start >= earlier.end + rest).only_enforce_if(later.present)


def nothing_is_probed_twice(v: Variables) -> None:
    """A combination is probed at most once in the week, and one maintenance probe of a target is enough; nothing is
    taught, or probed before it is taught, more often than it is owed."""
    for need in v.problem.needs:
        by_choice = defaultdict(list)
        for _, choice, var in v.by_target[need.id]:
            if choice.kind.is_probe:
                by_choice[choice.combination].append(var)
        for probes in by_choice.values():
            v.model.add(total(probes) <= 1)
        for due in need.teachings:
            v.model.add(total(teachings_of(v, need.id, due)) <= due.times)
        maintenance = v.probes_of(need.id, ProbeKind.MAINTENANCE)
        if maintenance:
            v.model.add(total(maintenance) <= 1)
        if baseline := v.probes_of(need.id, ProbeKind.BASELINE):
            v.model.add(total(baseline) <= need.baseline.times)


def nothing_is_probed_after_teaching(v: Variables) -> None:
    """No probe of a target in a sitting that begins after one of the same day in which it is taught."""
    if v.problem.case.policy.probe_after_teaching:
        return
    for need in v.problem.needs:
        for day, things in grouped(v.by_target[need.id], lambda x: x[0].day).items():
            probes = _in_each_slot((s, p) for s, c, p in things if c.kind.is_probe)
            teachings = _in_each_slot((s, p) for s, c, p in things if not c.kind.is_probe)
            _beside_what_was_run(v, need.id, day, probes, teachings)
            for probe, teaching in product(probes, teachings):
                _in_order(v, probe, teaching)


@dataclass(frozen=True)
class _Held:
    """Whether something of a target is run in a slot: a sum of at most 1; and when the slot can begin at all."""

    slot: Slot
    held: Linear
    first: int
    last: int


def _in_each_slot(things: Iterable[tuple[Slot, Bool]]) -> list[_Held]:
    own = [(o[0][0], total(var for _, var in o)) for o in grouped(things, lambda t: id(t[0])).values()]
    return [_Held(slot, held, *slot.starts) for slot, held in own]


def _beside_what_was_run(
    v: Variables, target: str, day: int, probes: Sequence[_Held], teachings: Sequence[_Held]
) -> None:
    """Nothing that is ahead comes before what was recorded."""
    own = v.taken_on.get((v.problem.case.targets[target].learner, day), ())
    taken = [(s.start, p.is_probe) for s in own for p in s.probes if p.target == target]
    no_later = min((start for start, is_probe in taken if not is_probe), default=(day + 1) * MINUTES_PER_DAY)
    if day in v.problem.recorded_teachings.get(target, ()):
        no_later = day * MINUTES_PER_DAY - 1
    no_sooner = max((start for start, is_probe in taken if is_probe), default=day * MINUTES_PER_DAY)
    for x in probes:
        if x.first > no_later:
            v.model.add(x.held == 0)
        elif x.last > no_later:
            v.model.add(x.slot.start + (x.last - no_later) * x.held <= x.last)
    for x in teachings:
        if x.last < no_sooner:
            v.model.add(x.held == 0)
        elif x.first < no_sooner:
            v.model.add(x.slot.start - (no_sooner - x.first) * x.held >= x.first)


def _in_order(v: Variables, probe: _Held, teaching: _Held) -> None:
    """The sitting of the probe begins first. Most openings say by themselves which of the two does, and then nothing
    is asked of the clock: such a line is of use to the relaxation."""
    earlier, later = probe.slot, teaching.slot
    if earlier.opening == later.opening:
        if earlier.index > later.index:
            v.model.add(probe.held + teaching.held <= 1)
        return
    apart = probe.last - teaching.first
    if probe.first > teaching.last:
        v.model.add(probe.held + teaching.held <= 1)
    elif apart > 0:
        v.model.add(earlier.start - later.start + apart * (probe.held + teaching.held) <= 2 * apart)


def new_probes_show_something(v: Variables) -> None:
    """Where people were told of the week, a new probe shows something that no other shows on its day or before: that
    it, or its sitting, stays as told is no reason to hold what shows nothing. Else the fewest probes see to it."""
    told = {seat.learner for seat in v.problem.told}
    for need in (n for n in v.problem.needs if n.target.learner in told):
        probes = [(s.day, c, var) for s, c, var in v.by_target[need.id] if c.kind is ProbeKind.NEW]
        for day in sorted({day for day, *_ in probes}):
            showing: dict[Tuple, list[Bool]] = defaultdict(list)
            for _, choice, var in (p for p in probes if p[0] <= day):
                for tuple_ in choice.shows:
                    showing[tuple_].append(var)
            only = {t: v.model.new_bool_var(f"{need.id} {t} once by day {day}") for t in sorted(showing)}
            for tuple_, single in only.items():
                v.model.add(total(showing[tuple_]) <= 1).only_enforce_if(single)
            for _, choice, var in (p for p in probes if p[0] == day):
                v.model.add_bool_or([~var, *(only[t] for t in choice.shows)])


def days_hold_their_probes(v: Variables) -> None:
    """A cut: what a day can hold by itself, probes and teachings, where that was found."""
    slots = grouped(v.slots, learners_day)
    for key, most in v.problem.day_most.items():
        v.model.add(total(p for s in slots.get(key, ()) for p in s.probes.values()) <= most)
