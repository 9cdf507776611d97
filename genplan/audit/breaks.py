"""Which values go with fewer probes met than could be chance among what was not taught, worked out once more.

The test is that of Cochran, Mantel and Haenszel, exact and given all margins, and the correction Holm's, as the
evidence names them; here the ways in which an outcome comes about are added up one by one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import comb

from genplan.audit.history import in_time, is_met
from genplan.audit.possible import fits
from genplan.case import Combination, Target
from genplan.evidence.log import Result

LEVEL = Fraction(1, 20)
Pair = tuple[str, str]
Outcomes = list[tuple[Combination, bool]]


def that_count(rows: Iterable[Result]) -> list[Result]:
    """The tests in order of time, of several of one moment the last line."""
    tests = [r for r in in_time(rows) if r.kind.value in ("probe", "maintenance")]
    last: dict[object, int] = {}
    for r in tests:
        key = (r.combination, r.date, r.time)
        last[key] = max(r.line, last.get(key, 0))
    return [r for r in tests if r.trials and last[r.combination, r.date, r.time] == r.line]


def values_found(targets: Iterable[Target], rows: Mapping[str, list[Result]]) -> frozenset[Pair]:
    """The dimensions and values that are findings, all looks at these targets taken together."""
    seen = [(t, _first_tests(t, rows.get(t.id, []))) for t in targets]
    pairs = {pair for t, some in seen for c, _ in some for pair in _pairs(t, c)}
    looks = {pair: look for pair in sorted(pairs) if (look := _chances(pair, seen)) is not None}
    able = sorted((fewer, pair) for pair, (fewer, least) in looks.items() if least <= LEVEL)
    found = set()
    for rank, (fewer, pair) in enumerate(able):
        if fewer * (len(able) - rank) > LEVEL:
            break
        found.add(pair)
    return frozenset(found)


def _pairs(target: Target, combination: Combination) -> list[Pair]:
    return [(d.name, value) for d, value in zip(target.dimensions, combination, strict=False)]


def _first_tests(target: Target, rows: list[Result]) -> Outcomes:
    """Of each combination that was not taught before it whether its first test was met."""
    valid, gone, found = {r.line for r in that_count(rows)}, set[Combination](), []
    for row in in_time(rows):
        lesson = row.kind.value == "teaching"
        if row.combination in gone or not (lesson or (row.line in valid and not row.planned)):
            continue
        gone.add(row.combination)
        if not lesson and not any(fits(target, row.combination, t) for t in target.taught):
            found.append((row.combination, is_met(target, row)))
    return found


def _chances(pair: Pair, seen: list[tuple[Target, Outcomes]]) -> tuple[Fraction, Fraction] | None:
    """The chance of so few met with the value, or fewer, and the smallest that there could be; None: nothing tells."""
    ways, met, told = Counter({0: 1}), 0, False
    for target, outcomes in seen:
        if pair[0] not in {d.name for d in target.dimensions}:
            continue
        inside = [was for c, was in outcomes if pair in _pairs(target, c)]
        outside = [was for c, was in outcomes if pair not in _pairs(target, c)]
        all_met = sum(inside) + sum(outside)
        if not inside or not outside or all_met in (0, len(outcomes)):
            continue
        told, met, more = True, met + sum(inside), Counter[int]()
        for k in range(len(inside) + 1):
            here = comb(len(inside), k) * comb(len(outside), all_met - k) if k <= all_met else 0
            for before, times in ways.items():
                if here:
                    more[before + k] += times * here
        ways = more
    if not told:
        return None
    whole = ways.total()
    fewer = sum(times for count, times in ways.items() if count <= met)
    return Fraction(fewer, whole), Fraction(ways[min(ways)], whole)
