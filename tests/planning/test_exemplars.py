"""What is taught because something failed, against every set of combinations that could be.

The idea, to teach few examples and probe the rest, is Stokes & Baer (1977), J. Appl. Behav. Anal. 10(2), 349-367
('train sufficient exemplars'; the heading from memory). What is counted here is our own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from itertools import combinations, product
from random import Random

import pytest

from genplan.case import Adult, Case, Combination, Target
from genplan.case.possible import possible_combinations
from genplan.case.second_adults import can_be_taught
from genplan.case.targets import Teach
from genplan.coverage.tally import Tally, tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.planning.exemplars import combinations_to_teach, exemplars
from genplan.planning.teaching_due import teachings_due
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import WEEK, product_case

ON = date(2026, 11, 29)


def log_of(target: Target, rows: Iterable[tuple[Combination, ResultKind, bool]]) -> Log:
    """A row a line, all of one day, in this order."""
    return Log.of(
        Result(
            line=line,
            date=date(2026, 11, 2),
            time=None,
            target=target.id,
            kind=kind,
            combination=c,
            trials=5,
            correct=5 if met else 0,
        )
        for line, (c, kind, met) in enumerate(rows, 2)
    )


def drawn(seed: int) -> tuple[Case, Target, Tally]:
    """A target of 2x2x2 to 3x3x2 combinations of which some are held out, ruled out, taught by nobody, met or not."""
    dice = Random(seed)
    levels = dice.choice([(2, 2, 2), (3, 2, 2), (3, 3, 2)])
    case = product_case(levels)
    target = case.targets["skill"]
    some = [dict(zip(target.dimension_names, c, strict=True)) for c in target.combinations()]
    target = replace(
        target,
        teach=dice.choice([Teach.FEWEST, Teach.FEWEST, Teach.EACH]),
        hold_out=tuple(dice.sample(some, dice.choice([0, 1, 3]))),
        never=tuple(dice.sample(some, dice.choice([0, 0, 2]))),
    )
    adults = {a: replace(x, teaches=_teaches(dice)) for a, x in case.adults.items()}
    case = replace(case, adults=adults, targets={"skill": target})
    chance = dice.choice([0.3, 0.6, 0.9])
    rows = [
        (
            dice.choice(target.combinations()),
            dice.choice([ResultKind.PROBE, ResultKind.PROBE, ResultKind.PROBE, ResultKind.TEACHING]),
            dice.random() < chance,
        )
        for _ in range(dice.randrange(2, 14))
    ]
    return case, target, tally(case, target, log_of(target, rows), ON)


def _teaches(dice: Random) -> frozenset[str] | None:
    return None if dice.random() < 0.6 else frozenset()


def by_trying_all(
    case: Case, target: Target, count: Tally, begun: Sequence[Combination] = ()
) -> tuple[Combination, ...]:
    """Of all sets of combinations that may be taught and are not met, or due for a retest, the first that holds what
    can be held: with the fewest that never failed, then the fewest, then the first in order, what was begun before the
    rest."""
    return min(sets_that_hold(case, target, count, begun))[-1]


def sets_that_hold(
    case: Case, target: Target, count: Tally, begun: Sequence[Combination] = ()
) -> list[tuple[int, int, list[int], tuple[Combination, ...]]]:
    """Each with what it is judged by."""
    possible = count.possible_combinations
    order = [*begun, *(c for c in possible if c not in begun)]
    waiting = [c for c in possible if count.standing(c).waits_for_teaching]
    teachable = [c for c in possible if can_be_taught(case, target, c)]
    each = {c for c in waiting if c in teachable and target.teach is Teach.EACH}
    others = [c for c in order if c in teachable and (c in waiting or not count.standing(c).tested)]
    wanted = {s for c in waiting if c not in each for s in count.standing(c).suspects}
    wanted = {s for s in wanted if any(set(s) <= pairs(target, c) for c in others)}
    return [
        (
            sum(c not in waiting for c in some),
            len(some),
            [order.index(c) for c in some if c not in each],
            tuple(c for c in possible if c in some),
        )
        for size in range(len(others) + 1)
        for some in combinations(others, size)
        if each <= set(some) and all(any(set(s) <= pairs(target, c) for c in some) for s in wanted)
    ]


def pairs(target: Target, combination: Combination) -> set[tuple[str, str]]:
    return set(zip(target.dimension_names, combination, strict=True))


@pytest.mark.parametrize("block", by_day_the_first(range(12), 4))
def test_no_other_set_of_combinations_is_better(block: int) -> None:
    asked = 0
    for seed in range(30 * block, 30 * block + 30):
        case, target, count = drawn(seed)
        if sum(not count.standing(c).tested for c in count.possible_combinations) > 9:
            continue
        for begun in ((), tuple(Random(seed).sample(count.possible_combinations, 2))):
            found = exemplars(case, target, count, begun)
            assert found.combinations == by_trying_all(case, target, count, begun), (seed, begun)
        assert found.proven
        asked += bool(found.combinations)
    assert asked >= 4


@pytest.mark.parametrize("seed", by_day_the_first(range(120), 40))
def test_every_failure_is_taught_or_answered_or_said_to_be_beyond(seed: int) -> None:
    """Nothing waits in silence: what is neither taught, nor held by what is taught or due for a retest, is named."""
    case, target, count = drawn(5000 + seed)
    found = exemplars(case, target, count)
    again = {c for c, s in count.standings.items() if s.retest_due and can_be_taught(case, target, c)}
    for c in count.possible_combinations:
        if not count.standing(c).waits_for_teaching:
            assert c not in found.beyond
            continue
        suspects = count.standing(c).suspects
        # what is held out comes again once all of it that can be taught was: any of it is enough to wait for
        enough = any if target.is_held_out(c) else all
        held = enough(
            any(set(s) <= pairs(target, t) for t in {*found.combinations, *again}) for s in suspects
        )
        assert (c in found.beyond) == (c not in found.combinations and not (suspects and held))
    assert all(can_be_taught(case, target, c) for c in found.combinations)


@pytest.mark.parametrize("seed", by_day_the_first(range(60), 20))
def test_teaching_and_retests_come_to_an_end(seed: int) -> None:
    """Round after round all that is owed is taught and what is due is probed, of which half is met. In no round does
    something wait for which nothing is taught or probed, and at the end only what nobody may teach is left."""
    case, target, _ = drawn(7000 + seed)
    target = replace(target, teachings_before_retest=1 + seed % 2)
    dice = Random(seed)
    rows = [(c, ResultKind.PROBE, dice.random() < 0.5) for c in possible_combinations(case, target, ON)]
    for _ in range(60):
        count = tally(case, target, log_of(target, rows), ON)
        waiting = [c for c in count.possible_combinations if count.standing(c).waits_for_teaching]
        due = [c for c in count.possible_combinations if count.standing(c).retest_due]
        found = exemplars(case, target, count)
        if set(waiting) <= set(found.beyond) and not due and not found.combinations:
            break
        assert due or found.combinations
        rows += [(c, ResultKind.TEACHING, True) for c in found.combinations]
        rows += [(c, ResultKind.PROBE, dice.random() < 0.5) for c in due]
    else:
        pytest.fail("teaching did not come to an end")


@pytest.mark.parametrize("seed", by_day_the_first(range(60), 10))
def test_what_was_begun_is_brought_to_its_end(seed: int) -> None:
    """Round after round some of what is owed is taught and some of what is due is probed, with results by dice. Nothing
    that had some of its teachings is dropped while all that was chosen with it is still as few as can be; and nothing
    that people were told of, but for what had some of its own."""
    asked = 2 + seed % 2
    case, target, _ = drawn(9000 + seed)
    case = replace(case, policy=replace(case.policy, plan_teaching=True))
    target = replace(target, teach=Teach.FEWEST, teachings_before_retest=asked)
    dice, possible = Random(seed), possible_combinations(case, target, ON)
    rows = [(c, ResultKind.PROBE, dice.random() < 0.4) for c in possible]
    before: dict[Combination, int] = {}
    for _ in range(20):
        log = log_of(target, rows)
        count = tally(case, target, log, ON)
        told = before if seed % 3 else {}
        owed = {d.combinations[0]: d.times for d in teachings_due(case, target, log, WEEK, count, told)}
        sets = sets_that_hold(case, target, count)
        if any(s[:2] == min(sets)[:2] and set(s[3]) == set(before) for s in sets):
            assert {c for c, times in before.items() if times < asked} <= set(owed)
            assert set(told) <= set(owed) or any(owed[c] < asked for c in set(owed) - set(before))
        taught = [c for c in owed if dice.random() < 0.6]
        before = {c: times - (c in taught) for c, times in owed.items() if times > (c in taught)}
        rows += [(c, ResultKind.TEACHING, True) for c in taught]
        due = [c for c in possible if count.standing(c).retest_due and dice.random() < 0.5]
        rows += [(c, ResultKind.PROBE, dice.random() < 0.5) for c in due]


def three_by_three(failed: str, met: str = "", **what: object) -> tuple[Case, Target, Tally]:
    """3x3x3, tests as digits: `012` is the first adult, second place, third set."""
    case = product_case((3, 3, 3))
    target = replace(case.targets["skill"], **{"teach": Teach.FEWEST, **what})  # type: ignore[arg-type]
    rows = [(c, ResultKind.PROBE, True) for c in spelled(target, met)]
    rows += [(c, ResultKind.PROBE, False) for c in spelled(target, failed)]
    case = replace(case, targets={"skill": target})
    return case, target, tally(case, target, log_of(target, rows), ON)


def spelled(target: Target, words: str) -> list[Combination]:
    return [
        tuple(d.values[int(digit)] for d, digit in zip(target.dimensions, word, strict=True))
        for word in words.split()
    ]


def test_one_teaches_for_all_that_failed_at_the_same_place() -> None:
    # the place 2 only failed, and nothing else did: any of the three holds it, the first is taken
    case, target, count = three_by_three("020 121 222", met="000 111 202")
    assert combinations_to_teach(case, target, count) == tuple(spelled(target, "020"))


def test_each_teaches_all_of_them() -> None:
    case, target, count = three_by_three("020 121 222", met="000 111 202", teach=Teach.EACH)
    assert combinations_to_teach(case, target, count) == tuple(spelled(target, "020 121 222"))


def test_after_nothing_was_met_a_diagonal_is_taught() -> None:
    # nine values only failed, a combination holds three of them: three combinations, and 000 with 111 and 222 is first
    case, target, count = three_by_three("".join(f"{a}{b}{c} " for a, b, c in product("012", repeat=3)))
    assert combinations_to_teach(case, target, count) == tuple(spelled(target, "000 111 222"))


def test_what_is_held_out_is_taught_elsewhere_and_never_itself() -> None:
    held = ({"location": "l1-2", "adult": "a0-0"},)
    case, target, count = three_by_three("020", met="000 111 202", hold_out=held)
    # no other failure holds the place 2: the first combination with it that may be taught stands in
    assert combinations_to_teach(case, target, count) == tuple(spelled(target, "120"))


def test_what_failed_is_taken_before_what_never_failed() -> None:
    held = ({"location": "l1-2", "adult": "a0-0"},)
    case, target, count = three_by_three("020 222", met="000 111 202", hold_out=held)
    assert combinations_to_teach(case, target, count) == tuple(spelled(target, "222"))


def test_where_nobody_may_teach_it_is_said_to_be_beyond() -> None:
    case, target, count = three_by_three("020 121", met="000 111 202")
    nobody = {a: replace(x, teaches=frozenset[str]()) for a, x in case.adults.items()}
    found = exemplars(replace(case, adults=nobody), target, count)
    assert found.combinations == ()
    assert found.beyond == tuple(spelled(target, "020 121"))


def test_who_may_teach_sits_beside() -> None:
    case, target, count = three_by_three("020", met="000 111 202")
    adults: dict[str, Adult] = {a: replace(x, teaches=frozenset()) for a, x in case.adults.items()}
    adults["a0-2"] = replace(adults["a0-2"], teaches=None)
    assert combinations_to_teach(replace(case, adults=adults), target, count) == tuple(spelled(target, "020"))


def test_what_is_held_out_as_a_whole_has_nowhere_to_be_taught() -> None:
    """All its pairs are met elsewhere: only the whole failed, and the whole is held out."""
    held = (dict(zip(("adult", "location", "material_set"), ("a0-0", "l1-0", "m2-0"), strict=True)),)
    case, target, count = three_by_three("000", met="001 010 100", hold_out=held)
    found = exemplars(case, target, count)
    assert (found.combinations, found.beyond) == ((), tuple(spelled(target, "000")))


def test_what_is_held_out_comes_again_once_all_that_can_be_taught_of_it_was() -> None:
    """Of what failed in it nothing that may be taught holds the first adult with the first set, and something the first
    place with it. Before that is taught it waits, and no longer than that."""
    held = ({"adult": "a0-0", "material_set": "m2-0"},)
    case, target, count = three_by_three("000", met="001 210", hold_out=held)
    (failed,), (taught,) = spelled(target, "000"), spelled(target, "100")
    found = exemplars(case, target, count)
    assert (found.combinations, found.beyond) == ((taught,), ())
    assert count.standing(failed).waits_for_teaching
    rows = log_of(
        target,
        [
            *((c, ResultKind.PROBE, True) for c in spelled(target, "001 210")),
            (failed, ResultKind.PROBE, False),
            (taught, ResultKind.TEACHING, True),
        ],
    )
    after = tally(case, target, rows, ON).standing(failed)
    assert (after.retest_due, after.retest_from, after.suspects) == (True, date(2026, 11, 2), ())
    # where only the first place is held out, too, the adult and the set can be taught elsewhere, and are to be
    free = replace(target, hold_out=({"adult": "a0-0", "material_set": "m2-0", "location": "l1-0"},))
    assert tally(case, free, rows, ON).standing(failed).waits_for_teaching
