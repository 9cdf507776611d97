"""The objectives, one short function each; `OBJECTIVES` has them all.

They are lexicographic, in the order of `plan.ObjectiveName`: a later one only chooses among the plans that are best for
all before it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from math import ceil

from genplan.case import Combination
from genplan.case.people import NEEDS_SCALE
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import merge
from genplan.evidence.standing import Status
from genplan.plan import ObjectiveName, ProbeKind, in_order
from genplan.planning.problem import Problem, asked_teachings, holds_something
from genplan.planning.solver.covering import further_probes_of, shown_in_time
from genplan.planning.solver.variables import (
    Bool,
    Linear,
    Slot,
    Variables,
    grouped,
    learners_day,
    minutes_in,
    teachings_of,
)
from genplan.rules.placed_sittings import Person, of_adult, of_learners, people_in

MOST, FEWEST = "most", "fewest"
SHARE_SCALE = 1000
LOAD_STEPS = 10
TOLLS_A_TUPLE = 100


class Block(StrEnum):
    """Objectives that are searched for together (`weighted`)."""

    DUE = "what is due"
    WEEK = "what the week shows"
    COMFORT = "how it can be lived with"


BLOCK_EFFORTS = {Block.DUE: 1.0, Block.WEEK: 0.2, Block.COMFORT: 0.05}
"""The part of a stage's work that a block is worth, 0 to 1. Measured: what a week shows is seldom better with more, and
of comfort the proof alone takes longer."""


@dataclass(frozen=True)
class Goal:
    """One objective.

    - `name`: of which
    - `sense`: `MOST` or `FEWEST`
    - `expression`: makes a linear expression in whole numbers, or None where there is nothing to count
    - `block`: what it is searched for with; None for that of the objective before it
    - `scale`: the value that a person reads is the expression divided by it
    - `effort`: the part of a stage's work that it is worth by itself, where its block does not prove it, 0 to 1"""

    name: ObjectiveName
    sense: str
    expression: Callable[[Variables], Linear | None]
    block: Block | None
    _: KW_ONLY
    scale: int = 1
    effort: float = 0.0

    @property
    def searched_in(self) -> Block:
        """The block that it is in where nothing comes before it."""
        return self.block or Block.DUE


def due_probes(v: Variables) -> Linear | None:
    """Maintenance probes and retests; a maintenance probe whose date is before this week counts twice. And baseline
    probes: once it is taught there, it is too late for one."""
    monday = v.problem.week.monday
    terms = []
    for need in v.problem.needs:
        overdue = need.maintenance is not None and need.maintenance.due < monday
        terms += [(2 if overdue else 1) * p for p in v.probes_of(need.id, ProbeKind.MAINTENANCE)]
        terms += v.probes_of(need.id, ProbeKind.RETEST)
        terms += v.probes_of(need.id, ProbeKind.BASELINE)
    return sum(terms) if terms else None


def dated_tuples(v: Variables) -> Linear | None:
    terms = [term for n in v.problem.needs for term in shown_in_time(v, n, n.dated)]
    return sum(terms) if terms else None


def wished_tuples(v: Variables) -> Linear | None:
    terms = [term for n in v.problem.needs for term in shown_in_time(v, n, n.wished)]
    return sum(terms) if terms else None


def teachings(v: Variables) -> Linear | None:
    """Each teaching that is owed counts 1, and 1 more where a probe waits for the last of them."""
    terms: list[Linear] = []
    for need in v.problem.needs:
        for number, due in enumerate(need.teachings):
            held = teachings_of(v, need.id, due)
            terms += held
            if due.unlocks and held:
                terms.append(v.model.new_bool_var(f"{need.id} is through with teaching {number}"))
                v.model.add(due.times * terms[-1] <= sum(held))
    return sum(terms) if terms else None


def smallest_share(v: Variables) -> Linear | None:
    """The new tuples of the learner who is worst off, as a share of the most that this learner could have alone."""
    alone = {learner: most for learner, most in sorted(v.problem.alone.items()) if most > 0}
    if len(v.problem.learners) < 2 or not alone:
        return None
    share = v.model.new_int_var(0, SHARE_SCALE, "smallest share")
    for learner in v.problem.learners:
        if learner in alone:
            v.model.add(share * alone[learner] <= SHARE_SCALE * sum(_new_of(v, learner)))
    return share


