"""Rules of where people and things are: one place at a time, with the rest, the way and the room that it takes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import combinations, product

from genplan.case.dated_facts import missing_in
from genplan.case.targets import MATERIAL_SET
from genplan.planning.needs import Choice
from genplan.planning.solver.slots import Bool, Interval, Slot, total
from genplan.planning.solver.variables import Presence, Variables, grouped, learners_day
from genplan.rules.placed_sittings import PlacedSitting


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
                taken = total(s.minutes + rest * s.present for s in inside)
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
