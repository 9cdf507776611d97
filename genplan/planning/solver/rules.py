"""The rules that no plan may break, one short function each; `RULES` is the whole list.

What only one sitting decides (free hours, opening times, what is possible at all) is already in the openings and the
choices; here is what sittings and probes do to each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import combinations, pairwise, product
from typing import TypeVar

from genplan.case.dated_facts import missing_in
from genplan.case.people import AdultLimits, LearnerLimits
from genplan.case.targets import MATERIAL_SET
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.wishes_of_planners import Thing
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice
from genplan.planning.solver.variables import (
    Bool,
    Interval,
    Linear,
    Presence,
    Slot,
    Variables,
    grouped,
    learners_day,
    minutes_in,
    minutes_of,
    teachings_of,
)
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount, Span, Unit
from genplan.rules.placed_sittings import PlacedSitting, of_adult, of_learner
from genplan.rules.wishes import is_of

Rule = Callable[[Variables], None]
There = TypeVar("There", Slot, Presence)


def probes_only_in_held_sittings(v: Variables) -> None:
    """A sitting holds at least one probe or teaching, at most one of a target, and no more probes than the learner's
    limit allows."""
    for slot in v.slots:
        limit = v.problem.case.learners[slot.learner].limits.probes_per_sitting
        by_target = defaultdict(list)
        for choice, var in slot.probes.items():
            by_target[choice.target].append(var)
        for probes in by_target.values():
            v.model.add(sum(probes) <= slot.present)
        total = sum(slot.probes.values())
        v.model.add(total >= slot.present)
        # the linear form with the cap on the sitting proves the fewest sittings; an implication a probe does not
        only_probes = all(c.kind.is_probe for c in slot.probes)
        most = len(by_target) if limit is None or not only_probes else min(limit, len(by_target))
        v.model.add(total <= most * slot.present)
        if limit is not None and not only_probes:
            v.model.add(_things(slot, lambda c: c.kind.is_probe) <= limit * slot.present)


def sitting_minutes_hold(v: Variables) -> None:
    """A sitting's length is the settling time and its probes, at most what the learner can sit."""
    for slot in v.slots:
        limit = v.problem.case.learners[slot.learner].limits.sitting_minutes
        if limit is not None:
            minutes = sum(minutes_of(v.problem, c) * p for c, p in slot.probes.items())
            v.model.add(minutes <= (limit - v.problem.case.policy.settle_minutes) * slot.present)


def copies_in_order(v: Variables) -> None:
    """Sittings of the same opening are interchangeable: they are used in order of time."""
    rest = v.problem.case.policy.rest_minutes
    for slots in grouped(v.slots, lambda s: s.opening).values():
        for earlier, later in pairwise(slots):
            v.model.add_implication(later.present, earlier.present)
            v.model.add(later.start >= earlier.end + rest).only_enforce_if(later.present)


def learner_rests_between_sittings(v: Variables) -> None:
    """One sitting of a learner at a time, and the rest between two."""
    rest = v.problem.case.policy.rest_minutes
    for slots in grouped(v.slots, lambda s: s.learner).values():
        v.model.add_no_overlap(_with_rest(v, slot, rest) for slot in slots)


def stretches_hold_their_minutes(v: Variables) -> None:
    """What follows from the rest between sittings, said in one line a stretch: sittings that all lie within it, each
    with a rest behind it, take no more than the stretch and one rest. The linear relaxation needs to be told."""
    rest = v.problem.case.policy.rest_minutes
    for slots in grouped(v.slots, learners_day).values():
        starts = sorted({s.opening.start for s in slots})
        ends = sorted({s.opening.end for s in slots})
        for start, end in product(starts, ends):
            inside = [s for s in slots if start <= s.opening.start and s.opening.end <= end]
            if len(inside) > 1:
                taken = sum(minutes_in(v, s) + rest * s.present for s in inside)
                v.model.add(taken <= end - start + rest)


def learner_travels(v: Variables) -> None:
    """Where the way is longer than the rest, it decides."""
    rest = v.problem.case.policy.rest_minutes
    for slots in grouped(v.slots, learners_day).values():
        for one, other in combinations(slots, 2):
            way = v.problem.case.travel.minutes(one.location, other.location)
            if way > rest:
                _apart(v, one, other, way)


