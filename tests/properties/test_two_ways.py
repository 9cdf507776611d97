"""The figures of matrix, progress and review, on random cases, against the auditor's own plain loops."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random

import pytest

from genplan.audit.breaks import values_found
from genplan.audit.history import past_of
from genplan.coverage.criterion import criterion_of
from genplan.coverage.curve import curve
from genplan.coverage.tally import tally
from genplan.evidence.agreement import agreement
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.log import Log, Result, ResultKind
from tests.fixtures.random_cases import random_case, random_log

TODAY = date(2026, 11, 29)


@pytest.mark.parametrize("seed", range(25))
def test_coverage_criterion_and_curve(seed: int) -> None:
    case = random_case(seed, learners=2, targets=3, oddity=0.6)
    log = random_log(case, seed, 6)
    days = [date(2026, 11, 1), date(2026, 11, 12), TODAY]
    for target in case.targets.values():
        points = {p.day: p for p in curve(case, target, log, date(2026, 11, 2), TODAY)}
        for day in days:
            rows = [r for r in log.results if r.target == target.id and r.date <= day]
            past = past_of(case, target, rows, TODAY)
            count = tally(case, target, Log.of(rows), TODAY)
            assert len(count.possible) == len(past.possible)
            assert len(count.tested) == len(past.tested)
            assert len(count.shown) == len(past.tested | past.taught)
            assert len(count.met) == len(past.met)
            if day in points:
                point = points[day]
                figures = (point.possible, point.tested, point.shown, point.met)
                assert figures == tuple(
                    map(len, (past.possible, past.tested, past.tested | past.taught, past.met))
                )
            for part in criterion_of(count).parts:
                at = [d.name for d in target.dimensions].index(part.dimension)
                values = target.dimensions[at].values
                met = {c[at] for c, known in past.known.items() if known.status == "met"}
                tested = {c[at] for c, known in past.known.items() if known.tested}
                assert part.met == tuple(v for v in values if v in met)
                assert part.tested == tuple(v for v in values if v in tested - met)
                assert part.untried == tuple(v for v in values if v not in tested)
                held = {c[at] for c in past.possible_combinations}
                assert part.shut_out == tuple(v for v in part.untried if v not in held)
                grown_up = past_of(case, target, rows, date.max)
                reach = met | {c[at] for c in grown_up.possible_combinations}
                assert part.in_reach == sum(v in reach for v in values)
                assert part.missing == max(0, target.generalised_when[part.dimension] - len(set(part.met)))


@pytest.mark.parametrize("seed", range(25))
def test_where_it_breaks(seed: int) -> None:
    """Small values of chance need many rows: each target has forty, of which those with one value mostly fail."""
    case, rng = random_case(seed, learners=1, targets=2), Random(seed)
    rows = []
    for target in case.targets.values():
        bad = rng.choice(rng.choice(target.dimensions).values)
        for line in range(40):
            combination = tuple(rng.choice(d.values) for d in target.dimensions)
            met = rng.random() < (0.1 if bad in combination else 0.9)
            kind = ResultKind.TEACHING if rng.random() < 0.1 else ResultKind.PROBE
            rows.append(
                Result(
                    line=len(rows) + 2,
                    date=date(2026, 11, 1 + line // 2),
                    time=None,
                    target=target.id,
                    kind=kind,
                    combination=combination,
                    trials=5,
                    correct=5 * met,
                )
            )
    by_target = {t: [r for r in rows if r.target == t] for t in case.targets}
    told = where_it_breaks(case.targets.values(), Log.of(rows)).found
    assert values_found(case.targets.values(), by_target) == {(x.dimension, x.value) for x in told}


def test_where_it_breaks_is_found_at_all() -> None:
    """With ten sets at home all were met, with ten in the park none: a chance of 1 in 184756 for each of two looks."""
    target, *_ = random_case(0, learners=1, targets=1).targets.values()
    target = replace(target, dimensions=tuple(replace(d, values=d.values[:1]) for d in target.dimensions))
    adult = target.dimensions[0].values[0]
    others = [d.values[0] for d in target.dimensions[3:]]
    rows = [
        Result(
            line=2 * n + at + 2,
            date=date(2026, 11, n + 1),
            time=None,
            target=target.id,
            kind=ResultKind.PROBE,
            combination=(adult, place, f"set-{n}", *others),
            trials=5,
            correct=5 * (1 - at),
        )
        for n in range(10)
        for at, place in enumerate(("home", "park"))
    ]
    assert values_found([target], {target.id: rows}) == {("location", "park")}


@pytest.mark.parametrize("seed", range(10))
def test_the_share_that_is_observed(seed: int) -> None:
    """Of several rows of one probe the last counts; rows that are no test do not."""
    case, rng = random_case(seed, targets=2), Random(seed)
    rows = [
        replace(r, observer="x", observer_correct=r.correct) if rng.random() < 0.4 else r
        for r in random_log(case, seed, 8).results
    ]
    last = {}
    for r in sorted(rows, key=lambda r: r.line):
        if r.kind.is_test and r.trials:
            last[r.target, r.combination, r.date, r.time] = r
    found = agreement(rows)
    assert found.probes == len(last)
    assert found.observed == sum(r.observer_correct is not None for r in last.values())