def new_tuples(v: Variables) -> Linear | None:
    """Tuples shown for the first time, weighted by what each learner needs."""
    terms = []
    for learner in v.problem.learners:
        weight = v.problem.case.learners[learner].weight
        terms += [weight * covered for covered in _new_of(v, learner)]
    return sum(terms) if terms else None


def as_told(v: Variables) -> Linear | None:
    """Of what people were told: each sitting that stays at its time counts 2, each probe and each second adult who is
    needed and stays in it 1, and 2 more if nothing in it is otherwise: then nobody has to be told."""
    terms: list[Linear] = []
    grid = v.problem.case.policy.start_every_minutes
    slots = grouped(v.slots, lambda s: (s.learner, s.adult, s.location, s.day))
    for seat in of_learners(v.problem.told, v.problem.learners):
        told = {(p.target, p.combination, p.is_probe) for p in seat.probes}
        beside: list[Bool] = []
        kept: dict[tuple[str, Combination, bool], list[Bool]] = defaultdict(list)
        for slot in slots.get((seat.learner, seat.adult, seat.location, seat.day), []):
            each = [((c.target, c.combination, c.kind.is_probe), var) for c, var in slot.probes.items()]
            stay = [var for what, var in each if what in told]
            others = [var for what, var in each if what not in told]
            for what, var in each:
                if what in told:
                    kept[what].append(var)
            if seat.beside_as.is_needed:
                company = [c.present for c in slot.companions if c.adult == seat.beside]
                stay += company
                beside += company
            if not slot.opening.start <= seat.start < slot.opening.end:
                continue
            in_time = v.model.new_bool_var(f"{slot.name} at {seat.start} as told")
            v.model.add_implication(in_time, slot.present)
            v.model.add(slot.step * grid == seat.start % MINUTES_PER_DAY).only_enforce_if(in_time)
            terms.append(2 * in_time)
            if len(stay) == len(told) + seat.beside_as.is_needed:
                whole = _all_of(v, f"{slot.name} whole as told", (in_time, *stay), others)
                terms.append(2 * whole)
        for (target, _, is_probe), several in kept.items():
            # a combination may be taught twice on a day, and stays once
            once = is_probe or len(several) == 1
            terms += several if once else [_any_of(v, f"{target} taught {seat.start} as told", several)]
        if beside:
            terms.append(_any_of(v, f"{seat.learner} {seat.start} beside {seat.beside} as told", beside))
    return sum(terms) if terms else None


def people_told(v: Variables) -> Linear | None:
    """Everybody of a sitting that is not as they were told, or that they were not told of; and who has to be told
    something in any case."""
    was_told = v.problem.told or v.problem.held_as_told
    told = dict.fromkeys(sorted(v.problem.told_anyway), 1) if was_told else {}
    variables: dict[Person, Bool] = {}

    def has_to_be_told(person: Person) -> Bool:
        if person not in variables:
            variables[person] = v.model.new_bool_var(f"{' '.join(person)} is told")
        return variables[person]

    stays = v.stays
    for seat, as_it_was in stays.items():
        for person in people_in(seat) - told.keys():
            v.model.add_bool_or([has_to_be_told(person), *(var for _, var in as_it_was)])
    of_slot: dict[int, list[Bool]] = defaultdict(list)
    for slot, var in (each for as_it_was in stays.values() for each in as_it_was):
        of_slot[id(slot)].append(var)
    for there in v.presences:
        for person in {("adult", there.adult), ("learner", there.learner)} - told.keys():
            as_told = of_slot[id(there.slot)]
            v.model.add_bool_or([~there.present, has_to_be_told(person), *as_told])
    return len(told) + sum(variables.values()) if told or variables else None


def sittings_otherwise(v: Variables) -> Linear | None:
    """Sittings that people were told of and that are not held just so."""
    terms = [1 - sum(var for _, var in as_it_was) for as_it_was in v.stays.values()]
    return sum(terms) if terms else None


def _any_of(v: Variables, name: str, several: Sequence[Bool]) -> Bool:
    """A boolean that may be true only if one of these is."""
    one = v.model.new_bool_var(name)
    v.model.add(one <= sum(several))
    return one