def adult_is_in_one_place(v: Variables) -> None:
    """One sitting of an adult at a time, run or sat beside, with the way between two places. With one learner the
    learner's own way and rest see to it, so only adults whom several learners here share need the rule."""
    for there in grouped(v.presences, lambda p: (p.adult, p.day)).values():
        if len({p.learner for p in there}) < 2:
            continue
        v.model.add_no_overlap([p.interval for p in there])
        for one, other in combinations(there, 2):
            way = v.problem.case.travel.minutes(one.location, other.location)
            if one.learner != other.learner and way > 0:
                _apart(v, one, other, way)


def location_holds_its_capacity(v: Variables) -> None:
    for (location, day), slots in grouped(v.slots, lambda s: (s.location, s.day)).items():
        capacity = v.problem.case.locations[location].capacity
        others = [s for s in v.problem.taken if s.location == location and s.day == day]
        if len({s.learner for s in slots} | {s.learner for s in others}) <= capacity:
            continue
        intervals = [s.interval for s in slots] + [_fixed(v, s.start, s.end) for s in others]
        v.model.add_cumulative(intervals, [1] * len(intervals), capacity)


def material_sets_are_not_in_two_places(v: Variables) -> None:
    """At most `copies` sittings use a set at a time; a single copy needs the way between two places."""
    for (name, day), users in _users_of_sets(v).items():
        copies = v.problem.case.material_sets[name].copies
        others = [s for s in v.problem.taken if name in s.material_sets and s.day == day]
        if len({slot.learner for slot, _ in users} | {s.learner for s in others}) <= copies:
            continue
        intervals = [_interval_if(v, slot, used) for slot, used in users]
        intervals += [_fixed(v, s.start, s.end) for s in others]
        v.model.add_cumulative(intervals, [1] * len(intervals), copies)
        if copies == 1:
            _single_copy_travels(v, users, others)


def _single_copy_travels(
    v: Variables, users: Sequence[tuple[Slot, Bool]], others: Iterable[PlacedSitting]
) -> None:
    travel = v.problem.case.travel
    for (one, uses_one), (other, uses_other) in combinations(users, 2):
        way = travel.minutes(one.location, other.location)
        if one.learner != other.learner and way > 0:
            _apart(v, one, other, way, uses_one, uses_other)
    for slot, used in users:
        for seat in others:
            way = travel.minutes(slot.location, seat.location)
            if way > 0:
                before = v.model.new_bool_var(f"{slot.name} before {seat.learner} {seat.start}")
                v.model.add(slot.end + way <= seat.start).only_enforce_if(used, before)
                v.model.add(slot.start >= seat.end + way).only_enforce_if(used, before.negated())


def sets_are_there(v: Variables) -> None:
    """A sitting with a set lies before or after the minutes in which the set is missing."""
    for slot in v.slots:
        befores: dict[tuple[str, int], Bool] = {}
        for choice, var in slot.probes.items():
            name = _material_set(v, choice)
            for gap in missing_in(v.problem.case.material_sets[name], v.problem.week):
                if slot.opening.start < gap.end and gap.start < slot.opening.end:
                    if (name, gap.start) not in befores:
                        befores[name, gap.start] = v.model.new_bool_var(f"{slot.name} before {name} goes")
                    before = befores[name, gap.start]
                    v.model.add(slot.end <= gap.start).only_enforce_if(var, before)
                    v.model.add(slot.start >= gap.end).only_enforce_if(var, before.negated())


def learner_amounts_hold(v: Variables) -> None:
    """The limits of a learner on a day and in the week, begun sittings counted."""
    limits = {i: x.limits for i, x in v.problem.case.learners.items()}
    for span in (Span.DAY, Span.WEEK):
        for (learner, day), slots in _in_spans(v.slots, lambda s: s.learner, span).items():
            taken = of_learner(v.problem.taken, learner)
            _amounts_hold(v, LEARNER_AMOUNTS, span, limits[learner], slots, _on(taken, day))


