"""The objectives' values of the whole plan, counted on its seats: what is told is what the seats are worth.

A search that was cut short can leave its own counts behind what its answer holds, and of learners who were planned one
after the other each has counted with the others as they were.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from genplan.case.week import MINUTES_PER_DAY
from genplan.evidence.standing import Status
from genplan.plan import Objective, ProbeKind, StageStatus
from genplan.planning.caseload_problem import Caseload
from genplan.planning.figures import counted_values, in_time
from genplan.planning.outcome import Outcome
from genplan.rules.placed_sittings import PlacedSitting, of_learner

TENTHS = 10


def recounted(load: Caseload, outcome: Outcome) -> Outcome:
    """The same outcome with values as they are counted. Of `further probes` the search's value stays: it is the size of
    a design that was found."""
    values = values_of(load, outcome.seats, outcome.alone)
    counted = tuple(_with_value(o, values) for o in outcome.objectives)
    if len(outcome.alone) < 2 or not any(outcome.alone.values()):
        counted = tuple(replace(o, value=0, bound=0) if o.name == "shares" else o for o in counted)
    return replace(outcome, objectives=counted)


def values_of(load: Caseload, seats: Sequence[PlacedSitting], alone: Mapping[str, int]) -> dict[str, float]:
    """The values of all objectives but `further probes`, by name."""
    anew = load.told_anew(seats)
    values = counted_values(
        load.case,
        load.week,
        load.needs,
        seats,
        alone,
        load.told,
        load.learners,
        anew,
        load.rather,
        load.before.tuples,
    )
    values["loads"] = float(largest_load(load, seats))
    own = [own_comfort(load, i, of_learner(seats, i)) for i in load.learners]
    none = own_comfort(load, "", ())  # what is owed to nobody any more comes to nothing
    return values | {name: sum((each[name] for each in own), at_first) for name, at_first in none.items()}


def _with_value(objective: Objective, values: Mapping[str, float]) -> Objective:
    if objective.status is StageStatus.NOT_REACHED:
        return objective
    value = values.get(objective.name, objective.value)
    proven = abs(value - objective.bound) < 1e-6
    return replace(objective, value=value, status=StageStatus.OPTIMAL if proven else objective.status)


def own_comfort(load: Caseload, learner: str, seats: Sequence[PlacedSitting]) -> dict[str, float]:
    """What the learner's own seats come to in the comfort objectives that add up over learners, by name."""
    grid = load.case.policy.start_every_minutes
    needs = [n for n in load.needs if n.target.learner == learner]
    fell = {(n.id, c) for n in needs for c, _ in n.fell_through}
    everything = [(s.day, p) for s in seats for p in s.probes]
    return {
        "changes": float(_changes_at_once(load, seats)),
        "fell through": float(len(fell - {(p.target, p.combination) for _, p in everything})),
        "probes": float(sum(len(s.real_probes) for s in seats)),
        "catch up": float(sum(len(n.catch_up) - in_time(n, seats, dict(n.catch_up)) for n in needs)),
        "spread": float(_fullest_day(seats) if load.case.policy.prefer.spread_over_days else 0),
        "waiting": float(
            sum(d for d, p in everything if p.kind != ProbeKind.NEW or (p.target, p.combination) in fell)
        ),
        "early": float(sum(s.start % MINUTES_PER_DAY // grid for s in seats)),
    }


def _fullest_day(seats: Iterable[PlacedSitting]) -> int:
    days: Counter[int] = Counter()
    for seat in seats:
        days[seat.day] += len(seat.real_probes)
    return max(days.values(), default=0)


def _changes_at_once(load: Caseload, seats: Sequence[PlacedSitting]) -> int:
    """For each new probe the dimensions, beyond one, in which it differs from the nearest combination that was met or
    taught, where the policy asks for one change at a time."""
    changes = 0
    for need in load.needs if load.case.policy.prefer.one_change_at_a_time else ():
        known = [c for c, s in need.tally.standings.items() if s.status in (Status.MET, Status.TAUGHT)]
        for p in (
            p for s in seats for p in s.probes if known and p.target == need.id and p.kind == ProbeKind.NEW
        ):
            changes += min(sum(a != b for a, b in zip(p.combination, c, strict=True)) for c in known) - 1
    return changes


def largest_load(load: Caseload, seats: Sequence[PlacedSitting]) -> int:
    """Tenths, rounded up, of what an adult can give, for the most burdened who can be met this week: of the limit of
    the week, or else of the minutes in which some learner can be met before anything is planned. An observer's time
    ahead is not counted: it is never asked for in a search. What the weeks before gave is, for fairness."""
    if not load.case.policy.prefer.fair_shares:
        return 0
    minutes = Counter(load.before.minutes)
    for seat in seats:
        minutes[seat.adult] += seat.minutes
        if seat.beside_as.is_needed:
            minutes[seat.beside] += seat.minutes
    for seat in load.begun:
        for adult in seat.adults:
            minutes[adult] += seat.minutes
    return max((-(-TENTHS * minutes[a] // can_give) for a, can_give in load.can_give.items()), default=0)
