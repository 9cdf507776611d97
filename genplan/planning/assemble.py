"""From seats in minutes to the plan that people read: ids, moments, coverage, matrix."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from types import MappingProxyType

from genplan.case import Case, Week
from genplan.case.sitting_ids import LETTERS, stem_of
from genplan.case.week import DAY_NAMES
from genplan.coverage.matrix import MatrixRow, matrix
from genplan.coverage.tally import fewest_at_least
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.plan import Probe, ProbeKind, Sitting, TargetCoverage
from genplan.planning.needs import TargetNeed
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def sittings_of(
    case: Case,
    week: Week,
    needs: Sequence[TargetNeed],
    seats: Iterable[PlacedSitting],
    begun: Sequence[Sitting],
    decided: Mapping[PlacedSitting, str] = MappingProxyType({}),
    told: Iterable[Sitting] = (),
    named: Iterable[str] = (),
) -> tuple[Sitting, ...]:
    """The plan's sittings in order of time, begun and decided ones among them, each probe with what it is the first to
    show. A decided one that people were told of keeps the id that is beside it, and so do those of `told` that stay.
    `named` are ids of what people were told of that has begun, held or not: nothing else is called so."""
    known = {seat: id_ for seat, id_ in decided.items() if id_}
    others = (*seats, *(seat for seat, id_ in decided.items() if not id_))
    ids = known | _ids(week, others, {*(s.id for s in begun), *named, *known.values()}, told)
    new = [_sitting(case, week, seat, id_) for seat, id_ in ids.items()]
    ordered = sorted([*new, *begun], key=lambda s: (s.start, s.learner, s.adult, s.id))
    return _with_purposes(case, needs, ordered)


def _ids(
    week: Week, seats: Iterable[PlacedSitting], taken: set[str], told: Iterable[Sitting]
) -> dict[PlacedSitting, str]:
    """What people would call the same sitting keeps its id: the day, the adult, the learner. Of several of one day each
    that was told at its time has the id under which it was told, so that nobody who read that one means another."""
    at = {(s.adult, s.learner, week.minute_of(s.start)): s.id for s in told if s.id not in taken}
    in_order = sorted(seats, key=lambda s: (s.day, s.adult, s.learner, s.start))
    ids = {s: at[key] for s in in_order if (key := (s.adult, s.learner, s.start)) in at}
    used = taken | set(ids.values())
    for seat in (s for s in in_order if s not in ids):
        stem = stem_of(week, DAY_NAMES[seat.day], seat.adult, seat.learner)
        names = [stem, *(f"{stem}-{letter}" for letter in LETTERS)]
        ids[seat] = next(name for name in names if name not in used)
        used.add(ids[seat])
    return ids


def _sitting(case: Case, week: Week, seat: PlacedSitting, id_: str) -> Sitting:
    probes = tuple(
        Probe(
            target=p.target,
            combination=p.combination,
            kind=ProbeKind(p.kind),
            trials=case.targets[p.target].trials,
            new_tuples=0,
        )
        for p in seat.probes
    )
    start, end = (week.moment(m, case.timezone) for m in (seat.start, seat.end))
    return Sitting(
        id=id_,
        learner=seat.learner,
        adult=seat.adult,
        location=seat.location,
        start=start,
        end=end,
        probes=probes,
        beside=seat.beside,
        beside_as=seat.beside_as,
    )


def _with_purposes(
    case: Case, needs: Sequence[TargetNeed], ordered: Sequence[Sitting]
) -> tuple[Sitting, ...]:
    """Each probe with what it is the first to show, each teaching with the failures in whose place it is."""
    left = {n.id: set(n.tally.open) for n in needs}
    by_target = {n.id: n for n in needs}
    counted = []
    for s in ordered:
        probes = []
        for p in s.probes:
            shows = tuples_of(case.targets[p.target], p.combination) if p.kind.is_test else ()
            fresh = left.get(p.target, set()).intersection(shows)
            left.get(p.target, set()).difference_update(fresh)
            known = by_target.get(p.target)
            instead = known.instead_of(p.combination) if known and not p.kind.is_probe else ()
            probes.append(replace(p, new_tuples=len(fresh), instead_of=instead or p.instead_of))
        counted.append(replace(s, probes=tuple(probes)))
    return tuple(counted)


def still_open(need: TargetNeed, sittings: Iterable[Sitting]) -> frozenset[Tuple]:
    """The tuples of a target that are open after the plan's sittings."""
    shown = {
        t
        for s in sittings
        for p in s.probes
        if p.target == need.id and p.kind.is_test
        for t in tuples_of(need.target, p.combination)
    }
    return need.tally.open - shown


def coverage_of(
    need: TargetNeed, open_after: frozenset[Tuple], *, further: int, at_least: int
) -> TargetCoverage:
    """`further` is the size of the smallest design found for what stays open, `at_least` its proven bound."""
    count = need.tally
    return TargetCoverage(
        learner=need.target.learner,
        target=need.id,
        possible=len(count.possible),
        shown_before=len(count.shown),
        tested_before=len(count.tested),
        met_before=len(count.met),
        new=len(count.open) - len(open_after),
        open=len(open_after),
        fewest_further=further,
        fewest_proven=max(at_least, fewest_at_least(open_after)),
        met_untaught_before=len(count.met_untaught),
    )


def matrix_rows(case: Case, needs: Iterable[TargetNeed], on: date) -> tuple[MatrixRow, ...]:
    return tuple(_with_purpose(row, need) for need in needs for row in matrix(case, need.tally, on))


def _with_purpose(row: MatrixRow, need: TargetNeed) -> MatrixRow:
    return replace(row, instead_of=instead) if (instead := need.instead_of(row.combination)) else row


def seat_of(case: Case, week: Week, sitting: Sitting) -> PlacedSitting:
    """A kept sitting in minutes of its week."""
    return PlacedSitting(
        sitting.learner,
        sitting.adult,
        sitting.location,
        week.minute_of(sitting.start),
        week.minute_of(sitting.end),
        tuple(PlacedProbe(p.target, p.combination, p.kind.value) for p in sitting.probes),
        sitting.beside,
        sitting.beside_as,
    )