def adult_amounts_hold(v: Variables) -> None:
    """The limits of an adult, who runs a sitting or sits beside, on a day and in the week."""
    limits = {i: x.limits for i, x in v.problem.case.adults.items()}
    for span in (Span.DAY, Span.WEEK):
        for (adult, day), there in _in_spans(v.presences, lambda p: p.adult, span).items():
            taken = of_adult(v.problem.taken, adult)
            _amounts_hold(v, ADULT_AMOUNTS, span, limits[adult], there, _on(taken, day))


def _in_spans(
    things: Iterable[There], who: Callable[[There], str], span: Span
) -> dict[tuple[str, int | None], list[There]]:
    """What counts together of each person: by day, or, with None for the day, of the week."""
    return grouped(things, lambda x: (who(x), x.day if span is Span.DAY else None))


def _on(seats: Sequence[PlacedSitting], day: int | None) -> list[PlacedSitting]:
    """The seats of a day, or all."""
    return [s for s in seats if day in (None, s.day)]


def _amounts_hold(
    v: Variables,
    amounts: Iterable[Amount],
    span: Span,
    limits: LearnerLimits | AdultLimits,
    there: Sequence[Slot] | Sequence[Presence],
    taken: Sequence[PlacedSitting],
) -> None:
    for amount in amounts:
        most = amount.most(limits)
        if amount.span is span and most is not None:
            left = most - sum(amount.of(s) for s in taken)
            v.model.add(_amount_in(v, amount.unit, there) <= max(0, left))


def _amount_in(v: Variables, unit: Unit, there: Sequence[Slot] | Sequence[Presence]) -> Linear:
    slots = [x.slot if isinstance(x, Presence) else x for x in there]
    match unit:
        case Unit.SITTINGS:
            return sum(x.present for x in there)
        case Unit.PROBES:
            return sum(_things(s, lambda c: c.kind.is_probe) for s in slots)
        case Unit.TEACHINGS:
            return sum(_things(s, lambda c: not c.kind.is_probe) for s in slots)
        case Unit.RETESTS:
            return sum(_things(s, lambda c: c.kind is ProbeKind.RETEST) for s in slots)
        case Unit.MINUTES:
            return sum(x.minutes if isinstance(x, Presence) else minutes_in(v, x) for x in there)


def target_limits_hold(v: Variables) -> None:
    """Probes of a target in a day and in the week, and teachings, begun sittings and what was run without a plan
    counted."""
    policy, problem = v.problem.case.policy, v.problem
    of_probes = (policy.probes_per_target_per_day, policy.probes_per_target_per_week)
    of_teachings = (policy.teachings_per_target_per_day, policy.teachings_per_target_per_week)
    for need in problem.needs:
        _target_limits_hold(v, need.id, True, problem.recorded.get(need.id, ()), *of_probes)
        if need.teachings:
            _target_limits_hold(v, need.id, False, problem.recorded_teachings.get(need.id, ()), *of_teachings)


def _target_limits_hold(
    v: Variables, target: str, probes: bool, recorded: Iterable[int], a_day: int, a_week: int
) -> None:
    """Of a target's probes, or of its teachings."""
    run = [s.day for s in v.problem.taken for p in s.probes if p.target == target and p.is_probe is probes]
    run += recorded
    by_day: dict[int, list[Bool]] = defaultdict(list)
    for slot in v.slots:
        by_day[slot.day] += [
            p for c, p in slot.probes.items() if c.target == target and c.kind.is_probe is probes
        ]
    for day, things in by_day.items():
        v.model.add(sum(things) <= max(0, a_day - run.count(day)))
    v.model.add(sum(p for things in by_day.values() for p in things) <= max(0, a_week - len(run)))


def nothing_is_probed_twice(v: Variables) -> None:
    """A combination is probed at most once in the week, and one maintenance probe of a target is enough; nothing is
    taught more often than it is owed."""
    for need in v.problem.needs:
        by_choice = defaultdict(list)
        for slot in v.slots:
            for choice, var in slot.probes.items():
                if choice.target == need.id and choice.kind.is_probe:
                    by_choice[choice.combination].append(var)
        for probes in by_choice.values():
            v.model.add(sum(probes) <= 1)
        for due in need.teachings:
            v.model.add(sum(teachings_of(v, need.id, due)) <= due.times)
        maintenance = v.probes_of(need.id, ProbeKind.MAINTENANCE)
        if maintenance:
            v.model.add(sum(maintenance) <= 1)


