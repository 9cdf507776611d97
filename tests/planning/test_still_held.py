"""Whether a told sitting can still be held just so: the planner's yes or no, and the reasons that people are told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import product

import pytest

from genplan.case import Absence, Travel
from genplan.plan import sitting_minutes
from genplan.planning.sittings_by_hand import ByHand
from genplan.planning.still_held import AgainstKind, still_held
from genplan.planning.still_possible import impossible
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.rules.limits import Kind
from genplan.rules.placed_sittings import PlacedSitting
from genplan.rules.together import everything_between
from tests.fixtures.given_week import Given
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import WEEK
from tests.fixtures.wild_weeks import baseline_week, taught_week, wild_week

SEEDS = 30


@pytest.mark.parametrize("drawn", [wild_week, taught_week, baseline_week])
def test_what_the_planner_can_hold_has_nothing_against_it(
    drawn: Callable[[int], Given], nightly: bool
) -> None:
    """Each sitting by itself, in the week as it was drawn, and with whoever runs it, or sits beside, on the way from
    something elsewhere."""
    seen: Counter[bool] = Counter()
    for seed in seeds(SEEDS, nightly, by_day=3):
        given = drawn(seed)
        for one in (given, *_on_the_way(given)):
            seen += _both(one, f"{drawn.__name__} {seed}")
    assert min(seen[True], seen[False]) >= (10 if nightly else 2), seen


def test_as_much_as_fits_beside_what_comes_before_is_still_held(nightly: bool) -> None:
    """With stricter limits than the week was told by what is left breaks none, and nothing that was left out for the
    sake of other sittings fits; a sitting falls through only where not one of its probes does."""
    seen: Counter[str] = Counter()
    for seed, drawn in product(seeds(40, nightly, by_day=3), (wild_week, taught_week)):
        given = drawn(seed)
        little = {
            i: replace(x, limits=replace(x.limits, probes_per_day=1)) for i, x in given.case.learners.items()
        }
        context = _context(replace(given, case=replace(given.case, learners=little)))
        beside = [*context.begun_seats]
        for one in still_held(context, context.told):
            others = [a.target for a in one.against if a.kind is AgainstKind.OTHERS]
            left = one.left.probes if one.left else ()
            assert one.left is None or _fits(context, one.left, beside), f"{seed} {one}"
            by_itself = {a.target for a in one.against if a.kind is not AgainstKind.OTHERS}
            for probe in one.seat.probes if others else ():
                if probe in left or probe.target in by_itself:
                    continue
                more = (*left, probe)
                longer = replace(
                    one.seat, end=one.seat.start + sitting_minutes(context.case, more), probes=more
                )
                assert not _fits(context, longer, beside), f"{seed} {one}"
            if others:
                seen["part" if left else "whole"] += 1
            beside += [one.left] if one.left else []
    assert min(seen["part"], seen["whole"]) > 0, seen


def test_nobody_sits_beside_without_being_needed(nightly: bool) -> None:
    """Since the week was told everybody may teach everything, has worked with everybody, and nobody is to observe: who
    sat beside is there no more, and is named; all else is as it was."""
    seen = 0
    for seed, drawn in product(seeds(120, nightly), (wild_week, taught_week)):
        given = drawn(seed)
        case = given.case
        policy = replace(case.policy, accompany_new_adults=False, observed_share=0)
        able = {i: replace(a, teaches=None, briefed_on=None) for i, a in case.adults.items()}
        context = _context(replace(given, case=replace(case, policy=policy, adults=able)))
        for one in still_held(context, context.told):
            needless = [a.id for a in one.against if a.kind is AgainstKind.NOT_NEEDED]
            assert one.left is None or not one.left.beside, f"{seed} {one}"
            assert needless == [one.seat.beside] * len(needless), f"{seed} {one}"
            seen += len(needless)
    assert seen


def _fits(context: WeekContext, seat: PlacedSitting, beside: list[PlacedSitting]) -> bool:
    free = context.free
    return not [*everything_between(context.case, seat, beside, free.recorded, free.recorded_teachings)]


def test_a_wish_is_judged_by_the_ways_of_an_adult_too(nightly: bool) -> None:
    """Whoever is on the way from something elsewhere is not free for a sitting that is wished just so."""
    asked = 0
    for seed in seeds(SEEDS, nightly, by_day=3):
        for given in _on_the_way(wild_week(seed)):
            context = _context(given)
            by_hand = ByHand(
                case=context.case,
                week=WEEK,
                free=context.free,
                needs=context.needs,
                begun=context.begun_seats,
            )
            for one in still_held(context, context.told):
                if AgainstKind.ADULT in {a.kind for a in one.against}:
                    asked += 1
                    kinds = {limit.kind for limit in by_hand.limits_of(one.seat, ())}
                    assert Kind.ADULT_THEN in kinds, f"{seed} {one.seat}"
    assert asked >= 5


def _context(given: Given) -> WeekContext:
    return week_context_of(given.case, given.log, WEEK, given.now, given.busy, given.kept)


def _both(given: Given, which: str) -> Counter[bool]:
    context = _context(given)
    lost, seen = impossible(context.caseload), Counter[bool]()
    for seat in context.told:
        (held,) = still_held(context, [seat])
        assert (seat not in lost) == (not held.against), f"{which} {seat} {held.against}"
        seen[seat not in lost] += 1
    return seen


def _on_the_way(given: Given) -> list[Given]:
    """For each adult of the first sitting ahead the week in which that one has something elsewhere right after it."""
    ahead = [s for s in given.kept if s.start >= given.now]
    found = []
    for sitting in ahead[:1]:
        for adult in sitting.adults:
            place = next((p for p in given.case.locations if p != sitting.location), "")
            end = sitting.end.replace(tzinfo=None)
            later = Absence(end, min(end + timedelta(minutes=5), _midnight(end)), place=place)
            travel = Travel(routes={frozenset((place, sitting.location)): 10})
            busy = {**given.busy, adult: (*given.busy.get(adult, ()), later)}
            found.append(replace(given, busy=busy, case=replace(given.case, travel=travel)))
    return found


def _midnight(moment: datetime) -> datetime:
    return datetime.combine(moment.date() + timedelta(days=1), datetime.min.time())