def _all_of(v: Variables, name: str, wanted: Iterable[Bool], unwanted: Iterable[Bool]) -> Bool:
    """A boolean that may be true only if all wanted ones are and no unwanted one is."""
    whole = v.model.new_bool_var(name)
    for var in wanted:
        v.model.add_implication(whole, var)
    for var in unwanted:
        v.model.add_implication(whole, ~var)
    return whole


def rather_held(v: Variables) -> Linear | None:
    """Sittings with an adult in a stretch that somebody would rather have: each that is held counts 1."""
    terms = []
    for number, rather in enumerate(r for r in v.problem.rather if r.learner in v.problem.learners):
        within: list[Bool] = []
        for slot in v.slots:
            if (slot.learner, slot.adult) != (rather.learner, rather.adult):
                continue
            if slot.opening.end <= rather.start or rather.end <= slot.opening.start:
                continue
            inside = v.model.new_bool_var(f"{slot.name} rather {number}")
            v.model.add_implication(inside, slot.present)
            v.model.add(slot.start >= rather.start).only_enforce_if(inside)
            v.model.add(slot.end <= rather.end).only_enforce_if(inside)
            within.append(inside)
        if within:
            terms.append(_any_of(v, f"rather {number}", within))
    return sum(terms) if terms else None


def asked_tuples(v: Variables) -> Linear | None:
    """Each tuple that is asked for, and each teaching."""
    terms = [v.covered[key] for key in sorted(v.problem.asked)]
    for need, due in asked_teachings(v.problem):
        terms += teachings_of(v, need.id, due)
    return sum(terms) if terms else None


def worth(v: Variables) -> Linear | None:
    """New tuples, weighted, less the toll of each sitting with an adult or at a place that has one."""
    tuples, tolls = new_tuples(v), v.problem.tolls
    if tuples is None:
        return None
    due = [tolls.get(("adult", s.adult), 0) + tolls.get(("location", s.location), 0) for s in v.slots]
    whole = NEEDS_SCALE // TOLLS_A_TUPLE
    return tuples - sum(whole * toll * s.present for toll, s in zip(due, v.slots, strict=True) if toll)


def left_to_others(v: Variables) -> Linear | None:
    """Minutes of people and places that learners who are planned later need too, each at its price; of people with the
    way to where nobody else is seen."""
    prices, detours = v.problem.prices, v.problem.detours
    terms = []
    for slot in v.slots:
        adult, location = prices.get(("adult", slot.adult), 0), prices.get(("location", slot.location), 0)
        if adult or location:
            terms.append((adult + location) * minutes_in(v, slot))
            terms.append(adult * detours.get(slot.location, 0) * slot.present)
    return sum(terms) if terms else None


def changes_at_once(v: Variables) -> Linear | None:
    """Where the policy asks for one change at a time: for each new probe the dimensions, beyond one, in which it
    differs from the nearest combination that was met or taught."""
    if not v.problem.case.policy.prefer.one_change_at_a_time:
        return None
    terms = []
    for need in v.problem.needs:
        known = [c for c, s in need.tally.standings.items() if s.status in (Status.MET, Status.TAUGHT)]
        for slot in v.slots:
            for choice, var in slot.probes.items():
                if known and choice.target == need.id and choice.kind is ProbeKind.NEW:
                    changes = min(
                        sum(a != b for a, b in zip(choice.combination, c, strict=True)) for c in known
                    )
                    terms.append((changes - 1) * var)
    return sum(terms) if terms else None


def further_probes(v: Variables) -> Linear | None:
    """Probes that would finish all targets after this week, at the least."""
    columns = further_probes_of(v)
    return sum(columns) if columns else None


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


def largest_load(v: Variables) -> Linear | None:
    """The largest share of their minutes that an adult is asked for, in tenths (a finer measure takes long to prove
    and nobody feels it). What an adult can give is the limit of the week, or else the minutes in which some learner
    here could be met. What stays in any case counts for all who could be met, whether or not anything new is theirs."""
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
    """Days after Monday on which something due is run."""
    waiting = [s.day * p for s in v.slots for c, p in s.probes.items() if c.kind is not ProbeKind.NEW]
    return sum(waiting) if waiting else None


def early_starts(v: Variables) -> Linear | None:
    """Earlier in the day rather than later."""
    return sum(s.step - s.first_step * (1 - s.present) for s in v.slots) if v.slots else None