def nothing_is_probed_after_teaching(v: Variables) -> None:
    """No probe of a target in a sitting that begins after one of the same day in which it is taught: a minute of each
    day divides the probes of a target from its teachings."""
    if v.problem.case.policy.probe_after_teaching:
        return
    for need in v.problem.needs:
        of_need = [(s, c, p) for s in v.slots for c, p in s.probes.items() if c.target == need.id]
        for day, things in grouped(of_need, lambda x: x[0].day).items():
            probes = [(s, p) for s, c, p in things if c.kind.is_probe]
            teachings = [(s, p) for s, c, p in things if not c.kind.is_probe]
            _divided(v, need.id, day, probes, teachings)


def _divided(
    v: Variables,
    target: str,
    day: int,
    probes: Sequence[tuple[Slot, Bool]],
    teachings: Sequence[tuple[Slot, Bool]],
) -> None:
    taken = [
        (s.start, p.is_probe) for s in v.problem.taken if s.day == day for p in s.probes if p.target == target
    ]
    first, last = day * MINUTES_PER_DAY, (day + 1) * MINUTES_PER_DAY
    # nothing that is ahead comes before what was recorded
    no_later = min([start for start, is_probe in taken if not is_probe], default=last)
    if day in v.problem.recorded_teachings.get(target, ()):
        no_later = first - 1
    no_sooner = max([start for start, is_probe in taken if is_probe], default=first)
    for slot, var in probes if no_later < last else ():
        v.model.add(slot.start <= no_later).only_enforce_if(var)
    for slot, var in teachings if no_sooner > first else ():
        v.model.add(slot.start >= no_sooner).only_enforce_if(var)
    if probes and teachings:
        minute = v.model.new_int_var(first, last, f"{target} on day {day}: probes, then teachings")
        for slot, var in probes:
            v.model.add(slot.start <= minute).only_enforce_if(var)
        for slot, var in teachings:
            v.model.add(slot.start >= minute).only_enforce_if(var)


def new_probes_show_something(v: Variables) -> None:
    """Where people were told of the week, a new probe shows something that no other shows on its day or before: that
    it, or its sitting, stays as told is no reason to hold what shows nothing. Else the fewest probes see to it."""
    told = {seat.learner for seat in v.problem.told}
    for need in (n for n in v.problem.needs if n.target.learner in told):
        probes = [
            (slot.day, choice, var)
            for slot in v.slots
            for choice, var in slot.probes.items()
            if choice.target == need.id and choice.kind is ProbeKind.NEW
        ]
        for day in sorted({day for day, *_ in probes}):
            showing: dict[Tuple, list[Bool]] = defaultdict(list)
            for _, choice, var in (p for p in probes if p[0] <= day):
                for tuple_ in choice.shows:
                    showing[tuple_].append(var)
            only = {t: v.model.new_bool_var(f"{need.id} {t} once by day {day}") for t in sorted(showing)}
            for tuple_, single in only.items():
                v.model.add(sum(showing[tuple_]) <= 1).only_enforce_if(single)
            for _, choice, var in (p for p in probes if p[0] == day):
                v.model.add_bool_or([~var, *(only[t] for t in choice.shows)])


def things_apart_keep_apart(v: Variables) -> None:
    """Two things that are wished apart are not on one day; the same one twice is there once at the most."""
    for apart in v.problem.case.apart:
        for day in apart.days:
            ones, others = (_there_on(v, thing, day) for thing in (apart.one, apart.other))
            held, hers = (
                sum(is_of(thing, s) for s in v.problem.taken if s.day == day)
                for thing in (apart.one, apart.other)
            )
            if apart.one == apart.other:
                v.model.add(sum(ones) <= max(0, 1 - held))
                continue
            if ones and hers:
                v.model.add(sum(ones) == 0)
            if others and held:
                v.model.add(sum(others) == 0)
            if ones and others:
                first = v.model.new_bool_var(f"{apart.one} and not {apart.other} on day {day}")
                for var in ones:
                    v.model.add_implication(var, first)
                for var in others:
                    v.model.add_implication(var, ~first)


