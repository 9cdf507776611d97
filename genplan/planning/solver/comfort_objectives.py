"""Objectives of how a week can be lived with."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from math import ceil

from genplan.case.windows import merge
from genplan.plan import ProbeKind
from genplan.planning.problem import holds_something
from genplan.planning.solver.slots import Linear, Slot
from genplan.planning.solver.variables import Variables, grouped, learners_day
from genplan.rules.placed_sittings import of_adult

LOAD_STEPS = 10


def left_to_others(v: Variables) -> Linear | None:
    """Minutes of people and places that learners who are planned later need too, each at its price; of people with the
    way to where nobody else is seen."""
    prices, detours = v.problem.prices, v.problem.detours
    terms = []
    for slot in v.slots:
        adult, location = prices.get(("adult", slot.adult), 0), prices.get(("location", slot.location), 0)
        if adult or location:
            terms.append((adult + location) * slot.minutes)
            terms.append(adult * detours.get(slot.location, 0) * slot.present)
    return sum(terms) if terms else None


def sittings_and_journeys(v: Variables) -> Linear | None:
    """Sittings, and for each learner, each adult and day the places beyond the first: home, park and home again are two
    places, so one more. Where an adult is for others anyway is no place more."""
    if not v.slots:
        return None
    there: dict[tuple[str, int], set[str]] = defaultdict(set)
    for seat in v.problem.others:
        there[seat.adult, seat.day].add(seat.location)
    counted = [s for s in v.slots if s.adult not in v.problem.travelling]
    return (
        sum(s.present for s in v.slots)
        + sum(_journeys(v, grouped(v.slots, lambda s: (s.learner, s.day)), {}))
        + sum(_journeys(v, grouped(counted, lambda s: (s.adult, s.day)), there))
    )


def probes(v: Variables) -> Linear | None:
    """No probe that shows nothing."""
    return sum(_probes_in(s) for s in v.slots) if v.slots else None


def most_held(v: Variables) -> int | None:
    """The most probes and teachings of all days together, where that is proven of each (`daily_capacity`)."""
    days = {learners_day(s) for s in v.slots}
    return sum(v.problem.day_most[d] for d in days) if days <= v.problem.day_most.keys() else None


def most_sittings_and_journeys(v: Variables) -> int | None:
    """A sitting holds something, and brings one place more at the most to its learner's day, and to its adult's."""
    held = most_held(v)
    return None if held is None else 3 * held


def largest_load(v: Variables) -> Linear | None:
    """The largest share of their minutes that an adult is asked for, in tenths (a finer measure takes long to prove
    and nobody feels it). What an adult can give is the limit of the week, or else the minutes in which some learner
    here could be met. What stays in any case, and what the weeks before gave, counts for all who could be met, whether
    or not anything new is theirs."""
    if not v.problem.case.policy.prefer.fair_shares:
        return None
    met: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for opening in v.problem.openings:
        if holds_something(v.problem, opening):
            for adult in {opening.adult, *(c.adult for c in v.problem.beside_in(opening))}:
                met[adult].append((opening.start, opening.end))
    shares, there = [], grouped(v.presences, lambda p: p.adult)
    for adult in sorted(met.keys() | there.keys()):
        hours = sum(w.length for w in merge(met[adult]))
        known = v.problem.can_give.get(adult)
        can_give = known or v.problem.case.adults[adult].limits.minutes_per_week or hours
        taken = sum(s.minutes for s in of_adult(v.problem.taken, adult))
        taken += v.problem.before.minutes.get(adult, 0) - v.problem.observing.get(adult, 0)
        most = ceil(LOAD_STEPS * (hours + taken) / can_give)  # an adult is in one sitting at a time
        new = sum(p.minutes for p in there.get(adult, ()))
        shares.append((LOAD_STEPS * (new + taken), can_give, most))
    least = v.problem.load_at_least
    if not shares and not least:
        return None
    largest = v.model.new_int_var(least, max(least, *(most for _, _, most in shares), 0), "largest load")
    for minutes, can_give, _ in shares:
        v.model.add(minutes <= largest * can_give)
    return largest


def fullest_days(v: Variables) -> Linear | None:
    """The probes of each learner's fullest day."""
    if not (v.slots and v.problem.case.policy.prefer.spread_over_days):
        return None
    return sum(_fullest_days(v))


def waiting_days(v: Variables) -> Linear | None:
    """Days after Monday on which something due is run, or something that fell through."""
    fell = {(n.id, c) for n in v.problem.needs for c, _ in n.fell_through}
    waiting = [
        s.day * p
        for s in v.slots
        for c, p in s.probes.items()
        if c.kind is not ProbeKind.NEW or (c.target, c.combination) in fell
    ]
    return sum(waiting) if waiting else None


def early_starts(v: Variables) -> Linear | None:
    """Earlier in the day rather than later."""
    return sum(s.step - s.first_step * (1 - s.present) for s in v.slots) if v.slots else None


def _journeys(
    v: Variables,
    slots_of: Mapping[tuple[str, int], Sequence[Slot]],
    there: Mapping[tuple[str, int], Collection[str]],
) -> list[Linear]:
    """For each person and day with more than one place in reach: the places used, less one; of a person who is `there`
    anyway, the other places used."""
    journeys: list[Linear] = []
    for (one, day), slots in slots_of.items():
        known = there.get((one, day), ())
        places: dict[str, list[Slot]] = defaultdict(list)
        for slot in slots:
            if slot.location not in known:
                places[slot.location].append(slot)
        if len(places) + len(known) < 2:
            continue
        used = []
        for place, here in places.items():
            used.append(v.model.new_bool_var(f"{one} on day {day} at {place}"))
            v.model.add_max_equality(used[-1], [s.present for s in here])
        if known:
            journeys.extend(used)
            continue
        changes = v.model.new_int_var(0, len(places) - 1, f"{one} on day {day} places beyond one")
        v.model.add(changes >= sum(used) - 1)
        journeys.append(changes)
    return journeys


def _probes_in(slot: Slot) -> Linear:
    return sum(p for c, p in slot.probes.items() if c.kind.is_probe)


def _fullest_days(v: Variables) -> list[Linear]:
    fullest: list[Linear] = []
    by_day = grouped(v.slots, learners_day)
    for learner in v.problem.learners:
        days = [key for key in by_day if key[0] == learner]
        limit = v.problem.case.learners[learner].limits.probes_per_day
        possible = sum(c.kind.is_probe for n in v.problem.needs_of(learner) for c in n.choices)
        held = max((v.problem.day_most.get(day, possible) for day in days), default=0)
        most = v.model.new_int_var(0, min(possible, limit or possible, held), f"{learner} fullest day")
        for day in days:
            v.model.add(most >= sum(_probes_in(s) for s in by_day[day]))
        fullest.append(most)
    return fullest
