"""The objectives' values of the whole plan, counted on its seats: what is told is what the seats are worth.

A search that was cut short can leave its own counts behind what its answer holds, and of learners who were planned one
after the other each has counted with the others as they were.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.windows import merge
from genplan.plan import Beside, Objective, ProbeKind, StageStatus
from genplan.planning.construction import Caseload
from genplan.planning.figures import counted_values
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Opening, starts_in
from genplan.planning.outcome import Outcome
from genplan.rules.placed_sittings import PlacedSitting

TENTHS = 10


def recounted(load: Caseload, outcome: Outcome) -> Outcome:
    """The same outcome with values as they are counted. Of `further probes` the search's value stays: it is the size of
    a design that was found."""
    seats = outcome.seats
    values = counted_values(
        load.case, load.week, load.needs, seats, outcome.alone, load.told, load.learners
    ) | {
        "loads": float(largest_load(load, seats)),
        "spread": float(sum(_fullest_days(load, seats))),
        "waiting": float(sum(s.day * (p.kind != ProbeKind.NEW) for s in seats for p in s.probes)),
    }
    counted = tuple(_with_value(o, values) for o in outcome.objectives)
    if len(outcome.alone) < 2 or not any(outcome.alone.values()):
        counted = tuple(replace(o, value=0, bound=0) if o.name == "shares" else o for o in counted)
    return replace(outcome, objectives=counted)


def _with_value(objective: Objective, values: Mapping[str, float]) -> Objective:
    if objective.status is StageStatus.NOT_REACHED:
        return objective
    value = values.get(objective.name, objective.value)
    proven = abs(value - objective.bound) < 1e-6
    return replace(objective, value=value, status=StageStatus.OPTIMAL if proven else objective.status)


def _fullest_days(load: Caseload, seats: Sequence[PlacedSitting]) -> Iterable[int]:
    if not load.case.policy.prefer.spread_over_days:
        return
    for learner in load.learners:
        days: dict[int, int] = defaultdict(int)
        for seat in seats:
            days[seat.day] += len(seat.probes) * (seat.learner == learner)
        yield max(days.values(), default=0)


def largest_load(load: Caseload, seats: Sequence[PlacedSitting]) -> int:
    """Tenths, rounded up, of what an adult can give, for the most burdened who can be met this week: of the limit of
    the week, or else of the minutes in which some learner can be met before anything is planned. An observer's time
    ahead is not counted: it is never asked for in a search."""
    if not load.case.policy.prefer.fair_shares:
        return 0
    largest = 0
    for adult, can_give in _can_give(load).items():
        asked = [s for s in seats if s.adult == adult or (s.beside, s.beside_as) == (adult, Beside.COMPANION)]
        asked += [s for s in load.begun if adult in s.adults]
        largest = max(largest, -(-TENTHS * sum(s.minutes for s in asked) // can_give))
    return largest


def _can_give(load: Caseload) -> dict[str, int]:
    stretches: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for learner in load.learners:
        problem = load.problem((learner,), (), {})
        for opening in problem.openings:
            if _holds_something(load, problem.needs, opening):
                companions = (c.adult for c in problem.companions.get(opening, ()))
                for adult in {opening.adult, *companions}:
                    stretches[adult].append((opening.start, opening.end))
    limits = {a: load.case.adults[a].limits.minutes_per_week for a in stretches}
    return {a: limits[a] or sum(w.length for w in merge(own)) for a, own in stretches.items()}


def _holds_something(load: Caseload, needs: Iterable[TargetNeed], opening: Opening) -> bool:
    """Whether a sitting of one probe fits into an opening."""
    settle, grid = load.case.policy.settle_minutes, load.case.policy.start_every_minutes
    for need in needs:
        minutes = settle + need.target.minutes
        for c in need.choices:
            adult, location, name = (
                need.target.value(c.combination, n) for n in (ADULT, LOCATION, MATERIAL_SET)
            )
            if (adult, location) == (opening.adult, opening.location):
                gaps = load.free.missing.get(name, ())
                if any(
                    not any(s < gap.end and gap.start < s + minutes for gap in gaps)
                    for s in starts_in(opening, minutes, grid)
                ):
                    return True
    return False
