"""The objectives' values of given seats, counted on plain values: what a caseload's plan is worth as a whole."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from genplan.case import Case, Combination, Week
from genplan.case.people import NEEDS_SCALE
from genplan.case.wishes_of_planners import Rather
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.plan import ProbeKind
from genplan.planning.needs import TargetNeed
from genplan.planning.problem import Problem
from genplan.planning.told_anew import ToldAnew
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_learners

NOTHING_HAD: Mapping[str, int] = MappingProxyType({})


def new_tuples(need: TargetNeed, seats: Iterable[PlacedSitting]) -> frozenset[Tuple]:
    """The open tuples of one target that the seats show."""
    shown = {t for p in _probes_of(need, seats) if p.is_test for t in tuples_of(need.target, p.combination)}
    return need.open & shown


def _probes_of(need: TargetNeed, seats: Iterable[PlacedSitting]) -> Iterator[PlacedProbe]:
    """Those of one target: of a large caseload nearly all seats are other learners'."""
    learner, target = need.target.learner, need.id
    return (p for s in seats if s.learner == learner for p in s.probes if p.target == target)


def in_time(need: TargetNeed, seats: Sequence[PlacedSitting], wanted: Mapping[Tuple, int]) -> int:
    """How many of the wanted tuples the seats show, each on the day that is given with it or before."""
    by_day = {day: new_tuples(need, [s for s in seats if s.day <= day]) for day in set(wanted.values())}
    return sum(t in by_day[day] for t, day in wanted.items())


def due_value(need: TargetNeed, seats: Iterable[PlacedSitting], week: Week) -> int:
    """Retests and baseline probes count 1, a maintenance probe 1, or 2 where its date is before the week."""
    overdue = need.maintenance is not None and need.maintenance.due < week.monday
    worth = {
        ProbeKind.RETEST.value: 1,
        ProbeKind.BASELINE.value: 1,
        ProbeKind.MAINTENANCE.value: 2 if overdue else 1,
    }
    return sum(worth.get(str(p.kind), 0) for p in _probes_of(need, seats))


def teaching_value(need: TargetNeed, seats: Iterable[PlacedSitting]) -> int:
    """Teachings that are owed count 1, and 1 more where a probe waits for the last of them."""
    held = Counter(p.combination for p in _probes_of(need, seats) if not p.is_probe)
    return sum(due.worth(sum(held[c] for c in due.combinations)) for due in need.teachings)


def weeks_waited(need: TargetNeed, seats: Iterable[PlacedSitting]) -> int:
    """The whole weeks that what the seats teach has waited, once for each of what is owed."""
    held = {p.combination for s in seats for p in s.probes if p.target == need.id and not p.is_probe}
    return sum(due.waited for due in need.teachings if held.intersection(due.combinations))


def coverage_counts(needs: Sequence[TargetNeed], seats: Sequence[PlacedSitting]) -> dict[str, int]:
    """What of the needs the seats hold, as plain counts by objective: probes that are due, tuples of each sort."""
    fresh = {n.id: new_tuples(n, seats) for n in needs}
    return {
        "due": sum(p.target in fresh and ProbeKind(p.kind).is_due for s in seats for p in s.probes),
        "dated": sum(in_time(n, seats, n.dated) for n in needs),
        "teaching": sum(p.target in fresh and not p.is_probe for s in seats for p in s.probes),
        "waited": sum(weeks_waited(n, seats) for n in needs),
        "wished": sum(in_time(n, seats, n.wished) for n in needs),
        "new tuples": sum(map(len, fresh.values())),
    }


def thousandths(shown: int, most: int, had: int = 0) -> int:
    """A learner's share of the `most` new tuples that it could have alone, in whole thousandths, since a division in
    between can lose one; what it `had` in the weeks before is added to both."""
    return 1000 * (had + shown) // (had + most)


