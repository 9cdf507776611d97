"""Every figure of a review once more, with the rules written down anew: plain loops, `math.comb` and fractions, and
nothing of the package but the values of a case and a row."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import combinations
from math import comb

import pytest

from genplan.case import Case, Combination, Target
from genplan.coverage.review import TargetReview, review
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.intervals import clopper_pearson
from genplan.evidence.log import Log, Result
from genplan.report.frames import as_frame
from genplan.report.progress_tables import progress_tables
from tests.fixtures.random_history import FIRST, LAST, a_random_history

SEEDS = range(15)
TESTS = ("probe", "maintenance")
LEVEL = Fraction(1, 20)


def counting(rows: Iterable[Result]) -> list[Result]:
    """Of several tests of one combination on one day at one time the last line counts; of lessons at one time what the
    last line says of it, run or not run. Without a time two lessons are two."""
    found = []
    everything = sorted(rows, key=lambda r: (r.date, r.time is not None, r.time or 0, r.line))
    for r in everything:
        same = [o for o in everything if (o.combination, o.date, o.time) == (r.combination, r.date, r.time)]
        if r.kind == "teaching" and r.time is not None:
            same = [o for o in same if o.kind in ("teaching", "not run")]
        elif r.kind in TESTS:
            same = [o for o in same if o.kind in TESTS]
        elif r.kind == "baseline":
            same = [o for o in same if o.kind == "baseline"]
        else:
            same = [r]
        if r.line == max(o.line for o in same):
            found.append(r)
    return found


def is_met(row: Result) -> bool:
    """4 of 5, or as good a share of another number of trials."""
    return Fraction(row.correct or 0, row.trials or 1) >= Fraction(4, 5)


def is_named(target: Target, combination: Combination) -> bool:
    held = dict(zip([d.name for d in target.dimensions], combination, strict=True))
    return any(all(held[n] == v for n, v in pattern.items()) for pattern in target.taught)


def is_possible(c: Combination) -> bool:
    """Mum and grandad go home and to the park; the teacher not home, by `never`."""
    return c[1] in (("home", "park") if c[0] in ("mum", "grandad") else ("park", "school"))


def shown_by(target: Target, some: Iterable[Combination]) -> set[tuple[tuple[int, str], ...]]:
    t = {"each-value": 1, "pairs": 2, "triples": 3, "all": len(target.dimensions)}[target.cover]
    return {pairs for c in some for pairs in combinations(enumerate(c), min(t, len(c)))}


def tried_met_untaught(target: Target, rows: Iterable[Result]) -> tuple[int, int, int]:
    last = {r.combination: r for r in rows if r.kind in TESTS}
    lessons = {r.combination for r in rows if r.kind == "teaching"}
    met = [c for c, r in last.items() if is_met(r)]
    untaught = [c for c in met if c not in lessons and not is_named(target, c)]
    possible = shown_by(target, (c for c in target.combinations() if is_possible(c)))
    return tuple(len(shown_by(target, some) & possible) for some in (last, met, untaught))


def of_taught_and_others(target: Target, rows: Iterable[Result]) -> tuple[list, list]:
    """(combination, met) of each test, in combinations taught before it and in all others."""
    taught, others, lessons = [], [], set()
    for r in rows:
        if r.kind == "teaching":
            lessons.add(r.combination)
        elif r.kind in TESTS:
            there = r.combination in lessons or is_named(target, r.combination)
            (taught if there else others).append((r.combination, is_met(r)))
    return taught, others


def fisher(met: int, probes: int, met_without: int, probes_without: int) -> tuple[Fraction, Fraction]:
    """The chance of so few met with the value, or fewer, and the smallest that these margins allow."""
    total, n = met + met_without, probes + probes_without
    ways = {
        k: Fraction(comb(probes, k) * comb(probes_without, total - k), comb(n, total))
        for k in range(max(0, total - probes_without), min(probes, total) + 1)
    }
    return sum((p for k, p in ways.items() if k <= met), Fraction(0)), ways[min(ways)]


def found_of(case: Case, target: Target, log: Log) -> TargetReview:
    return review(case, target.learner, log, FIRST, LAST).targets[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_tried_met_and_met_without_teaching(seed: int) -> None:
    case, target, log = a_random_history(seed)
    rows, found = counting(log.results), found_of(case, target, log)
    expected = tried_met_untaught(target, rows)
    assert (len(found.tally.tested), len(found.tally.met), len(found.tally.met_untaught)) == expected
    last = found.points[-1]
    assert (last.tested, last.met, last.met_untaught) == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_what_was_taught_and_all_else(seed: int) -> None:
    case, target, log = a_random_history(seed)
    taught, others = of_taught_and_others(target, counting(log.results))
    found = found_of(case, target, log).teaching
    assert (found.taught.met, found.taught.probes) == (sum(m for _, m in taught), len(taught))
    assert (found.others.met, found.others.probes) == (sum(m for _, m in others), len(others))
    met = sum(m for _, m in (*taught, *others))
    if taught and others and 0 < met < len(taught) + len(others):
        chance, _ = fisher(found.others.met, len(others), found.taught.met, len(taught))
        assert found.chance == chance
    else:
        assert found.chance is None


@pytest.mark.parametrize("seed", SEEDS)
def test_where_it_breaks(seed: int) -> None:
    """Fisher's test of each value among first probes of what was not taught, and Holm's correction of those looks that
    could have been a finding."""
    _, target, log = a_random_history(seed, rows=150)
    _, others = of_taught_and_others(target, counting(log.results))
    first: dict[Combination, bool] = {}
    for c, met in others:
        first.setdefault(c, met)
    looks = {}
    for at, dimension in enumerate(target.dimensions):
        for value in dimension.values:
            own = [m for c, m in first.items() if c[at] == value]
            rest = [m for c, m in first.items() if c[at] != value]
            if own and rest and 0 < sum(own) + sum(rest) < len(first):
                looks[dimension.name, value] = fisher(sum(own), len(own), sum(rest), len(rest))
    able = sorted((p, key) for key, (p, least) in looks.items() if least <= LEVEL)
    adjusted, highest = {}, Fraction(0)
    for rank, (p, key) in enumerate(able):
        highest = max(highest, min(Fraction(1), p * (len(able) - rank)))
        adjusted[key] = highest
    found = where_it_breaks([target], log)
    assert (found.met, found.probes) == (sum(first.values()), len(first))
    assert {(x.dimension, x.value): x.p_value for x in found.looks} == {k: p for k, (p, _) in looks.items()}
    assert {(x.dimension, x.value): x.adjusted for x in found.looks if x.adjusted is not None} == adjusted
    assert {(x.dimension, x.value) for x in found.found} == {k for k, p in adjusted.items() if p <= LEVEL}


@pytest.mark.parametrize("seed", SEEDS)
def test_baseline_probes_are_kept_apart(seed: int) -> None:
    """Those count that no lesson, probe or maintenance probe of the combination came before, and that were run before
    mastery where `taught` names it."""
    case, target, log = a_random_history(seed)
    touched: set[Combination] = set()
    expected = {}
    for r in counting(log.results):
        if r.kind == "baseline":
            # every target that is not in teaching was mastered in October, on the 19th
            mastered = target.state != "teaching" and r.date >= target.mastered_on
            if r.combination not in touched and not (mastered and is_named(target, r.combination)):
                expected[r.combination] = (r.date, r.correct, r.trials, is_met(r))
        elif r.kind != "not run":
            touched.add(r.combination)
    found = found_of(case, target, log).tally.baselines
    assert {c: (b.on, b.correct, b.trials, b.met) for c, b in found.items()} == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_the_row_of_the_table_says_the_same(seed: int) -> None:
    case, target, log = a_random_history(seed)
    tables = progress_tables([review(case, target.learner, log, FIRST, LAST)])
    table = as_frame(tables["progress-targets.csv"])
    (row,) = table.to_dict("records")
    rows = counting(log.results)
    taught, others = of_taught_and_others(target, rows)
    last = {r.combination: r for r in rows if r.kind in TESTS}
    lapsed = target.state == "mastered" and any(
        is_named(target, c) and not is_met(r) for c, r in last.items()
    )
    assert (int(row["tried"]), int(row["met"]), int(row["met_untaught"])) == tried_met_untaught(target, rows)
    assert (int(row["probes_met"]), int(row["probes_run"])) == (
        sum(m for _, m in (*taught, *others)),
        len(taught) + len(others),
    )
    assert row["lapsed_where_taught"] == ("yes" if lapsed else "")


@pytest.mark.parametrize("trials", [1, 2, 5, 11])
def test_exact_intervals_by_fractions(trials: int) -> None:
    """The ends are where the chance of so many, or so few, is a fortieth: below and above them it is not."""

    def at_least(k: int, p: Fraction) -> Fraction:
        return sum(
            (comb(trials, i) * p**i * (1 - p) ** (trials - i) for i in range(k, trials + 1)), Fraction(0)
        )

    tail, near = Fraction(1, 40), Fraction(1, 10**7)
    for correct in range(trials + 1):
        found = clopper_pearson(correct, trials)
        low, high = Fraction(found.low), Fraction(found.high)
        if correct:
            assert at_least(correct, low - near) < tail < at_least(correct, low + near)
        else:
            assert low == 0
        if correct < trials:
            assert 1 - at_least(correct + 1, high - near) > tail > 1 - at_least(correct + 1, high + near)
        else:
            assert high == 1