def _there_on(v: Variables, thing: Thing, day: int) -> list[Bool]:
    """What says that a thing is there on a day."""
    slots = [s for s in v.slots if s.day == day]
    if thing.target:
        return [p for s in slots for c, p in s.probes.items() if c.target == thing.target]
    return [s.present for s in slots if (s.adult, s.learner) == (thing.adult, thing.learner)]


def days_hold_their_probes(v: Variables) -> None:
    """A cut: what a day can hold by itself, probes and teachings, where that was found."""
    slots = grouped(v.slots, learners_day)
    for key, most in v.problem.day_most.items():
        v.model.add(sum(p for s in slots.get(key, ()) for p in s.probes.values()) <= most)


RULES: tuple[Rule, ...] = (
    probes_only_in_held_sittings,
    sitting_minutes_hold,
    copies_in_order,
    learner_rests_between_sittings,
    stretches_hold_their_minutes,
    learner_travels,
    adult_is_in_one_place,
    location_holds_its_capacity,
    material_sets_are_not_in_two_places,
    sets_are_there,
    learner_amounts_hold,
    adult_amounts_hold,
    target_limits_hold,
    nothing_is_probed_twice,
    nothing_is_probed_after_teaching,
    new_probes_show_something,
    things_apart_keep_apart,
    days_hold_their_probes,
)


def _things(slot: Slot, wanted: Callable[[Choice], bool]) -> Linear:
    """How many of the wanted probes, or teachings, are in the slot."""
    return sum(p for c, p in slot.probes.items() if wanted(c))


def _users_of_sets(v: Variables) -> dict[tuple[str, int], list[tuple[Slot, Bool]]]:
    """For each contested set and day the slots that may use it, each with a variable that says whether it does."""
    users: dict[tuple[str, int], list[tuple[Slot, Bool]]] = defaultdict(list)
    contested = _contested_sets(v)
    for slot in v.slots if contested else ():
        by_set = defaultdict(list)
        for choice, var in slot.probes.items():
            if (name := _material_set(v, choice)) in contested:
                by_set[name].append(var)
        for name, probes in by_set.items():
            used = v.model.new_bool_var(f"{slot.name} uses {name}")
            v.model.add_max_equality(used, probes)
            users[name, slot.day].append((slot, used))
    return users


def _contested_sets(v: Variables) -> set[str]:
    """The sets that more learners may use than they have copies; the sittings of one never lie at the same time."""
    learners: dict[str, set[str]] = defaultdict(set)
    for need in v.problem.needs:
        for choice in need.choices:
            learners[_material_set(v, choice)].add(need.target.learner)
    for seat in v.problem.taken:
        for name in seat.material_sets & learners.keys():
            learners[name].add(seat.learner)
    return {name for name, who in learners.items() if len(who) > v.problem.case.material_sets[name].copies}


def _material_set(v: Variables, choice: Choice) -> str:
    return v.problem.case.targets[choice.target].value(choice.combination, MATERIAL_SET)


def _with_rest(v: Variables, slot: Slot, rest: int) -> Interval:
    size = v.model.new_int_var(
        0, slot.opening.end - slot.opening.start + rest, f"{slot.name} minutes and rest"
    )
    return v.model.new_optional_interval_var(
        slot.start, size, slot.end + rest, slot.present, f"{slot.name} and rest"
    )


def _interval_if(v: Variables, slot: Slot, used: Bool) -> Interval:
    size = v.model.new_int_var(0, slot.opening.end - slot.opening.start, f"{used.name} minutes")
    return v.model.new_optional_interval_var(slot.start, size, slot.end, used, f"{used.name} interval")


def _fixed(v: Variables, start: int, end: int) -> Interval:
    return v.model.new_interval_var(start, end - start, end, f"{start} taken")


def _apart(v: Variables, one: Slot | Presence, other: Slot | Presence, way: int, *also: Bool) -> None:
    """If both are held (and all of `also` are true), one ends at least `way` minutes before the other starts."""
    if one.opening.end + way <= other.opening.start or other.opening.end + way <= one.opening.start:
        return
    first = v.model.new_bool_var(f"{one.name} before {other.name}")
    both = (one.present, other.present, *also)
    v.model.add(one.end + way <= other.start).only_enforce_if(*both, first)
    v.model.add(other.end + way <= one.start).only_enforce_if(*both, first.negated())
