"""What is proven of a term, held against every way to hold its weeks: tiny ones of two or three weeks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from itertools import islice
from random import Random

import pytest

from genplan.case import (
    AdultLimits,
    Case,
    Dimension,
    Learner,
    MaterialSet,
    Target,
    Week,
    WeeklyHours,
    Wish,
)
from genplan.case.windows import Window
from genplan.evidence.log import Log
from genplan.plan import StageStatus
from genplan.plan.term import Promise, Term
from genplan.planning.jobs import Workers
from genplan.planning.term.compose import term_of
from genplan.planning.term.wanted import TermFacts
from genplan.planning.week_context import week_context_of
from tests.fixtures.every_term import (
    NOTHING_TOLD,
    Held,
    asked_for,
    every_week,
    most_kept,
    off_the_grid,
    tiny_term,
)
from tests.fixtures.planning_cases import NOW, WEEK, Inline

BATCH, BY_DAY, BY_NIGHT = 40, 12, 600
AS_GOOD = 0.7
"""The part of tiny terms in which the bound is reached: ways between places and minutes of the day are not in it."""


def the_term(
    case: Case, weeks: tuple[Week, ...], told: Mapping[int, tuple[Held, ...]] = NOTHING_TOLD
) -> Term:
    probes = {n: frozenset((t, c, s.day) for s in some for t, c in s.probes) for n, some in told.items()}
    ground = week_context_of(case, Log(), weeks[0], NOW, {}, ())
    return term_of(
        TermFacts(case=case, ground=ground, weeks=weeks, busy={}, told=probes),
        Workers(Inline(), lambda _: None),
    )


def test_what_the_grid_of_starts_does_not_allow_is_not_counted() -> None:
    """From 10:05 to 11:00 one sitting can begin, at 10:30, and takes no second probe; from 10:00 to 11:00 a short and a
    long one have minutes enough, but not from half hour to half hour."""
    off = one_adult((605, 660), {"ida": (20, 20)})
    two = one_adult((600, 660), {"ida": (10,), "jon": (40,)})
    for case in (off, two):
        term = the_term(case, (WEEK,))
        assert (term.bound, term.kept, most_kept(case, (WEEK,))[0]) == (1, 1, 1)
    # a quarter of an hour later, or from quarter to quarter, there is room for both
    longer = one_adult((600, 675), {"ida": (10,), "jon": (40,)})
    finer = replace(two, policy=replace(two.policy, start_every_minutes=15))
    assert [the_term(case, (WEEK,)).kept for case in (longer, finer)] == [2, 2]
    assert most_kept(longer, (WEEK,))[0] == 2


def one_adult(window: tuple[int, int], minutes: Mapping[str, tuple[int, ...]]) -> Case:
    """She is there on Mondays; each child has a skill for each of these minutes, wanted with her in the week."""
    case, _ = tiny_term(0)
    (ann, *_), (home, *_) = case.adults.values(), case.locations.values()
    free = WeeklyHours(((Window(*window),), *((),) * 6))
    skills = {f"{child}-{n}": (child, m) for child, some in minutes.items() for n, m in enumerate(some)}
    values = ("adult", "ann"), ("location", "home"), ("material_set", "red")
    dimensions = tuple(Dimension(name, (value,)) for name, value in values)
    wish, day = Wish({"adult": "ann"}, WEEK.sunday), WeeklyHours(((Window(540, 720),),) * 7)
    return replace(
        case,
        learners={i: Learner(id=i, name=i, alias=i, free=day) for i in minutes},
        adults={"ann": replace(ann, free=free, limits=AdultLimits(), away=())},
        locations={"home": replace(home, capacity=3, closed=())},
        material_sets={"red": MaterialSet(id="red", name="red", copies=3)},
        targets={
            i: Target(
                id=i,
                learner=child,
                name=i,
                dimensions=dimensions,
                cover="each-value",
                minutes=m,
                first=(wish,),
            )
            for i, (child, m) in skills.items()
        },
        policy=replace(
            case.policy, rest_minutes=0, probes_per_target_per_day=1, probes_per_target_per_week=1
        ),
    )


@pytest.mark.parametrize("first", range(0, BY_NIGHT, BATCH))
def test_of_hours_between_the_starts_no_weeks_keep_more_dates_than_the_bound_says(
    first: int, nightly: bool
) -> None:
    if first and not nightly:
        pytest.skip("by night")
    for seed in range(first, first + (BATCH if nightly else BY_DAY)):
        case, weeks = off_the_grid(seed)
        term, (most, kept_by_some) = the_term(case, weeks), most_kept(case, weeks)
        assert term.bound >= most, seed
        cannot = {(d.target, d.place) for d in term.dates if d.promise is Promise.CANNOT}
        assert not cannot & kept_by_some, seed


@pytest.mark.parametrize("first", range(0, BY_NIGHT, BATCH))
def test_no_weeks_keep_more_dates_than_the_bound_says(first: int, nightly: bool) -> None:
    if first and not nightly:
        pytest.skip("by night")
    reached = []
    for seed in range(first, first + (BATCH if nightly else BY_DAY)):
        case, weeks = tiny_term(seed)
        term, (most, kept_by_some) = the_term(case, weeks), most_kept(case, weeks)
        assert term.bound >= most, seed
        assert (term.status, term.kept) == (StageStatus.OPTIMAL, term.bound), seed
        cannot = {(d.target, d.place) for d in term.dates if d.promise is Promise.CANNOT}
        assert not cannot & kept_by_some, seed
        assert all(d.promise is Promise.CANNOT for d in term.dates if d.no_way), seed
        reached.append(term.bound == most)
    assert sum(reached) / len(reached) >= AS_GOOD


@pytest.mark.parametrize("first", range(0, BY_NIGHT, BATCH))
def test_beside_a_week_that_was_told_no_weeks_keep_more_and_the_term_says_what_it_holds(
    first: int, nightly: bool
) -> None:
    """Some week of the term holds what one of its ways to be held does, seldom the best one."""
    if first and not nightly:
        pytest.skip("by night")
    for seed in range(first, first + (BATCH if nightly else BY_DAY)):
        case, weeks = tiny_term(seed)
        dice = Random(f"told {seed}")
        n = dice.randrange(len(weeks))
        told = {n: dice.choice(list(islice(every_week(case, weeks[n]), 300)))}
        term, (most, kept_by_some) = the_term(case, weeks, told), most_kept(case, weeks, told)
        assert term.bound >= most, seed
        cannot = {(d.target, d.place) for d in term.dates if d.promise is Promise.CANNOT}
        assert not cannot & kept_by_some, seed
        held = {(t, c) for s in told[n] for t, c in s.probes}
        assert {(p.target, p.combination) for p in term.probes if p.week == n} <= held, seed
        # what it shows in time for all dates of the skill is told of it, and of no other week
        for target, c in held:
            (day,) = {s.day for s in told[n] if (target, c) in s.probes}
            shown = {frozenset(pair) for pair in wanted_by_all(case, target, c, weeks[n].days[day])}
            elsewhere = [p for p in term.probes if p.target == target and p.week != n]
            assert not any(shown & {frozenset(t) for t in p.shows} for p in elsewhere), seed


def wanted_by_all(
    case: Case, target: str, combination: tuple[str, ...], on: date
) -> Iterator[frozenset[tuple[str, str]]]:
    """What the combination shows and some date of the skill asks for, no such date being over by then."""
    values = set(zip(case.targets[target].dimension_names, combination, strict=True))
    by: dict[frozenset[tuple[str, str]], list[date]] = {}
    for (id_, _place, one), until in asked_for(case).items():
        if id_ == target and one <= values:
            by.setdefault(one, []).append(until)
    return (one for one, dates in by.items() if all(on <= until for until in dates))