_GOALS = (
    Goal(ObjectiveName.ASKED, MOST, asked_tuples, Block.DUE),
    Goal(ObjectiveName.RATHER, MOST, rather_held, Block.DUE),
    Goal(ObjectiveName.DUE, MOST, due_probes, Block.DUE),
    Goal(ObjectiveName.DATED, MOST, dated_tuples, Block.DUE),
    Goal(ObjectiveName.TEACHING, MOST, teachings, None, effort=1.0),
    Goal(ObjectiveName.WISHED, MOST, wished_tuples, Block.DUE),
    Goal(ObjectiveName.SHARES, MOST, smallest_share, Block.WEEK, scale=SHARE_SCALE, effort=1.0),
    Goal(ObjectiveName.NEW_TUPLES, MOST, new_tuples, Block.WEEK, scale=NEEDS_SCALE, effort=1.0),
    Goal(ObjectiveName.WORTH, MOST, worth, Block.WEEK, scale=NEEDS_SCALE, effort=1.0),
    Goal(ObjectiveName.CHANGES, FEWEST, changes_at_once, Block.WEEK),
    Goal(ObjectiveName.PEOPLE, FEWEST, people_told, Block.DUE),
    Goal(ObjectiveName.OTHERWISE, FEWEST, sittings_otherwise, Block.DUE),
    Goal(ObjectiveName.TOLD, MOST, as_told, None),
    Goal(ObjectiveName.FURTHER_PROBES, FEWEST, further_probes, Block.WEEK),
    Goal(ObjectiveName.SITTINGS, FEWEST, sittings_and_journeys, Block.WEEK),
    Goal(ObjectiveName.PROBES, FEWEST, probes, Block.WEEK),
    Goal(ObjectiveName.LOADS, FEWEST, largest_load, Block.COMFORT),
    Goal(ObjectiveName.SPREAD, FEWEST, fullest_days, Block.COMFORT),
    Goal(ObjectiveName.WAITING, FEWEST, waiting_days, Block.COMFORT),
    Goal(ObjectiveName.EARLY, FEWEST, early_starts, Block.COMFORT),
    Goal(ObjectiveName.LEFT_TO_OTHERS, FEWEST, left_to_others, Block.COMFORT),
)
OBJECTIVES: Mapping[ObjectiveName, Goal] = {g.name: g for g in _GOALS}


def goals_for(problem: Problem, names: Sequence[ObjectiveName]) -> list[Goal]:
    """The goals of these names. Raises ValueError where one is unknown, comes twice or out of order, or where the
    problem has nothing for it."""
    idle = {
        ObjectiveName.ASKED: not (problem.asked or problem.asked_teachings),
        ObjectiveName.PEOPLE: not (problem.told or problem.held_as_told),
        ObjectiveName.OTHERWISE: not problem.told,
        ObjectiveName.TOLD: not problem.told,
        ObjectiveName.RATHER: not problem.rather,
        ObjectiveName.WORTH: not problem.tolls,
        ObjectiveName.LEFT_TO_OTHERS: not problem.prices,
    }
    wrong = [n for n in names if n not in OBJECTIVES or idle.get(n) or list(names).count(n) > 1]
    first = problem.case.policy.teaching_first
    orders = (in_order(names, told_first=told, teaching_first=first) for told in (False, True))
    if not wrong and tuple(names) not in orders:
        raise ValueError(f"These objectives are out of order: {', '.join(names)}.")
    if wrong:
        raise ValueError(
            f"No search can be for {wrong[0]!r} here: the problem has nothing for it, or has it twice."
        )
    return [OBJECTIVES[n] for n in names]


def _new_of(v: Variables, learner: str) -> list[Bool]:
    return [v.covered[n.id, t] for n in v.problem.needs_of(learner) for t in sorted(n.open)]


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
    for learner in v.problem.learners:
        days = [
            [_probes_in(s) for s in slots]
            for (who, _), slots in grouped(v.slots, learners_day).items()
            if who == learner
        ]
        limit = v.problem.case.learners[learner].limits.probes_per_day
        possible = sum(c.kind.is_probe for n in v.problem.needs_of(learner) for c in n.choices)
        most = v.model.new_int_var(0, min(possible, limit or possible), f"{learner} fullest day")
        for probes_of_day in days:
            v.model.add(most >= sum(probes_of_day))
        fullest.append(most)
    return fullest
