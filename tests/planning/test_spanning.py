"""The few that are taught before anything failed, and the probes beside them, against published arrays, every subset
and another solver.

Sizes of covering arrays as in `test_covering.py`: 3x3x3 in 9 (the product of the two largest), CA(9;2,4,3) or the
orthogonal array L9 for 3^4 (its names from memory), five two-valued dimensions in 6 (Rényi, Katona, Kleitman & Spencer;
1973, from memory). 'Train sufficient exemplars' is Stokes & Baer (1977), the words from memory."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import combinations
from random import Random

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, milp

from genplan.case import Case, Combination, PassMark, Target
from genplan.case.possible import possible_combinations
from genplan.case.second_adults import can_be_taught
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.evidence.log import Log, Result, ResultKind
from genplan.planning.spanning import Fewest, Lack, Spanning, spanning
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import hours, product_case

ON = date(2026, 11, 29)


def asked(case: Case, span: str = "each-value", log: Log | None = None, **what: object) -> Spanning:
    target = replace(case.targets["skill"], **what)  # type: ignore[arg-type]
    return spanning(replace(case, targets={"skill": target}), target, log or Log(), ON, span)


def held(target: Target, span: str, some: tuple[Combination, ...]) -> set[Tuple]:
    return {t for c in some for t in tuples_of(replace(target, cover=span), c)}


@pytest.mark.parametrize(
    ("levels", "span", "size"),
    [
        ((3, 3, 3), "each-value", 3),
        ((4, 2, 3), "each-value", 4),
        ((3, 3, 3), "pairs", 9),
        ((3, 3, 3, 3), "pairs", 9),
        ((2,) * 5, "pairs", 6),
        ((2, 2, 2, 2), "triples", 8),
        ((3, 2, 2), "all", 12),
    ],
)
def test_as_few_as_the_smallest_covering_array(levels: tuple[int, ...], span: str, size: int) -> None:
    case = product_case(levels)
    found = asked(case, span)
    target = case.targets["skill"]
    assert (len(found.teach), found.fewest, found.not_taught) == (size, Fewest.IN_ALL, ())
    assert held(target, span, found.teach) == held(target, span, target.combinations())


def test_the_probes_show_it_once_more_without_what_is_taught() -> None:
    # 27 combinations hold three arrays of nine that share nothing: nine taught leave nine others
    found = asked(product_case((3, 3, 3)), "pairs")
    assert (len(found.probes), found.fewest_probes, found.not_probed) == (9, Fewest.IN_ALL, ())
    assert not set(found.probes) & set(found.teach)
    assert found.others == 27 - 9 - 9


def test_where_all_is_taught_nothing_is_left_to_probe() -> None:
    found = asked(product_case((2, 2, 1)), "all")
    assert (len(found.teach), found.probes, found.others) == (4, (), 0)
    assert {u.lack for u in found.not_probed} == {Lack.ALL_TAUGHT}


def test_teaching_that_does_not_count_is_not_taught_already_and_not_untaught_either() -> None:
    case = product_case((2, 2, 2))
    few, enough, without = case.targets["skill"].combinations()[:3]
    rows = [
        Result(
            line=line,
            date=ON,
            time=None,
            target="skill",
            kind=ResultKind.TEACHING,
            combination=c,
            trials=trials,
            correct=correct,
        )
        for line, (c, trials, correct) in enumerate([(few, 5, 3), (enough, 5, 4), (without, None, None)], 2)
    ]
    found = asked(case, log=Log.of(rows), taught_when=PassMark(4, 5))
    assert found.taught == (enough,)
    assert not {few, enough, without}.intersection(found.probes)
    # the opposite of what is taught alone holds all that is missing
    assert len(found.teach) == 1
    assert asked(case, log=Log.of(rows)).taught == (few, enough, without)


def drawn(seed: int) -> tuple[Case, Target]:
    """Two or three values a dimension; some combinations ruled out, held out, and some adults who may not teach."""
    dice = Random(seed)
    case = product_case(dice.choice([(2, 2, 2), (3, 2, 2), (2, 3, 2)]))
    target = case.targets["skill"]
    some = [dict(zip(target.dimension_names, c, strict=True)) for c in target.combinations()]
    taught = tuple(dice.sample(some, dice.choice([0, 0, 1])))
    target = replace(
        target,
        never=tuple(dice.sample(some, dice.choice([0, 2, 4]))),
        hold_out=tuple(dice.sample(some, dice.choice([0, 0, 2]))),
        taught=taught,
    )
    adults = {
        a: replace(
            x,
            teaches=None if dice.random() < 0.7 else frozenset(),
            free=hours((9, 17)) if dice.random() < 0.7 else hours((20, 21)),
        )
        for a, x in case.adults.items()
    }
    return replace(case, adults=adults, targets={"skill": target}), target


def fewest_by_trying(
    target: Target, among: list[Combination], have: set[Tuple], late: set[Combination], span: str
) -> tuple[Combination, ...]:
    wanted = held(target, span, tuple(among)) - have
    return min(
        (sum(c in late for c in some), size, [among.index(c) for c in some], some)
        for size in range(len(among) + 1)
        for some in combinations(among, size)
        if wanted <= held(target, span, some)
    )[-1]


def late_in(case: Case, target: Target, some: list[Combination], *, teaching: bool) -> set[Combination]:
    """Whose adult is free in the evening only, when no learner is; to teach, somebody who may has to be there too."""
    free = {a: x.free == hours((9, 17)) for a, x in case.adults.items()}
    may = {a: x.teaches is None for a, x in case.adults.items()}
    return {
        c
        for c in some
        if not free[c[0]]
        or (teaching and not may[c[0]] and not any(free[a] and may[a] for a in case.adults if a != c[0]))
    }


@pytest.mark.parametrize("block", by_day_the_first(range(6), 3))
def test_no_other_choice_is_better(block: int) -> None:
    for seed in range(10 * block, 10 * block + 10):
        case, target = drawn(seed)
        span = Random(seed).choice(["each-value", "pairs"])
        found = spanning(case, target, Log(), ON, span)
        possible = possible_combinations(case, target, ON)
        taught = tuple(c for c in target.combinations() if any(target.matches(c, p) for p in target.taught))
        have = held(target, span, tuple(c for c in target.combinations() if _named(target, c)))
        may = [c for c in possible if c not in taught and can_be_taught(case, target, c)]
        teach = fewest_by_trying(target, may, have, late_in(case, target, may, teaching=True), span)
        assert (found.taught, found.teach) == (taught, teach), seed
        assert found.gone == {*taught} - {*possible}, seed
        kept = tuple(c for c in possible if target.is_held_out(c))
        left = [c for c in possible if c not in taught and c not in teach]
        late = late_in(case, target, left, teaching=False)
        assert found.probes == (kept or fewest_by_trying(target, left, set(), late, span)), seed
        missing = held(target, span, target.combinations()) - have - held(target, span, teach)
        assert {u.tuple_ for u in found.not_taught} == missing


def _named(target: Target, combination: Combination) -> bool:
    return any(target.matches(combination, p) for p in target.taught)


@pytest.mark.parametrize("seed", range(4))
def test_larger_ones_by_a_second_solver(seed: int) -> None:
    """Pairs of 4x4x3x2 with a third of the combinations ruled out, as a covering problem for HiGHS."""
    dice = Random(seed)
    case = product_case((4, 4, 3, 2))
    target = case.targets["skill"]
    never = dice.sample(target.combinations(), 32)
    patterns = tuple(dict(zip(target.dimension_names, c, strict=True)) for c in never)
    found = asked(case, "pairs", never=patterns)
    possible = [c for c in target.combinations() if c not in never]
    rows = sorted(held(target, "pairs", tuple(possible)))
    shown = np.array(
        [[set(t) <= set(zip(target.dimension_names, c, strict=True)) for c in possible] for t in rows]
    )
    best = milp(np.ones(len(possible)), constraints=LinearConstraint(shown, 1), integrality=1, bounds=(0, 1))
    assert best.status == 0, best.message
    assert found.fewest is Fewest.IN_ALL
    assert len(found.teach) == pytest.approx(best.fun)


def row_of(combination: Combination) -> Result:
    return Result(
        line=2,
        date=date(2026, 11, 2),
        time=None,
        target="skill",
        kind=ResultKind.TEACHING,
        combination=combination,
    )


def test_what_is_taught_already_counts() -> None:
    case = product_case((3, 3, 3))
    first, *_ = case.targets["skill"].combinations()
    by_row = asked(case, log=Log.of([row_of(first)]))
    assert by_row.taught == (first,)
    assert len(by_row.teach) == 2
    pattern = dict(zip(("adult", "location"), first, strict=False))
    part = asked(case, taught=(pattern,))
    assert (part.taught, len(part.teach)) == ((), 3)  # a third set is still to be taught, and two of the rest


def test_what_stands_in_the_way_is_told_of_what_cannot_be_taught() -> None:
    case = product_case((3, 2, 2))
    adults = {
        **case.adults,
        "a0-0": replace(case.adults["a0-0"], locations=frozenset()),
        "a0-1": replace(case.adults["a0-1"], teaches=frozenset()),
        "a0-2": replace(case.adults["a0-2"], learners=frozenset(), locations=frozenset({"l1-0"})),
    }
    nobody = asked(replace(case, adults=adults))
    assert nobody.teach == ()
    lacks = {u.tuple_[0][1]: u for u in nobody.not_taught}
    assert lacks["a0-0"].lack is Lack.NOT_POSSIBLE
    assert {o.rule.value for o in lacks["a0-0"].obstacles} == {"adult and location"}
    assert {o.rule.value for o in lacks["a0-2"].obstacles} == {"adult and learner"}  # of the adult alone
    assert lacks["a0-1"].lack is Lack.NOBODY_TEACHES
    kept = asked(case, hold_out=({"adult": "a0-2"},))
    assert [(u.tuple_, u.lack) for u in kept.not_taught] == [((("adult", "a0-2"),), Lack.HELD_OUT)]
    assert kept.by_hand
    assert len(kept.probes) == 4
    assert {u.tuple_[0][1] for u in kept.not_probed} == {"a0-0", "a0-1"}


def test_a_time_in_a_usual_week_is_preferred_and_its_lack_told() -> None:
    case = product_case((2, 2, 2))
    shut = replace(case.locations["l1-0"], open=hours((20, 22)))
    found = asked(replace(case, locations={**case.locations, "l1-0": shut}))
    evening = [c for c in (*found.teach, *found.probes) if c[1] == "l1-0"]
    assert len(evening) == 2  # one to teach the place at all, and one to probe it
    assert found.no_hours == set(evening)


def test_fewer_may_do_with_one_for_which_no_usual_week_has_a_time() -> None:
    """Two adults come on Monday only, and two places are open on other days: with each other they have no time. Without
    such a pair it takes four to hold three adults and three places."""
    case = product_case((3, 3, 1))
    monday = hours((9, 17), None)
    adults = {a: replace(x, free=monday) if a != "a0-0" else x for a, x in case.adults.items()}
    opened = {"l1-1": hours(None, (9, 17), None), "l1-2": hours(None, None, (9, 17), None)}
    places = {i: replace(p, open=opened.get(i, p.open)) for i, p in case.locations.items()}
    found = asked(replace(case, adults=adults, locations=places))
    assert (len(found.teach), found.fewest, found.no_hours & set(found.teach)) == (
        4,
        Fewest.WITH_A_TIME,
        frozenset(),
    )
    assert (len(found.probes), found.fewest_probes) == (3, Fewest.IN_ALL)


def test_the_minutes_of_a_teaching_have_to_fit() -> None:
    # an hour a day: a probe of 5 minutes and 5 to settle fit, teaching for 60 does not
    case = product_case((2, 2, 2))
    brief = {a: replace(x, free=hours((9, 10))) for a, x in case.adults.items()}
    assert asked(replace(case, adults=brief), teaching_minutes=55).no_hours == frozenset()
    found = asked(replace(case, adults=brief), teaching_minutes=60)
    assert found.no_hours == set(found.teach)