def coverage_values(
    case: Case,
    week: Week,
    needs: Sequence[TargetNeed],
    seats: Sequence[PlacedSitting],
    alone: Mapping[str, int],
    had: Mapping[str, int] = NOTHING_HAD,
) -> dict[str, float]:
    """The values of the coverage objectives, by name, for the learners of these needs; `had` are the new tuples of the
    weeks before that count as well. Where nobody can have anything there is no share."""
    fresh = {n.id: new_tuples(n, seats) for n in needs}
    by_learner: dict[str, int] = defaultdict(int)
    for need in needs:
        by_learner[need.target.learner] += len(fresh[need.id])
    shares = [
        thousandths(by_learner[i], most, had.get(i, 0))
        for i, most in sorted(alone.items())
        if most > 0 and i in by_learner
    ]
    weights = {i: case.learners[i].weight for i in by_learner}
    return {
        "due": sum(due_value(n, seats, week) for n in needs),
        "dated": sum(in_time(n, seats, n.dated) for n in needs),
        "teaching": sum(teaching_value(n, seats) for n in needs),
        "waited": sum(weeks_waited(n, seats) for n in needs),
        "wished": sum(in_time(n, seats, n.wished) for n in needs),
        "shares": min((1000, *shares)) / 1000 if shares else 0.0,
        "new tuples": sum(weights[i] * count for i, count in by_learner.items()) / NEEDS_SCALE,
    }


def counted_values(
    case: Case,
    week: Week,
    needs: Sequence[TargetNeed],
    seats: Sequence[PlacedSitting],
    alone: Mapping[str, int],
    told: Iterable[PlacedSitting],
    learners: Collection[str],
    told_anew: ToldAnew | None = None,
    rather: Iterable[Rather] = (),
    had: Mapping[str, int] = NOTHING_HAD,
) -> dict[str, float]:
    """The values, by name, of the objectives that the seats alone decide; `alone` is empty where nothing is shared."""
    anew = told_anew or ToldAnew.of(of_learners(told, learners), (), seats)
    return coverage_values(case, week, needs, seats, alone, had) | {
        "people told": float(len(anew.people)),
        "otherwise": float(anew.otherwise),
        "told": told_value(told, seats, learners),
        "rather": rather_value(rather, seats, learners),
        "sittings": float(sittings_and_journeys(seats)),
        "probes": float(sum(len(s.real_probes) for s in seats)),
    }


def values_in(problem: Problem, seats: Sequence[PlacedSitting]) -> dict[str, float]:
    """The same for the learners of a problem."""
    alone = problem.alone if problem.has_shares else {}
    anew = ToldAnew.of(of_learners(problem.told, problem.learners), problem.lost, seats, problem.told_anyway)
    return counted_values(
        problem.case,
        problem.week,
        problem.needs,
        seats,
        alone,
        problem.told,
        problem.learners,
        anew,
        problem.rather,
        problem.before.tuples,
    )


def is_held(rather: Rather, seats: Iterable[PlacedSitting]) -> bool:
    """Whether a sitting of the learner with the adult lies in the stretch."""
    return any(
        (s.learner, s.adult) == (rather.learner, rather.adult)
        and rather.start <= s.start
        and s.end <= rather.end
        for s in seats
    )


def rather_value(
    rather: Iterable[Rather], seats: Sequence[PlacedSitting], learners: Collection[str]
) -> float:
    """How many of the sittings that somebody would rather have for these learners are held."""
    return float(sum(is_held(r, seats) for r in rather if r.learner in learners))


def told_value(
    told: Iterable[PlacedSitting], seats: Sequence[PlacedSitting], learners: Iterable[str]
) -> float:
    """Of what these learners' people were told: sittings that stay at their time, be it in another place, twice, probes
    and second adults who are needed and stay, and sittings in which nothing is otherwise, twice."""
    value = 0
    for seat in of_learners(told, learners):
        met = [s for s in seats if (s.learner, s.adult, s.day) == (seat.learner, seat.adult, seat.day)]
        same = [s for s in met if s.location == seat.location]
        value += 2 * any(s.start == seat.start for s in met)
        value += len(_run(seat) & {p for s in same for p in _run(s)})
        value += seat.beside_as.is_needed and any(
            s.beside_as.is_needed and s.beside == seat.beside for s in same
        )
        value += 2 * any(_is_as_told(seat, s) for s in same)
    return float(value)


def _is_as_told(told: PlacedSitting, seat: PlacedSitting) -> bool:
    same_beside = not told.beside_as.is_needed or seat.beside == told.beside
    return seat.start == told.start and _run(seat) == _run(told) and same_beside


def _run(seat: PlacedSitting) -> set[tuple[str, Combination, bool]]:
    return {(p.target, p.combination, p.is_probe) for p in seat.probes}


def sittings_and_journeys(seats: Sequence[PlacedSitting]) -> int:
    """Sittings, and for each person and day the places used, less one."""
    places: dict[tuple[str, str, int], set[str]] = defaultdict(set)
    for seat in seats:
        places["learner", seat.learner, seat.day].add(seat.location)
        places["adult", seat.adult, seat.day].add(seat.location)
    return len(seats) + sum(len(used) - 1 for used in places.values())
