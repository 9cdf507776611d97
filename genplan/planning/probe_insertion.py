"""Probes put into a week one after the other, each where nothing stands in its way: what a search that ended before its
proof left lying, and a week for everybody where the clock ended it before everybody had a turn.

In each round every learner gets one probe, who is worst off first; so whatever the time, nobody is left without for
want of a turn.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from genplan.case.targets import ADULT, LOCATION
from genplan.coverage.tuples import tuples_of
from genplan.plan import ProbeKind
from genplan.planning.budget import Budget
from genplan.planning.caseload_problem import Caseload, Seats, all_seats
from genplan.planning.figures import new_tuples
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.jobs import Workers
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting, of_learner


def insert_probes(
    load: Caseload, seats: Seats, budget: Budget, most: Mapping[str, float]
) -> dict[str, tuple[PlacedSitting, ...]]:
    """The seats with every probe that can still be held and shows or repeats something. Who has no sitting gets a try
    whatever the budget. Nothing is looked for where a learner has `most`, the proven bound of its new tuples."""
    found = {i: tuple(seats.get(i, ())) for i in load.learners}
    never: dict[str, set[Choice]] = {i: set() for i in load.learners}
    waiting = [i for i in load.learners if _may_gain(load, i, found[i], most)]
    while waiting:
        for learner in sorted(waiting, key=lambda i: (_shown(load, i, found[i]), i)):
            more = _one_more(load, found, learner, budget, never[learner])
            if more is None:
                waiting.remove(learner)
            else:
                found[learner] = more
    return found


def best_inserted(
    load: Caseload, workers: Workers, starts: Sequence[Seats], most: Mapping[str, int]
) -> dict[str, tuple[PlacedSitting, ...]]:
    """The best that inserting makes of several beginnings, by the objectives in their order; of equals the first."""
    known = {i: most.get(i, 0) for i in load.learners}
    nothing = BestSoFar(load=load, most=known)
    found = [insert_probes(load, s, workers.budget.part(SETTINGS.inserting_share), known) for s in starts]
    told = {seat.learner for seat in load.told}
    found = [{i: _showing(load, own) if i in told else own for i, own in s.items()} for s in found]
    return max(found, key=lambda seats: nothing.with_seats(seats).worth)


def _showing(load: Caseload, own: tuple[PlacedSitting, ...]) -> tuple[PlacedSitting, ...]:
    """The seats without new probes that show nothing which no other shows on their day or before, late ones first: one
    that was inserted may show all of what another was for."""
    needs = {n.id: n for n in load.needs}
    kept = list(own)
    for seat in sorted(own, key=lambda s: s.start, reverse=True):
        for probe in (p for p in seat.probes if p.kind == ProbeKind.NEW):
            need, at = needs[probe.target], next(i for i, s in enumerate(kept) if s.start == seat.start)
            less = tuple(p for p in kept[at].probes if p != probe)
            shorter = replace(kept[at], end=kept[at].end - need.target.minutes, probes=less)
            others = [shorter if s is kept[at] else s for s in kept if s.day <= seat.day]
            if need.open.intersection(tuples_of(need.target, probe.combination)) <= new_tuples(need, others):
                kept[at : at + 1] = [shorter] if less else []
    return tuple(kept)


def _may_gain(
    load: Caseload, learner: str, own: tuple[PlacedSitting, ...], most: Mapping[str, float]
) -> bool:
    needs = [n for n in load.needs if n.target.learner == learner]
    due = sum(len(n.of_kind(ProbeKind.RETEST)) + (n.maintenance is not None) for n in needs)
    due += sum(teaching.times for n in needs for teaching in n.teachings) + sum(
        n.baseline.times for n in needs
    )
    held = sum(p.kind != ProbeKind.NEW for s in own for p in s.probes)
    return held < due or sum(len(new_tuples(n, own)) for n in needs) < most.get(learner, inf)


def _shown(load: Caseload, learner: str, own: tuple[PlacedSitting, ...]) -> float:
    """The part of what a learner is owed that the seats show."""
    needs = [n for n in load.needs if n.target.learner == learner]
    owed = sum(len(n.open) for n in needs)
    return sum(len(new_tuples(n, own)) for n in needs) / owed if owed else 1.0


def _one_more(
    load: Caseload, seats: Seats, learner: str, budget: Budget, never: set[Choice]
) -> tuple[PlacedSitting, ...] | None:
    """The learner's seats with the most valuable probe that fits; None: there is none, or no time to look for it.

    `never` are choices that found no way before. Seats are only added and only grow, so none opens for them, but in a
    sitting that was not there then; those of its adult and place are tried anew. What a choice shows plays no part."""
    own = seats[learner]
    if own and budget.is_over:
        return None
    fixed = (*load.begun, *(load.told if load.told_first else ()))
    ways = InsertionFinder(load.case, load.free, (*load.begun, *all_seats(seats)), load.openings)
    for choice in _by_worth(load, learner, own):
        asked = replace(choice, shows=())
        if asked in never:
            continue
        for before, after in ways.clear(choice):
            if before in fixed or (before and before.beside):
                continue  # a second adult who was found for it might not stay so long
            if before is None:
                never -= {c for c in never if _meeting(load, c) == (after.adult, after.location)}
            return tuple(sorted((*(s for s in own if s != before), after)))
        never.add(asked)
        if own and budget.is_over:
            break
    return None


def _by_worth(load: Caseload, learner: str, own: tuple[PlacedSitting, ...]) -> Iterator[Choice]:
    """What the learner is still owed beside its seats, the most valuable first, in the order of the objectives."""
    policy = load.case.policy
    most = {True: policy.probes_per_target_per_week, False: policy.teachings_per_target_per_week}
    held = Counter((p.target, p.is_probe) for s in (*of_learner(load.begun, learner), *own) for p in s.probes)
    held.update({(target, True): len(days) for target, days in load.free.recorded.items()})
    held.update({(target, False): len(days) for target, days in load.free.recorded_teachings.items()})
    found = []
    for need in load.needs:
        if need.target.learner != learner:
            continue
        left = need.beside(own)
        for choice in left.choices:
            is_probe = choice.kind.is_probe
            if held[need.id, is_probe] < most[is_probe] and not _needs_somebody(load, need, choice):
                worth = _worth(load, left, choice)
                if any(worth):
                    found.append((tuple(-w for w in worth), choice.target, choice.combination, choice))
    return (choice for *_, choice in sorted(found, key=lambda one: one[:3]))


def _worth(load: Caseload, need: TargetNeed, choice: Choice) -> tuple[int, ...]:
    """What one probe adds, by the objectives in their order."""
    shown = frozenset(choice.shows)
    weight = load.case.learners[need.target.learner].weight
    overdue = need.maintenance is not None and need.maintenance.due < load.week.monday
    kinds = {ProbeKind.RETEST: 1, ProbeKind.BASELINE: 1, ProbeKind.MAINTENANCE: 2 if overdue else 1}
    due = kinds.get(choice.kind, 0)
    taught = _worth_of_teaching(need, choice)
    new = len(need.wished.keys() & shown), weight * len(shown)
    if load.case.policy.teaching_first:
        return due, len(need.dated.keys() & shown), taught, *new
    return due, len(need.dated.keys() & shown), *new, taught


def _worth_of_teaching(need: TargetNeed, choice: Choice) -> int:
    """1 for a teaching that is owed, and 1 more for the last that a probe waits for."""
    dues = [due for due in need.teachings if choice.combination in due.combinations]
    return sum(1 + (due.unlocks and due.times == 1) for due in dues) if not choice.kind.is_probe else 0


def _meeting(load: Caseload, choice: Choice) -> tuple[str, str]:
    target = load.case.targets[choice.target]
    return target.value(choice.combination, ADULT), target.value(choice.combination, LOCATION)


def _needs_somebody(load: Caseload, need: TargetNeed, choice: Choice) -> bool:
    """Whether it can be held only with somebody beside, who is not looked for here."""
    adult = need.target.value(choice.combination, ADULT)
    return bool(choice.beside) or load.free.needs_companion(adult, need.target.learner)
